/// Diodes, resistors, capacitors, and what measures amps.

#include "circuit/kinds/kinds.hpp"

namespace loomproof {

namespace {

constexpr AttrSpec diode_attributes[] = {
    {"band on {word}", Attr::band_on, "the end with the band"},
    {"cathode {word}", Attr::band_on, ""},
    {"cathode on {word}", Attr::band_on, ""},
    {"cathode at {word}", Attr::band_on, ""},
    {"stripe on {word}", Attr::band_on, ""},
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
    {"{ohm} to {ohm}", Attr::resistance, "from one end of its travel to the other", nullptr,
     "where {} is turned to: it is taken at its least ohms, where most flows; what heats it most is looked at"},
    {"{W}", Attr::rating, "what it may turn into heat"},
};

void expand_resistor(PartBuilder& b) {
    Primitive p;
    p.element = Element::resistance;
    p.a = b.terminal("1");
    p.b = b.terminal("2");
    p.resistance = as<Ohms>(b.value(Attr::resistance));
    if (const Stated<double> other = b.value(Attr::high_end); other.known() && other.nominal < p.resistance.nominal.si)
        p.resistance = as<Ohms>(other); // a rheostat at its least
    p.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
    if (p.resistance.known() && p.resistance.low.si > 0)
        p.current = {p.resistance.how,
                     p.voltage.nominal / p.resistance.nominal,
                     p.voltage.nominal / p.resistance.high,
                     p.voltage.nominal / p.resistance.low,
                     p.resistance.span,
                     {}};
    b.add(p);
}

constexpr AttrSpec capacitor_attributes[] = {
    {"{F}", Attr::capacitance, "capacitance"},
    {"{V}", Attr::voltage, "what it stands"},
};
/// Once charged no current goes through it: it joins nothing. What it takes as it is charged is looked at (capacitor-charge); one against noise
/// stores next to nothing.
std::string charge_of(const Part& part) {
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::capacitance && a.value.known() && a.value.nominal < 1e-3) return {};
    return "how long " + part.name + " holds up the volts when its feed goes";
}

constexpr AttrSpec ammeter_attributes[] = {
    {"{A}", Attr::rating, "the end of its scale"},
    {"{ohm}", Attr::resistance, "resistance"},
};
constexpr AttrSpec shunt_attributes[] = {
    {"{A}", Attr::rating, "current at which it drops its voltage"},
    {"{V}", Attr::voltage, "what it drops at that current"},
    {"/ {V}", Attr::voltage, ""},
    {"{ohm}", Attr::resistance, "resistance"},
};
constexpr TerminalSpec shunt_ends[] = {
    // a sense wire sits beside each cable
    {"1", Role::end1, any_number, true, "+"},
    {"2", Role::end2, any_number, true, "-"},
};

/// Resistance as stated, else volts over amps, both as marked on it ("100 A, 75 mV").
void expand_meter(PartBuilder& b) {
    Primitive p;
    p.element = Element::meter;
    p.a = b.terminal("1");
    p.b = b.terminal("2");
    p.rating = as<Amps>(b.value(Attr::rating));
    const Stated<double> ohms = b.value(Attr::resistance), volts = b.value(Attr::voltage), amps = b.value(Attr::rating);
    if (ohms.known())
        p.resistance = as<Ohms>(ohms);
    else if (volts.known() && amps.known() && amps.nominal > 0)
        p.resistance = {volts.how,
                        Ohms{volts.nominal / amps.nominal},
                        Ohms{volts.nominal / amps.nominal},
                        Ohms{volts.nominal / amps.nominal},
                        volts.span,
                        {}};
    b.add(p);
}

} // namespace

const KindSpec capacitor_kind{.kind = Kind::capacitor,
                              .keyword = "capacitor",
                              .title = "capacitor",
                              .letter = "C",
                              .also = "condenser",
                              .example = "capacitor C1, 2.2 uF",
                              .not_solved = charge_of,
                              .ends = Ends::either,
                              .terminals = two_ends,
                              .attributes = capacitor_attributes};
const KindSpec ammeter_kind{.kind = Kind::ammeter,
                            .keyword = "ammeter",
                            .title = "ammeter",
                            .letter = "P",
                            .example = "ammeter P1, 60 A",
                            .ends = Ends::either,
                            .terminals = two_ends,
                            .attributes = ammeter_attributes,
                            .expand = expand_meter};
const KindSpec shunt_kind{.kind = Kind::shunt,
                          .keyword = "shunt",
                          .title = "shunt",
                          .letter = "R",
                          .example = "shunt R3, 100 A, 75 mV",
                          .ends = Ends::either,
                          .terminals = shunt_ends,
                          .attributes = shunt_attributes,
                          .expand = expand_meter};
const KindSpec diode_kind{.kind = Kind::diode,
                          .keyword = "diode",
                          .title = "diode",
                          .letter = "V",
                          .example = "diode V1, band on 2, 6 A",
                          .attributes = diode_attributes,
                          .shape = shape_diode,
                          .expand = expand_diode};
const KindSpec resistor_kind{.kind = Kind::resistor,
                             .keyword = "resistor",
                             .title = "resistor",
                             .letter = "R",
                             .also = "rheostat ballast resistance-wire",
                             .example = "resistor R1, 10 ohm, 50 W",
                             .ends = Ends::either,
                             .terminals = two_ends,
                             .attributes = resistor_attributes,
                             .expand = expand_resistor};

} // namespace loomproof
