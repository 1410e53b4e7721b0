#include "support/handmade.hpp"

#include <cmath>
#include <stdexcept>
#include <utility>

namespace loomproof::support {

namespace {

template <class Q> Stated<Q> stated(double value, double spread = 0) {
    if (std::isnan(value)) return {};
    const Knowledge how = spread == 0 ? Knowledge::given : Knowledge::about;
    return {how, Q{value}, Q{value * (1 - spread)}, Q{value * (1 + spread)}, {}, {}};
}

} // namespace

Handmade::Handmade() {
    circuit.revisions.emplace_back();
    terminal(add_part(Kind::metal, "body"), "", Role::joint);
}

Span Handmade::next_span() {
    const std::uint32_t begin = 100 * statements_++;
    return {0, begin, begin + 50};
}

PartId Handmade::add_part(Kind kind, std::string name) {
    Part part;
    part.kind = kind;
    part.name = std::move(name);
    part.life = life();
    part.span = next_span();
    part.name_span = {part.span.source, part.span.begin, part.span.begin + 5};
    part.origin = {provenance_, part.span, {}};
    circuit.parts.push_back(std::move(part));
    return PartId{circuit.parts.size() - 1};
}

TerminalId Handmade::terminal(PartId part, std::string stamp, Role role, std::uint8_t half) {
    Terminal t;
    t.part = part;
    t.stamp = std::move(stamp);
    t.role = role;
    t.half = half;
    circuit.terminals.push_back(std::move(t));
    const TerminalId id{circuit.terminals.size() - 1};
    circuit.parts[part.index].terminals.push_back(id);
    return id;
}

ControlId Handmade::control(PartId part, Control::Type type, std::vector<std::string> positions, std::string name) {
    Control c;
    c.part = part;
    c.type = type;
    c.name = std::move(name);
    c.positions = std::move(positions);
    circuit.controls.push_back(std::move(c));
    const ControlId id{circuit.controls.size() - 1};
    circuit.parts[part.index].controls.push_back(id);
    return id;
}

Primitive& Handmade::primitive(PartId part, Element element, TerminalId a, TerminalId b) {
    Primitive p;
    p.element = element;
    p.part = part;
    p.a = a;
    p.b = b;
    p.life = life();
    circuit.primitives.push_back(p);
    return circuit.primitives.back();
}

void Handmade::attribute(PartId part, Attr key, double value, std::string word) {
    Attribute a;
    a.key = key;
    if (!std::isnan(value)) a.value = Stated<double>::exactly(value);
    a.word = std::move(word);
    a.life = life();
    circuit.parts[part.index].attributes.push_back(std::move(a));
}

PartId Handmade::battery(std::string name, double ohms, double volts) {
    const PartId part = add_part(Kind::battery, std::move(name));
    const TerminalId plus = terminal(part, "+", Role::plus), minus = terminal(part, "-", Role::minus);
    Primitive& source = primitive(part, Element::source, plus, minus);
    source.strong = true;
    source.voltage = stated<Volts>(volts);
    source.resistance = stated<Ohms>(ohms);
    return part;
}

PartId Handmade::alternator(std::string name, double amps) {
    const PartId part = add_part(Kind::alternator, std::move(name));
    const TerminalId plus = terminal(part, "B+", Role::output), minus = terminal(part, "-", Role::minus);
    Primitive& source = primitive(part, Element::source, plus, minus);
    source.current = stated<Amps>(amps);
    source.voltage = stated<Volts>(14.2);
    primitive(part, Element::joint, minus, at("body")).purpose = Purpose::mounting;
    return part;
}

PartId Handmade::starter(std::string name) {
    const PartId part = add_part(Kind::starter, std::move(name));
    const TerminalId feed = terminal(part, "30", Role::plus), trigger = terminal(part, "50", Role::signal);
    const TerminalId frame = terminal(part, "case", Role::minus), motor = terminal(part, "motor", Role::joint);
    const ControlId solenoid = control(part, Control::Type::relay, {"rest", "pulled in"}, "solenoid");
    Primitive& coil = primitive(part, Element::resistance, trigger, frame);
    coil.purpose = Purpose::starter_solenoid;
    coil.current = stated<Amps>(30);
    Primitive& contact = primitive(part, Element::contact, feed, motor);
    contact.purpose = Purpose::make_contact;
    contact.control = solenoid;
    contact.closed_in = 0b10;
    primitive(part, Element::machine, motor, frame).current = stated<Amps>(180);
    primitive(part, Element::joint, frame, at("body")).purpose = Purpose::mounting;
    return part;
}

PartId Handmade::supply(std::string name, double behind, std::string when, Kind kind) {
    const PartId part = add_part(kind, std::move(name));
    const TerminalId out = terminal(part, "", Role::output), feed = terminal(part, "feed", Role::joint);
    const TerminalId fused = when.empty() ? out : terminal(part, "fused", Role::joint);
    const bool positive = circuit.vehicle.positive_ground;
    Primitive& source = primitive(part, Element::source, positive ? at("body") : feed, positive ? feed : at("body"));
    source.strong = true;
    source.voltage = stated<Volts>(12);
    primitive(part, Element::protector, feed, fused).rating = stated<Amps>(behind);
    if (!std::isnan(behind)) attribute(part, Attr::rating, behind);
    if (when.empty()) return part;
    const ControlId condition = control(part, Control::Type::condition, {"no", "yes"}, when);
    Primitive& contact = primitive(part, Element::contact, fused, out);
    contact.purpose = Purpose::feed_condition;
    contact.control = condition;
    contact.closed_in = 0b10;
    return part;
}

PartId Handmade::fuse(std::string name, double amps, std::string type) {
    const PartId part = add_part(Kind::fuse, std::move(name));
    const TerminalId a = terminal(part, "1", Role::end1), b = terminal(part, "2", Role::end2);
    primitive(part, Element::protector, a, b).rating = stated<Amps>(amps);
    if (!std::isnan(amps)) attribute(part, Attr::rating, amps);
    if (!type.empty()) attribute(part, Attr::fuse_type, not_said, type);
    return part;
}

PartId Handmade::link(std::string name, double mm2, std::string size) {
    const PartId part = add_part(Kind::link, std::move(name));
    const TerminalId a = terminal(part, "1", Role::end1), b = terminal(part, "2", Role::end2);
    primitive(part, Element::protector, a, b);
    if (!std::isnan(mm2)) attribute(part, Attr::area, mm2 * 1e-6, std::move(size));
    return part;
}

PartId Handmade::breaker(std::string name, double amps) {
    const PartId part = add_part(Kind::breaker, std::move(name));
    const TerminalId a = terminal(part, "1", Role::end1), b = terminal(part, "2", Role::end2);
    primitive(part, Element::protector, a, b).rating = stated<Amps>(amps);
    if (!std::isnan(amps)) attribute(part, Attr::rating, amps);
    return part;
}

PartId Handmade::load(std::string name, double amps, Element element) {
    const PartId part = add_part(element == Element::machine ? Kind::motor : Kind::load, std::move(name));
    const TerminalId a = terminal(part, "1", Role::end1), b = terminal(part, "2", Role::end2);
    Primitive& p = primitive(part, element, a, b);
    p.current = stated<Amps>(amps);
    p.voltage = stated<Volts>(12);
    return part;
}

PartId Handmade::relay(std::string name, bool change_over) {
    const PartId part = add_part(Kind::relay, std::move(name));
    const TerminalId coil_a = terminal(part, "86", Role::coil_plus), coil_b = terminal(part, "85", Role::coil_minus);
    const TerminalId common = terminal(part, "30", Role::common), make = terminal(part, "87", Role::make);
    const ControlId coil = control(part, Control::Type::relay,
                                   change_over ? std::vector<std::string>{"rest", "between", "pulled in"}
                                               : std::vector<std::string>{"rest", "pulled in"});
    Primitive& winding = primitive(part, Element::resistance, coil_a, coil_b);
    winding.purpose = Purpose::coil;
    winding.current = stated<Amps>(12.0 / 85);
    winding.resistance = stated<Ohms>(85);
    Primitive& makes = primitive(part, Element::contact, common, make);
    makes.purpose = Purpose::make_contact;
    makes.control = coil;
    makes.closed_in = change_over ? 0b100 : 0b10;
    if (!change_over) return part;
    const TerminalId rest = terminal(part, "87a", Role::rest);
    Primitive& rests = primitive(part, Element::contact, common, rest);
    rests.purpose = Purpose::rest_contact;
    rests.control = coil;
    rests.closed_in = 0b1;
    return part;
}

PartId Handmade::toggle(std::string name) {
    const PartId part = add_part(Kind::switching, std::move(name));
    const TerminalId a = terminal(part, "1", Role::end1), b = terminal(part, "2", Role::end2);
    const ControlId lever = control(part, Control::Type::hand, {"off", "on"});
    Primitive& contact = primitive(part, Element::contact, a, b);
    contact.purpose = Purpose::switch_contact;
    contact.control = lever;
    contact.closed_in = 0b10;
    return part;
}

PartId Handmade::selector(std::string name, int positions) {
    const PartId part = add_part(Kind::switching, std::move(name));
    const TerminalId common = terminal(part, "common", Role::contact);
    std::vector<std::string> names{"off"};
    for (int i = 1; i <= positions; ++i) names.push_back(std::to_string(i));
    const ControlId lever = control(part, Control::Type::hand, names);
    for (int i = 1; i <= positions; ++i) {
        const TerminalId out = terminal(part, std::to_string(i), Role::contact);
        Primitive& contact = primitive(part, Element::contact, common, out);
        contact.purpose = Purpose::switch_contact;
        contact.control = lever;
        contact.closed_in = std::uint64_t{1} << i;
    }
    return part;
}

PartId Handmade::diode(std::string name) {
    const PartId part = add_part(Kind::diode, std::move(name));
    const TerminalId plain = terminal(part, "1", Role::anode), band = terminal(part, "2", Role::cathode);
    primitive(part, Element::junction, plain, band);
    return part;
}

PartId Handmade::splice(std::string name, Kind kind) {
    const PartId part = add_part(kind, std::move(name));
    terminal(part, "", Role::joint);
    return part;
}

PartId Handmade::ground(std::string name) {
    const PartId part = add_part(Kind::ground, std::move(name));
    const TerminalId stud = terminal(part, "", Role::joint);
    primitive(part, Element::joint, stud, at("body")).purpose = Purpose::mounting;
    return part;
}

PartId Handmade::connector(std::string name, int holes) {
    const PartId part = add_part(Kind::connector, std::move(name));
    for (int i = 1; i <= holes; ++i) {
        const TerminalId first = terminal(part, std::to_string(i), Role::hole, 0);
        const TerminalId second = terminal(part, std::to_string(i), Role::hole, 1);
        primitive(part, Element::joint, first, second).purpose = Purpose::hole;
    }
    return part;
}

PartId Handmade::loose_end(std::string name) {
    const PartId part = add_part(Kind::loose_end, std::move(name));
    terminal(part, "", Role::joint);
    return part;
}

PlaceId Handmade::place(const std::string& name) {
    for (std::size_t i = 0; i < circuit.places.size(); ++i)
        if (circuit.places[i].name == name) return PlaceId{i};
    Place p;
    p.name = name;
    if (name == "engine-bay") p.temperature = stated<Celsius>(70);
    if (name == "cabin") p.temperature = stated<Celsius>(30);
    circuit.places.push_back(p);
    return PlaceId{circuit.places.size() - 1};
}

void Handmade::put(PartId part, std::string where) { circuit.parts[part.index].place = place(where); }

WireId Handmade::wire(std::string_view from, std::string_view to, WireSpec spec) {
    Wire w;
    w.a = at(from);
    w.b = at(to);
    w.name = spec.name.empty() ? "wire " + std::to_string(circuit.wires.size() + 1) : spec.name;
    w.named = !spec.name.empty();
    w.area = stated<SquareMetres>(spec.mm2 * 1e-6);
    w.size = spec.size;
    w.length = stated<Metres>(spec.metres, spec.spread);
    w.insulation_class = stated<Celsius>(spec.insulation);
    w.sleeved = spec.sleeved;
    w.starter_cable = spec.starter_cable;
    w.winch_cable = spec.winch_cable;
    if (!spec.place.empty()) w.place = place(spec.place);
    w.life = life();
    w.span = next_span();
    w.a_span = {0, w.span.begin + 10, w.span.begin + 15};
    w.b_span = {0, w.span.begin + 20, w.span.begin + 25};
    w.origin = {provenance_, w.span, {}};
    circuit.wires.push_back(std::move(w));
    return WireId{circuit.wires.size() - 1};
}

PartId Handmade::part(std::string_view name) const {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i)
        if (circuit.parts[i].name == name) return PartId{i};
    throw std::runtime_error("no part is called " + std::string(name));
}

TerminalId Handmade::at(std::string_view end) const {
    const auto colon = end.find(':');
    const Part& p = circuit.at(part(end.substr(0, colon)));
    std::string stamp(colon == std::string_view::npos ? "" : end.substr(colon + 1));
    const bool second = p.kind == Kind::connector && stamp.ends_with('b');
    if (second) stamp.pop_back();
    for (TerminalId t : p.terminals)
        if (circuit.at(t).stamp == stamp && circuit.at(t).half == (second ? 1 : 0)) return t;
    throw std::runtime_error("no terminal is called " + std::string(end));
}

Wire& Handmade::wire(std::string_view name) {
    for (Wire& w : circuit.wires)
        if (w.name == name) return w;
    throw std::runtime_error("no wire is called " + std::string(name));
}

void Handmade::job(std::string title) {
    RevisionInfo info;
    info.title = std::move(title);
    info.status = RevisionInfo::Status::planned;
    circuit.revisions.push_back(info);
    revision_ = circuit.last_revision();
    provenance_ = Provenance::job;
}

void Handmade::factory() {
    circuit.has_factory = true;
    provenance_ = Provenance::factory;
}

void Handmade::rate(PartId part, double amps) {
    for (Attribute& a : circuit.parts[part.index].attributes)
        if (a.key == Attr::rating && a.life.gone == never) a.life.gone = revision_;
    attribute(part, Attr::rating, amps);
    const std::size_t count = circuit.primitives.size();
    for (std::size_t i = 0; i < count; ++i) {
        if (circuit.primitives[i].part != part || circuit.primitives[i].life.gone != never) continue;
        Primitive changed = circuit.primitives[i];
        circuit.primitives[i].life.gone = revision_;
        changed.life = life();
        changed.rating = stated<Amps>(amps);
        circuit.primitives.push_back(changed);
    }
}

void Handmade::accept(std::string rule, std::string thing, std::string because) {
    Acceptance a;
    a.rule = std::move(rule);
    a.thing = std::move(thing);
    a.because = std::move(because);
    a.span = next_span();
    circuit.acceptances.push_back(std::move(a));
}

} // namespace loomproof::support
