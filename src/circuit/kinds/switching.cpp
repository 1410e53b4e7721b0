/// Switches and relays.

#include "circuit/kinds/kinds.hpp"

#include "base/number.hpp"
#include "reference/blades.hpp"

#include <algorithm>
#include <string>
#include <utility>

namespace loomproof {

namespace {

constexpr AttrSpec switch_attributes[] = {
    {"{A}", Attr::rating, "what it may switch"},
    {"push", Attr::momentary, "springs back", "on"},
    {"{V}", Attr::voltage_at, "the voltage at which this holds"},
    {"at {V}", Attr::voltage_at, ""},
    {"on-off", Attr::duty, ""},
    {"on off", Attr::duty, "", "on-off"},
    {"on / off", Attr::duty, "", "on-off"},
    {"springs back", Attr::momentary, "springs back", "on"},
    {"push button", Attr::momentary, "", "on"},
    {"push-button", Attr::momentary, "", "on"},
    {"momentary", Attr::momentary, "", "on"},
    {"normally open", Attr::duty, "", "on-off"},
    {"normally closed", Attr::told, "closed while nothing works it", "normally closed"},
    {"SPST", Attr::duty, "", "on-off"},
    {"NO", Attr::duty, "", "on-off"},
    {"NC", Attr::told, "", "normally closed"},
    {"thermal", Attr::thermal, "switched by temperature", "on"},
    {"pressure", Attr::thermal, "switched by pressure", "pressure"},
    {"oil pressure", Attr::thermal, "", "pressure"},
    {"vacuum", Attr::thermal, "", "pressure"},
    {"level", Attr::thermal, "switched by a level", "level"},
    {"float", Attr::thermal, "", "level"},
    {"closes at {degC}", Attr::temperature, "where it closes"},
    {"opens at {degC}", Attr::told, "where it opens", "opens"},
    {"closes at {bar}", Attr::pressure, "where it closes"},
    {"opens at {bar}", Attr::told, "where it opens", "opens"},
    // Closed above a figure is closed where that is reached; closed below it is open there.
    {"closes above {degC}", Attr::temperature, ""},
    {"opens below {degC}", Attr::temperature, ""},
    {"opens above {degC}", Attr::told, "", "opens"},
    {"closes below {degC}", Attr::told, "", "opens"},
    {"closes above {bar}", Attr::pressure, ""},
    {"opens below {bar}", Attr::pressure, ""},
    {"opens above {bar}", Attr::told, "", "opens"},
    {"closes below {bar}", Attr::told, "", "opens"},
    {"make-before-break", Attr::overlaps, "joins the next before it leaves the last", "on"},
    {"make before break", Attr::overlaps, "", "on"},
};

bool says(const Part& part, Attr key, std::string_view word) {
    return std::ranges::any_of(part.attributes, [&](const Attribute& a) { return a.key == key && a.word == word; });
}

/// A switch without a block is a plain on-off switch; one with a block gets its terminals, controls and contacts from its lines.
void shape_switch(PartBuilder& b) {
    if (!b.part().controls.empty()) return;
    b.add_terminal({"1", Role::end1, 1, true, "in"});
    b.add_terminal({"2", Role::end2, 1, true, "out"});
    Control control;
    const bool closes = b.has(Attr::temperature) || b.has(Attr::pressure), opens = says(b.part(), Attr::told, "opens");
    control.type = b.has(Attr::thermal) || closes || opens ? Control::Type::sensed : Control::Type::hand;
    control.positions = {"off", "on"};
    // "opens at 110 degC" alone: cold, it is closed.
    if ((opens && !closes) || says(b.part(), Attr::told, "normally closed")) control.rest = 1;
    if (b.has(Attr::momentary)) control.springs_back = control.rest == 1 ? 0b01 : 0b10;
    b.add_control(control);
}

/// The end that the switch's body is: the one that no wire goes to, which of several is the one that most contacts end at, then the last.
/// With wires at all of them the last, as with a lamp.
TerminalId end_at_its_body(const PartBuilder& b) {
    const std::vector<TerminalId>& terminals = b.part().terminals;
    TerminalId best = terminals.back();
    std::ptrdiff_t most = -1;
    for (TerminalId t : terminals) {
        if (b.ever_wired(t)) continue;
        const std::ptrdiff_t contacts = std::ranges::count_if(b.circuit().primitives, [&](const Primitive& p) {
            return p.element == Element::contact && (p.a == t || p.b == t);
        });
        if (contacts < most) continue;
        most = contacts;
        best = t;
    }
    return best;
}

void expand_switch(PartBuilder& b) {
    const Part& part = b.part();
    if (part.terminals.empty() || part.controls.empty()) return;
    mount(b, end_at_its_body(b));
    const Control& control = b.circuit().at(part.controls.front());
    if (part.controls.size() != 1 || part.terminals.size() != 2 ||
        control.positions != std::vector<std::string>{"off", "on"} ||
        b.circuit().at(part.terminals.front()).role != Role::end1)
        return; // its contacts come from its block
    Primitive contact;
    contact.element = Element::contact;
    contact.purpose = Purpose::switch_contact;
    contact.a = b.terminal("1");
    contact.b = b.terminal("2");
    contact.control = part.controls.front();
    contact.closed_in = 0b10;
    contact.rating = as<Amps>(b.value(Attr::rating));
    b.add(contact);
}

constexpr AttrSpec relay_attributes[] = {
    {"4-pin", Attr::pins, "make contact: 30, 87, 85, 86", "4"},
    {"5-pin", Attr::pins, "change-over contact: also 87a", "5"},
    {"4 pin", Attr::pins, "", "4"},
    {"4 pins", Attr::pins, "", "4"},
    {"4pin", Attr::pins, "", "4"},
    {"5 pin", Attr::pins, "", "5"},
    {"5 pins", Attr::pins, "", "5"},
    {"5pin", Attr::pins, "", "5"},
    {"change-over", Attr::pins, "", "5"},
    {"changeover", Attr::pins, "", "5"},
    {"SPST", Attr::pins, "", "4"},
    {"SPDT", Attr::pins, "", "5"},
    {"normally open", Attr::pins, "", "4"},
    {"{V}", Attr::voltage, "what its coil is made for"},
    {"dual 87", Attr::two_makes, "", "on"},
    {"two makes", Attr::two_makes, "87 and 87b both close", "on"},
    {"{A}", Attr::make_rating, "what the make contact may carry"},
    {"{A} make", Attr::make_rating, "what the make contact may carry"},
    {"{A} rest", Attr::rest_rating, "what the rest contact may carry"},
    {"coil {ohm}", Attr::coil, "coil resistance"},
    {"{ohm} coil", Attr::coil, "coil resistance"},
    {"coil {W}", Attr::coil_power, "coil power at the volts that it is made for"},
    {"{W} coil", Attr::coil_power, ""},
    {"coil class {W}", Attr::coil_power, ""},
    {"coil {A}", Attr::current, ""},
    {"{A} coil", Attr::current, ""},
    {"bare", Attr::suppression, "nothing across the coil"},
    {"no diode", Attr::suppression, "", "bare"},
    {"without diode", Attr::suppression, "", "bare"},
    {"no suppression", Attr::suppression, "", "bare"},
    {"resistor {ohm}", Attr::resistance, "resistor across the coil"},
    {"resistor", Attr::suppression, "resistor across the coil"},
    {"diode", Attr::suppression, "diode across the coil"},
    {"latching", Attr::rate, "stays where the last pulse put it", "latching"},
    {"timed", Attr::rate, "works by the clock", "timed"},
    {"timed {text}", Attr::rate, "how it works by the clock", "timed"},
    {"timed {s}", Attr::rate, "for how long it works", "timed"},
    {"timer", Attr::rate, "", "timed"},
    {"timer {s}", Attr::rate, "", "timed"},
    {"delay {s}", Attr::rate, "", "timed"},
    {"two separate makes", Attr::two_makes, "30 closes to 87, and 88 to 88a", "separate"},
    {"4-pin base", Attr::base_pins, "sits in a base without 87a", "4"},
    {"in a 4-pin base", Attr::base_pins, "", "4"},
    {"5-pin base", Attr::base_pins, "sits in a base with a hole for 87a", "5"},
    {"in a 5-pin base", Attr::base_pins, "", "5"},
    {"band on {word}", Attr::band_on, "terminal at the diode's band"},
    {"tails {size}", Attr::area, "wires of its base"},
    {"mini", Attr::footprint, "the usual cube, with blades 6.3 mm wide", "mini"},
    {"micro", Attr::footprint, "the small one", "micro"},
    {"voltage-sensing", Attr::senses, "reads the volts at its own 30: a split-charge relay", "on"},
    {"voltage sensing", Attr::senses, "", "on"},
    {"closes at {V}", Attr::closes_at, "reads the volts at its own 30, and joins 30 with 87 from there on"},
    {"cuts in at {V}", Attr::closes_at, ""},
    {"joins at {V}", Attr::closes_at, ""},
    {"closes above {V}", Attr::closes_at, ""},
    {"opens at {V}", Attr::opens_at, "parts them there and below"},
    {"cuts out at {V}", Attr::opens_at, ""},
    {"parts at {V}", Attr::opens_at, ""},
    {"opens below {V}", Attr::opens_at, ""},
    {"studs", Attr::told, "its contacts are screw studs or wide blades", "studs"},
};

/// Does it read its own terminal's volts? Then nothing else works it, and it has no 86.
bool senses(const PartBuilder& b) {
    return std::ranges::any_of(says_it_senses, [&](Attr key) { return b.has(key); });
}

/// 85 and 86 are the coil, 30 the common contact, 87 closes when pulled in, 87a is closed at rest: the common plug-in relay (ISO 7588 use).
void shape_relay(PartBuilder& b) {
    if (senses(b)) {
        b.add_terminal({"30", Role::common, 1, true, ""});
        b.add_terminal({"87", Role::make, 1, true, ""});
        b.add_terminal({"85", Role::minus, 1, true, "31 - ground"});
        Control control;
        control.type =
            Control::Type::relay; // where nobody says what the engine does, the reader lets it stand either way
        control.positions = {"rest", "pulled in"};
        b.add_control(control);
        return;
    }
    b.add_terminal({"86", Role::coil_plus, 1, true, ""});
    b.add_terminal({"85", Role::coil_minus, 1, true, ""});
    b.add_terminal({"30", Role::common, 1, true, ""});
    b.add_terminal({"87", Role::make, 1, true, ""});
    const bool five = b.word(Attr::pins) == "5";
    const bool two_makes = b.has(Attr::two_makes);
    const std::string base = b.word(Attr::base_pins);
    if (b.word(Attr::two_makes) ==
        "separate") { // 88 and 88a: input and output of a make contact in DIN 72552 (from memory)
        b.add_terminal({"88", Role::common, 1, true, ""});
        b.add_terminal({"88a", Role::make, 1, true, ""});
    } else if (two_makes) {
        b.add_terminal({"87b", Role::make, 1, false, "87"});
    } else if (base.empty() ? five : base == "5") {
        b.add_terminal({"87a", Role::rest, 1, false, ""});
    }
    Control control;
    // What latches or runs by the clock may stand either way whatever its coil does.
    const bool free = b.has(Attr::rate);
    control.type = free ? Control::Type::sensed : Control::Type::relay;
    control.positions = five && !two_makes && !free ? std::vector<std::string>{"rest", "between", "pulled in"}
                                                    : std::vector<std::string>{"rest", "pulled in"};
    b.add_control(control);
}

/// In at 13.3 V, out at 12.8 V: usual for a split-charge relay of 12 V; 5 mA at rest and 0.15 A while it is in (all common practice, from memory).
void expand_sensing(PartBuilder& b) {
    const double scale = b.circuit().vehicle.system.si / 12;
    const std::string name = b.part().name;
    const auto figure = [&](Attr key, double usual, const char* what) {
        const Stated<double> said = b.value(key);
        if (said.known()) return as<Volts>(said);
        const std::string volts = text(Volts{usual * scale}), words = std::string(what) + " at " + volts;
        return as<Volts>(b.assume(key, usual * scale, words.c_str(),
                                  "a usual split-charge relay, common practice, no source",
                                  ("relay " + name + ", " + words).c_str()));
    };
    Primitive coil;
    coil.element = Element::resistance;
    coil.purpose = Purpose::sensing;
    coil.a = b.terminal("30");
    coil.b = b.terminal("85");
    if (b.circuit().vehicle.positive_ground) std::swap(coil.a, coil.b);
    coil.voltage = figure(Attr::closes_at, 13.3, "closes");
    coil.lets_go = figure(Attr::opens_at, 12.8, "opens");
    const Stated<double> ohms = b.value(Attr::coil);
    coil.resistance =
        ohms.known() ? as<Ohms>(ohms) : Stated<Ohms>::assume(Ohms{80 * scale * scale}, "0.15 A at 12 V, from memory");
    coil.current = Stated<Amps>::assume(coil.voltage.nominal / coil.resistance.nominal, "coil resistance");
    b.add(coil);
    Primitive contact;
    contact.element = Element::contact;
    contact.purpose = Purpose::make_contact;
    contact.a = b.terminal("30");
    contact.b = b.terminal("87");
    contact.control = b.part().controls.front();
    contact.closed_in = 0b10;
    contact.rating = as<Amps>(b.value(Attr::make_rating));
    b.add(contact);
    mount(b, b.terminal("85"));
}

/// Plug-in relays mostly carry less over 87a than over 87, so their one figure says nothing of it. A contactor with studs is sold by one figure
/// for both its ways (a winch's change-over contactor: common practice, no source).
Stated<Amps> rest_rating_of(PartBuilder& b) {
    const Stated<double> said = b.value(Attr::rest_rating), make = b.value(Attr::make_rating);
    const TerminalId out = b.terminal("87a");
    const bool studs = says(b.part(), Attr::told, "studs") || make.nominal > reference::on_usual_blades.si;
    if (said.known() || !make.known() || !studs || !out.exists() || !b.ever_wired(out)) return as<Amps>(said);
    return as<Amps>(b.assume(Attr::rest_rating, make.nominal,
                             ("the rest contact for " + text(Amps{make.nominal}) + " too").c_str(),
                             "as its make contact, usual for contactors (common practice, no source)",
                             ("behind its amps: " + text(Amps{make.nominal / 2}) + " rest").c_str()));
}

void expand_relay(PartBuilder& b) {
    if (senses(b)) return expand_sensing(b);
    const Stated<double> made_for = b.value(Attr::voltage);
    const Volts system = made_for.known() ? Volts{made_for.nominal} : b.circuit().vehicle.system;
    Primitive coil;
    coil.element = Element::resistance;
    coil.purpose = Purpose::coil;
    coil.a = b.terminal("86");
    coil.b = b.terminal("85");
    Stated<double> ohms = b.value(Attr::coil);
    if (const Stated<double> watts = b.value(Attr::coil_power); !ohms.known() && watts.known() && watts.low > 0) {
        const double square =
            system.si * system.si; // volts times volts over watts: 1.6 W at 12 V is 90 ohm (a maker's sheet)
        ohms = {watts.how, square / watts.nominal, square / watts.high, square / watts.low, watts.span, {}};
    }
    if (const Stated<double> amps = b.value(Attr::current); !ohms.known() && amps.known() && amps.low > 0)
        ohms = {amps.how, system.si / amps.nominal, system.si / amps.high, system.si / amps.low, amps.span, {}};
    if (!ohms.known()) // 75 to 109 ohm at 12 V, 320 ohm at 24 V in makers' sheets
        ohms = Stated<double>::assume(system.si > 18  ? 320
                                      : system.si < 9 ? 22
                                                      : 85,
                                      "a usual relay coil (makers' sheets: 75 to 109 ohm at 12 V, 320 ohm at 24 V)");
    coil.resistance = as<Ohms>(ohms);
    coil.voltage = made_for.known() ? as<Volts>(made_for) : Stated<Volts>::assume(system, "the system's voltage");
    coil.current = Stated<Amps>::assume(system / Ohms{ohms.nominal}, "coil resistance");
    b.add(coil);

    const std::string band = b.word(Attr::band_on);
    if (const Stated<double> r = b.value(Attr::resistance); r.known()) {
        Primitive resistor;
        resistor.element = Element::resistance;
        resistor.purpose = Purpose::suppressor;
        resistor.a = coil.a;
        resistor.b = coil.b;
        resistor.resistance = as<Ohms>(r);
        b.add(resistor);
    } else if (b.word(Attr::suppression) == "diode" && (band == "86" || band == "85")) {
        Primitive diode;
        diode.element = Element::junction;
        diode.purpose = Purpose::suppressor;
        diode.a = band == "86" ? coil.b : coil.a;
        diode.b = band == "86" ? coil.a : coil.b;
        b.add(diode);
    }

    const ControlId control = b.part().controls.front();
    const bool change_over = b.circuit().at(control).positions.size() == 3;
    const Stated<Amps> make_rating = as<Amps>(b.value(Attr::make_rating)), rest_rating = rest_rating_of(b);
    for (TerminalId t : b.part().terminals) {
        const Role role = b.circuit().at(t).role;
        if (role != Role::make && role != Role::rest) continue;
        Primitive contact;
        contact.element = Element::contact;
        contact.purpose = role == Role::make ? Purpose::make_contact : Purpose::rest_contact;
        if (role == Role::rest && b.word(Attr::pins) != "5") continue; // a hole of its base, behind which nothing is
        contact.a = b.terminal(b.circuit().at(t).stamp == "88a" ? "88" : "30");
        contact.b = t;
        contact.control = control;
        contact.closed_in = role == Role::rest ? 0b1 : change_over ? 0b100 : 0b10;
        contact.rating = role == Role::make ? make_rating : rest_rating;
        b.add(contact);
    }
}

std::string change_over_of(const Part& part) {
    for (const Attribute& a : part.attributes)
        if (a.key == Attr::rate) return "when " + part.name + " changes over: it is " + a.word;
    return {};
}

} // namespace

const KindSpec switching_kind{.kind = Kind::switching,
                              .keyword = "switch",
                              .title = "switch",
                              .letter = "S",
                              .also = "toggle rocker isolator",
                              .example = "switch S1 \"dash switch\"\n"
                                         "switch S2 \"ignition\" { off* | run connects 30 with 15 }\n"
                                         "switch S3 \"fan\", thermal, closes at 92 degC",
                              .attributes = switch_attributes,
                              .shape = shape_switch,
                              .expand = expand_switch};
const KindSpec relay_kind{.kind = Kind::relay,
                          .keyword = "relay",
                          .title = "relay",
                          .letter = "K",
                          .example = "relay K1 \"light bar\", 4-pin, 40 A\nrelay K2 \"change-over\", 5-pin",
                          .parts = "parts/relays.loom",
                          .not_solved = change_over_of,
                          .attributes = relay_attributes,
                          .shape = shape_relay,
                          .expand = expand_relay};

} // namespace loomproof
