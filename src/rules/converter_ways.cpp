#include "rules/converter_ways.hpp"

#include "rules/fault_current.hpp"

#include <algorithm>

namespace loomproof::rules {

TerminalId end_called(const Circuit& c, PartId part, std::string_view stamp) {
    for (TerminalId t : c.at(part).terminals)
        if (c.at(t).stamp == stamp) return t;
    return {};
}

Reach reach_of_charge(const Study& s, TerminalId from, bool over_diodes) {
    return s.graph.walk(
        std::vector<TerminalId>{from},
        [&](EdgeRef e, TerminalId at) {
            if (s.reference[at.index]) return false;
            if (e.is_wire()) return true;
            const Primitive& p = s.circuit.at(e.primitive);
            return p.element == Element::joint || p.element == Element::protector || p.element == Element::contact ||
                   p.element == Element::meter || (over_diodes && p.element == Element::junction && p.a == at);
        },
        &Edge::metres);
}

std::vector<BatteryPoles> batteries_in(const Study& s, const Reach& reach) {
    std::vector<BatteryPoles> all = battery_poles(s);
    std::erase_if(all, [&](const BatteryPoles& b) { return !reach.reached(b.live); });
    return all;
}

bool is_the_engines(const Study& s, const BatteryPoles& battery) {
    const Reach reach = s.graph.walk(
        std::vector{battery.live}, [&](EdgeRef e, TerminalId t) { return carries_fault(s, e, t, Protectors::pass); },
        &Edge::metres);
    return std::ranges::any_of(s.now.primitives(), [&](PrimitiveId id) {
        const Primitive& p = s.circuit.at(id);
        const Kind kind = s.circuit.at(p.part).kind;
        return (kind == Kind::starter || kind == Kind::alternator || kind == Kind::dynamo) &&
               (reach.reached(p.a) || reach.reached(p.b));
    });
}

} // namespace loomproof::rules
