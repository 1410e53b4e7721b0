#include "rules/fault_current.hpp"

#include "reference/wire_sizes.hpp"

#include <cmath>

namespace loomproof::rules {

TerminalId other_end(const Circuit& c, EdgeRef e, TerminalId t) {
    if (e.is_wire()) return c.at(e.wire).other(t);
    const Primitive& p = c.at(e.primitive);
    return p.a == t ? p.b : p.a;
}

bool carries_fault(const Study& s, EdgeRef e, TerminalId from, Protectors protectors) {
    const Circuit& c = s.circuit;
    if (s.reference[from.index] || s.reference[other_end(c, e, from).index]) return false;
    if (e.is_wire()) return true;
    const Primitive& p = c.at(e.primitive);
    switch (p.element) {
    case Element::joint:
    case Element::meter: return true;
    case Element::contact: return p.closed_in != 0 && (protectors == Protectors::pass || !p.limit.known());
    case Element::protector: return protectors == Protectors::pass;
    // What takes up the kick of a coil inside a relay leads only to the coil's own other end.
    case Element::junction: return p.purpose != Purpose::suppressor && from == (s.from_plus() ? p.a : p.b);
    default: return false;
    }
}

bool carries_fault_at_rest(const Study& s, EdgeRef e, TerminalId from, Protectors protectors) {
    if (!carries_fault(s, e, from, protectors)) return false;
    if (e.is_wire()) return true;
    const Primitive& p = s.circuit.at(e.primitive);
    if (p.element != Element::contact || !p.control.exists()) return true;
    return (p.closed_in >> s.circuit.at(p.control).rest & 1) != 0;
}

bool carries_fault_for_good(const Study& s, EdgeRef e, TerminalId from) {
    if (!carries_fault(s, e, from, Protectors::pass)) return false;
    if (e.is_wire()) return true;
    const Element element = s.circuit.at(e.primitive).element;
    return element != Element::contact && element != Element::junction;
}

Reach live_walk(const Study& s) {
    std::vector<TerminalId> poles = s.strong_sources;
    for (const LivePole& l : s.limited) poles.push_back(l.pole);
    return s.graph.walk(
        poles, [&](EdgeRef e, TerminalId from) { return carries_fault(s, e, from, Protectors::pass); }, &Edge::metres,
        Positions::one_per_control);
}

Ohms resistance_along(const Circuit& c, std::span<const EdgeRef> way, Celsius copper) {
    Ohms sum;
    for (EdgeRef e : way) {
        if (!e.is_wire()) continue;
        const Wire& w = c.at(e.wire);
        if (!w.area.known() || !w.length.known() || w.area.nominal.si <= 0) continue;
        sum += reference::wire_resistance(reference::resistance_of(w.area.nominal), w.length.nominal, copper);
    }
    return sum;
}

std::optional<Amps> dead_short(const Circuit& c, PrimitiveId source, Ohms way) {
    const Primitive& p = c.at(source);
    if (!p.resistance.known() || !p.voltage.known() || p.resistance.nominal + way <= Ohms{0}) return std::nullopt;
    return p.voltage.nominal / (p.resistance.nominal + way);
}

double rounded(double value, int digits) {
    if (value == 0 || !std::isfinite(value)) return value;
    const double step = std::pow(10, std::floor(std::log10(std::abs(value))) - digits + 1);
    return std::round(value / step) * step;
}

} // namespace loomproof::rules
