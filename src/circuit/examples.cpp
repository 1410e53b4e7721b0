#include "circuit/examples.hpp"

#include "base/words.hpp"

#include <algorithm>

namespace loomproof {

namespace {

// clang-format off
constexpr StatementExample statements[] = {
    {"wire, cable, lead",
     "From where to where, then its size, colour and length, in any order, with commas between. Size: 2.5 mm2 or 14 awg. Colour: red, or blue/white with the stripe second. Length: 2 m, 60 cm, 6 ft, unknown m. "
     "An end is a part and its terminal (K1:30, battery:+), a plug and its hole (X7:1), ground, or a splice. It may also have: in engine-bay, sleeved, GXL, tag 1, signal. On its way it may go through plugs: from F3 through X7:1 to M2:+. "
     "A wire needs no name.",
     "wire from F1 to K1:30, 2.5 mm2 red, 1.2 m", "fuse F1, 20 A\nrelay K1, 4-pin\n"},
    {"size, gauge, awg, mm2", "How thick a wire is: square millimetres of copper or AWG number, behind the wire's ends. guessed 2.5 mm2 where nobody knows for sure.",
     "wire from battery:+ to F1, 12 awg red, 0.1 m", "battery, 60 Ah\nfuse F1, 20 A\n"},
    {"colour, color, colours, colors", "Of a wire: the main colour in words, then a / and the colour of the stripe. Letters are read after IEC 60757 (BU/WH), or after the file says whose they are: colours british.",
     "wire from F1 to E1, 1.5 mm2 blue/white, 2 m", "fuse F1, 10 A\nlamp E1, 21 W\n"},
    {"length", "Of a wire: along its way, not through the air. about 2 m, measured 1.4 m, guessed 2 m; unknown m where nobody knows.",
     "wire from F1 to E1, 1.5 mm2 red, about 2 m", "fuse F1, 10 A\nlamp E1, 21 W\n"},
    {"bundle", "What many wires share; each of them says: in nose.", "bundle nose \"front loom\", in engine-bay", ""},
    {"place, where", "Where something is on the car, and how warm it gets there. Behind a part or wire: in engine-bay.", "place engine-bay, 85 degC", ""},
    {"job", "One piece of work on the vehicle: what was added, cut, moved or taken out stands in its block. planned, or fitted with the day.",
     "job \"Light bar\" planned {\n  why \"dark roads\"\n  led E1 \"light bar\", 120 W\n}", ""},
    {"cut", "In a job: a wire is cut, and the two pieces get names.", "job \"Relay\" planned {\n  cut W1 0.2 m from E1: W1x stays at E1, W1f stays at F1\n}",
     "fuse F1, 10 A\nlamp E1, 21 W\nwire W1 from F1 to E1, 1.5 mm2 red, 2 m\n"},
    {"cap", "A loose end is closed off, so that nothing can touch it.", "cap W1, sealed sleeve", "fuse F1, 10 A\nwire W1 from F1 to nothing, 1.5 mm2 red, 2 m\n"},
    {"remove", "In a job: a part or a wire is taken out.", "job \"Fog lamp off\" planned {\n  remove E1, kept in boot\n}", "lamp E1, 21 W\n"},
    {"move", "In a job: one end of a wire goes somewhere else.", "job \"Relay\" planned {\n  relay K1, 4-pin\n  move W1 off E1:1 onto K1:86\n}",
     "fuse F1, 10 A\nlamp E1, 21 W\nwire W1 from F1 to E1:1, 1.5 mm2 red, 2 m\n"},
    {"expect", "What should happen; a check says where the circuit does not do it.", "expect E1 on when S1 on", "lamp E1, 21 W\nswitch S1\n"},
    {"never", "What must not happen; a check says where it does.", "never E1 with E2", "lamp E1, 21 W\nlamp E2, 21 W\n"},
    {"accept", "Silences one finding, and says why. The name of the finding stands at its right.", "accept unfused-feed on W11 because \"taken off when parked\"",
     "battery, 60 Ah\nlamp E1, 21 W\nwire W11 from battery:+ to E1, 1.5 mm2 red, 2 m\n"},
    {"limit", "A limit of this file in place of the usual one, and why.", "limit voltage-drop 0.3 V because \"bright lamps wanted\"", ""},
    {"still, still to wire", "Ends that you have not wired yet.", "still to wire: K1:85, E1:-", "relay K1, 4-pin\nled E1, 20 W\n"},
    {"complete", "Says that every end that should have a wire has one. From then on an open end is a fault.", "complete", ""},
    {"use", "Reads another file in the same folder too, or one of the parts that come with Loomproof.", "use \"parts/lamps.loom\"", ""},
    {"type", "What is said once for many parts. Each part then says: as \"mini 4-pin\".", "type \"mini 4-pin\" is a relay, 4-pin, 40 A", ""},
    {"vehicle", "Which vehicle it is. partly described: there is more on it than stands in the file.", "vehicle \"Ridgeback pickup, 1986\", partly described", ""},
    {"system", "The volts of the vehicle, where they are not 12 V.", "system 24 V", ""},
    {"restraint, airbag", "Wires of airbags and belt tensioners: never tapped, never probed. Whatever touches them is a danger.", "restraint W50",
     "battery, 60 Ah\nlamp E1, 21 W\nwire W50 from battery:+ to E1, 1.5 mm2 red, 2 m\n"},
    {"engine", "When the engine runs, for circuits in which that matters: it is cranked, idles, runs and dies wherever it can.", "engine, runs while Y1 is fed", "load Y1 \"ignition coil\", 3 ohm\n"},
};
// clang-format on

/// What stands for a word in an example, by how the pattern begins.
constexpr struct {
    const char *begins, *first, *second;
} named_words[]{{"filaments", "main", "dip"}, {"between", "body", "trailer"},
                {"in", "FB1", "3"},           {"latch", "up", ""},
                {"lamp", "D+", ""},           {"sense", "S", ""},
                {"kept", "boot", ""},         {"stamped", "3", "30"}};

} // namespace

std::string as_typed(const AttrSpec& spec) {
    std::string example = spec.pattern;
    const auto replace = [&](const char* slot, const char* by) {
        if (const auto at = example.find(slot); at != std::string::npos)
            example.replace(at, std::string(slot).size(), by);
    };
    replace("{A}", "20 A");
    replace("{W}", "55 W");
    replace("{W}", "98 W");
    replace("{V}", "13 V");
    replace("{ohm}", "85 ohm");
    replace("{ohm}", "180 ohm");
    replace("{m} to {m}", "1.2 mm to 2.1 mm");
    replace("{m}", "0.2 m");
    replace("{Ah}", "60 Ah");
    replace("{degC}", "92 degC");
    replace("{bar}", "1.2 bar");
    replace("{size}", "16 sae");
    replace("{size}", "12 sae");
    replace("{n}", "2");
    replace("{F}", "2.2 uF");
    replace("{s}", "30 s");
    replace("{s}", "5 min");
    replace("{Hz}", "100 Hz");
    replace("{W/W}", "60/55 W");
    for (const auto& [begins, first, second] : named_words)
        if (example.starts_with(begins)) replace("{word}", first), replace("{word}", second);
    replace("{word}", "86");
    replace("{text}", "\"...\"");
    replace("{colour}", "blue/white");
    replace("{metal}", "engine");
    replace("{place}", "engine-bay");
    return example;
}

std::span<const StatementExample> statement_examples() { return statements; }

const StatementExample* find_statement_example(std::string_view wanted) {
    for (const StatementExample& s : statements)
        for (std::string_view rest = s.words; !rest.empty();) {
            const std::size_t end = std::min(rest.find(", "), rest.size());
            if (equal_ignoring_case(rest.substr(0, end), wanted)) return &s;
            rest.remove_prefix(std::min(end + 2, rest.size()));
        }
    return nullptr;
}

std::string_view purpose_of(Role role) {
    switch (role) {
    case Role::coil_plus:
    case Role::coil_minus: return "coil";
    case Role::common: return "contact, the side that is fed";
    case Role::make: return "joined to the fed side while it is pulled in";
    case Role::rest: return "joined to the fed side while it is at rest";
    case Role::anode: return "plain end";
    case Role::cathode: return "end with the band";
    case Role::plus: return "plus";
    case Role::minus: return "ground side";
    case Role::end1:
    case Role::end2: return "either way round";
    case Role::output:
    case Role::contact:
    case Role::signal:
    case Role::hole:
    case Role::joint:
    case Role::filament: break;
    }
    return {};
}

} // namespace loomproof
