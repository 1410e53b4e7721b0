#include "rules/standing.hpp"

#include "rules/fault_current.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::rules {

Standing::Standing(const Study& s, const solve::Positions& positions, const std::vector<bool>& blocked) {
    std::vector<TerminalId> reference;
    for (std::size_t i = 0; i < s.reference.size(); ++i)
        if (s.reference[i]) reference.emplace_back(i);
    live_ = spread(s, positions, live_poles(s, false), s.from_plus(), true, blocked);
    ground_ = spread(s, positions, reference, !s.from_plus(), false, blocked);
}

std::vector<bool> Standing::spread(const Study& s, const solve::Positions& positions,
                                   const std::vector<TerminalId>& starts, bool with_current,
                                   bool stop_at_reference, const std::vector<bool>& blocked) const {
    const Circuit& c = s.circuit;
    const auto conducts = [&](const Primitive& p, TerminalId from) {
        switch (p.element) {
        case Element::joint:
        case Element::meter:
        case Element::protector: return true;
        case Element::contact: return solve::is_closed(p, positions);
        case Element::junction: return p.purpose != Purpose::suppressor && from == (with_current ? p.a : p.b);
        case Element::resistance: return c.at(p.part).kind == Kind::resistor;
        default: return false;
        }
    };
    std::vector<bool> reached(c.terminals.size(), false);
    std::vector<TerminalId> next = starts;
    for (TerminalId t : starts) reached[t.index] = true;
    while (!next.empty()) {
        const TerminalId at = next.back();
        next.pop_back();
        if (stop_at_reference && s.reference[at.index]) continue;
        const auto go = [&](TerminalId to) {
            if (!to.exists() || reached[to.index]) return;
            reached[to.index] = true;
            next.push_back(to);
        };
        for (WireId w : s.now.wires_at(at))
            if (!c.at(w).poisoned) go(c.at(w).other(at));
        for (PrimitiveId id : s.now.primitives_at(at))
            if (const Primitive& p = c.at(id); (blocked.empty() || !blocked[id.index]) && conducts(p, at)) go(p.a == at ? p.b : p.a);
    }
    return reached;
}

double amps_in(const solve::Point& point, EdgeRef e) {
    const auto& amps = e.is_wire() ? point.wire_amps[e.wire.index] : point.primitive_amps[e.primitive.index];
    return amps ? amps->si : 0;
}

double amps_away(const Circuit& c, const solve::Point& point, EdgeRef e, TerminalId from) {
    const TerminalId a = e.is_wire() ? c.at(e.wire).a : c.at(e.primitive).a;
    return a == from ? amps_in(point, e) : -amps_in(point, e);
}

namespace {

/// From a terminal with the current (or against it) to the pole of a source that delivers, over the largest current each time.
bool follow(const Study& s, const solve::Point& point, TerminalId start, bool with_current, CurrentWay& way) {
    const Circuit& c = s.circuit;
    std::vector<bool> seen(c.terminals.size(), false);
    TerminalId at = start;
    while (!seen[at.index]) {
        seen[at.index] = true;
        for (PrimitiveId id : s.now.primitives_at(at))
            if (const Primitive& p = c.at(id);
                p.element == Element::source && (with_current ? p.b : p.a) == at && point.power(id).si < 0)
                return true;
        EdgeRef best;
        double most = 1e-6;
        const auto offer = [&](EdgeRef e) {
            const double away = amps_away(c, point, e, at) * (with_current ? 1 : -1);
            if (away <= most || seen[other_end(c, e, at).index]) return;
            most = away;
            best = e;
        };
        for (WireId w : s.now.wires_at(at)) offer({w, {}});
        for (PrimitiveId id : s.now.primitives_at(at))
            if (c.at(id).element != Element::source) offer({{}, id});
        if (!best.wire.exists() && !best.primitive.exists()) return false;
        at = other_end(c, best, at);
        way.edges.push_back(best);
        way.stops.push_back(at);
    }
    return false;
}

} // namespace

CurrentWay current_through(const Study& s, const solve::Point& point, PrimitiveId id) {
    const Primitive& p = s.circuit.at(id);
    const auto& amps = point.primitive_amps[id.index];
    if (!amps || std::abs(amps->si) < 1e-6) return {};
    const TerminalId in = amps->si > 0 ? p.a : p.b, out = amps->si > 0 ? p.b : p.a;
    CurrentWay up{{}, {in}}, down{{}, {out}};
    if (!follow(s, point, in, false, up) || !follow(s, point, out, true, down)) return {};
    std::ranges::reverse(up.edges);
    std::ranges::reverse(up.stops);
    up.edges.push_back({{}, id});
    up.edges.insert(up.edges.end(), down.edges.begin(), down.edges.end());
    up.stops.insert(up.stops.end(), down.stops.begin(), down.stops.end());
    return up;
}

} // namespace loomproof::rules
