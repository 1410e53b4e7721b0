/// Starters: with a solenoid of their own, worked at 50, or fed over a switch or relay outside.

#include "circuit/kinds/kinds.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <algorithm>
#include <string>
#include <vector>

namespace loomproof {

namespace {

/// What leads current from one of its ends to all others, whatever is switched.
bool leads_through(Kind kind) {
    switch (kind) {
    case Kind::splice:
    case Kind::bus:
    case Kind::connector:
    case Kind::fuse:
    case Kind::link:
    case Kind::breaker:
    case Kind::ammeter:
    case Kind::shunt: return true;
    default: return false;
    }
}

/// A hand pulls it, or it springs back: the switch of a starter, where one that stays is a main switch.
bool switches_a_starter(const Circuit& c, const Part& part) {
    if (part.kind == Kind::relay) return true;
    if (part.kind != Kind::switching) return false;
    const std::string called = lower(part.name + " " + part.label);
    return called.find("start") != std::string::npos || called.find("crank") != std::string::npos ||
           std::ranges::any_of(part.controls, [&](ControlId k) { return c.at(k).springs_back != 0; });
}

/// A starter without a solenoid of its own: nothing is ever wired to its 50, nobody listed that as still to do, and its thick cable ends at
/// a relay or at a switch that springs back, not at what is always live.
bool has_its_solenoid_outside(const PartBuilder& b) {
    const Circuit& c = b.circuit();
    const TerminalId plus = b.terminal("30"), solenoid = b.terminal("50");
    if (b.ever_wired(solenoid) || b.has(Attr::solenoid) || b.has(Attr::pull_in) || b.has(Attr::hold_in)) return false;
    for (const StillToWire& open : c.still_to_wire)
        if (open.terminal == solenoid) return false;
    std::vector<bool> seen(c.terminals.size(), false);
    std::vector<TerminalId> work{plus};
    seen[plus.index] = true;
    bool switched = false;
    const auto enter = [&](TerminalId t) {
        if (!t.exists() || seen[t.index]) return;
        seen[t.index] = true;
        work.push_back(t);
    };
    while (!work.empty()) {
        const TerminalId at = work.back();
        work.pop_back();
        const Part& part = c.part_of(at);
        if (at != plus && leads_through(part.kind))
            for (TerminalId t : part.terminals)
                if (part.kind != Kind::connector || c.at(t).stamp == c.at(at).stamp) enter(t);
        if (at != plus && !leads_through(part.kind)) {
            if (!switches_a_starter(c, part)) return false;
            switched = true;
            continue;
        }
        for (const Wire& w : c.wires)
            if (w.a == at || w.b == at) enter(w.other(at));
    }
    return switched;
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

/// Bolted to the engine, unless a wire says otherwise.
void mount_starter(PartBuilder& b, TerminalId frame) {
    if (b.ever_wired(frame) && !b.has(Attr::case_grounded)) return;
    Primitive mounting;
    mounting.element = Element::joint;
    mounting.purpose = Purpose::mounting;
    mounting.a = frame;
    mounting.b = b.mounting_metal();
    b.add(mounting);
}

void expand_starter(PartBuilder& b) {
    if (has_its_solenoid_outside(b)) {
        const TerminalId end = b.terminal("case");
        add_load(b, Element::machine, b.terminal("30"), end);
        mount_starter(b, end);
        return;
    }
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
    mount_starter(b, frame);
}

} // namespace

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

} // namespace loomproof
