/// Motors: one winding, or two speeds on one common end.

#include "circuit/kinds/kinds.hpp"

#include <algorithm>
#include <string_view>

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
    {"medium {A}", Attr::medium_current, "current of its middle speed"},
    {"medium {W}", Attr::power3, "power taken at its middle speed"},
    {"three speeds", Attr::told, "three windings: 53 slow, 53m medium, 53b fast", "three speeds"},
    {"3 speeds", Attr::told, "", "three speeds"},
    {"3-speed", Attr::told, "", "three speeds"},
    {"three-speed", Attr::told, "", "three speeds"},
    {"two speeds", Attr::told, "two windings: 53 slow, 53b fast", "two speeds"},
    {"2 speeds", Attr::told, "", "two speeds"},
    {"2-speed", Attr::told, "", "two speeds"},
    {"two-speed", Attr::told, "", "two speeds"},
    {"parks by itself", Attr::parks, "a contact of its own carries it on to where it rests", "on"},
    {"self-parking", Attr::parks, "", "on"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
    {"starts at {A}", Attr::start_current, "starting current"},
    {"starting current {A}", Attr::start_current, ""},
    {"{A} starting", Attr::start_current, ""},
    {"inrush {A}", Attr::start_current, ""},
    {"stalls at {A}", Attr::start_current, ""}, // held fast it takes what it takes before it turns
    {"stall {A}", Attr::start_current, ""},
    {"reversible", Attr::reversible, "turns either way", "on"},
    {"generates when driven", Attr::generates, "gives volts when something turns it", "on"},
};

bool says(const PartBuilder& b, std::string_view word) {
    return std::ranges::any_of(b.part().attributes,
                               [&](const Attribute& a) { return a.key == Attr::told && a.word == word; });
}

bool three_speeds(const PartBuilder& b) {
    return says(b, "three speeds") || b.has(Attr::medium_current) || b.has(Attr::power3);
}

bool two_speeds(const PartBuilder& b) {
    return says(b, "two speeds") || three_speeds(b) || b.has(Attr::fast_current) || b.has(Attr::power2) ||
           b.word(Attr::current) == "slow" || b.word(Attr::power) == "slow";
}

/// DIN 72552: 53 is a wiper motor's input, 31 its ground (confirmed), 53b its second speed, 53a the plus of the contact that parks it (from
/// memory), 31b ground through a contact (confirmed). For a middle speed the standard has no stamp: 53m is ours, `stamped` says what is moulded.
void shape_motor(PartBuilder& b) {
    const bool fast = two_speeds(b), parks = b.has(Attr::parks);
    if (!fast && !parks) {
        for (const TerminalSpec& t : poles) b.add_terminal(t);
        return;
    }
    b.add_terminal({"53", Role::filament, 1, !fast, ""});
    if (three_speeds(b)) b.add_terminal({"53m", Role::filament, 1, false, ""});
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

/// Each winding is a machine on one common end: nothing of one turns up in the other.
void expand_motor(PartBuilder& b) {
    const auto& t = b.part().terminals;
    add_load(b, Element::machine, t.front(), t.back());
    if (const TerminalId medium = b.terminal("53m"); medium.exists())
        add_load(b, Element::machine, medium, t.back(), Attr::power3);
    if (const TerminalId fast = b.terminal("53b"); fast.exists())
        add_load(b, Element::machine, fast, t.back(), Attr::power2);
    if (b.has(Attr::parks)) {
        add_park_contact(b, "31", 0b01);
        add_park_contact(b, "53a", 0b10);
    }
    mount(b, grounded_end(b));
}

} // namespace

const KindSpec motor_kind{
    .kind = Kind::motor,
    .keyword = "motor",
    .title = "motor",
    .letter = "M",
    .also = "fan pump winch wiper blower compressor water-pump",
    .example = "motor M2 \"cooling fan\", 9 A, starts at 27 A",
    .is_load = true,
    .wrong_way =
        "A motor with magnets turns backwards: a fan blows against the draught of the drive, a pump moves nothing.",
    .does = "turns",
    .does_weakly = "turns slowly or stands",
    .wants_full_volts = true,
    .may_lie_in_a_row = true,
    .attributes = motor_attributes,
    .shape = shape_motor,
    .expand = expand_motor};

} // namespace loomproof
