#include "rules/loads_behind.hpp"

#include "rules/fault_current.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

bool takes_current(const Primitive& p) {
    switch (p.element) {
    case Element::resistance: return p.purpose != Purpose::suppressor && p.purpose != Purpose::input;
    case Element::filament:
    case Element::machine:
    case Element::constant_power: return true;
    default: return false;
    }
}

} // namespace

LoadsBehind loads_behind(const Study& s, EdgeRef edge, TerminalId near) {
    const Circuit& c = s.circuit;
    const TerminalId far = other_end(c, edge, near);
    const Reach reach = s.graph.walk(
        std::vector{far},
        [&](EdgeRef e, TerminalId from) { return e != edge && carries_fault(s, e, from, Protectors::pass); },
        [](EdgeRef) { return 0.0; });
    LoadsBehind behind;
    behind.only_way = !reach.reached(near);
    if (!behind.only_way) return behind;
    for (PrimitiveId id : s.now.primitives()) {
        const Primitive& p = c.at(id);
        if (!takes_current(p) || reach.reached(p.a) == reach.reached(p.b)) continue;
        if (std::ranges::find(behind.parts, p.part) == behind.parts.end()) behind.parts.push_back(p.part);
        if (!p.current.known()) {
            behind.unknown.push_back(p.part);
            continue;
        }
        behind.sum += p.current.nominal;
        behind.largest = std::max(behind.largest, p.current.nominal);
    }
    return behind;
}

} // namespace loomproof::rules
