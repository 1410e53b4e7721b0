/// The way between two points, as somebody follows it with a meter.

#include "solve/part_models.hpp"
#include "solve/predict_inside.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace loomproof::solve {

namespace {

// What a step costs, so that the way is taken that somebody wants to follow: where current flows rather than where none does; over open
// contacts, as who asks wants to see where it is broken, rather than over the body, where everything meets; over a load only where nothing else
// leads there, and through a source last.
constexpr double without_current = 60, a_converter = 100, an_open_contact = 1e6, over_the_body = 1e7, a_load = 1e10,
                 a_source = 1e14;
constexpr double worth_a_look = 5e-3; // A

bool is_body(const Circuit& c, TerminalId t) {
    const Kind kind = c.part_of(t).kind;
    return kind == Kind::ground || kind == Kind::metal;
}

bool is_conversion(const Circuit& c, EdgeRef e) {
    return !e.is_wire() && e.exists() && c.at(e.primitive).purpose == Purpose::conversion;
}

/// From the input of a converter to its output is one step: nobody follows it over its minus.
void join_converters(const Circuit& c, std::vector<TraceStep>& steps) {
    for (std::size_t i = 1; i + 1 < steps.size(); ++i) {
        TraceStep &first = steps[i], &second = steps[i + 1];
        if (!is_conversion(c, first.over) || !is_conversion(c, second.over) ||
            c.at(first.over.primitive).part != c.at(second.over.primitive).part)
            continue;
        if (first.drop && second.drop) second.drop = *first.drop + *second.drop;
        second.open = second.open || first.open;
        steps.erase(steps.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

} // namespace

Trace trace(const View& view, TerminalId from, TerminalId to, const Wish& wish, Conditions conditions) {
    const Circuit& c = view.circuit();
    Trace out;
    out.arrived = as_wished(view, wish, conditions);
    const Positions& positions = out.arrived.positions;
    std::optional<Model> solved;
    out.soon_over = make_model(solved, view, conditions, positions);
    out.conditions = conditions;
    Model& model = *solved;
    out.not_known = model.not_known();
    Point point = model.point(positions);
    out.unsolved = hangs_on_unsolved(model, positions, point);
    add_what_the_file_does_not_show(model, positions, out.unsolved);
    const Posts posts(model, positions, point);
    for (NotKnown& contact : contacts_not_known(view, point.primitive_amps))
        out.not_known.push_back(std::move(contact));

    const auto open = [&](const Primitive& p) { return !is_closed(p, positions); };
    const Graph graph(view);
    const auto amps_away = [&](EdgeRef e, TerminalId at) {
        const TerminalId a = e.is_wire() ? c.at(e.wire).a : c.at(e.primitive).a;
        const auto& amps = e.is_wire() ? point.wire_amps[e.wire.index] : point.primitive_amps[e.primitive.index];
        return amps ? (a == at ? amps->si : -amps->si) : 0;
    };
    const auto cost = [&](const Edge& e) {
        const auto& amps = e.is_wire() ? point.wire_amps[e.wire.index] : point.primitive_amps[e.primitive.index];
        double all = amps && std::abs(amps->si) <= worth_a_look ? without_current : 1;
        if (is_body(c, e.a) || is_body(c, e.b)) all += over_the_body;
        if (e.is_wire()) return all;
        const Primitive& p = c.at(e.primitive);
        return all + (open(p)                                                ? an_open_contact
                      : p.purpose == Purpose::conversion                     ? a_converter
                      : p.element == Element::source                         ? a_source
                      : takes_current(p) || p.purpose == Purpose::suppressor ? a_load
                                                                             : 0.0);
    };
    Reach reach = graph.walk(
        std::vector{from}, [](EdgeRef, TerminalId) { return true; }, cost);
    if (!reach.reached(to)) return out;
    const auto broken = [&](const Reach& way) {
        return std::ranges::any_of(way.path_to(to), [&](EdgeRef e) { return !e.is_wire() && open(c.at(e.primitive)); });
    };
    if (broken(reach)) {
        // Where the direct way is broken and current comes all the same, through other loads: who asks wants to see where from.
        Reach flowing = graph.walk(
            std::vector{from}, [&](EdgeRef e, TerminalId at) { return amps_away(e, at) > worth_a_look; }, cost);
        if (flowing.reached(to)) reach = std::move(flowing);
    }
    const std::vector<EdgeRef> edges = reach.path_to(to);
    const std::vector<TerminalId> stops = reach.stops_to(to);
    for (std::size_t i = 0; i < stops.size(); ++i) {
        TraceStep step;
        step.at = stops[i];
        step.volts = point.volts[stops[i].index];
        if (i > 0) {
            step.over = edges[i - 1];
            const bool wire = step.over.is_wire();
            const TerminalId a = wire ? c.at(step.over.wire).a : c.at(step.over.primitive).a;
            const double sign = a == stops[i - 1] ? 1 : -1;
            const auto& drop =
                wire ? point.wire_drop[step.over.wire.index] : point.primitive_volts[step.over.primitive.index];
            const auto& amps =
                wire ? point.wire_amps[step.over.wire.index] : point.primitive_amps[step.over.primitive.index];
            if (drop) step.drop = *drop * sign;
            if (amps) step.amps = *amps * sign;
            if (!wire) {
                step.open = open(c.at(step.over.primitive));
                out.broken = out.broken || step.open;
                out.over_load = out.over_load || takes_current(c.at(step.over.primitive));
            }
        }
        out.steps.push_back(step);
    }
    join_converters(c, out.steps);
    return out;
}

} // namespace loomproof::solve
