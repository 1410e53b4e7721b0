/// Diodes and resistors.

#include "circuit/kinds/kinds.hpp"

namespace loomproof {

namespace {

constexpr AttrSpec diode_attributes[] = {
    {"band on {word}", Attr::band_on, "the end with the band"},
    {"isolates", Attr::duty, "keeps two circuits apart"},
    {"clamps", Attr::duty, "takes up the kick of a coil"},
    {"one-way", Attr::duty, "lets current pass one way"},
    {"{A}", Attr::rating, "what it may carry"},
    {"{V}", Attr::voltage, "what it blocks"},
};

/// The band marks the cathode: current goes in at the plain end and out at the band.
void shape_diode(PartBuilder& b) {
    const bool first = b.word(Attr::band_on) == "1";
    b.add_terminal({"1", first ? Role::cathode : Role::anode, 1, true, first ? "band - cathode" : "plain + anode"});
    b.add_terminal({"2", first ? Role::anode : Role::cathode, 1, true, first ? "plain + anode" : "band - cathode"});
}

void expand_diode(PartBuilder& b) {
    const auto& t = b.part().terminals;
    const bool first_is_anode = b.circuit().at(t[0]).role == Role::anode;
    Primitive p;
    p.element = Element::junction;
    p.a = first_is_anode ? t[0] : t[1];
    p.b = first_is_anode ? t[1] : t[0];
    p.rating = as<Amps>(b.value(Attr::rating));
    b.add(p);
}

constexpr TerminalSpec two_ends[] = {
    {"1", Role::end1, 1, true, "+"},
    {"2", Role::end2, 1, true, "-"},
};
constexpr AttrSpec resistor_attributes[] = {
    {"{ohm}", Attr::resistance, "resistance"},
    {"{W}", Attr::rating, "what it may turn into heat"},
};

void expand_resistor(PartBuilder& b) {
    Primitive p;
    p.element = Element::resistance;
    p.a = b.terminal("1");
    p.b = b.terminal("2");
    p.resistance = as<Ohms>(b.value(Attr::resistance));
    p.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
    if (p.resistance.known() && p.resistance.low.si > 0)
        p.current = {p.resistance.how, p.voltage.nominal / p.resistance.nominal, p.voltage.nominal / p.resistance.high,
                     p.voltage.nominal / p.resistance.low, p.resistance.span, {}};
    b.add(p);
}

} // namespace

const KindSpec diode_kind{.kind = Kind::diode, .keyword = "diode", .title = "diode", .letter = "V", .attributes = diode_attributes, .shape = shape_diode, .expand = expand_diode};
const KindSpec resistor_kind{.kind = Kind::resistor, .keyword = "resistor", .title = "resistor", .letter = "R", .ends = Ends::either, .terminals = two_ends, .attributes = resistor_attributes, .expand = expand_resistor};

} // namespace loomproof
