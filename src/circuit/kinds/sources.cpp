/// Batteries, machines that charge, and feeds whose beginning is not drawn. Starters have a file of their own.

#include "circuit/kinds/kinds.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <string_view>

namespace loomproof {

namespace {

constexpr TerminalSpec battery_terminals[] = {
    {"+", Role::plus, any_number, true, "plus pos positive B+ 30"},
    {"-", Role::minus, any_number, false, "minus neg negative B- 31"}, // ground-missing speaks about this one
};
constexpr AttrSpec battery_attributes[] = {
    {"{Ah}", Attr::capacity, "capacity"},
    {"{V}", Attr::voltage, "nominal voltage, where it is not the system's"},
    {"{ohm}", Attr::resistance, "inner resistance"},
    {"lead-acid", Attr::chemistry, "kind of battery"},
    {"lead acid", Attr::chemistry, "", "lead-acid"},
    {"AGM", Attr::chemistry, "kind of battery"},
    {"gel", Attr::chemistry, "kind of battery"},
    {"lithium", Attr::chemistry, "kind of battery"},
    {"LiFePO4", Attr::chemistry, "", "lithium"},
    {"lithium iron phosphate", Attr::chemistry, "", "lithium"},
    {"deep cycle", Attr::told, "", "deep cycle"},
    {"deep-cycle", Attr::told, "", "deep cycle"},
    {"flooded", Attr::chemistry, "", "lead-acid"},
    {"wet", Attr::chemistry, "", "lead-acid"},
    {"calcium", Attr::chemistry, "", "lead-acid"},
    {"EFB", Attr::chemistry, "", "lead-acid"},
    {"lead", Attr::chemistry, "", "lead-acid"},
    {"short-circuit {A}", Attr::short_current, "what it gives into a dead short"},
    {"{A} short-circuit", Attr::short_current, ""},
    {"{A} short circuit", Attr::short_current, ""},
    {"short circuit {A}", Attr::short_current, ""},
    {"short-circuit current {A}", Attr::short_current, ""},
    {"short circuit current {A}", Attr::short_current, ""},
    {"prospective current {A}", Attr::short_current, ""},
    {"breaking current {A}", Attr::short_current, ""}, // what its first fuse must be able to break
    {"{A} breaking current", Attr::short_current, ""},
    {"limited to {A}", Attr::rating, "what its own electronics let through", nullptr,
     "what the electronics of {} let through: it is taken to give all that its cells can"},
    {"{A} cranking", Attr::told, "cold cranking current, as printed on it", nullptr, "how {} cranks in the cold"},
    {"BMS {A}", Attr::rating, "", nullptr,
     "what the electronics of {} let through: it is taken to give all that its cells can"},
    {"{A} EN", Attr::told, "", nullptr, "how {} cranks in the cold"},
    {"{A} SAE", Attr::told, "", nullptr, "how {} cranks in the cold"},
    {"{n} CCA", Attr::told, "", nullptr, "how {} cranks in the cold"},
    {"{n} EN", Attr::told, "", nullptr, "how {} cranks in the cold"},
    {"{A} CCA", Attr::told, "", nullptr, "how {} cranks in the cold"},
};

/// Inner resistance of a charged 12 V lead-acid battery: 4 to 8 mohm for 50 to 80 Ah (common practice, from memory), so about
/// 0.4 ohm Ah; 24 V pairs double it, 6 V has half the cells.
double inner_resistance(double amp_hours, double volts) { return 0.4 / amp_hours * volts / 12; }

void expand_battery(PartBuilder& b) {
    Primitive source;
    source.element = Element::source;
    source.a = b.terminal("+");
    source.b = b.terminal("-");
    source.strong = true;
    Stated<double> volts = b.value(Attr::voltage);
    if (!volts.known()) volts = Stated<double>::assume(b.circuit().vehicle.system.si, "the system's voltage");
    source.voltage = as<Volts>(volts);
    Stated<double> capacity = b.value(Attr::capacity);
    Stated<double> ohms = b.value(Attr::resistance);
    const Stated<double> shorted = b.value(Attr::short_current);
    if (!ohms.known() && shorted.known() && shorted.low > 0) // volts over its own inside
        ohms = {shorted.how,
                volts.nominal / shorted.nominal,
                volts.nominal / shorted.high,
                volts.nominal / shorted.low,
                shorted.span,
                {}};
    if (!ohms.known()) {
        const double ah = capacity.known() ? capacity.nominal / 3600 : 60;
        const double r = inner_resistance(ah, volts.nominal);
        const std::string basis = capacity.known()
                                      ? "from " + figure(ah) + " Ah (4 to 8 mohm for 50 to 80 Ah: common practice)"
                                      : "a usual car battery of 60 Ah (common practice)";
        ohms =
            b.assume(Attr::resistance, r, (text(Ohms{r}) + " inside").c_str(), basis.c_str(),
                     ((b.part().named ? "battery " : "") + b.part().name + ", " + figure(ah) + " Ah, 5 mohm").c_str());
    }
    source.resistance = as<Ohms>(ohms);
    b.add(source);
}

constexpr TerminalSpec alternator_terminals[] = {
    {"B+", Role::output, any_number, true, "+ B 30 output"},
    {"-", Role::minus, any_number, false, "B- D- 31 case ground E"},
    {"L", Role::signal, 1, false, "D+ 61 lamp"},
    {"S", Role::signal, 1, false, "sense"},
    {"DF", Role::signal, 1, false, "F field exciter"}, // its field, where the regulator sits beside it
};
constexpr AttrSpec alternator_attributes[] = {
    {"{A}", Attr::rating, "most it delivers"},
    {"{A} at idle", Attr::idle_current, "most at idle"},
    {"{V}", Attr::voltage, "what it regulates to"},
    {"lamp terminal {word}", Attr::lamp_stamp, "how its lamp terminal is stamped"},
    {"sense {word}", Attr::sense_stamp, "how its sense terminal is stamped"},
    {"regulates at {V}", Attr::voltage, ""},
    {"regulates to {V}", Attr::voltage, ""},
    {"internal regulator", Attr::told, "", "internal regulator"}, // as nearly all
    {"built-in regulator", Attr::told, "", "internal regulator"},
    {"external regulator", Attr::own_regulator, "its field at DF or F comes from a regulator beside it", "on",
     "what the regulator beside {} makes of its field: it is taken to hold its volts while the engine runs"},
};

void expand_alternator(PartBuilder& b) {
    Primitive source;
    source.element = Element::source;
    source.a = b.terminal("B+");
    source.b = b.terminal("-");
    source.current = as<Amps>(b.value(Attr::rating));
    Stated<double> volts = b.value(Attr::voltage);
    if (!volts.known())
        volts = Stated<double>::assume(b.circuit().vehicle.system.si / 12 * 14.2,
                                       "usual charging voltage (common practice)");
    source.voltage = as<Volts>(volts);
    b.add(source);
    if (const TerminalId lamp = b.terminal("L"); b.ever_wired(lamp)) {
        Primitive
            rotor; // stopped: over the rotor winding to ground, 3 to 10 ohm (from memory); running: the lamp's other side is fed too
        rotor.element = Element::resistance;
        rotor.purpose = Purpose::charge_lamp_terminal;
        rotor.a = lamp;
        rotor.b = source.b;
        rotor.resistance = Stated<Ohms>::assume(Ohms{8 * b.circuit().vehicle.system.si / 12},
                                                "a usual rotor winding and its regulator (from memory: 3 to 10 ohm)");
        rotor.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
        rotor.current = Stated<Amps>::assume(rotor.voltage.nominal / rotor.resistance.nominal, "rotor resistance");
        b.add(rotor);
    }
    if (const TerminalId field = b.terminal("DF"); b.ever_wired(field)) {
        Primitive winding;
        winding.element = Element::resistance;
        winding.purpose = Purpose::input;
        winding.a = field;
        winding.b = source.b;
        winding.resistance = Stated<Ohms>::assume(Ohms{4 * b.circuit().vehicle.system.si / 12},
                                                  "a usual field winding (from memory: 3 to 5 ohm at 12 V)");
        winding.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
        winding.current = Stated<Amps>::assume(winding.voltage.nominal / winding.resistance.nominal, "its ohms");
        b.add(winding);
    }
    if (const TerminalId metal = b.mounting_metal(); !b.ever_wired(source.b) || b.has(Attr::case_grounded)) {
        Primitive mounting;
        mounting.element = Element::joint;
        mounting.purpose = Purpose::mounting;
        mounting.a = source.b;
        mounting.b = metal;
        b.add(mounting);
    }
}

constexpr TerminalSpec one_output[] = {{"", Role::output, any_number, false, "+ out"}};
constexpr AttrSpec supply_attributes[] = {
    {"behind {A}", Attr::rating, "the fuse it comes from"},
    {"fused {A}", Attr::rating, ""},
    {"plus when {text}", Attr::when, "when it is live"},
    {"when {text}", Attr::when, ""},
    {"{word} when {word} {word}", Attr::driven_when, ""},
    {"{word} when {word} is {word}", Attr::driven_when, ""},
    {"plus always", Attr::plus_side, "live all the time", "on"},
    {"plus", Attr::plus_side, "live all the time", "on"},
    {"ground when {text}", Attr::ground_side, "when it goes to ground"},
    {"ground always", Attr::ground_side, "a ground", "always"},
    {"live when {text}", Attr::when, "when it is live"},
    {"always live", Attr::plus_side, "", "on"},
    {"permanently live", Attr::plus_side, "", "on"},
    {"permanent", Attr::plus_side, "", "on"},
    {"live always", Attr::plus_side, "live all the time", "on"},
    {"live", Attr::plus_side, "live all the time", "on"},
    {"pulsed {Hz}", Attr::pulsed, "switches on and off that often", nullptr,
     "how much of the time {} is live: it is taken to be live or not"},
    {"{size}", Attr::area, "size of the wire"},
    {"{colour}", Attr::colour, "colour of the wire"},
};

/// "engine running": at idle too.
bool is_running(std::string_view condition) {
    const std::string said = lower(condition);
    return said == "engine running" || said == "engine runs" || said == "engine on" || said == "engine is running";
}
bool is_stopped(std::string_view condition) {
    const std::string said = lower(condition);
    return said == "engine stopped" || said == "engine off" || said == "engine is stopped";
}

/// A contact that follows the engine of the file; false where the condition is another one, or no line speaks of an engine.
bool add_engine_contact(PartBuilder& b, std::string_view condition, TerminalId from, TerminalId to) {
    const Circuit& c = b.circuit();
    if (!c.engine || !(is_running(condition) || is_stopped(condition))) return false;
    Primitive contact;
    contact.element = Element::contact;
    contact.purpose = Purpose::feed_condition;
    contact.a = from;
    contact.b = to;
    contact.control = c.engine->control;
    const auto& positions = c.at(c.engine->control).positions;
    for (std::size_t i = 0; i < positions.size(); ++i) {
        const bool runs = positions[i] == "idling" || positions[i] == "running";
        if (is_running(condition) ? runs : positions[i] == "stopped") contact.closed_in |= std::uint64_t{1} << i;
    }
    b.add(contact);
    return true;
}

/// plus: body -> source -> fuse -> condition -> the terminal. ground: body -> condition -> the terminal.
void expand_supply(PartBuilder& b) {
    const TerminalId out = b.part().terminals.front();
    std::string condition = b.word(Attr::when);
    const Attribute* by = b.find(Attr::driven_when); // "plus S1 run": a switch that is drawn
    const Attribute* said = b.find(Attr::ground_side);
    // "plus engine running": what the engine does has no name of its own, and `when` holds the same words.
    const bool by_engine = by && is_engine_condition(std::string_view(by->word).substr(by->word.find(' ') + 1));
    const bool ground = said || (by && by->word.starts_with("ground "));
    const bool conditional = by || (said ? said->word != "always" : !condition.empty());
    if (said) condition = said->word;

    if (!ground && !by && condition.empty() && !b.has(Attr::plus_side)) {
        const bool wire = b.part().kind == Kind::existing_wire;
        b.assume(Attr::when, 1, "live all the time", "the file does not say when",
                 ((wire ? "existing wire " : "supply ") + b.part().name +
                  (wire ? ", live when \"ignition on\"" : ", plus when \"ignition on\""))
                     .c_str());
    }
    TerminalId before = b.body();
    if (!ground) {
        const TerminalId behind = b.add_internal_terminal("feed");
        Primitive source;
        source.element = Element::source;
        source.a = behind;
        source.b = before;
        if (b.circuit().vehicle.positive_ground) std::swap(source.a, source.b);
        source.strong = true;
        source.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
        b.add(source);
        const TerminalId fused = conditional ? b.add_internal_terminal("fused") : out;
        Primitive fuse;
        fuse.element = Element::protector;
        fuse.a = behind;
        fuse.b = fused;
        fuse.rating = as<Amps>(b.value(Attr::rating));
        b.add(fuse);
        before = fused;
    }
    if (by_engine) condition = by->word.substr(by->word.find(' ') + 1);
    if (conditional && add_engine_contact(b, condition, before, out)) return;
    if (by && !by_engine) {
        add_commanded_contact(b, by->word.substr(0, by->word.find(' ')), before, out, Purpose::feed_condition, {});
    } else if (conditional) {
        add_free_contact(b, condition, before, out, Purpose::feed_condition, {});
    } else if (ground) {
        Primitive joint;
        joint.element = Element::joint;
        joint.a = before;
        joint.b = out;
        b.add(joint);
    }
}

constexpr AttrSpec beyond_attributes[] = {
    {"takes {A}", Attr::current, "what it takes"},
    {"{A}", Attr::current, "what it takes"},
    {"takes {W}", Attr::power, "what it takes"},
    {"{W}", Attr::power, "what it takes"},
};

void expand_beyond(PartBuilder& b) {
    Primitive load;
    load.element = Element::resistance;
    load.a = b.part().terminals.front();
    load.b = b.body();
    const Working work = working_point(b);
    load.current = work.current;
    load.voltage = work.voltage;
    load.resistance = work.resistance;
    b.add(load);
}

} // namespace

bool is_engine_condition(std::string_view text) { return is_running(text) || is_stopped(text); }

const KindSpec battery_kind{.kind = Kind::battery,
                            .keyword = "battery",
                            .title = "battery",
                            .letter = "B",
                            .example = "battery, 60 Ah",
                            .one_of_a_kind = true,
                            .terminals = battery_terminals,
                            .attributes = battery_attributes,
                            .expand = expand_battery};
const KindSpec alternator_kind{.kind = Kind::alternator,
                               .keyword = "alternator",
                               .title = "alternator",
                               .letter = "G",
                               .example = "alternator G1, 65 A, 14.2 V, lamp terminal D+",
                               .one_of_a_kind = true,
                               .is_load = true,
                               .terminals = alternator_terminals,
                               .attributes = alternator_attributes,
                               .expand = expand_alternator};
const KindSpec supply_kind{.kind = Kind::supply,
                           .keyword = "supply",
                           .title = "feed",
                           .letter = "Z",
                           .example = "supply Z1 \"fuse box feed\", behind 40 A, plus when \"ignition on\"",
                           .ends = Ends::one,
                           .terminals = one_output,
                           .attributes = supply_attributes,
                           .expand = expand_supply};
const KindSpec existing_wire_kind{
    .kind = Kind::existing_wire,
    .keyword = "existing wire",
    .title = "existing wire",
    .letter = "T",
    .example = "existing wire T1 \"main beam, left lamp plug\", blue/white, live when \"main beam on\", behind 10 A",
    .ends = Ends::one,
    .terminals = one_output,
    .attributes = supply_attributes,
    .expand = expand_supply};
const KindSpec beyond_kind{.kind = Kind::beyond,
                           .keyword = "beyond",
                           .title = "thing that is not drawn",
                           .letter = "Z",
                           .example = "beyond Z2 \"radio and clock\", takes 0.2 A",
                           .ends = Ends::one,
                           .terminals = one_output,
                           .attributes = beyond_attributes,
                           .expand = expand_beyond};

} // namespace loomproof
