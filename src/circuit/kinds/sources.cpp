/// Batteries, machines that charge, and feeds whose beginning is not drawn.

#include "circuit/kinds/kinds.hpp"

#include "base/number.hpp"

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

constexpr TerminalSpec starter_terminals[] = {
    {"30", Role::plus, any_number, true, "+ B+ battery"},
    {"50", Role::signal, 2, true, "S solenoid"},
    {"case", Role::minus, any_number, false, "- 31 ground"},
};
constexpr AttrSpec starter_attributes[] = {
    {"{A}", Attr::current, "current while cranking"},
    {"cranks {A}", Attr::current, "current while cranking"},
    {"{W}", Attr::power, "power"},
    {"solenoid {A}", Attr::solenoid, "what its solenoid takes while it pulls in"},
    {"pull-in {A}", Attr::pull_in, "", "on"}, // its windings told apart, as in its block
    {"hold-in {A}", Attr::hold_in, "", "on"},
};

/// One of the two windings of a solenoid, as far as the file tells them apart.
Primitive winding(PartBuilder& b, Attr said, Attr in_ohms, double usual, const char* basis) {
    Primitive p;
    p.element = Element::resistance;
    p.a = b.terminal("50");
    p.current = as<Amps>(b.value(said));
    p.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
    p.resistance = as<Ohms>(b.value(in_ohms));
    if (!p.current.known() && !p.resistance.known()) {
        const bool pull = said == Attr::pull_in;
        p.current = as<Amps>(b.assume(
            said, usual, (text(Amps{usual}) + (pull ? " in its pull-in winding" : " in its hold-in winding")).c_str(),
            basis, ("starter " + b.part().name + " { pull-in 50-motor, 30 A | hold-in 50-case, 10 A }").c_str()));
    }
    if (!p.current.known()) p.current = Stated<Amps>::assume(p.voltage.nominal / p.resistance.nominal, "its ohms");
    return p;
}

void expand_starter(PartBuilder& b) {
    Control solenoid;
    solenoid.name = "solenoid";
    solenoid.type = Control::Type::relay;
    solenoid.positions = {"rest", "pulled in"};
    const ControlId control = b.add_control(solenoid);
    const TerminalId motor = b.add_internal_terminal("motor");
    const TerminalId frame = b.terminal("case");

    if (b.has(Attr::hold_in) ||
        b.has(Attr::pull_in)) { // together 30 to 50 A while pulling in, 8 to 12 A once in (from memory)
        Primitive pull_in = winding(b, Attr::pull_in, Attr::pull_in_ohms, 30, "a usual pull-in winding (from memory)");
        pull_in.purpose = Purpose::pull_in_winding;
        pull_in.b = motor;
        Primitive hold_in = winding(b, Attr::hold_in, Attr::hold_in_ohms, 10, "a usual hold-in winding (from memory)");
        hold_in.purpose = Purpose::starter_solenoid;
        hold_in.b = frame;
        b.add(hold_in);
        b.add(pull_in);
    } else {
        Primitive coil; // pull-in and hold-in windings together; from memory, 30 to 50 A while pulling in
        coil.element = Element::resistance;
        coil.purpose = Purpose::starter_solenoid;
        coil.a = b.terminal("50");
        coil.b = frame;
        coil.current = as<Amps>(b.value(Attr::solenoid));
        if (!coil.current.known() && !b.ever_wired(coil.a)) // nothing hangs on it
            coil.current = Stated<Amps>::assume(Amps{30}, "a starter's solenoid while it pulls in (common practice)");
        if (!coil.current.known())
            coil.current = as<Amps>(b.assume(Attr::solenoid, 30, "30 A in its solenoid while it pulls in",
                                             "common practice, no source",
                                             (b.part().named ? "starter " + b.part().name + ", solenoid 40 A"
                                                             : std::string("starter, solenoid 40 A"))
                                                 .c_str()));
        coil.voltage = Stated<Volts>::assume(b.circuit().vehicle.system, "the system's voltage");
        b.add(coil);
    }

    Primitive contact;
    contact.element = Element::contact;
    contact.purpose = Purpose::make_contact;
    contact.a = b.terminal("30");
    contact.b = motor;
    contact.control = control;
    contact.closed_in = 0b10;
    b.add(contact);

    Primitive machine;
    machine.element = Element::machine;
    machine.a = motor;
    machine.b = frame;
    const Working work = working_point(b);
    machine.current = work.current;
    machine.voltage = work.voltage;
    b.add(machine);
    if (const TerminalId metal = b.mounting_metal(); !b.ever_wired(frame) || b.has(Attr::case_grounded)) {
        Primitive mounting;
        mounting.element = Element::joint;
        mounting.purpose = Purpose::mounting;
        mounting.a = frame;
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

/// plus: body -> source -> fuse -> condition -> the terminal. ground: body -> condition -> the terminal.
void expand_supply(PartBuilder& b) {
    const TerminalId out = b.part().terminals.front();
    std::string condition = b.word(Attr::when);
    const Attribute* by = b.find(Attr::driven_when); // "plus S1 run": a switch that is drawn
    const Attribute* said = b.find(Attr::ground_side);
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
    if (by) {
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
const KindSpec starter_kind{.kind = Kind::starter,
                            .keyword = "starter",
                            .title = "starter",
                            .letter = "M",
                            .also = "starter-motor",
                            .example = "starter M1, 180 A",
                            .one_of_a_kind = true,
                            .is_load = true,
                            .does = "turns",
                            .does_weakly = "turns slowly or stands",
                            .for_seconds = true,
                            .terminals = starter_terminals,
                            .attributes = starter_attributes,
                            .expand = expand_starter};
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
