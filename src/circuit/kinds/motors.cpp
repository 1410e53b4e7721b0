/// Motors: one winding, or two speeds on one common end.

#include "circuit/kinds/kinds.hpp"

namespace loomproof {

namespace {

constexpr TerminalSpec poles[] = {
    {"+", Role::plus, 1, true, "plus pos positive"},
    {"-", Role::minus, 1, true, "minus neg negative 31"},
};
constexpr AttrSpec motor_attributes[] = {
    {"{A}", Attr::current, "current"},
    {"{W}", Attr::power, "power taken"},
    {"slow {A}", Attr::current, "current of its slow speed", "slow"},
    {"fast {A}", Attr::fast_current, "current of its fast speed"},
    {"slow {W}", Attr::power, "power taken at its slow speed", "slow"},
    {"fast {W}", Attr::power2, "power taken at its fast speed"},
    {"two speeds", Attr::told, "two windings: 53 slow, 53b fast", "two speeds"},
    {"2 speeds", Attr::told, "", "two speeds"},
    {"2-speed", Attr::told, "", "two speeds"},
    {"two-speed", Attr::told, "", "two speeds"},
    {"parks by itself", Attr::parks, "a contact of its own carries it on to where it rests", "on"},
    {"self-parking", Attr::parks, "", "on"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
    {"starts at {A}", Attr::start_current, "starting current"},
    {"reversible", Attr::reversible, "turns either way", "on"},
    {"generates when driven", Attr::generates, "gives volts when something turns it", "on"},
};

bool two_speeds(const PartBuilder& b) {
    for (const Attribute& a : b.part().attributes)
        if (a.key == Attr::told && a.word == "two speeds") return true;
    return b.has(Attr::fast_current) || b.has(Attr::power2) || b.word(Attr::current) == "slow" ||
           b.word(Attr::power) == "slow";
}

/// DIN 72552: 53 is a wiper motor's input, 31 its ground (confirmed), 53b its second speed, 53a the plus of the contact that parks it (from
/// memory), 31b ground through a contact (confirmed).
void shape_motor(PartBuilder& b) {
    const bool fast = two_speeds(b), parks = b.has(Attr::parks);
    if (!fast && !parks) {
        for (const TerminalSpec& t : poles) b.add_terminal(t);
        return;
    }
    b.add_terminal({"53", Role::filament, 1, !fast, ""});
    if (fast) b.add_terminal({"53b", Role::filament, 1, false, ""}); // one speed may stay unused
    if (parks) {
        b.add_terminal({"53a", Role::contact, 1, false, ""});
        b.add_terminal({"31b", Role::contact, 1, false, ""});
        Control control;
        control.type = Control::Type::sensed;
        control.positions = {"parked", "moving"};
        b.add_control(control);
    }
    b.add_terminal({"31", Role::minus, 1, true, ""});
}

void add_park_contact(PartBuilder& b, const char* to, std::uint64_t closed_in) {
    Primitive contact;
    contact.element = Element::contact;
    contact.purpose = Purpose::switch_contact;
    contact.a = b.terminal(to);
    contact.b = b.terminal("31b");
    contact.control = b.part().controls.front();
    contact.closed_in = closed_in;
    b.add(contact);
}

/// Two windings are two machines on one common end: nothing of one turns up in the other.
void expand_motor(PartBuilder& b) {
    const auto& t = b.part().terminals;
    add_load(b, Element::machine, t.front(), t.back());
    if (const TerminalId fast = b.terminal("53b"); fast.exists())
        add_load(b, Element::machine, fast, t.back(), Attr::power2);
    if (b.has(Attr::parks)) {
        add_park_contact(b, "31", 0b01);
        add_park_contact(b, "53a", 0b10);
    }
    mount(b, t.back());
}

} // namespace

const KindSpec motor_kind{.kind = Kind::motor,
                          .keyword = "motor",
                          .title = "motor",
                          .letter = "M",
                          .also = "fan pump winch wiper blower compressor",
                          .is_load = true,
                          .attributes = motor_attributes,
                          .shape = shape_motor,
                          .expand = expand_motor};

} // namespace loomproof
