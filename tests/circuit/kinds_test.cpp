/// What each kind of part becomes: its terminals, what it is electrically, and what is said to be not worked out.

#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace loomproof;

namespace {

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& text) { reading = read_circuit_text(sources, "test.loom", "loom 1\n" + text + "\n"); }
    const Circuit& circuit() const { return reading.circuit; }
    std::string findings() const {
        std::string out;
        for (const Finding& f : reading.findings) out += f.headline + "\n";
        return out;
    }
    /// Its terminals and its elements, a line each, as dump() writes them.
    std::string part(const std::string& name) const {
        const std::string all = dump(circuit());
        std::string out;
        for (std::size_t at = 0; at < all.size();) {
            const std::size_t end = all.find('\n', at);
            const std::string line = all.substr(at, end - at);
            const std::string indented = "  terminal " + name + ":";
            const bool element = line.find(' ' + name + ":") != std::string::npos && line.find(" > ") != std::string::npos && !line.starts_with("wire ");
            if (line.starts_with(indented)) out += line.substr(indented.size()) + " ";
            if (element) out += "| " + line + " ";
            at = end + 1;
        }
        return out;
    }
    std::string open() const {
        std::string out;
        for (const std::string& text : not_solved(View::now(circuit()))) out += text + "\n";
        return out;
    }
};

std::string part(const std::string& statement, const std::string& name) {
    const Read r(statement);
    CHECK(r.findings() == "");
    return r.part(name);
}

} // namespace

TEST_CASE("solenoids, heaters and outlets are loads") {
    CHECK(part("solenoid Y1 \"fuel cut-off\", 2 A", "Y1") == "1 2 | resistance Y1:1 > Y1:2 takes 2 A 6 ohm ");
    CHECK(part("heater E5 \"rear window\", 120 W, starts at 15 A", "E5") == "1 2 | resistance E5:1 > E5:2 takes 10 A 1.2 ohm ");
    CHECK(part("heater E5 \"glow plugs\", 40 A, grounded by its mounting on engine\nmetal engine", "E5") ==
          "1 2 | resistance E5:1 > E5:2 takes 40 A 0.3 ohm | joint E5:2 > engine ");
    CHECK(part("socket X9 \"12 V outlet\", 10 A", "X9") == "+ - | resistance X9:+ > X9:- takes 10 A 1.2 ohm ");
    CHECK(part("outlet X9, 10 A", "X9") == part("socket X9, 10 A", "X9"));
}

TEST_CASE("what measures amps conducts; a shunt's ohms come from what is marked on it") {
    CHECK(part("ammeter P1, 60 A", "P1") == "1 2 | meter P1:1 > P1:2 rated 60 A ");
    CHECK(part("shunt R3, 100 A, 75 mV", "R3") == "1 2 | meter R3:1 > R3:2 0.75 mohm rated 100 A ");
    const Read senses("shunt R3, 100 A, 75 mV\nwire from R3:1 to nothing\nwire from R3:1 to nothing\nwire from R3:2 to nothing\nwire from R3:2 to nothing");
    CHECK(senses.findings() == "");
}

TEST_CASE("a flasher is lit or dark at any time, and its beat is not worked out") {
    const Read r("flasher K7, 42 W to 98 W, 85 per minute\nflasher K8, electronic\nwire from K8:31 to ground\nlamp E1, 21 W\nexpect E1 on when \"K7 lit\"");
    CHECK(r.findings() == "");
    CHECK(r.part("K7") == "49 49a C 31 | contact K7:49 > K7:49a in 10 of K7 ");
    CHECK(r.part("K8") == "49 49a C 31 | contact K8:49 > K8:49a in 10 of K8 | resistance K8:49 > K8:31 takes assumed 20 mA ");
    CHECK(r.open() == "how fast K7 flashes, and whether it does with these lamps\nhow fast K8 flashes, and whether it does with these lamps\n");
    CHECK(r.circuit().controls[0].name == "K7 lit");
    CHECK(Read("flasher K7\nlamp E1, 5 W\nwire from K7:L to E1\nwire from battery:+ to K7:X\nbattery").findings() == "");
}

TEST_CASE("latching and timed relays may stand either way whatever their coil does") {
    const Read r("relay K5, 5-pin, latching\nrelay K6, 4-pin, timed \"15 s after-run\"\nrelay K7, 4-pin");
    CHECK(r.findings() == "");
    CHECK(r.open() == "when K5 changes over: it is latching\nwhen K6 changes over: it is timed\n");
    CHECK(r.circuit().controls[0].type == Control::Type::sensed);
    CHECK(r.circuit().controls[0].positions.size() == 2);
    CHECK(r.part("K5") == "86 85 30 87 87a | resistance K5:86 > K5:85 takes assumed 141 mA assumed 85 ohm | contact K5:30 > K5:87 in 10 of K5 | contact K5:30 > K5:87a in 1 of K5 ");
    CHECK(r.circuit().controls[2].type == Control::Type::relay);
}

TEST_CASE("an electronic unit's pins are what its lines say; outputs join at any time, inputs conclude nothing") {
    const Read r("electronics A1 \"computer\" {\n supply 1, 0.4 A\n ground 2\n input 49 wants plus \"ignition\"\n output 6 ground side, 1 A\n output 7 plus side, 7 A\n}");
    CHECK(r.findings() == "");
    CHECK(r.part("A1") == "1 2 49 6 7 | constant power A1:1 > A1:2 takes 400 mA | contact A1:2 > A1:6 in 10 of A1 rated 1 A | contact A1:1 > A1:7 in 10 of A1 rated 7 A ");
    CHECK(r.open() == "when A1 drives its outputs\n");
    CHECK(part("module A2, 5 A", "A2") == "+ - | constant power A2:+ > A2:- takes 5 A 2.4 ohm ");
    for (const char* wrong : {"electronics A1 { pin 3 }", "electronics A1 { output 3 }", "electronics A1 { supply }", "electronics A1 { supply 1 | ground 1 }", "electronics A1 { ground 2, 5 A }"}) {
        const Read bad(wrong);
        CAPTURE(wrong);
        CHECK(bad.reading.findings.size() == 1);
        CHECK(bad.circuit().parts[0].poisoned);
    }
}

TEST_CASE("gauges, senders, sensors and what charges say which part of them is not worked out") {
    const Read r("gauge P1 \"fuel\"\nsender B2 \"fuel level\", 10 ohm to 180 ohm\nsensor B5 \"wheel speed\"\nwire from P1:S to B2:S\nwire from P1:- to ground\n"
                 "dynamo G1, 22 A\nregulator N1\nsolar G5, 100 W\ncharger G6, 10 A\nconverter G7, 20 A");
    CHECK(r.findings() == "");
    CHECK(r.part("P1") == "+ S - | resistance P1:+ > P1:- takes assumed 100 mA ");
    CHECK(r.part("B2") == "S - | joint B2:- > ground ");
    CHECK(r.part("B5") == "1 2 3 ");
    CHECK(r.part("G1") == "D F E | joint G1:E > ground ");
    CHECK(r.part("N1") == "D F A A1 E | joint N1:E > ground ");
    CHECK(r.open() == "what P1 shows\nwhat B2 reports\nwhat B5 reports\nwhen G1 delivers, and how much\nwhen N1 delivers, and how much\nwhen G5 delivers, and how much\n"
                      "when G6 delivers, and how much\nwhen G7 delivers, and how much\n");
}

TEST_CASE("an expectation may name an outside condition") {
    const Read r("existing wire T1, live when \"main beam on\"\nlamp E1, 5 W\nexpect E1 on when \"main beam on\"\nexpect E1 off when \"main beam on\" no");
    CHECK(r.findings() == "");
    CHECK(r.circuit().expectations.size() == 2);
}

TEST_CASE("a capacitor joins nothing, and that its charge is not worked out is said") {
    const Read r("capacitor C1, 2.2 uF\ncondenser C2, 1 F, 16 V");
    CHECK(r.findings() == "");
    CHECK(r.part("C1") == "1 2 ");
    CHECK(r.open() == "what C1 stores and gives back\nwhat C2 stores and gives back\n");
    CHECK(r.circuit().parts[0].attributes[0].value.nominal == doctest::Approx(2.2e-6));
}

TEST_CASE("the engine: what keeps it alive, what it can do, and a piece of metal of the same name") {
    const Read r("load Y1 \"ignition coil\", 3 ohm\nswitch S3\nengine, runs while Y1 is fed, stops when S3:1 is grounded\nmetal engine\nwire from engine to ground, 16 mm2 black, 0.4 m");
    CHECK(r.findings() == "");
    REQUIRE(r.circuit().engine);
    const Engine& e = *r.circuit().engine;
    CHECK(name_of(r.circuit(), e.fed_part) == "Y1");
    CHECK(name_of(r.circuit(), e.grounded) == "S3:1");
    CHECK(r.circuit().at(e.control).positions == std::vector<std::string>{"stopped", "cranking", "idling", "running"});
    const Read fewer("engine { stopped* | running }\nswitch S1 { off* | run connects 30 with 15 }\nengine, runs while S1:15 is fed");
    CHECK(fewer.findings() == "");
    CHECK(fewer.circuit().at(fewer.circuit().engine->control).positions == std::vector<std::string>{"stopped", "running"});
    CHECK(name_of(fewer.circuit(), fewer.circuit().engine->fed) == "S1:15");
    CHECK(Read("engine { stopped* | flying }").findings() == "An engine is stopped, cranking, idling or running.\n");
    CHECK(Read("engine, runs on petrol").findings() == "\"runs\" is not known about an engine.\n");
    CHECK(Read("engine, runs while Y9 is fed").findings().starts_with("Nothing here is called Y9"));
}
