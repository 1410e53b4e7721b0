#include "rules/engine_life.hpp"

#include "base/number.hpp"
#include "circuit/view.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

constexpr Amps something{0.01};
constexpr double half = 0.5;

/// Edges from what keeps the engine alive to a source, along what conducts, where no current tells the way; fewest first.
std::vector<EdgeRef> joined_over(const Study& s, const solve::Positions& positions, const solve::Point& point,
                                 TerminalId& source) {
    const Circuit& c = s.circuit;
    std::vector<std::optional<EdgeRef>> by(c.terminals.size());
    std::vector<TerminalId> from(c.terminals.size()), queue{c.engine->fed};
    const auto go = [&](EdgeRef e, TerminalId here, TerminalId there) {
        const auto& v = point.volts[there.index];
        if (there == c.engine->fed || by[there.index] || !v || std::abs(v->si) < half * c.vehicle.system.si) return;
        by[there.index] = e;
        from[there.index] = here;
        queue.push_back(there);
    };
    for (std::size_t i = 0; i < queue.size(); ++i) {
        const TerminalId at = queue[i];
        for (PrimitiveId p : s.now.primitives_at(at)) {
            const Primitive& primitive = c.at(p);
            if (primitive.a != at ||
                (primitive.element != Element::source && primitive.purpose != Purpose::charge_lamp_terminal))
                continue;
            source = at;
            std::vector<EdgeRef> way;
            for (TerminalId t = at; t != c.engine->fed; t = from[t.index]) way.push_back(*by[t.index]);
            std::ranges::reverse(way);
            return way;
        }
        for (WireId w : s.now.wires_at(at)) go({w, {}}, at, c.at(w).other(at));
        for (PrimitiveId p : s.now.primitives_at(at)) {
            const Primitive& primitive = c.at(p);
            if (primitive.element == Element::contact && !solve::is_closed(primitive, positions)) continue;
            go({{}, p}, at, primitive.a == at ? primitive.b : primitive.a);
        }
    }
    return {};
}

/// Ohms of the loads on a way: lamps as warm as they get.
double ohms_of_loads(const Circuit& c, const std::vector<EdgeRef>& way) {
    double ohms = 0;
    for (const EdgeRef& e : way) {
        if (e.is_wire() || !is_load(c.at(e.primitive))) continue;
        const Primitive& p = c.at(e.primitive);
        if (p.resistance.known())
            ohms += p.resistance.nominal.si;
        else if (p.current.known() && p.current.nominal.si > 0)
            ohms += (p.voltage.known() ? p.voltage.nominal.si : c.vehicle.system.si) / p.current.nominal.si;
    }
    return ohms;
}

} // namespace

std::optional<DoubtfulLife> doubtful_life(const Study& s, const solve::Behaviour& b, solve::StateId id) {
    const Circuit& c = s.circuit;
    if (!c.engine || !c.engine->fed.exists() || c.engine->fed_part.exists()) return std::nullopt;
    const solve::EngineDoes does = b.model().engine_does(b.states[id].positions);
    if (does != solve::EngineDoes::idles && does != solve::EngineDoes::runs) return std::nullopt;
    const TerminalId fed = c.engine->fed;
    const solve::Point& point = b.point(id);
    if (!point.volts[fed.index]) return std::nullopt;
    DoubtfulLife doubt;
    doubt.way = joined_over(s, b.states[id].positions, point, doubt.source);
    const double ohms = ohms_of_loads(c, doubt.way), volts = std::abs(point.volts[fed.index]->si);
    if (ohms <= 0 || volts - small_ignition.si * ohms >= half * c.vehicle.system.si) return std::nullopt;
    for (const EdgeRef& e : doubt.way)
        if (!e.is_wire() && is_load(c.at(e.primitive))) {
            if (const auto& amps = point.primitive_amps[e.primitive.index]; amps && std::abs(amps->si) > something.si)
                return std::nullopt;
            doubt.loads.push_back(e.primitive);
        }
    if (doubt.loads.empty()) return std::nullopt;
    return doubt;
}

std::string what_decides_life(const Circuit& c) {
    const std::string life = name_of(c, c.engine->fed);
    return fmt::format("Draw the ignition on {} with what it takes, or measure the current into it with the engine "
                       "running: an amp or more, and the engine stops.",
                       life);
}

} // namespace loomproof::rules
