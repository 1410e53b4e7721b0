/// What the current is for.

#include "circuit/kinds/kinds.hpp"

namespace loomproof {

Working working_point(PartBuilder& b, Attr power) {
    Working w;
    Stated<double> volts = b.value(Attr::voltage_at);
    if (!volts.known()) volts = Stated<double>::assume(b.circuit().vehicle.system.si, "the system's voltage");
    w.voltage = as<Volts>(volts);
    const Stated<double> amps = b.value(power == Attr::power2   ? Attr::fast_current
                                        : power == Attr::power3 ? Attr::medium_current
                                                                : Attr::current),
                         watts = b.value(power), ohms = b.value(Attr::resistance);
    const auto derived = [](const Stated<double>& from, double nominal, double low, double high) {
        return Stated<Amps>{from.how, Amps{nominal}, Amps{low}, Amps{high}, from.span, from.basis};
    };
    if (amps.known())
        w.current = as<Amps>(amps);
    else if (watts.known())
        w.current =
            derived(watts, watts.nominal / volts.nominal, watts.low / volts.nominal, watts.high / volts.nominal);
    else if (ohms.known() && ohms.low > 0)
        w.current = derived(ohms, volts.nominal / ohms.nominal, volts.nominal / ohms.high, volts.nominal / ohms.low);
    if (ohms.known())
        w.resistance = as<Ohms>(ohms);
    else if (w.current.known() && w.current.low.si > 0)
        w.resistance = {w.current.how,
                        Ohms{volts.nominal / w.current.nominal.si},
                        Ohms{volts.nominal / w.current.high.si},
                        Ohms{volts.nominal / w.current.low.si},
                        w.current.span,
                        {}};
    return w;
}

TerminalId grounded_end(const PartBuilder& b) {
    const TerminalId first = b.part().terminals.front();
    const bool plus = b.circuit().vehicle.positive_ground && b.circuit().at(first).role == Role::plus;
    return plus ? first : b.part().terminals.back();
}

void mount(PartBuilder& b, TerminalId end) {
    if (!b.has(Attr::case_grounded)) return;
    Primitive mounting;
    mounting.element = Element::joint;
    mounting.purpose = Purpose::mounting;
    mounting.a = end;
    mounting.b = b.mounting_metal();
    b.add(mounting);
}

void add_load(PartBuilder& b, Element element, TerminalId from, TerminalId to, Attr power) {
    const Working w = working_point(b, power);
    Primitive p;
    p.element = element;
    p.a = from;
    p.b = to;
    p.current = w.current;
    p.voltage = w.voltage;
    p.resistance = w.resistance;
    b.add(p);
}

namespace {

constexpr TerminalSpec either_way[] = {
    {"1", Role::end1, 1, true, "+"},
    {"2", Role::end2, 1, true, "-"},
};
constexpr TerminalSpec poles[] = {
    {"+", Role::plus, 1, true, "plus pos positive"},
    {"-", Role::minus, 1, true, "minus neg negative 31"},
};

constexpr AttrSpec load_attributes[] = {
    {"{A}", Attr::current, "current"},
    {"{W}", Attr::power, "power"},
    {"{ohm}", Attr::resistance, "resistance"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
};
/// Of anything may be said that it takes more at first.
constexpr AttrSpec plain_load_attributes[] = {
    {"{A}", Attr::current, "current"},
    {"{W}", Attr::power, "power"},
    {"{ohm}", Attr::resistance, "resistance"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
    {"starts at {A}", Attr::start_current, "current at first", nullptr,
     "for how long {} takes its starting current, and whether its fuse stands that"},
    {"inrush {A}", Attr::start_current, "", nullptr,
     "for how long {} takes its starting current, and whether its fuse stands that"},
};
/// A cold glow plug or glass pane takes more than a warm one; nobody works out how long.
constexpr AttrSpec heater_attributes[] = {
    {"{A}", Attr::current, "current, warm"},
    {"{W}", Attr::power, "power, warm"},
    {"{ohm}", Attr::resistance, "resistance, warm"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
    {"starts at {A}", Attr::start_current, "current when cold", nullptr,
     "for how long {} takes its starting current, and whether its fuse stands that"},
};
/// What hangs on an outlet is the most that may be plugged in.
constexpr AttrSpec socket_attributes[] = {
    {"{A}", Attr::current, "the most that may be plugged in"},
    {"{W}", Attr::power, "the most that may be plugged in"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
};
constexpr AttrSpec lamp_attributes[] = {
    {"{W}", Attr::power, "power"},
    {"{W/W}", Attr::power, "power of the two filaments"},
    {"{A}", Attr::current, "current"},
    {"{ohm}", Attr::resistance, "resistance, hot"},
    {"at {V}", Attr::voltage_at, "the voltage at which this holds"},
    {"{V}", Attr::voltage_at, ""},
    {"filaments {word} and {word}", Attr::filaments, "names of the two filaments"},
    {"halogen", Attr::told, "", "halogen"},
    {"incandescent", Attr::told, "", "halogen"},
    {"common case", Attr::case_grounded, "both filaments end at its case, which is its ground", "on"},
    {"case common", Attr::case_grounded, "", "on"},
};
template <Element element> void expand_two_ended(PartBuilder& b) {
    const TerminalId from = b.part().terminals.front(), to = b.part().terminals.back();
    add_load(b, element, from, to);
    mount(b, grounded_end(b));
}

void shape_lamp(PartBuilder& b) {
    if (!b.has(Attr::power2) && !b.has(Attr::filaments)) {
        for (const TerminalSpec& t : either_way) b.add_terminal(t);
        return;
    }
    std::string first = "1", second = "2";
    if (const std::string names = b.word(Attr::filaments); !names.empty()) {
        first = names.substr(0, names.find(' '));
        second = names.substr(names.find(' ') + 1);
    }
    // A second filament may stay unused; the common end may not.
    b.add_terminal({first.c_str(), Role::filament, 1, false, ""});
    b.add_terminal({second.c_str(), Role::filament, 1, false, ""});
    b.add_terminal({"common", Role::minus, 1, true, "- 31 case ground"});
}

void expand_lamp(PartBuilder& b) {
    const auto& t = b.part().terminals;
    add_load(b, Element::filament, t[0], t.back());
    if (t.size() == 3) add_load(b, Element::filament, t[1], t.back(), Attr::power2);
    mount(b, t.back());
}

} // namespace

const KindSpec lamp_kind{
    .kind = Kind::lamp,
    .keyword = "lamp",
    .title = "lamp",
    .letter = "E",
    .also = "bulb light spotlight headlamp headlight foglight foglamp lights lamps",
    .example = "lamp E1 \"reversing lamp\", 21 W\nlamp E2 \"headlamp, left\", 60/55 W, filaments main and dip",
    .parts = "parts/lamps.loom",
    .is_load = true,
    .does = "lit",
    .does_weakly = "dim",
    .may_lie_in_a_row = true,
    .attributes = lamp_attributes,
    .shape = shape_lamp,
    .expand = expand_lamp};
const KindSpec led_kind{.kind = Kind::led,
                        .keyword = "led",
                        .title = "LED lamp",
                        .letter = "E",
                        .also = "led-strip led-lamp led-lamps led-light led-lights",
                        .example = "led E1 \"light bar\", 120 W",
                        .is_load = true,
                        .wrong_way = "Diodes block: it stays dark, and some do not stand it.",
                        .spoilt_wrong_way = true,
                        .does = "lit",
                        .does_weakly = "dim",
                        .may_lie_in_a_row = true,
                        .terminals = poles,
                        .attributes = load_attributes,
                        .expand = expand_two_ended<Element::constant_power>};
const KindSpec horn_kind{.kind = Kind::horn,
                         .keyword = "horn",
                         .title = "horn",
                         .letter = "H",
                         .example = "horn H1, 5 A",
                         .is_load = true,
                         .does = "sounds",
                         .does_weakly = "sounds weak",
                         .for_seconds = true,
                         .wants_full_volts = true,
                         .may_lie_in_a_row = true,
                         .ends = Ends::either,
                         .terminals = either_way,
                         .attributes = load_attributes,
                         .expand = expand_two_ended<Element::resistance>};
const KindSpec solenoid_kind{.kind = Kind::solenoid,
                             .keyword = "solenoid",
                             .title = "solenoid",
                             .letter = "Y",
                             .example = "solenoid Y1 \"fuel cut-off\", 2 A",
                             .is_load = true,
                             .wants_full_volts = true,
                             .may_lie_in_a_row = true,
                             .ends = Ends::either,
                             .terminals = either_way,
                             .attributes = load_attributes,
                             .expand = expand_two_ended<Element::resistance>};
const KindSpec heater_kind{.kind = Kind::heater,
                           .keyword = "heater",
                           .title = "heater",
                           .letter = "E",
                           .also = "demister glow-plug glowplug diesel-heater",
                           .example = "heater E5 \"rear window\", 12 A",
                           .is_load = true,
                           .wants_full_volts = true,
                           .may_lie_in_a_row = true,
                           .ends = Ends::either,
                           .terminals = either_way,
                           .attributes = heater_attributes,
                           .expand = expand_two_ended<Element::resistance>};
const KindSpec socket_kind{.kind = Kind::socket,
                           .keyword = "socket",
                           .title = "outlet",
                           .letter = "X",
                           .also = "outlet usb-socket usb-outlet",
                           .example = "socket X9 \"12 V outlet\", 10 A",
                           .is_load = true,
                           .wrong_way = "Whatever is plugged in gets plus and minus exchanged: electronics do not stand it.",
                           .terminals = poles,
                           .attributes = socket_attributes,
                           .expand = expand_two_ended<Element::resistance>};
const KindSpec load_kind{.kind = Kind::load,
                         .keyword = "load",
                         .title = "load",
                         .letter = "E",
                         .also = "fridge refrigerator freezer coolbox",
                         .example = "load E9 \"heated seat\", 8 A",
                         .is_load = true,
                         .may_lie_in_a_row = true,
                         .ends = Ends::either,
                         .terminals = either_way,
                         .attributes = plain_load_attributes,
                         .expand = expand_two_ended<Element::resistance>};

} // namespace loomproof
