/// What people type when they have never typed a circuit file before: understood where it can mean one thing only, else one message
/// for one slip, whose cure is the line as it should be typed.

#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace loomproof;

namespace {

const std::string base = R"(loom 1
battery, 60 Ah
fuse F1, 20 A
relay K1, 4-pin, 40 A
lamp L1, 55 W
lamp L2, 55 W
connector X7, 2 holes
ground GND1 "wing"
)";

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& line) { reading = read_circuit_text(sources, "test.loom", base + line + "\n"); }
    std::string cures(std::size_t finding) const {
        std::string out;
        for (const Remedy& r : reading.findings[finding].cures) out += r.text + "\n";
        return out;
    }
    std::string headlines() const {
        std::string out;
        for (const Finding& f : reading.findings) out += f.headline + "\n";
        return out;
    }
};

} // namespace

TEST_CASE("typing that can mean one thing only is understood") {
    const std::vector<std::pair<std::string, std::string>> pairs = {
        {"wire from battery + to F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"wire from battery plus to F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"wire from battery positive to F1", "wire from battery:+ to F1"},
        {"wire from bat + to F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"wire from batt+ to F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"wire from battery+ to F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"wire from L1 to battery -, 1 mm2", "wire from L1 to battery:-, 1 mm2"},
        {"wire from L1 to battery – , 1 mm2", "wire from L1 to battery:-, 1 mm2"},
        {"wire from battery - to L1", "wire from battery:- to L1"},
        {"wire from F1 to K1 30, 1 mm2", "wire from F1 to K1:30, 1 mm2"},
        {"wire from F1 to K1 30 1 mm2 red", "wire from F1 to K1:30, 1 mm2 red"},
        {"wire from F1 to K1 pin 30, 1 mm2", "wire from F1 to K1:30, 1 mm2"},
        {"wire from F1 to relay K1:30, 1 mm2", "wire from F1 to K1:30, 1 mm2"},
        {"wire from fuse F1 to relay K1 terminal 30, 1 mm2", "wire from F1 to K1:30, 1 mm2"},
        {"wire from F1 to X7 hole 2, 1 mm2", "wire from F1 to X7:2, 1 mm2"},
        {"wire from F1 to ground GND1", "wire from F1 to GND1"},
        {"wire from F1 to L1 1 mm2 red 2 m", "wire from F1 to L1, 1 mm2 red, 2 m"},
        {"wire from F1 to L1 2 m", "wire from F1 to L1, 2 m"},
        {"wire L1 to L2, 1 mm2", "wire from L1 to L2, 1 mm2"},
        {"wire battery:+ to F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"wire batt+ to fuse F1, 1 mm2", "wire from battery:+ to F1, 1 mm2"},
        {"relay K2, 4 pin, 40 A", "relay K2, 4-pin, 40 A"},
        {"relay K2 40a 4 pin", "relay K2, 40 A, 4-pin"},
        {"relay K2, 5pin", "relay K2, 5-pin"},
        {"wire from F1 to L1, 1 mm2, in engine bay", "wire from F1 to L1, 1 mm2, in engine-bay"},
        {"wire from F1 to L1, 1 mm2 in engine bay sleeved", "wire from F1 to L1, 1 mm2, in engine-bay, sleeved"},
        {"lamp L3, in engine bay", "lamp L3, in engine-bay"},
        {"fuse F2,20 A", "fuse F2, 20 A"},
        {"wire from F1 to K1:30,12 awg,2 m", "wire from F1 to K1:30, 12 awg, 2 m"},
        {"wire from F1 to L1,12awg red,2m", "wire from F1 to L1, 12 awg red, 2 m"},
        {"bulb L3, 21w", "lamp L3, 21 W"},
        {"lamp L3, 21 W bulb", "lamp L3, 21 W"},
        {"lamp L3 12v 21w", "lamp L3, at 12 V, 21 W"},
        {"fuse F2: 20 A, blade fuse", "fuse F2, 20 A, blade"},
        {"fuse F2 – 20 A", "fuse F2, 20 A"},
        {"battery 1 100ah", "battery 1 100 Ah"},
        {"battery B2, lead acid", "battery B2, lead-acid"},
        {"wire from battery (+) to F1", "wire from battery:+ to F1"},
        {"wire from F1 to L1, 1.5 sq mm, 2 m", "wire from F1 to L1, 1.5 mm2, 2 m"},
        {"cable from F1 to L1, 1.5 mm2", "wire from F1 to L1, 1.5 mm2"},
        {"cable F1 to L1, 1.5 mm2", "wire from F1 to L1, 1.5 mm2"},
        {"wire W1: from F1 to L1", "wire W1 from F1 to L1"},
        {"wire W1: F1 to L1", "wire W1 from F1 to L1"},
        {"wire W1 F1 to L1", "wire W1 from F1 to L1"},
        {"system 12v negative earth", "system 12 V, negative ground"},
        {"isolator S1, 100 A", "switch S1, 100 A"},
        {"earth GND2 \"boot\"", "ground GND2 \"boot\""},
        {"fan M1, 9 A", "motor M1 \"fan\", 9 A"},
        {"winch M1 \"winch\", 400 A", "motor M1 \"winch\", 400 A"},
        {"spotlight L3, 55 W", "lamp L3, 55 W"},
        {"vehicle \"old car\", partly described, positive ground",
         "vehicle \"old car\", partly described\nsystem 12 V, positive ground"},
        {"vehicle \"old car\", partly described, 6 V, positive earth",
         "vehicle \"old car\", partly described\nsystem 6 V, positive ground"},
        {"breaker Q1, 40 A, automatic", "breaker Q1, 40 A, resets itself"},
        {"breaker Q1, 40 A, manual reset", "breaker Q1, 40 A, reset by hand"},
        {"battery B2, 100 Ah, LiFePO4", "battery B2, 100 Ah, lithium"},
        {"fuse F2 = 20 A", "fuse F2, 20 A"},
        {"relay K2, 40a 5pin with diode", "relay K2, 40 A, 5-pin, diode"},
        {"switch S1 on/off", "switch S1, on-off"},
        {"switch S1 on off", "switch S1, on-off"},
        {"wire from F1 to L1, length 2 m, colour: red, size 1 mm2", "wire from F1 to L1, 2 m, red, 1 mm2"},
        {"wire from F1 to L1, 2 m long, 1 mm2 cable", "wire from F1 to L1, 2 m, 1 mm2"},
        {"wire from F1 to L1, 2 m of 1 mm2", "wire from F1 to L1, 2 m, 1 mm2"},
        {"wire from F1 to L1, black with a white stripe", "wire from F1 to L1, black/white"},
        {"wire from F1 to L1, black/white tracer", "wire from F1 to L1, black/white"},
        {"wire from F1 via X7:1 to L1", "wire from F1 through X7:1 to L1"},
        {"wire from battery positive terminal to F1", "wire from battery:+ to F1"},
        {"wire from F1 to the L1", "wire from F1 to L1"},
        {"wire from L1 to body ground", "wire from L1 to ground"},
        {"wire from L1 to earth strap, 1 mm2", "wire from L1 to ground, 1 mm2"},
        {"wire from L1 to ground on body", "wire from L1 to ground"},
        {"metal engine\nwire from L1 to ground on engine", "metal engine\nwire from L1 to engine"},
        {"switch S1\nexpect L1 on if S1 is on", "switch S1\nexpect L1 on when S1 on"},
        {"wire from F1 to L1, 1.5 mm squared, approx 2 m", "wire from F1 to L1, 1.5 mm2, about 2 m"},
        {"lamp L3, 21/5 W, common case", "lamp L3, 21/5 W, grounded by its mounting"},
        {"wire from F1 to L1, 2.5 mm2 CCA", "wire from F1 to L1, 2.5 mm2, copper-clad aluminium"},
        // Lists as any mechanic writes them.
        {"switch S1 { off* | start connects 30 with 15R, 15 and 50, springs back }",
         "switch S1 { off* | start connects 30 with 15R and 15 and 50, springs back }"},
        {"switch S1 { off* | run connects 30 with 15R, 15, and ACC }",
         "switch S1 { off* | run connects 30 with 15R and 15 and ACC }"},
        {"switch S1 { off* | run connects 30 with 15 & 49a, 58 with 58d, P }",
         "switch S1 { off* | run connects 30 with 15 and 49a, 58 with 58d and P }"},
        {"relay K2 4 pin, 40 A", "relay K2, 4-pin, 40 A"},
        {"switch S1 { off* | run connects 1 with 2 | start connects 1 with 3, springs back to run }",
         "switch S1 { off* | run connects 1 with 2 | start connects 1 with 3, springs back }"},
        {"wire from F1 to L1, 1 mm2, XLPE", "wire from F1 to L1, 1 mm2, 90 degC"},
    };
    for (const auto& [typed, meant] : pairs) {
        CAPTURE(typed);
        const Read a(typed), b(meant);
        CHECK(a.headlines() == "");
        CHECK(b.headlines() == "");
        CHECK(dump(a.reading.circuit) == dump(b.reading.circuit));
    }
    const Read a("place kick-panel, 30 degC\nlamp L3, in kick panel"),
        b("place kick-panel, 30 degC\nlamp L3, in kick-panel");
    CHECK(a.headlines() == "");
    CHECK(dump(a.reading.circuit) == dump(b.reading.circuit));
}

TEST_CASE("one slip is one message, and its cure is the line as it should be typed") {
    const std::vector<std::pair<std::string, std::string>> slips = {
        {"motor M1, 9 A\nwire from M1 to ground, 2 m",
         "Type, with the right terminal: wire from M1:- to ground, 2 m\n"},
        {"motor M1, 9 A\nwire from earth to M1, 2 m", "Type, with the right terminal: wire from earth to M1:-, 2 m\n"},
        {"motor M1, 9 A\nwire from K1:87 to M1, 2 m", "Type, with the right terminal: wire from K1:87 to M1:+, 2 m\n"},
        {"wire from battery:+ to F1\nwire from F1 to L1\nwire from L2 to F1",
         "Type F1:1 to join it to the wire at battery:+, or F1:2 to join it to the wire at L1:1.\n"},
        {"light bar E1, 180 W\nwire from F1 to E1", "Type: light E1 \"bar\", 180 W\n"},
        {"wire from F1 to K1-30, 1 mm2", "Type: wire from F1 to K1:30, 1 mm2\n"},
        {"wire from F1 to K1.30,   1 mm2,\n  2 m", "Type: wire from F1 to K1:30, 1 mm2, 2 m\n"},
        {"wire from F1 - L1, 1 mm2", "Type: wire from F1 to L1, 1 mm2\n"},
        {"wire from F1 to L1, 2.5 mm2 schwarz", "Type: wire from F1 to L1, 2.5 mm2 black\n"},
        {"wire from F1 to L1, 2.5 mm2 braun/weiss, 1 m", "Type: wire from F1 to L1, 2.5 mm2 brown/white, 1 m\n"},
        {"wire from F1 -> L1, 1 mm2", "Type: wire from F1 to L1, 1 mm2\n"},
        {"wire from battery - F1, 1 mm2", "Type, with the right terminal: wire from battery:+ - F1, 1 mm2\n"},
        {"wire from battery to F1, 1 mm2", "Type, with the right terminal: wire from battery:+ to F1, 1 mm2\n"},
        {"wire from F1 to K1, 1 mm2",
         "If it carries what the load takes, type: wire from F1 to K1:30, 1 mm2; if it only "
         "makes the relay pull in, type: wire from F1 to K1:86, 1 mm2\n"},
        {"wire from F1 to relay 30, 1 mm2", "Type: wire from F1 to K1:30, 1 mm2\n"},
        {"wire from battery:+ to fuse 1, 1 mm2", "Type: wire from battery:+ to F1, 1 mm2\n"},
        {"wire from fuse to L1, 1 mm2", "Type: wire from F1 to L1, 1 mm2\n"},
        {"wire from F1 to lamp 2, 1 mm2", "Type: wire from F1 to L2, 1 mm2\n"},
        {"wire relay to L1, 1 mm2", "Type: wire K1 to L1, 1 mm2\n"},
        {"F1 to L1, 1 mm2", "Type: wire from F1 to L1, 1 mm2\n"},
        {"from F1 to L1, 1 mm2", "Type: wire from F1 to L1, 1 mm2\n"},
        {"fuse 20A", "Give it one, any word: fuse F2 20A\n"},
        {"fuse 20 A", "Give it one, any word: fuse F2 20 A\n"},
        {"relay 4-pin, 40 A", "Give it one, any word: relay K2 4-pin, 40 A\n"},
        {"lamp \"left\", 55 W", "Give it one, any word: lamp E1 \"left\", 55 W\n"},
        {"relay fog lamps, 40 A\nwire from F1 to fog lamps:30",
         "Type: relay fog-lamps, 40 A\nWith a short name and the words in quotes: relay K2 \"fog lamps\", 40 A\n"},
        {"lamp L3 left front, 55 W\nwire from F1 to L3", "Type: lamp L3 \"left front\", 55 W\n"},
        {"fuze F3, 20 A\nwire from battery:+ to F3\nwire from F3 to L1", "Type: fuse F3, 20 A\n"},
        {"ignition switch S1, 10 A\nwire from F1 to S1:30\nexpect L1 on when S1 on",
         "Type: switch S1 \"ignition\", 10 A\n"},
        {"push button S1\nwire from F1 to S1", "Type: switch S1, push\n"},
        {"push-button S1 \"horn\"\nwire from F1 to S1", "Type: switch S1, push \"horn\"\n"},
        {"button S1\nwire from F1 to S1", "Type: switch S1, push\n"},
        {"switch S7 \"ignition\", positions off, run, start",
         "Type, with your own terminals and positions: switch S1 { off* | run connects 30 with 15 | start connects 30 "
         "with 15 and 50 }; the star marks the one at rest.\n"},
        {"switch S7 \"ignition\"\nwire from F1 to S7:30", "If its terminals are marked, say at S7 what each position "
                                                          "joins: switch S7 { off* | on connects 30 with 15 }\n"},
        {"switch S7 \"ignition\"\nwire from S7:15 to L1", "If its terminals are marked, say at S7 what each position "
                                                          "joins: switch S7 { off* | on connects 30 with 15 }\n"},
        {"horn relay K7, 4-pin\nwire from F1 to K7:30", "Type: relay K7 \"horn\", 4-pin\n"},
        {"solenoid relay K7 \"winch\", 4-pin, 200 A\nwire from F1 to K7:30",
         "Type: relay K7 \"winch\", 4-pin, 200 A\n"},
        {"wire from F1 to SP7, 1 mm2\nwire from SP7 to L1, 1 mm2\nwire from SP7 to L2, 1 mm2",
         "Add a line that says what SP7 is, such as: splice SP7, crimp\n"},
        {"wire from F1 to splice SP7, 1 mm2\nwire from SP7 to L1, 1 mm2",
         "Type: wire from F1 to SP7, 1 mm2\nAdd a line above: splice SP7\n"},
        {"split charge relay K2 70A\nwire from F1 to K2:30", "Type: relay K2 \"split charge\", 70A\n"},
        {"5 pin relay K2\nwire from F1 to K2:87a", "Type: relay K2, 5 pin\n"},
        {"latching relay K2, 40 A", "Type: relay K2, latching, 40 A\n"},
        {"thermo switch S1\nwire from F1 to S1", "Type: switch S1 \"thermo\", thermal\n"},
        {"pressure switch S1, 3 A", "Type: switch S1, pressure, 3 A\n"},
        {"fog lamp E1 55W", "Type: lamp E1 \"fog\", 55W\n"},
        {"fuse 20A F2\nwire from battery:+ to F2", "Type: fuse F2, 20A\n"},
        {"relay 5-pin 40 A K2", "Type: relay K2, 5-pin 40 A\n"},
        {"Red wire battery + to F1", "Type: wire battery + to F1, Red\n"},
        {"blue/white wire from F1 to L1, 1 mm2", "Type: wire from F1 to L1, 1 mm2, blue/white\n"},
        {"motor M1, 9 A\nwire from GND1 to M1 - 4mm2",
         "Type, if its terminal - is meant: wire from GND1 to M1:-, 4mm2\n"},
        {"wire from F1 to L1, resistance wire 1.6 ohm",
         "Type: resistor R1 \"resistance wire\", 1.6 ohm, and wires to and from it\n"},
        {"vehicle my van, partly described", "Type: vehicle \"my van\", partly described\n"},
        {"wire from F1 to L1 & L2, 1 mm2", "Give each wire a line of its own.\n"},
        {"relay K2, 30/40A", "Type: relay K2, 40 A make, 30 A rest\n"},
        {"lamp L3, 2x55W",
         "Type what they take together: lamp L3, 110 W\nGive each a line of its own: lamp L3, 55 W\n"},
        {"lamp L3, 2 x 55 W",
         "Type what they take together: lamp L3, 110 W\nGive each a line of its own: lamp L3, 55 W\n"},
        {"wire from F1 to L1, 2-3 m",
         "Type: wire from F1 to L1, about 2.5 m\nType the larger of the two: wire from F1 to L1, 3 m\n"},
        {"wire from F1 to L1 via X7:1, 2.5 mm2 red", "Type: wire from F1 through X7:1 to L1, 2.5 mm2 red\n"},
        {"wire from F1 to L1, black & white", "Type: wire from F1 to L1, black/white\n"},
        {"wire from L1 to ground on engine, 1 mm2", "Add a line: metal engine\n"},
        {"expect L1 off after S1 off, from running", "Type: expect L1 off when S1 off\n"},
        {"lamp E1 \"headlamp, left\", 55 W\nlimit voltage-drop headlamps 0.5 V because \"bright\"",
         "Type: limit voltage-drop on E1 0.5 V because \"bright\"\n"},
        {"fuse 15", "Type, if amps are meant: fuse F2, 15 A\nType, if it is its name: fuse 15, unknown A\n"},
        {"lamp L3 H4",
         "The usual types are read by a line at the top of the file: use \"parts/lamps.loom\"\nIf it is only what "
         "people call it, type: lamp L3 \"H4\"\n"},
        {"timer K2, 4-pin, 40 A", "Type: relay K2, 4-pin, 40 A, timed\n"},
        {"holder F2, 20 A", "Type, with the amps of the fuse that is in it: fuse F2, unknown A, holder 20 A\n"},
        {"kettle A1, 300 W\nwire from F1 to A1:+\nwire from A1 - to ground", "Type: load A1 \"kettle\", 300 W\n"},
        {"kettle A1 \"for tea\", 12 A", "Type: load A1 \"for tea\", 12 A\n"},
        {"kettle A1", "Type: load A1 \"kettle\", unknown A\n"},
        {"wire from F1 to L1, 1 mm2, in kick panel", "Type: in \"kick panel\"\n"},
        {"lamp L3, in kick panel", "Type: in \"kick panel\"\n"},
        {"wire from F1 to L1, 1 mm2, 12\"", "Type 12 in.\n"},
        {"wire from F1 to L1, 1 mm2, 12” red", "Type 12 in.\n"},
        {"wire from F1 to L1, 1 mm2, 6'", "Type 6 ft.\n"},
        {"wire from F1 to L1, 1 mm2, about 0,5 m", "Write 0.5.\n"},
        {"wire from F1 to L1, 1 mm2, 0,5 m", "Write 0.5.\n"},
        {"wire from F1 to L1, 1 mm2, 0,5m", "Write 0.5 m.\n"},
        {"wire from F1 to L1, 1 mm2, 2,5m", "Write 2.5 m.\n"},
        {"wire from F1 to L1,0,5 m", "Write 0.5.\n"},
        {"ammeter P1, 60-0-60 A", "Type: ammeter P1, 60 A\n"},
        {"ammeter P1, 30-0-30A", "Type: ammeter P1, 30 A\n"},
        {"motor M1, 20 A, duty 10 %", "If it is so, type: motor M1, 20 A, duty 30 s in 5 min\n"},
        {"motor M1, 20 A, duty 50%", "If it is so, type: motor M1, 20 A, duty 150 s in 5 min\n"},
        {"switch S1 { off* | run connects 1 with 2 | start connects 1 with 3, springs back to off }",
         "If that is so, type: start connects 1 with 3, springs back\n"},
        {"relay K2, solid-state, 40 A",
         "Type, with your own terminals and amps: electronics K2 \"solid-state relay\" { supply 30, 0.02 A | ground 31 "
         "| "
         "input 86 wants plus | output 87 plus side, 40 A }. When it drives its output is then asked as \"K2 drives "
         "87\".\n"},
        {"expect K1:30 12.4 V", "Type: expect K1:30 between 12 V and 12.8 V, or: at least 12 V\n"},
        {"expect 12.4 V at K1:30", "Type: expect K1:30 between 12 V and 12.8 V, or: at least 12 V\n"},
        {"expect K1:30 on", "Name the part: K1. Or say volts: expect K1:30 at least 12 V\n"},
        {"expect L1 at least 4 A", "Type volts: expect L1 at least 12 V. Amps are shown by: loomproof predict FILE\n"},
        {"lamp L3, about 4,6 A", "Write 4.6.\n"},
        {"switch S1 { off* | run connects 30 with 15 | start connects 30 with 15R and 50, momentary }",
         "Type: start connects 30 with 15R and 50, springs back\n"},
        {"switch S1 { off* | start connects 30 with 15R and 50, radio, springs back }",
         "If radio is a terminal too, type: start connects 30 with 15R and 50 and radio, springs back\n"},
        {"switch S1 { off* | on connects 1 with 2, 10A }",
         "If 10A is a terminal too, type: on connects 1 with 2 and 10A\n"},
        {"K2 relay 4 pin", "Type: relay K2, 4 pin\n"},
        {"K2 relay, 4-pin\nwire from F1 to K2:30, 1 mm2", "Type: relay K2, 4-pin\n"},
        {"F2 fuse 20A", "Type: fuse F2, 20A\n"},
        {"thermostat S1", "Type: switch S1 \"thermostat\", thermal\n"},
        {"thermostat S1, 10 A\nwire from F1 to S1, 1 mm2", "Type: switch S1 \"thermostat\", thermal, 10 A\n"},
        {"thermostat S1 \"fridge\", 10 A", "Type: switch S1 \"fridge\", 10 A, thermal\n"},
        {"thermostat, 10 A", "Type: switch S1 \"thermostat\", thermal, 10 A\n"},
        {"wire battery:+ F1, 2.5 mm2 red, 0.1 m", "Type: wire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"},
        {"wire battery + - F1, 2.5 mm2 red", "Type: wire from battery:+ to F1, 2.5 mm2 red\n"},
        {"wire L1 ground, 1 mm2", "Type: wire from L1 to ground, 1 mm2\n"},
        {"wire red 2.5 mm2 from battery:+ to F1 0.1 m", "Type: wire from battery:+ to F1 0.1 m, red 2.5 mm2\n"},
        {"wire W1, 2.5 mm2 red, from battery:+ to F1", "Type: wire W1, from battery:+ to F1, 2.5 mm2 red\n"},
        {"wire 12 awg blue/white F1 to L1, 2 m", "Type: wire from F1 to L1, 2 m, 12 awg blue/white\n"},
        {"switch S1 { off* | on connects 1 with 2,5 }",
         "Write 2.5 if it is one figure.\nWrite 2, 5 if they are separate.\n"},
        // A number without its unit: the line with each unit that it can have there.
        {"fuse F2, 15", "Type, if amps are meant: fuse F2, 15 A\n"},
        {"fuse F2 15 blade", "Type, if amps are meant: fuse F2 15 A blade\n"},
        {"lamp L3, 55", "Type, if watts are meant: lamp L3, 55 W\nType, if amps are meant: lamp L3, 55 A\n"},
        {"battery B2, 60", "Type, if amp hours are meant: battery B2, 60 Ah\n"},
        {"fuse F2, 15 ampers", "Type: fuse F2, 15 amps\n"},
        {"wire from F1 to L1, 2.5 red, 1 m",
         "Type, if square millimetres of copper are meant: wire from F1 to L1, 2.5 mm2 red, 1 m\n"},
        {"wire from F1 to L1, 14 red, 1 m", "Type, if an AWG number is meant: wire from F1 to L1, 14 awg red, 1 m\n"
                                            "Type, if an SAE number is meant: wire from F1 to L1, 14 sae red, 1 m\n"},
        {"wire from F1 to L1, 2.5 mm2 red, 1", "Type, if metres are meant: wire from F1 to L1, 2.5 mm2 red, 1 m\n"},
        {"wire from F1 to L1, 1.5 red", "Type, if square millimetres of copper are meant: wire from F1 to L1, 1.5 mm2 "
                                        "red\nType, if metres are meant: wire from F1 to L1, 1.5 m red\n"},
        // A terminal that the part does not have: the line with each that is near.
        {"wire from F1 to K1:31, 1 mm2", "Type, if 85 is meant: wire from F1 to K1:85, 1 mm2\n"
                                         "Type, if 30 is meant: wire from F1 to K1:30, 1 mm2\n"},
        {"wire from F1 to K1:NO, 1 mm2", "Type, if 87 is meant: wire from F1 to K1:87, 1 mm2\n"},
        {"motor M1, 9 A\nwire from F1 to M1:1, 2 m", "Type, if + is meant: wire from F1 to M1:+, 2 m\n"
                                                     "Type, if - is meant: wire from F1 to M1:-, 2 m\n"},
    };
    for (const auto& [typed, cure] : slips) {
        CAPTURE(typed);
        const Read r(typed);
        CAPTURE(r.headlines());
        REQUIRE(r.reading.findings.size() == 1);
        CHECK(r.cures(0) == cure);
    }
}

TEST_CASE("a charger with an input of its own is shown as the converter that it is") {
    const Read r("charger G7 \"booster\", 25 A\nwire from F1 to G7:in, 6 mm2, 1 m");
    REQUIRE(r.reading.findings.size() == 1);
    const std::string line = "converter G7 \"booster\", 25 A";
    CHECK(r.cures(0) == "Leave this line as it is, and type in place of that of G7: " + line + "\n");
    CHECK(Read(line + "\nwire from F1 to G7:in, 6 mm2, 1 m").reading.findings.empty());
}

TEST_CASE("the cure repeats what was said, and the likelier slip comes first") {
    const Read r("wire from K1:87a to L1, 2.5 mm2, 1 m");
    REQUIRE(r.reading.findings.size() == 1);
    CHECK(r.cures(0) == "If you mean 87, type: wire from K1:87 to L1, 2.5 mm2, 1 m\n"
                        "If it is a change-over relay, say so: relay K1, 5-pin, 40 A\n");
    const Read fuse("wire from FUSE1 to L1, 2.5 mm2, 1 m");
    CHECK(fuse.headlines() == "Nothing here is called FUSE1; F1 is near.\n");
    CHECK(fuse.cures(0).starts_with("If you mean F1, type that.\n"));
    const Read untraced("wire from unknown to F1:1, 2.5 mm2, 1 m\nwire from F1:2 to L1, 2.5 mm2, 1 m\n"
                        "wire from L2 to F1, 2.5 mm2, 1 m");
    CHECK(untraced.cures(0).find("the wire that nobody has traced yet") != std::string::npos);
    CHECK(Read("wire from FUSE7 to L1, 2.5 mm2, 1 m").headlines() == "Nothing here is called FUSE7.\n");
}

TEST_CASE("a thing whose own line has a mistake is not unknown wherever its name stands") {
    const Read r("big light bar E7 80 W\nwire W1 from F1 to E7, 1 mm2\nwire W2 from L1 to E8, 1 mm2");
    CAPTURE(r.headlines());
    REQUIRE(r.reading.findings.size() == 2);
    CHECK(r.reading.findings[1].headline.starts_with("Nothing here is called E8")); // this one stands in no such line
}

namespace {

/// What a cure says to type, behind its colon; empty where it names no line.
std::string to_type(const std::string& cure) {
    const std::size_t at = cure.find(": "); // "Type: ", "Type, if amps are meant: "
    return at == std::string::npos ? "" : cure.substr(at + 2);
}

} // namespace

TEST_CASE("the cure of a slip, typed in its place, reads without a mistake") {
    for (const std::string slip : {
             "K2 relay 4 pin",
             "F2 fuse 20A",
             "thermostat S1, 10 A",
             "thermostat, 10 A",
             "wire battery:+ F1, 2.5 mm2 red, 0.1 m",
             "wire battery + - F1, 2.5 mm2 red",
             "wire L1 ground, 1 mm2",
             "wire red 2.5 mm2 from battery:+ to F1 0.1 m",
             "wire W1, 2.5 mm2 red, from battery:+ to F1",
             "wire 12 awg blue/white F1 to L1, 2 m",
             "fuse F2, 15",
             "wire from F1 to L1, 2.5 red, 1 m",
             "wire from F1 to L1, 2.5 mm2 red, 1",
             "wire from F1 to K1:31, 1 mm2",
         }) {
        CAPTURE(slip);
        const Read r(slip);
        REQUIRE(r.reading.findings.size() == 1);
        REQUIRE(!r.reading.findings[0].cures.empty());
        const std::string line = to_type(r.reading.findings[0].cures[0].text);
        CAPTURE(line);
        REQUIRE(!line.empty());
        CHECK(Read(line).headlines() == "");
    }
}

TEST_CASE("a line that can only be a wire gets the whole line to type, and that line reads") {
    const std::vector<std::pair<std::string, std::string>> lines = {
        {"F1 -> K1-30", "wire from F1 to K1:30"},
        {"F1 → K1:30, 2.5 mm2 red", "wire from F1 to K1:30, 2.5 mm2 red"},
        {"F1 => K1 30", "wire from F1 to K1:30"},
        {"wire F1 -> K1-30, 1.5 mm2", "wire from F1 to K1:30, 1.5 mm2"},
        {"wire from F1 -> K1:30, 1.5 mm2", "wire from F1 to K1:30, 1.5 mm2"},
        {"K1-87 to L1", "wire from K1:87 to L1"},
        {"K1.87 to L1, 2 m", "wire from K1:87 to L1, 2 m"},
        {"K1 87 - L2", "wire from K1:87 to L2"},
        {"K1 pin 87 to L2", "wire from K1:87 to L2"},
        {"Battery + to F1", "wire from battery:+ to F1"},
        {"battery plus to F1, 2.5 mm2 red 0.1 m", "wire from battery:+ to F1, 2.5 mm2 red 0.1 m"},
        {"battery - to chassis", "wire from battery:- to ground"},
        {"battery -> F1", "wire from battery to F1"},
        {"wire K1.86 to L1, 1.5mm2 blue 1m", "wire from K1:86 to L1, 1.5mm2 blue 1m"},
        {"wire K1-85 to ground", "wire from K1:85 to ground"},
        {"L1 to ground", "wire from L1 to ground"},
        {"L1 to Masse", "wire from L1 to ground"},
        {"L1 - ground, 2.5 mm2 black", "wire from L1 to ground, 2.5 mm2 black"},
        {"L1 ground", "wire from L1 to ground"},
        {"K1:85 earth", "wire from K1:85 to ground"},
        {"fuse F1 to relay K1 30", "wire from F1 to K1:30"},
        {"relay K1 pin 87 to lamp L1", "wire from K1:87 to L1"},
        {"F1 to K1 pin 30 2.5mm red", "wire from F1 to K1:30, 2.5mm2 red"},
        {"F1 to K1:30 2.5 mm, red", "wire from F1 to K1:30, 2.5 mm2, red"},
        {"connect F1 to K1:30", "wire from F1 to K1:30"},
        {"run wire from F1 to K1:30", "wire from F1 to K1:30"},
        {"2.5 mm2 red from F1 to K1:30", "wire from F1 to K1:30, 2.5 mm2 red"},
        {"wire T1 \"main beam\" live with main beam on", "existing wire T1 \"main beam\", live when \"main beam on\""},
        {"wire T1 \"main beam\" from the stalk, blue/white, live with main beam on",
         "existing wire T1 \"main beam from the stalk\", blue/white, live when \"main beam on\""},
        {"existing wire T2 \"main beam\", blue live with main beam",
         "existing wire T2 \"main beam\", blue, live when \"main beam\""},
        {"existing wire T1, blue, live when main beam on", "existing wire T1, blue, live when \"main beam on\""},
        {"wire T3 live if ignition on, behind 10 A", "existing wire T3, live when \"ignition on\", behind 10 A"},
    };
    for (const auto& [typed, line] : lines) {
        CAPTURE(typed);
        const Read read(typed);
        REQUIRE_MESSAGE(read.reading.findings.size() == 1, read.headlines());
        CHECK(read.cures(0) == "Type: " + line + "\n");
        const Read then(line);
        if (typed != "battery -> F1") // which post, is asked then
            CHECK_MESSAGE(then.reading.findings.empty(), then.headlines());
    }
    // The section is supposed, and said to be.
    CHECK(Read("F1 to K1:30 2.5 mm, red").headlines().find("if you measured across it, mm2 is wrong") !=
          std::string::npos);
    // A name that nothing carries is still an end of a wire, not a load to be named after it.
    for (const char* typed : {"F7 -> K1:30", "F7 to K1:30", "K1:87 to E9"}) {
        const Read read(typed);
        REQUIRE(read.reading.findings.size() == 1);
        CHECK_MESSAGE(read.cures(0).starts_with("Type: wire from "), read.cures(0));
    }
    // What begins with a kind and says no way stays what it is.
    for (const char* good : {"fuse F2, 10 A", "sender B2, 10 ohm to 180 ohm", "flasher K7, 42 W to 98 W",
                             "metal trailer\ntouch J1 between body and trailer, 0 ohm to open",
                             "existing wire T1 \"main beam\", live when \"main beam on\"",
                             "switch S1\nexisting wire T1, blue, live when S1 on",
                             "wish fan { no* | yes }\nexisting wire T1, blue, live when fan yes"}) {
        CAPTURE(good);
        CHECK_MESSAGE(Read(good).reading.findings.empty(), Read(good).headlines());
    }
}
