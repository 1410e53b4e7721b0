#include "sizing/loss_over_wires.hpp"

#include "reference/blades.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::sizing {

namespace {

constexpr Volts any_loss{1e9};
/// Common practice, no source; with a little for sizes that are a name.
constexpr SquareMetres hole_takes{4.2e-6}, lamp_takes{2.6e-6};
/// Holes for more have contacts of their own (common practice, no source).
constexpr Amps usual_hole{30};
/// Of what may be lost: a step first has to bring back so much, in a run that loses so much. Tails stay as they are.
constexpr double first_step = 0.03, first_run = 0.05;
/// And the load takes so much of what flows there: an alternator's cable is not made thicker for a lamp.
constexpr double own_share = 0.2;
/// Where that is not enough, smaller steps are taken, if they mend it. One that brings less back than that, in volts, is none.
constexpr double least_step = 1e-3;
/// Thicker wire lets more flow: so much of what may be lost stays in hand.
constexpr double in_hand = 0.05;

const Wire* chosen(const ForWire& f) { return f.stays ? (f.has ? &*f.has : nullptr) : (f.needs ? &*f.needs : nullptr); }

std::optional<SquareMetres> said_for_holes(const View& view, PartId plug) {
    const Attribute* low = view.find(plug, Attr::area);
    if (low == nullptr || !low->value.known()) return std::nullopt;
    for (const Attribute& high : view.circuit().at(plug).attributes) // the second figure of the same clause
        if (high.key == Attr::high_end && high.life.at(view.revision()) && high.span.begin == low->span.begin)
            return SquareMetres{high.value.nominal * 1.02};
    return std::nullopt;
}

Amps most_rated(const View& view, PartId part) {
    Amps most{};
    for (PrimitiveId p : view.primitives())
        if (view.circuit().at(p).part == part && view.circuit().at(p).rating.known())
            most = std::max(most, view.circuit().at(p).rating.nominal);
    return most;
}

bool has_studs(const View& view, PartId part) {
    return std::ranges::any_of(view.circuit().at(part).attributes, [&](const Attribute& a) {
        return a.key == Attr::told && a.word == "studs" && a.life.at(view.revision());
    });
}

} // namespace

Celsius temperature_of(const Circuit& c, PlaceId place) {
    return temperature_at(c, place).or_else(reference::table_ambient);
}

reference::SizeSystem system_in(const std::string& size) {
    if (size.find("awg") != std::string::npos) return reference::SizeSystem::awg;
    if (size.find("sae") != std::string::npos) return reference::SizeSystem::sae;
    return reference::SizeSystem::metric;
}

std::optional<reference::WireSize> size_of(const loomproof::Wire& w) {
    if (!w.area.known()) return std::nullopt;
    for (const auto& size : reference::wire_sizes(system_in(w.size)))
        if (std::abs(size.copper / w.area.nominal - 1) < 1e-6) return size;
    return reference::WireSize{
        reference::SizeSystem::strands, w.size, w.area.nominal, reference::resistance_of(w.area.nominal), {}};
}

Need need_of(const Circuit& c, WireId id, Amps flows, Amps carries) {
    const loomproof::Wire& w = c.at(id);
    return {flows,
            carries,
            w.length.or_else(Metres{}),
            any_loss,
            temperature_of(c, w.place),
            w.insulation_class.or_else(reference::default_insulation_class),
            thinnest_to_handle()};
}

Amps most_amps(const Flows& flows, WireId w) {
    return std::max(flows.wire[w.index].value_or(Amps{}), flows.wire_passing[w.index].value_or(Amps{}));
}

std::optional<SquareMetres> taken_at(const View& view, TerminalId end) {
    const Circuit& c = view.circuit();
    const PartId part = c.at(end).part;
    switch (c.at(part).kind) {
    case Kind::connector:
        if (const auto said = said_for_holes(view, part)) return said;
        return most_rated(view, part) > usual_hole ? std::nullopt : std::optional(hole_takes);
    case Kind::lamp: return lamp_takes;
    case Kind::relay:
    case Kind::switching:
    case Kind::fuse:
    case Kind::flasher:
    case Kind::electronics:
    case Kind::socket:
        if (has_studs(view, part) || most_rated(view, part) > reference::on_usual_blades) return std::nullopt;
        return reference::blade_terminal_takes;
    default: return std::nullopt;
    }
}

LossOverWires::LossOverWires(const View& view, const Flows& flows, reference::SizeSystem usual)
    : view_(view),
      c_(view.circuit()),
      flows_(flows),
      usual_(usual),
      allowed_(allowed_at_12_v * std::max(1.0, c_.vehicle.system.si / 12)) {}

Volts LossOverWires::lost_in(WireId id, const std::vector<ForWire>& wires) const {
    const auto at = at_[id.index];
    if (at && wires[*at].why_not.empty()) {
        const Wire* wire = chosen(wires[*at]);
        return wire != nullptr ? wire->lost : allowed_ * 2.0;
    }
    const auto size = size_of(c_.at(id));
    const Amps amps = most_amps(flows_, id);
    const auto wire = size ? weighed(*size, need_of(c_, id, amps, amps)) : std::nullopt;
    return wire ? wire->lost : allowed_ * 2.0;
}

std::vector<LossOverWires::Run> LossOverWires::runs_on(const LoadWay& way, const std::vector<ForWire>& wires) const {
    const auto said = [&](std::size_t i) {
        const loomproof::Wire& w = c_.at(wires[i].wire);
        return w.size_span.exists() ? w.size_span : w.b_span;
    };
    std::vector<Run> runs;
    for (WireId id : way.wires) {
        const auto at = at_[id.index];
        if (!at || !wires[*at].why_not.empty() || chosen(wires[*at]) == nullptr) continue;
        const Span span = said(*at);
        if (std::ranges::any_of(runs, [&](const Run& run) {
                return std::ranges::find(run, *at) != run.end() ||
                       (span.exists() && said(run.front()).source == span.source &&
                        said(run.front()).begin == span.begin);
            }))
            continue;
        // Pieces that lie on another way get the same size.
        Run run{*at};
        for (std::size_t i = 0; i < wires.size() && span.exists(); ++i)
            if (i != *at && said(i).source == span.source && said(i).begin == span.begin && wires[i].why_not.empty() &&
                chosen(wires[i]) != nullptr)
                run.push_back(i);
        runs.push_back(std::move(run));
    }
    return runs;
}

std::optional<reference::WireSize> LossOverWires::next_size(const Run& run, const std::vector<ForWire>& wires) const {
    const loomproof::Wire& first = c_.at(wires[run.front()].wire);
    SquareMetres now{};
    std::optional<SquareMetres> most;
    for (std::size_t i : run) {
        now = std::max(now, chosen(wires[i])->size.copper);
        for (const TerminalId end : {c_.at(wires[i].wire).a, c_.at(wires[i].wire).b})
            if (const auto taken = taken_at(view_, end)) most = std::min(most.value_or(*taken), *taken);
    }
    for (const auto& size : reference::wire_sizes(first.size.empty() ? usual_ : system_in(first.size)))
        if (reference::is_sold(size) && size.copper.si > now.si * 1.001)
            return !most || size.copper <= *most ? std::optional(size) : std::nullopt;
    return std::nullopt;
}

bool LossOverWires::step(const LoadWay& way, const std::vector<Run>& runs, std::vector<ForWire>& wires,
                         const ForWire::Way& why, Volts least, Volts of) const {
    const Run* best = nullptr;
    std::vector<Wire> becomes;
    double most = least.si;
    const Amps takes =
        std::max(flows_.part[way.load.index].value_or(Amps{}), flows_.part_passing[way.load.index].value_or(Amps{}));
    for (const Run& run : runs) {
        const auto next = next_size(run, wires);
        if (!next || (of.si > 0 && takes < most_amps(flows_, wires[run.front()].wire) * own_share)) continue;
        double lost = 0, back = 0;
        std::vector<Wire> with;
        for (std::size_t i : run) {
            const auto wire = weighed(*next, wires[i].need);
            if (!wire) break;
            if (std::ranges::find(way.wires, wires[i].wire) != way.wires.end()) {
                lost += chosen(wires[i])->lost.si;
                back += chosen(wires[i])->lost.si - wire->lost.si;
            }
            with.push_back(*wire);
        }
        if (with.size() != run.size() || lost < of.si || !(back > most * (1 + 1e-6))) continue;
        best = &run;
        becomes = std::move(with);
        most = back;
    }
    if (best == nullptr) return false;
    for (std::size_t k = 0; k < best->size(); ++k) {
        ForWire& f = wires[(*best)[k]];
        becomes[k].for_loss = true;
        f.needs = becomes[k];
        f.stays = false;
        if (!f.way) f.way = why;
    }
    return true;
}

std::vector<ForWire::Way> LossOverWires::mend(std::vector<ForWire>& wires) {
    at_.assign(c_.wires.size(), std::nullopt);
    for (std::size_t i = 0; i < wires.size(); ++i) at_[wires[i].wire.index] = i;
    struct Long {
        const LoadWay* way;
        double budget, lost;
    };
    std::vector<Long> ways;
    for (const LoadWay& way : flows_.ways) {
        // What is not to be changed takes its part first, but at least a third is left: where all else takes more, these wires alone cannot
        // mend it.
        double budget = allowed_.si - way.others.si, lost = 0;
        for (WireId w : way.wires) {
            const bool free = at_[w.index] && wires[*at_[w.index]].why_not.empty();
            (free ? lost : budget) += free ? lost_in(w, wires).si : -lost_in(w, wires).si;
        }
        ways.push_back({&way, std::max(allowed_.si / 3, budget), lost});
    }
    std::ranges::stable_sort(ways, [](const Long& a, const Long& b) { return a.lost - a.budget > b.lost - b.budget; });
    std::vector<ForWire::Way> too_long;
    for (const Long& one : ways) {
        const auto lost_now = [&] {
            double sum = 0;
            for (WireId w : one.way->wires)
                if (at_[w.index] && wires[*at_[w.index]].why_not.empty()) sum += lost_in(w, wires).si;
            return sum;
        };
        if (double lost = lost_now(); lost > one.budget) {
            const ForWire::Way why{one.way->load, Volts{lost}, Volts{one.budget}};
            const std::vector<Run> runs = runs_on(*one.way, wires);
            const auto goal = one.budget * (1 - in_hand);
            while (lost > goal && step(*one.way, runs, wires, why, allowed_ * first_step, allowed_ * first_run))
                lost = lost_now();
            if (lost > goal) {
                const std::vector<ForWire> before = wires;
                while (lost > goal && step(*one.way, runs, wires, why, Volts{least_step}, Volts{})) lost = lost_now();
                if (lost > one.budget * (1 + 1e-6)) {
                    wires = before;
                    lost = lost_now();
                }
            }
            if (lost > one.budget * (1 + 1e-6)) too_long.push_back({why.load, Volts{lost}, why.allowed});
        }
    }
    return too_long;
}

} // namespace loomproof::sizing
