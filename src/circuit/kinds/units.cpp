/// Flashers, electronic units with named pins, and what measures, charges or regulates: things whose inner life is not worked out.
///
/// What can be said honestly is said in primitives: what they take, what their outputs join. A pin of role `signal` without a primitive
/// is a pin about which nothing is concluded (rules treat it like an end that nobody traced).

#include "base/words.hpp"
#include "circuit/kinds/kinds.hpp"

#include <algorithm>
#include <utility>

namespace loomproof {

bool add_commanded_contact(PartBuilder& b, const std::string& pin, TerminalId from, TerminalId to, Purpose purpose,
                           const Stated<Amps>& rating, const Stated<Amps>& limit) {
    for (const Attribute& a : b.part().attributes) {
        if (a.key != Attr::driven_when || !a.word.starts_with(pin + " ")) continue;
        const std::string by = a.word.substr(pin.size() + 1), name = by.substr(0, by.find(' ')),
                          position = by.substr(by.find(' ') + 1);
        for (const Part& part : b.circuit().parts) {
            if (!equal_ignoring_case(part.name, name) || part.controls.empty()) continue;
            const auto& positions = b.circuit().at(part.controls.front()).positions;
            for (std::size_t i = 0; i < positions.size(); ++i) {
                if (!equal_ignoring_case(positions[i], position)) continue;
                Primitive contact;
                contact.element = Element::contact;
                contact.purpose = purpose;
                contact.a = from;
                contact.b = to;
                contact.control = part.controls.front();
                contact.closed_in = std::uint64_t{1} << i;
                contact.rating = rating;
                contact.limit = limit;
                b.add(contact);
                return true;
            }
        }
    }
    return false;
}

void add_free_contact(PartBuilder& b, const std::string& condition, TerminalId from, TerminalId to, Purpose purpose,
                      const Stated<Amps>& rating, std::uint64_t closed_in, const Stated<Ohms>& resistance,
                      const Stated<Amps>& limit) {
    Control control;
    control.name = condition;
    control.type = Control::Type::condition;
    control.positions = {"no", "yes"};
    Primitive contact;
    contact.element = Element::contact;
    contact.purpose = purpose;
    contact.a = from;
    contact.b = to;
    contact.control = b.add_control(control);
    contact.closed_in = closed_in;
    contact.rating = rating;
    contact.resistance = resistance;
    contact.limit = limit;
    b.add(contact);
}

namespace {

// ---- flasher: DIN 72552 stamps 49 (in), 49a (out), C (tell-tale), 31 (ground of an electronic one); X, L, P are the American ones

constexpr TerminalSpec flasher_terminals[] = {
    {"49", Role::common, 1, true, "+ B X 49+"},
    {"49a", Role::make, 2, true, "L"},
    {"C", Role::signal, 1, false, "P C1 pilot"},
    {"31", Role::minus, 1, false, "- E ground"},
};
constexpr AttrSpec flasher_attributes[] = {
    {"{W}", Attr::power, "what lamps it is made for"},
    {"{W} to {W}", Attr::power, "least and most it is made for"},
    {"{A}", Attr::rating, "what it may switch"},
    {"{V}", Attr::voltage, "what it is made for"},
    {"{n} per minute", Attr::rate, "how often it flashes"},
    {"takes {A}", Attr::current, "what an electronic one takes itself"},
    {"2-pin", Attr::told, "", "pins"}, // its stamps say more
    {"3-pin", Attr::told, "", "pins"},
    {"electronic", Attr::fuse_type, "with a ground of its own at 31"},
    {"thermal", Attr::fuse_type, "worked by its lamps' current"},
};

/// Lit at any time or dark: its beat is not worked out. An electronic one takes some milliamps itself (from memory).
void expand_flasher(PartBuilder& b) {
    const TerminalId in = b.terminal("49"), ground = b.terminal("31");
    add_free_contact(b, b.part().name + " lit", in, b.terminal("49a"), Purpose::switch_contact,
                     as<Amps>(b.value(Attr::rating)));
    if (!b.ever_wired(ground) && !b.has(Attr::case_grounded)) return;
    Primitive inside;
    inside.element = Element::resistance;
    inside.a = in;
    inside.b = ground;
    inside.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
    inside.current = as<Amps>(b.value(Attr::current));
    if (!inside.current.known())
        inside.current =
            as<Amps>(b.assume(Attr::current, 0.02, "0.02 A for itself", "an electronic flasher (from memory)",
                              ("flasher " + b.part().name + ", takes 0.02 A").c_str()));
    b.add(inside);
    mount(b, ground);
}

std::string beat_of(const Part& part) {
    return "how fast " + part.name + " flashes, and whether it does with these lamps";
}

// ---- electronic units

constexpr TerminalSpec poles[] = {
    {"+", Role::plus, 1, true, "plus pos positive"},
    {"-", Role::minus, 1, true, "minus neg negative 31"},
};
constexpr AttrSpec electronics_attributes[] = {
    {"{A}", Attr::current, "current"},
    {"{W}", Attr::power, "power"},
    {"{ohm}", Attr::resistance, "resistance"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
};

/// Without a block it has two poles; with one its pins are what the lines say (Reader::read_unit_block).
void shape_electronics(PartBuilder& b) {
    if (!b.part().terminals.empty()) return;
    for (const TerminalSpec& t : poles) b.add_terminal(t);
}

void expand_electronics(PartBuilder& b) {
    std::vector<TerminalId> supplies;
    TerminalId ground;
    for (TerminalId t : b.part().terminals) {
        const Role role = b.circuit().at(t).role;
        if (role == Role::plus) supplies.push_back(t);
        if (role == Role::minus && !ground.exists()) ground = t;
    }
    if (!ground.exists()) ground = b.mounting_metal();
    for (TerminalId t : supplies) {
        Primitive p;
        p.element = Element::constant_power;
        p.a = t;
        p.b = ground;
        const Working work = working_point(b);
        p.voltage = work.voltage;
        p.current = work.current;
        p.resistance = work.resistance;
        for (const Attribute& a : b.part().attributes)
            if (a.key == Attr::pin_current && a.word == b.circuit().at(t).stamp) {
                p.current = as<Amps>(a.value);
                p.resistance = {};
            }
        if (supplies.size() > 1 && !p.current.known() && !work.current.known())
            p.current = as<Amps>(
                b.assume(Attr::pin_current, 0.01, ("0.01 A at its supply " + b.circuit().at(t).stamp).c_str(),
                         "one of several feeds, of which nobody said what it takes (from memory)",
                         ("supply " + b.circuit().at(t).stamp + ", 0.01 A, in the block of " + b.part().name).c_str()));
        b.add(p);
    }
    for (const Attribute& a : b.part().attributes) {
        const bool plus = a.key == Attr::plus_side;
        if (!plus && a.key != Attr::ground_side) continue;
        if (plus && supplies.empty()) continue;
        const TerminalId from = plus ? supplies.front() : ground, to = b.terminal(a.word);
        Stated<Amps> limit;
        for (const Attribute& said : b.part().attributes)
            if (said.key == Attr::limited_to && said.word == a.word) limit = as<Amps>(said.value);
        // What it limits itself to is what it is made for, where nobody said less.
        const Stated<Amps> rating = as<Amps>(a.value).known() ? as<Amps>(a.value) : limit;
        if (!add_commanded_contact(b, a.word, from, to, Purpose::switch_contact, rating, limit))
            add_free_contact(b, b.part().name + " drives " + a.word, from, to, Purpose::switch_contact, rating, 0b10,
                             {}, limit);
    }
    for (const Attribute& a : b.part().attributes) {
        if (a.key != Attr::input_ohms) continue;
        const std::size_t blank = a.word.find(' ');
        const bool to_plus = a.word.substr(blank + 1) == "plus";
        if (to_plus && supplies.empty()) continue;
        Primitive in;
        in.element = Element::resistance;
        in.purpose = Purpose::input;
        in.a = b.terminal(a.word.substr(0, blank));
        in.b = to_plus ? supplies.front() : ground;
        if (to_plus) std::swap(in.a, in.b);
        in.resistance = as<Ohms>(a.value);
        in.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
        if (a.value.known() && a.value.nominal > 0)
            in.current = Stated<Amps>::assume(in.voltage.nominal / in.resistance.nominal, "its ohms");
        b.add(in);
    }
    for (const Attribute& a : b.part().attributes) {
        if (a.key != Attr::leaks_to) continue;
        Primitive
            leak; // the clamp between an output and its supply conducts while that has no volts: one way, and no more
        leak.element = Element::resistance;
        leak.purpose = Purpose::leak;
        leak.a = b.terminal(a.word.substr(0, a.word.find(' ')));
        leak.b = b.terminal(a.word.substr(a.word.find(' ') + 1));
        if (b.circuit().vehicle.positive_ground) std::swap(leak.a, leak.b);
        b.add(leak);
    }
    mount(b, ground);
}

std::string unit_life(const Part& part) {
    bool outputs = false, inputs = false;
    const auto commanded = [&](const std::string& pin) {
        return std::ranges::any_of(part.attributes, [&](const Attribute& a) {
            return a.key == Attr::driven_when && a.word.starts_with(pin + " ");
        });
    };
    for (const Attribute& a : part.attributes) {
        outputs = outputs || ((a.key == Attr::plus_side || a.key == Attr::ground_side) && !commanded(a.word));
        inputs = inputs || a.key == Attr::pin_input;
    }
    if (outputs) return "when " + part.name + " drives its outputs";
    return inputs ? "what " + part.name + " makes of its inputs" : "";
}

// ---- what measures

constexpr TerminalSpec sensor_terminals[] = {
    {"1", Role::signal, 2, true, "+"},
    {"2", Role::signal, 2, false, "-"},
    {"3", Role::signal, 2, false, ""},
};
constexpr AttrSpec sensor_attributes[] = {
    {"{A}", Attr::current, "what it takes"},
    {"{ohm}", Attr::resistance, "resistance"},
    {"{n} wires", Attr::told, "", "wires"},
    {"{n} wire", Attr::told, "", "wires"},
};
constexpr TerminalSpec sender_terminals[] = {
    {"S", Role::signal, 2, true, "1 + G"},
    {"-", Role::minus, 2, false, "2 31 case ground"},
};
constexpr AttrSpec sender_attributes[] = {
    {"{ohm} to {ohm}", Attr::resistance, "from one end of its travel to the other"},
    {"{ohm}", Attr::resistance, "resistance"},
};
constexpr TerminalSpec gauge_terminals[] = {
    {"+", Role::plus, 2, true, "B I 15 plus"},
    {"S", Role::signal, 2, false, "G sender"},
    {"-", Role::minus, 2, false, "31 E case ground"},
};
constexpr AttrSpec gauge_attributes[] = {
    {"{A}", Attr::current, "what it takes"},
};

std::string reading_of(const Part& part) { return "what " + part.name + " reports"; }
std::string show_of(const Part& part) { return "what " + part.name + " shows"; }

/// A sender goes to ground over its case where no wire does.
void expand_sender(PartBuilder& b) {
    const TerminalId ground = b.terminal("-");
    if (b.ever_wired(ground) && !b.has(Attr::case_grounded)) return;
    Primitive mounting;
    mounting.element = Element::joint;
    mounting.purpose = Purpose::mounting;
    mounting.a = ground;
    mounting.b = b.mounting_metal();
    b.add(mounting);
}

void expand_gauge(PartBuilder& b) {
    const TerminalId ground = b.terminal("-");
    mount(b, ground);
    if (!b.ever_wired(ground) && !b.has(Attr::case_grounded))
        return; // fed through to its sender: nothing is known of that way
    Primitive p;
    p.element = Element::resistance;
    p.a = b.terminal("+");
    p.b = ground;
    p.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
    p.current = as<Amps>(b.value(Attr::current));
    if (!p.current.known()) {
        p.current = as<Amps>(b.assume(Attr::current, 0.1, "0.1 A", "a usual gauge (from memory)",
                                      ("gauge " + b.part().name + ", 0.1 A").c_str()));
    }
    b.add(p);
}

// ---- what charges besides an alternator: what it delivers is not worked out, so its pins say nothing

constexpr TerminalSpec charger_terminals[] = {
    {"+", Role::signal, 2, true, "out plus positive B+"},
    {"-", Role::signal, 2, true, "minus negative 31"},
};
constexpr AttrSpec charger_attributes[] = {
    {"{A}", Attr::rating, "most it delivers"},  {"{W}", Attr::power, "most it delivers"},
    {"{V}", Attr::voltage, "what it delivers"}, {"limited to {A}", Attr::rating, ""},
    {"{A} short-circuit", Attr::rating, ""}, // of a panel: the most that it gives
    {"{V} to {V}", Attr::told, "", "volts"},
};
constexpr TerminalSpec dynamo_terminals[] = {
    {"D", Role::signal, 2, true, "D+ A B+ +"},
    {"F", Role::signal, 2, false, "DF"},
    {"E", Role::minus, 2, false, "D- - 31 case ground"},
};
constexpr AttrSpec dynamo_attributes[] = {
    {"{A}", Attr::rating, "most it delivers"},
    {"{V}", Attr::voltage, "what it delivers"},
};
/// The box with cut-out and voltage coil beside a dynamo: stamps of British boxes (A, A1, D, F, E), with the German B+ and DF.
constexpr TerminalSpec regulator_terminals[] = {
    {"D", Role::signal, 2, true, "D+"},
    {"F", Role::signal, 2, false, "DF"},
    {"A", Role::signal, 2, false, "B B+ 51"},
    {"A1", Role::signal, 2, false, ""},
    {"E", Role::minus, 2, false, "D- - 31 case ground"},
};
constexpr AttrSpec regulator_attributes[] = {
    {"{A}", Attr::rating, "where it limits"},
    {"cut-out", Attr::told, "", "cut-out"},
    {"{V}", Attr::voltage, "what it regulates to"},
};

std::string regulation_of(const Part& part) { return "when " + part.name + " delivers, and how much"; }
/// What its wires and fuses stand is looked at (charging-wire).
std::string delivery_of(const Part& part) { return "when " + part.name + " delivers, and the volts then"; }

/// Its case is its ground where no wire is.
void case_is_ground(PartBuilder& b) {
    const TerminalId ground = b.terminal("E");
    if (b.ever_wired(ground) && !b.has(Attr::case_grounded)) return;
    Primitive mounting;
    mounting.element = Element::joint;
    mounting.purpose = Purpose::mounting;
    mounting.a = ground;
    mounting.b = b.mounting_metal();
    b.add(mounting);
}

/// Standing, its D lies on ground over its armature: that lights the charge lamp. Only where a regulator is drawn, whose cut-out keeps the battery
/// away from it then; a dynamo drawn alone has its cut-out inside.
void expand_dynamo(PartBuilder& b) {
    case_is_ground(b);
    const bool cut_out =
        std::ranges::any_of(b.circuit().parts, [](const Part& p) { return p.kind == Kind::regulator; });
    if (!cut_out || !b.ever_wired(b.terminal("D"))) return;
    Primitive armature;
    armature.element = Element::resistance;
    armature.purpose = Purpose::input;
    armature.a = b.terminal("D");
    armature.b = b.terminal("E");
    armature.resistance = Stated<Ohms>::assume(Ohms{0.2 * b.circuit().vehicle.system.si / 12},
                                               "a usual armature (from memory: 0.1 to 0.4 ohm at 12 V)");
    armature.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
    armature.current = Stated<Amps>::assume(armature.voltage.nominal / armature.resistance.nominal, "its ohms");
    b.add(armature);
}

/// A and A1 are the two ends of its series turns, a few windings of thick wire (from memory); what comes from D over the cut-out is not worked out.
void expand_regulator(PartBuilder& b) {
    case_is_ground(b);
    Primitive turns;
    turns.element = Element::joint;
    turns.purpose = Purpose::input;
    turns.a = b.terminal("A");
    turns.b = b.terminal("A1");
    if (b.ever_wired(turns.a) && b.ever_wired(turns.b)) b.add(turns);
}

} // namespace

const KindSpec flasher_kind{.kind = Kind::flasher,
                            .keyword = "flasher",
                            .title = "flasher",
                            .letter = "K",
                            .also = "flasher-unit flasher-relay",
                            .example = "flasher K7, 42 W to 98 W, 85 per minute",
                            .not_solved = beat_of,
                            .terminals = flasher_terminals,
                            .attributes = flasher_attributes,
                            .expand = expand_flasher};
const KindSpec electronics_kind{.kind = Kind::electronics,
                                .keyword = "electronics",
                                .title = "electronic unit",
                                .letter = "A",
                                .also = "module inverter amplifier",
                                .example = "electronics A1 \"amplifier\", 30 A",
                                .is_load = true,
                                .wrong_way =
                                    "Electronic units do not stand it: many are spoilt at once, others blow the fuse.",
                                .spoilt_wrong_way = true,
                                .wants_full_volts = true,
                                .not_solved = unit_life,
                                .attributes = electronics_attributes,
                                .shape = shape_electronics,
                                .expand = expand_electronics};
const KindSpec sensor_kind{.kind = Kind::sensor,
                           .keyword = "sensor",
                           .title = "sensor",
                           .letter = "B",
                           .example = "sensor B5 \"wheel speed\"",
                           .not_solved = reading_of,
                           .terminals = sensor_terminals,
                           .attributes = sensor_attributes};
const KindSpec sender_kind{.kind = Kind::sender,
                           .keyword = "sender",
                           .title = "sender",
                           .letter = "B",
                           .example = "sender B2 \"fuel level\", 10 ohm to 180 ohm",
                           .not_solved = reading_of,
                           .terminals = sender_terminals,
                           .attributes = sender_attributes,
                           .expand = expand_sender};
const KindSpec gauge_kind{.kind = Kind::gauge,
                          .keyword = "gauge",
                          .title = "gauge",
                          .letter = "P",
                          .example = "gauge P1 \"fuel\"",
                          .is_load = true,
                          .not_solved = show_of,
                          .terminals = gauge_terminals,
                          .attributes = gauge_attributes,
                          .expand = expand_gauge};
const KindSpec solar_kind{.kind = Kind::solar,
                          .keyword = "solar",
                          .title = "solar panel",
                          .letter = "G",
                          .also = "solar-panel",
                          .example = "solar G5, 100 W",
                          .not_solved = delivery_of,
                          .terminals = charger_terminals,
                          .attributes = charger_attributes};
const KindSpec charger_kind{.kind = Kind::charger,
                            .keyword = "charger",
                            .title = "charger",
                            .letter = "G",
                            .also = "battery-charger",
                            .example = "charger G6, 10 A",
                            .not_solved = delivery_of,
                            .terminals = charger_terminals,
                            .attributes = charger_attributes};
const KindSpec dynamo_kind{.kind = Kind::dynamo,
                           .keyword = "dynamo",
                           .title = "dynamo",
                           .letter = "G",
                           .example = "dynamo G1, 22 A",
                           .one_of_a_kind = true,
                           .not_solved = delivery_of,
                           .terminals = dynamo_terminals,
                           .attributes = dynamo_attributes,
                           .expand = expand_dynamo};
const KindSpec regulator_kind{.kind = Kind::regulator,
                              .keyword = "regulator",
                              .title = "regulator",
                              .letter = "N",
                              .also = "cut-out control-box",
                              .example = "regulator N1",
                              .not_solved = regulation_of,
                              .terminals = regulator_terminals,
                              .attributes = regulator_attributes,
                              .expand = expand_regulator};

} // namespace loomproof
