#include "rules/dead_short.hpp"

#include "rules/fault_current.hpp"

#include <algorithm>
#include <utility>
#include <vector>

namespace loomproof::rules {

namespace {

/// Batteries in a row: from the ground pole of another one to its live pole.
bool next_in_row(const Study& s, const Primitive& p, TerminalId pole, TerminalId from) {
    const TerminalId ground = s.from_plus() ? p.b : p.a, live = s.from_plus() ? p.a : p.b;
    return s.circuit.at(p.part).kind == Kind::battery && from == ground && live != pole && ground != pole;
}

template <class Closed>
std::optional<DeadShort> way_to_ground(const Study& s, TerminalId pole, Clamps clamps, Closed closed) {
    const std::vector<TerminalId> start = {pole};
    // A battery's own other pole is a return too, where that is not the reference.
    TerminalId own;
    for (const LivePole& live : s.strong)
        if (const Primitive& p = s.circuit.at(live.source); live.pole == pole && pole == (s.from_plus() ? p.a : p.b))
            own = s.from_plus() ? p.b : p.a;
    Reach reach = s.graph.walk(
        start,
        [&](EdgeRef e, TerminalId from) {
            if (s.reference[from.index]) return false;
            if (e.is_wire()) return !s.circuit.at(e.wire).poisoned;
            const Primitive& p = s.circuit.at(e.primitive);
            if (p.element == Element::source) return own.exists() && next_in_row(s, p, pole, from);
            if (p.element == Element::junction && clamps == Clamps::pass) return from == (s.from_plus() ? p.a : p.b);
            if (p.element == Element::contact) return closed(p);
            // What opens or measures may lead straight into ground: then it is the load that is missing behind it.
            const bool passes =
                p.element == Element::joint || p.element == Element::protector || p.element == Element::meter;
            return passes || carries_fault(s, e, from, Protectors::pass);
        },
        &Edge::metres);
    if (own.exists() && !s.reference[own.index] && reach.reached(own)) return DeadShort{std::move(reach), own};
    for (std::size_t t = 0; t < s.reference.size(); ++t)
        if (s.reference[t] && reach.reached(TerminalId{t})) return DeadShort{std::move(reach), TerminalId{t}};
    return std::nullopt;
}

} // namespace

std::optional<DeadShort> dead_short_in(const Study& s, TerminalId pole, const solve::Positions& positions,
                                       Clamps clamps) {
    return way_to_ground(s, pole, clamps,
                         [&](const Primitive& contact) { return solve::is_closed(contact, positions); });
}

bool perhaps_shorted(const Study& s, Clamps clamps) {
    return std::ranges::any_of(s.strong, [&](const LivePole& live) {
        return way_to_ground(s, live.pole, clamps, [](const Primitive&) { return true; }).has_value();
    });
}

} // namespace loomproof::rules
