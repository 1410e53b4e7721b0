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

std::optional<ConverterInput> converter_input(const Study& s, PartId part) {
    const Circuit& c = s.circuit;
    if (c.at(part).kind != Kind::converter || c.at(part).poisoned) return std::nullopt;
    const Stated<Amps> amps = s.now.amps(part, Attr::rating);
    const Stated<Watts> watts = s.now.watts(part, Attr::power);
    const Stated<Volts> volts = s.now.volts(part, Attr::voltage);
    const TerminalId in = end_called(c, part, "in"), out = end_called(c, part, "out"), minus = end_called(c, part, "-");
    const Reach from_in = reach_of_charge(s, in, false), from_out = reach_of_charge(s, out, true);
    const std::vector<BatteryPoles> feeding = batteries_in(s, from_in), charged = batteries_in(s, from_out);
    if (feeding.empty() || charged.empty()) return std::nullopt;
    const auto volts_of = [&](const BatteryPoles& b) {
        const Stated<Volts>& v = c.at(b.source).voltage;
        return v.known() && v.nominal.si > 0 ? v.nominal : c.vehicle.system;
    };
    const Volts at_in = volts_of(feeding.front()), at_out = volts.known() ? volts.nominal : volts_of(charged.front());
    Watts most;
    if (amps.known())
        // Charging volts stand at both ends while the engine runs: like volts are one over the other, however they are said (12 V, 14.4 V).
        most = amps.nominal * (at_out.si < at_in.si * 1.3 && at_out > at_in ? at_in : at_out);
    else if (watts.known())
        most = watts.nominal;
    else
        return std::nullopt;
    ConverterInput input{part, in, most / at_in, most / at_in / usual_efficiency, from_in.path_to(feeding.front().live),
                         {}};
    std::ranges::reverse(input.feed);
    const Reach home = ground_walk(s, minus);
    for (TerminalId t : home.in_order())
        if (s.reference[t.index]) {
            input.back = home.path_to(t);
            break;
        }
    return input;
}

} // namespace loomproof::rules
