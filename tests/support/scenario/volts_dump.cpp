// Circuits from the generator with the volts and amps that Loomproof works out, for the peers: volts_dump COUNT prints, tab-separated,
//
//   file      NAME
//   ...       the generator's own edge list (edges.cpp)
//   area      WIRE  PIECE  AREA/m2  PLACE/degC  DOUBLED/A  MOST
//   part      ELEMENT  PURPOSE  PART  A  B  CONTROL  CLOSED-IN  VOLTS  AMPS  OHMS  strong|limited  CHEMISTRY
//   fuse      PART  OHMS  DOUBLED/A  MOST
//   condition warmed|cold  running|stopped  SYSTEM/V  REFERENCE
//   point     CONTROL=POSITION ...       the circuit at rest with the switches so
//   volts     NODE  V                    `-` where it floats
//   amps      WIRE  PIECE  A
//
// AREA, PLACE: what the reader made of the text. DOUBLED, MOST: where a conductor's own current has doubled its resistance, and how far
// that goes. PART: an element inside a part as it was read, with its figures (`-`: not stated; AMPS of a contact are those it is made for) and
// no law: the laws are the peer's own. A coil's control is the one that it works; none where it does not.
#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "solve/model.hpp"
#include "solve/settle.hpp"
#include "support/scenario/scenario.hpp"

#include <cstdio>
#include <stdexcept>

#include <fmt/format.h>

namespace loomproof {

namespace {

std::string node_name(const Circuit& c, TerminalId id) {
    const Terminal& t = c.at(id);
    const Part& part = c.at(t.part);
    if (part.kind == Kind::connector) { return fmt::format("{}:{}/{}", part.name, t.stamp, t.half); }
    if (t.internal) { return fmt::format("inside {} {}", part.name, id.index); }
    return t.stamp.empty() || part.kind == Kind::metal ? part.name : part.name + ":" + t.stamp;
}

const char* word(Element e) {
    switch (e) {
    case Element::joint: return "joint";
    case Element::contact: return "contact";
    case Element::protector: return "protector";
    case Element::resistance: return "resistance";
    case Element::filament: return "filament";
    case Element::junction: return "junction";
    case Element::machine: return "machine";
    case Element::constant_power: return "constant power";
    case Element::source: return "source";
    case Element::meter: return "meter";
    }
    return "";
}

const char* word(Purpose p) {
    switch (p) {
    case Purpose::coil: return "coil";
    case Purpose::suppressor: return "suppressor";
    case Purpose::make_contact:
    case Purpose::rest_contact: return "relay";
    case Purpose::switch_contact: return "switch";
    case Purpose::hole: return "hole";
    case Purpose::mounting: return "mounting";
    case Purpose::feed_condition: return "feed";
    case Purpose::starter_solenoid: return "solenoid";
    case Purpose::charge_lamp_terminal: return "charge lamp";
    case Purpose::pull_in_winding: return "pull-in";
    case Purpose::leak: return "leak";
    case Purpose::sensing: return "sensing";
    default: return "plain";
    }
}

template <class Q> std::string figure(const Stated<Q>& s) { return s.known() ? fmt::format("{}", s.nominal.si) : "-"; }

std::string control_name(const Circuit& c, ControlId id) {
    if (!id.exists()) { return ""; }
    const Control& k = c.at(id);
    return k.type == Control::Type::condition ? "when " + k.name
           : k.name.empty()                   ? name_of(c, k.part)
                                              : name_of(c, k.part) + "." + k.name;
}

void parts(fmt::memory_buffer& out, const solve::Model& model) {
    const View& view = model.view();
    const Circuit& c = view.circuit();
    const solve::Conditions& conditions = model.conditions();
    for (WireId id : view.wires()) {
        const Wire& w = c.at(id);
        const solve::Device d = solve::wire_device(view, id, conditions);
        fmt::format_to(fmt::appender(out), "area\t{}\t{}\t{}\t{}\t{}\t{}\n", w.name, w.piece, w.area.nominal.si,
                       temperature_at(c, w.place).nominal.degrees, d.amps, d.most);
    }
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        ControlId control = p.control;
        for (const solve::Coil& coil : model.coils()) {
            if (coil.primitive == id) { control = coil.control; }
        }
        // Its coil goes with its contact, whoever moves that.
        if (p.purpose == Purpose::sensing) { control = c.at(p.part).controls.front(); }
        const bool alone = p.purpose == Purpose::starter_solenoid && view.has(p.part, Attr::hold_in);
        fmt::format_to(fmt::appender(out), "part\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\n", word(p.element),
                       alone ? "hold-in" : (solve::is_armature(c, p) ? "armature" : word(p.purpose)),
                       name_of(c, p.part), node_name(c, p.a), node_name(c, p.b), control_name(c, control), p.closed_in,
                       figure(p.voltage), figure(p.element == Element::contact ? p.rating : p.current),
                       figure(p.resistance), p.strong ? "strong" : "limited", view.word(p.part, Attr::chemistry));
        if (p.element != Element::protector) { continue; }
        const solve::Device d = solve::primitive_model(view, id, conditions).device;
        fmt::format_to(fmt::appender(out), "fuse\t{}\t{}\t{}\t{}\n", name_of(c, p.part), d.ohms, d.amps, d.most);
    }
}

/// The switches at random, the relays where they come to rest; empty where they do not.
solve::Positions at_random(solve::Model& model, scenario::Choices& choices) {
    const Circuit& c = model.circuit();
    solve::Positions p = solve::at_rest(c);
    for (ControlId id : model.controls()) {
        const Control& k = c.at(id);
        if (k.type == Control::Type::relay) { continue; }
        p[id.index] = static_cast<std::uint8_t>(choices.below(static_cast<std::uint32_t>(k.positions.size())));
        if (k.type != Control::Type::condition) { continue; }
        for (std::size_t i = 0; i < id.index; ++i) {
            if (c.controls[i].type == k.type && c.controls[i].name == k.name) { p[id.index] = p[i]; }
        }
    }
    solve::Situations all(model, {}, 512);
    const auto start = all.find(p);
    const solve::Settled s = all.settle(*start);
    return s.ends.empty() ? solve::Positions{} : all.at(s.ends.front()).positions;
}

void point(fmt::memory_buffer& out, solve::Model& model, const solve::Positions& positions) {
    const Circuit& c = model.circuit();
    const solve::Point found = model.point(positions);
    if (!found.settled) { throw std::runtime_error("an operating point was not found"); }
    fmt::format_to(fmt::appender(out), "point");
    for (ControlId id : model.controls()) {
        fmt::format_to(fmt::appender(out), "\t{}={}", control_name(c, id), positions[id.index]);
    }
    fmt::format_to(fmt::appender(out), "\n");
    for (std::size_t t = 0; t < c.terminals.size(); ++t) {
        if (!model.view().alive(c.terminals[t].part) || c.terminals[t].internal) { continue; }
        const auto& v = found.volts[t];
        fmt::format_to(fmt::appender(out), "volts\t{}\t{}\n", node_name(c, TerminalId{t}),
                       v ? fmt::format("{}", v->si) : "-");
    }
    for (WireId w : model.view().wires()) {
        if (const auto& amps = found.wire_amps[w.index]) {
            fmt::format_to(fmt::appender(out), "amps\t{}\t{}\t{}\n", c.at(w).name, c.at(w).piece, amps->si);
        }
    }
}

void circuit(int i) {
    using scenario::Profile;
    static constexpr Profile profiles[] = {Profile::tangled, Profile::clean, Profile::tangled, Profile::history,
                                           Profile::stress};
    const auto seed = static_cast<std::uint64_t>(i) + 1;
    const scenario::Scenario made = scenario::make(seed, 5 + i * 7 % 50, profiles[i % 5]);
    Sources sources;
    const Reading reading = read_circuit_text(sources, "made", scenario::write(made.plan).main());
    if (!reading.findings.empty()) { throw std::runtime_error(reading.findings.front().headline); }
    const View view = View::now(reading.circuit);
    solve::Conditions conditions;
    conditions.warmed = i % 2 == 0;
    conditions.engine_running = i % 3 == 0;
    fmt::memory_buffer out;
    fmt::format_to(fmt::appender(out), "file\t{}\n{}", i, scenario::edge_list(made.plan));
    solve::Model model(view, conditions);
    fmt::format_to(fmt::appender(out), "condition\t{}\t{}\t{}\t{}\n", conditions.warmed ? "warmed" : "cold",
                   conditions.engine_running ? "running" : "stopped", reading.circuit.vehicle.system.si,
                   node_name(reading.circuit, model.reference()));
    parts(out, model);
    scenario::Choices choices(seed);
    for (int round = 0; round < 2; ++round) {
        if (const solve::Positions p = at_random(model, choices); !p.empty() || model.controls().empty()) {
            point(out, model, p);
        }
    }
    std::fwrite(out.data(), 1, out.size(), stdout);
}

} // namespace

} // namespace loomproof

int main(int count, char** values) {
    try {
        const int circuits = count == 2 ? std::stoi(values[1]) : 0;
        for (int i = 0; i < circuits; ++i) { loomproof::circuit(i); }
        return circuits > 0 ? 0 : 2;
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return 2;
    }
}
