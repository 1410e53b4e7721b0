/// The same thing in other words of the trade, in another order, with units left to the second figure: what becomes of it is the same.
/// And where a word is missing without which it could be two things: the lines to type.

#include "circuit/read.hpp"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

using namespace loomproof;

namespace {

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& text) {
        reading = read_circuit_text(sources, "test.loom", "loom 1\n" + text + "\n");
    }
    std::string findings() const {
        std::string out;
        for (const Finding& f : reading.findings) out += f.headline + "\n";
        return out;
    }
    std::string cures() const {
        std::string out;
        for (const Finding& f : reading.findings)
            for (const Remedy& cure : f.cures) out += cure.text + "\n";
        return out;
    }
};

} // namespace

TEST_CASE("other words of the trade are read as the words of the language") {
    const std::vector<std::pair<std::string, std::string>> same = {
        {"battery, 60 Ah, breaking current 2400 A", "battery, 60 Ah, short-circuit 2400 A"},
        {"battery, 60 Ah, short circuit current 2.4 kA", "battery, 60 Ah, short-circuit 2400 A"},
        {"battery, 100 Ah, lithium iron phosphate", "battery, 100 Ah, lithium"},
        {"battery, 60 Ah, flooded", "battery, 60 Ah, lead-acid"},
        {"alternator, 65 A, regulates at 14.2 V", "alternator, 65 A, 14.2 V"},
        {"starter motor M1, 180 A", "starter M1, 180 A"},
        {"starter M1, pull-in 30 A, hold-in 10 A, 180 A",
         "starter M1 {\n pull-in 50-motor, 30 A\n hold-in 50-case, 10 A\n cranks 180 A\n}"},
        {"circuit breaker Q1, 40 A, automatic reset", "breaker Q1, 40 A, resets itself"},
        {"fusible link F9, 16 sae, 0.2 m", "link F9, 16 sae, 0.2 m"},
        {"glow plug E6, 10 A", "heater E6, 10 A"},
        {"solar panel G5, 100 W", "solar G5, 100 W"},
        {"fuse box FB1 {\n rail R1 fed from 1: 1..3\n}", "box FB1 {\n rail R1 fed from 1: 1..3\n}"},
        {"fuse F1, 60 A, strip, breaking capacity 2 kA", "fuse F1, 60 A, bolted, breaks 2000 A"},
        {"switch S1, push button", "switch S1, push"},
        {"switch S1, float", "switch S1, level"},
        {"switch S1, pressure, closes above 0.5 bar", "switch S1, pressure, closes at 0.5 bar"},
        {"switch S1, pressure, closes below 0.5 bar", "switch S1, pressure, opens at 0.5 bar"},
        {"switch S1 {\n off*\n on joins 1 and 2\n}", "switch S1 {\n off*\n on connects 1 with 2\n}"},
        {"relay K1, SPDT", "relay K1, 5-pin"},
        {"relay K1, delay 15 s", "relay K1, timed 15 s"},
        {"relay K1, no diode", "relay K1, bare"},
        {"supply Z2, fused 40 A, permanent", "supply Z2, behind 40 A, live always"},
        {"led strip E1, 24 W", "led E1, 24 W"},
        {"wire W1 from ground to nothing, 28/0.30 mm red, thin wall, length unknown",
         "wire W1 from ground to nothing, 28/0.30 red"},
        {"relay K1, dual 87", "relay K1, two makes"},
        {"switch S1, NC", "switch S1, normally closed"},
        {"place engine bay, 70 C", "place engine-bay, 70 degC"},
        {"lamp E1, 5 W, in the engine bay", "lamp E1, 5 W, in engine-bay"},
        {"solar G5, 18 V, 5.5 A short-circuit", "solar G5, 18 V, 5.5 A"},
        {"rheostat R5, 20 to 0 ohm", "rheostat R5, 20 ohm to 0 ohm"},
        {"sender B2, 10-180 ohm", "sender B2, 10 ohm to 180 ohm"},
        {"flasher K7, 42 to 98 W", "flasher K7, 42 W to 98 W"},
        {"lamp E4, 21W/5W", "lamp E4, 21/5 W"},
        {"lamp E1, 55 W, earthed through its mounting", "lamp E1, 55 W, grounded by its mounting"},
        {"motor M2, 9 A, stalls at 27 A", "motor M2, 9 A, starts at 27 A"},
        {"shunt R3, 100 A / 75 mV", "shunt R3, 100 A, 75 mV"},
        {"diode V1, cathode 2", "diode V1, band on 2"},
        {"connector X7, 2-pin", "connector X7, 2 holes"},
        {"connector X7, 4 way", "connector X7, 4 holes"},
        {"splice SP1, butt connector", "splice SP1, crimp"},
        {"cable CB1, 7-core, 1.5 mm2, 6 m", "cable CB1, 7 cores, 1.5 mm2, 6 m"},
        {"electronics A1 {\n power 1\n earth 2\n signal 3\n output 6 low side, 1 A, PWM 100 Hz\n}",
         "electronics A1 {\n supply 1\n ground 2\n input 3\n output 6 ground side, 1 A, pulsed 100 Hz\n}"},
        {"electronics A1, 5 A, works from 8 to 16 V", "electronics A1, 5 A, 8 V to 16 V"},
        {"wire W1 from ground to nothing, 1 mm2, in conduit, tinned, unknown length",
         "wire W1 from ground to nothing, 1 mm2, sleeved"},
        {"lamp E1, 5 W\nlamp E2, 5 W\nnever E1 and E2", "lamp E1, 5 W\nlamp E2, 5 W\nnever E1 with E2"},
        {"lamp E1, 5 W\nexpect E1 is lit", "lamp E1, 5 W\nexpect E1 on"},
        {"lamp E1, 5 W\nexpect E1 5 V to 7 V", "lamp E1, 5 W\nexpect E1 between 5 V and 7 V"},
    };
    for (const auto& [said, meant] : same) {
        CAPTURE(said);
        const Read r(said);
        CHECK(r.findings() == "");
        CHECK(dump(r.reading.circuit) == dump(Read(meant).reading.circuit));
    }
}

TEST_CASE("a figure that may be two things asks which, with the lines") {
    const std::vector<std::pair<std::string, std::string>> asks = {
        {"switch S1, pressure, 6 bar", "Type, if it is where it closes: switch S1, pressure, closes at 6 bar\n"
                                       "Type, if it is where it opens: switch S1, pressure, opens at 6 bar\n"},
        {"switch S1, 92 degC", "Type, if it is where it closes: switch S1, closes at 92 degC\n"
                               "Type, if it is where it opens: switch S1, opens at 92 degC\n"},
        {"battery, 60 Ah, 680 A",
         "Type, if it is what it gives into a dead short: battery, 60 Ah, short-circuit 680 A\n"
         "Type, if it is what its own electronics let through: battery, 60 Ah, limited to 680 A\n"
         "Type, if it is cold cranking current, as printed on it: battery, 60 Ah, 680 A cranking\n"},
        {"relay K1, 85 ohm", "Type, if it is coil resistance: relay K1, coil 85 ohm\n"
                             "Type, if it is resistor across the coil: relay K1, resistor 85 ohm\n"},
        {"positive earth", "Type: system 12 V, positive ground\n"},
        {"12 volt system", "Type: system 12 V\n"},
        {"vehicle \"kit car\", glass fibre", "Take this out, and add the line: no metal\n"},
        {"switch S1 {\n off*\n on 1-2\n}", "Type: on connects 1 with 2\n"},
        {"switch S1 {\n off*\n on: 1 to 2\n}", "Type: on connects 1 with 2\n"},
        {"junction SP1", "Type: splice SP1\n"},
        {"reuse W7", "Type, with your own names: move W7 off S6 onto K1:86\n"},
        {"supply Z2, 40 A", "Type, if it is the fuse it comes from: supply Z2, behind 40 A\n"},
        {"contactor K1, 200 A", "Type: relay K1 \"contactor\", studs, 200 A\n"},
        {"radio A1, 5 A", "Type: electronics A1 \"radio\", 5 A\n"},
        {"injector Y2 \"first\", 12 ohm", "Type: solenoid Y2 \"first\", 12 ohm\n"},
        {"timer K2, 20 A", "Type: relay K2, 20 A, timed\n"},
        {"fuse F1, 5 A\nW1 from F1 to ground, 1 mm2 red, 1 m", "Type: wire W1 from F1 to ground, 1 mm2 red, 1 m\n"},
        {"battery\nground strap from battery:- to ground, 16 mm2, 0.3 m",
         "Type: wire \"ground strap\" from battery:- to ground, 16 mm2, 0.3 m\n"},
        {"supply Z2, live when ignition on",
         "What is not drawn stands in quotes: live when \"ignition on\"\nAdd the line: wish ignition { no* | on }\n"},
        {"wire from ground to nothing, 1 mm2 aluminium, 1 m", "Type, if it has: copper-clad aluminium\n"},
        {"wire from ground to nothing, 1 mm2, 1 to 2 m",
         "Type: wire from ground to nothing, 1 mm2, about 1.5 m\n"
         "Type the larger of the two: wire from ground to nothing, 1 mm2, 2 m\n"},
    };
    for (const auto& [typed, cures] : asks) {
        CAPTURE(typed);
        const Read r(typed);
        CHECK(r.reading.findings.size() == 1);
        CHECK(r.cures() == cures);
    }
}

TEST_CASE("a switch that is closed while nothing works it") {
    const Read door("switch S4 \"door\", normally closed, push");
    CHECK(door.findings() == "");
    CHECK(door.reading.circuit.controls[0].rest == 1);
    CHECK(door.reading.circuit.controls[0].springs_back == 0b01);
}

TEST_CASE("a motor with three speeds has an end for each") {
    const Read r("motor M3 \"blower\", slow 3 A, medium 4 A, fast 6 A at 12 V");
    CHECK(r.findings() == "");
    const std::string all = dump(r.reading.circuit);
    CHECK(all.find("machine M3:53 > M3:31 takes 3 A 4 ohm") != std::string::npos);
    CHECK(all.find("machine M3:53m > M3:31 takes 4 A 3 ohm") != std::string::npos);
    CHECK(all.find("machine M3:53b > M3:31 takes 6 A 2 ohm") != std::string::npos);
}

TEST_CASE("ohms of a metal lie before everything that is bolted to it and says nothing of its own") {
    const Read r("metal body, 3 mohm\nground GND1 on body\nground GND2 on body, 1 mohm\nlamp E1, 5 W, grounded by its "
                 "mounting");
    CHECK(r.findings() == "");
    const std::string all = dump(r.reading.circuit);
    CHECK(all.find("joint GND1 > ground 3 mohm") != std::string::npos);
    CHECK(all.find("joint GND2 > ground 1 mohm") != std::string::npos);
    CHECK(all.find("joint E1:2 > ground 3 mohm") != std::string::npos);
}
