/// What each kind of part becomes: its terminals, what it is electrically, and what is said to be not worked out.

#include "base/number.hpp"
#include "circuit/reading.hpp"

#include <algorithm>
#include <string>

using namespace loomproof;
using loomproof::tests::part;
using loomproof::tests::Read;

TEST_CASE("solenoids, heaters and outlets are loads") {
    CHECK(part("solenoid Y1 \"fuel cut-off\", 2 A", "Y1") == "1 2 | resistance Y1:1 > Y1:2 takes 2 A 6 ohm ");
    CHECK(part("heater E5 \"rear window\", 120 W, starts at 15 A", "E5") ==
          "1 2 | resistance E5:1 > E5:2 takes 10 A 1.2 ohm ");
    CHECK(part("heater E5 \"glow plugs\", 40 A, grounded by its mounting on engine\nmetal engine", "E5") ==
          "1 2 | resistance E5:1 > E5:2 takes 40 A 0.3 ohm | joint E5:2 > engine ");
    CHECK(part("socket X9 \"12 V outlet\", 10 A", "X9") == "+ - | resistance X9:+ > X9:- takes 10 A 1.2 ohm ");
    CHECK(part("outlet X9, 10 A", "X9") == part("socket X9, 10 A", "X9"));
}

TEST_CASE("words of the trade are read with the figures typed, and stand for the text that nobody wrote") {
    const Read r("fridge A1, 6 A\nlights E1, 10 W\nled lamps E2, 10 W\nwater pump M2, 5 A\ndiesel heater A2, 10 A\n"
                 "USB socket X1 \"by the bed\", 3 A\npump M3, 4 A\nUSB-outlet X2, 3 A\n");
    CHECK(r.reading.findings.empty());
    const auto is = [&](const char* name, Kind kind, const char* label, Attr key, double figure) {
        CAPTURE(name);
        const auto found = std::ranges::find(r.reading.circuit.parts, std::string(name), &Part::name);
        REQUIRE(found != r.reading.circuit.parts.end());
        CHECK(found->kind == kind);
        CHECK(found->label == label);
        const auto said = std::ranges::find(found->attributes, key, &Attribute::key);
        REQUIRE(said != found->attributes.end());
        CHECK(said->value.nominal == doctest::Approx(figure));
    };
    is("A1", Kind::load, "fridge", Attr::current, 6);
    is("E1", Kind::lamp, "", Attr::power, 10);
    is("E2", Kind::led, "", Attr::power, 10);
    is("M2", Kind::motor, "water pump", Attr::current, 5);
    is("A2", Kind::heater, "diesel heater", Attr::current, 10);
    is("X1", Kind::socket, "by the bed", Attr::current, 3);
    is("M3", Kind::motor, "pump", Attr::current, 4);
    is("X2", Kind::socket, "USB-outlet", Attr::current, 3);
}

TEST_CASE("a switch's end that is left without a wire is its body, where it is grounded by that") {
    CHECK(part("switch S1, thermal, grounded by its mounting\nwire from S1 to nothing", "S1") ==
          "1 2 | joint S1:1 > ground | contact S1:1 > S1:2 in 10 of S1 ");
    CHECK(part("switch S1, thermal, grounded by its mounting\nwire from S1:1 to nothing", "S1") ==
          "1 2 | joint S1:2 > ground | contact S1:1 > S1:2 in 10 of S1 ");
    CHECK(part("switch S1, pressure, grounded by its mounting on engine\nmetal engine\nwire from S1:1 to nothing",
               "S1") == "1 2 | joint S1:2 > engine | contact S1:1 > S1:2 in 10 of S1 ");
    // The end common to two steps, though only one of them is wired.
    CHECK(part("switch S1, thermal, grounded by its mounting { cold* | warm connects M with A | hot connects M with A "
               "and B }\n"
               "wire from S1:A to nothing",
               "S1")
              .ends_with(" joint S1:M > ground "));
    CHECK(part("switch S1, push\nwire from S1:1 to nothing", "S1").find("ground") == std::string::npos);
}

TEST_CASE("what measures amps conducts; a shunt's ohms come from what is marked on it") {
    CHECK(part("ammeter P1, 60 A", "P1") == "1 2 | meter P1:1 > P1:2 rated 60 A ");
    CHECK(part("shunt R3, 100 A, 75 mV", "R3") == "1 2 | meter R3:1 > R3:2 0.75 mohm rated 100 A ");
    const Read senses("shunt R3, 100 A, 75 mV\nwire from R3:1 to nothing\nwire from R3:1 to nothing\nwire from R3:2 to "
                      "nothing\nwire from R3:2 to nothing");
    CHECK(senses.findings() == "");
}

TEST_CASE("a flasher is lit or dark at any time, and its beat is not worked out") {
    const Read r("flasher K7, 42 W to 98 W, 85 per minute\nflasher K8, electronic\nwire from K8:31 to ground\nlamp E1, "
                 "21 W\nexpect E1 on when \"K7 lit\"");
    CHECK(r.findings() == "");
    CHECK(r.part("K7") == "49 49a C 31 | contact K7:49 > K7:49a in 10 of K7 ");
    CHECK(r.part("K8") ==
          "49 49a C 31 | contact K8:49 > K8:49a in 10 of K8 | resistance K8:49 > K8:31 takes assumed 20 mA ");
    CHECK(r.open() == "how fast K7 flashes, and whether it does with these lamps\nhow fast K8 flashes, and whether it "
                      "does with these lamps\n");
    CHECK(r.circuit().controls[0].name == "K7 lit");
    CHECK(Read("flasher K7\nlamp E1, 5 W\nwire from K7:L to E1\nwire from battery:+ to K7:X\nbattery").findings() ==
          "");
}

TEST_CASE("latching and timed relays may stand either way whatever their coil does") {
    const Read r("relay K5, 5-pin, latching\nrelay K6, 4-pin, timed \"15 s after-run\"\nrelay K7, 4-pin");
    CHECK(r.findings() == "");
    CHECK(r.open() == "when K5 changes over: it is latching\nwhen K6 changes over: it is timed\n");
    CHECK(r.circuit().controls[0].type == Control::Type::sensed);
    CHECK(r.circuit().controls[0].positions.size() == 2);
    CHECK(r.part("K5") == "86 85 30 87 87a | resistance K5:86 > K5:85 takes assumed 141 mA assumed 85 ohm | contact "
                          "K5:30 > K5:87 in 10 of K5 | contact K5:30 > K5:87a in 1 of K5 ");
    CHECK(r.circuit().controls[2].type == Control::Type::relay);
}

TEST_CASE("a relay that reads its own volts has no 86; without a word of the engine it may stand either way") {
    const Read r("relay K5, closes at 13.3 V, opens at 12.8 V, 70 A\nrelay K6, voltage-sensing\n");
    CHECK(r.findings() == "");
    CHECK(r.part("K5") ==
          "30 87 85 | resistance K5:30 > K5:85 takes assumed 166 mA assumed 80 ohm | contact K5:30 > K5:87 in 10 of "
          "K5 rated 70 A ");
    CHECK(r.circuit().controls[0].type == Control::Type::sensed);
    CHECK(r.open().find("when K5 joins its two sides, as no line says what the engine does") == 0);
    const Read with("relay K5, closes at 13.3 V, opens at 12.8 V\nload Y1, 3 ohm\nengine, runs while Y1 is fed\n");
    CHECK(with.circuit().controls[0].type == Control::Type::relay);
    CHECK(with.open() == "");
    CHECK(Read("relay K5, closes at 12.8 V, opens at 13.3 V").reading.findings.size() == 1);
}

TEST_CASE("an output that limits itself is a contact with a limit") {
    const Read r(
        "electronics A1 {\n supply 1, 0.4 A\n ground 2\n output 7 plus side, 7 A, limited to 8 A\n output 8 plus "
        "side, cuts off at 5 A\n output 9 plus side, 5 A\n}");
    CHECK(r.findings() == "");
    std::vector<double> limits;
    for (const Primitive& p : r.circuit().primitives)
        if (p.element == Element::contact) limits.push_back(p.limit.known() ? p.limit.nominal.si : 0);
    CHECK(limits == std::vector<double>{8, 5, 0});
    CHECK(r.open().find("whether output 7 of A1 rides through what its load takes to start") != std::string::npos);
}

TEST_CASE("what is not worked out is that of the part as it is now, not as it was before a job") {
    const Read timed("factory {\n relay K5, latching\n}\njob \"Timer\" fitted {\n relay K5, timed\n}");
    CHECK(timed.open() == "when K5 changes over: it is timed\n");
    CHECK(Read("heater E5, 10 A, starts at 200 A").open() ==
          "for how long E5 takes its starting current, and whether its fuse stands that\n");
    CHECK(Read("heater E5, 10 A").open() == "");
}

TEST_CASE("an electronic unit's pins are what its lines say; outputs join at any time, inputs conclude nothing") {
    const Read r("electronics A1 \"computer\" {\n supply 1, 0.4 A\n ground 2\n input 49 wants plus \"ignition\"\n "
                 "output 6 ground side, 1 A\n output 7 plus side, 7 A\n}");
    CHECK(r.findings() == "");
    CHECK(r.part("A1") == "1 2 49 6 7 | constant power A1:1 > A1:2 takes 400 mA | contact A1:2 > A1:6 in 10 of A1 "
                          "rated 1 A | contact A1:1 > A1:7 in 10 of A1 rated 7 A ");
    CHECK(r.open() == "when A1 drives its outputs\n");
    CHECK(part("module A2, 5 A", "A2") == "+ - | constant power A2:+ > A2:- takes 5 A 2.4 ohm ");
    for (const char* wrong : {"electronics A1 { pin 3 }", "electronics A1 { output 3 }", "electronics A1 { supply }",
                              "electronics A1 { supply 1 | ground 1 }", "electronics A1 { ground 2, 5 A }"}) {
        const Read bad(wrong);
        CAPTURE(wrong);
        CHECK(bad.reading.findings.size() == 1);
        CHECK(bad.circuit().parts[0].poisoned);
    }
}

TEST_CASE("gauges, senders, sensors and what charges say which part of them is not worked out") {
    const Read r("gauge P1 \"fuel\"\nsender B2 \"fuel level\", 10 ohm to 180 ohm\nsensor B5 \"wheel speed\"\nwire from "
                 "P1:S to B2:S\nwire from P1:- to ground\n"
                 "dynamo G1, 22 A\nregulator N1\nsolar G5, 100 W\ncharger G6, 10 A\nconverter G7, 20 A");
    CHECK(r.findings() == "");
    CHECK(r.part("P1") == "+ S - | resistance P1:+ > P1:- takes assumed 100 mA ");
    CHECK(r.part("B2") == "S - | joint B2:- > ground ");
    CHECK(r.part("B5") == "1 2 3 ");
    CHECK(r.part("G1") == "D F E | joint G1:E > ground ");
    CHECK(r.part("N1") == "D F A A1 E | joint N1:E > ground ");
    const auto delivers = [](const char* name) {
        return "when " + std::string(name) + " delivers, and the volts then\n";
    };
    CHECK(r.open() == "what P1 shows\nwhat B2 reports\nwhat B5 reports\n" + delivers("G1") +
                          "when N1 delivers, and how much\n" + delivers("G5") + delivers("G6") + delivers("G7"));
}

TEST_CASE(
    "a converter that a battery feeds is a load and a source that limits itself; one that nothing feeds is neither") {
    const std::string fed = "battery B1, 60 Ah\nbattery B2, 100 Ah\nconverter G2, 20 A\nwire from B1:+ to G2:in\n"
                            "wire from G2:- to ground\n";
    const Read charges(fed + "wire from G2:out to B2:+");
    CHECK(charges.findings() == "");
    CHECK(charges.part("G2") ==
          "in out - | constant power G2:in > G2:- in 10 of G2 takes assumed 23 A | source G2:out > "
          "G2:- in 10 of G2 takes 20 A ");
    CHECK(charges.open() == "from how many volts on G2 delivers\n");
    CHECK(Read(fed + "wire from G2:out to B1:+").part("G2") == "in out - ");             // in a circle
    CHECK(Read(fed + "lamp E1, 5 W\nwire from G2:out to E1").part("G2") == "in out - "); // nobody said its volts
}

TEST_CASE("what a battery gives into a dead short is volts over its own inside") {
    CHECK(part("battery B2, 100 Ah, lithium, short-circuit 2400 A", "B2") ==
          "+ - | joint B2:- > ground | source B2:+ > B2:- 5 mohm strong ");
    const Read r("battery B2, 60 Ah, 540 A EN\nbattery B3, 100 Ah, lithium, limited to 100 A");
    CHECK(r.findings() == "");
    CHECK(r.open() == "how B2 cranks in the cold\nwhat the electronics of B3 let through: it is taken to give all that "
                      "its cells can\n");
}

TEST_CASE("two makes share their common; two separate makes do not; a base decides which holes there are") {
    CHECK(part("relay K1, two makes", "K1").find("contact K1:30 > K1:87b") != std::string::npos);
    const std::string separate = part("relay K1, two separate makes, 20 A", "K1");
    CHECK(separate.find("contact K1:30 > K1:87 in 10 of K1 rated 20 A") != std::string::npos);
    CHECK(separate.find("contact K1:88 > K1:88a in 10 of K1 rated 20 A") != std::string::npos);
    const std::string dead = part("relay K1, 4-pin, 40 A, 5-pin base", "K1");
    CHECK(dead.starts_with("86 85 30 87 87a "));
    CHECK(dead.find("> K1:87a") == std::string::npos); // a hole behind which nothing is
    CHECK(part("relay K1, 5-pin, in a 4-pin base", "K1").starts_with("86 85 30 87 | "));
}

TEST_CASE("a feed may hang on a switch that is drawn") {
    const Read r("switch S1 \"ignition\" { off* connects 30 with 31 | run connects 30 with 15 }\n"
                 "supply Z2 \"feed\", behind 40 A, plus when S1 run\nsupply Z3, ground when S1 is off");
    CHECK(r.findings() == "");
    CHECK(r.part("Z2").find("in 10 of S1") != std::string::npos);
    CHECK(dump(r.circuit()).find("> Z3 in 1 of S1") != std::string::npos);
    CHECK(Read("supply Z2, plus when S1 run").findings() == "Nothing here is called S1 and can be \"run\".\n");
    CHECK(Read("supply Z2, hot when S1 run").findings() == "\"hot\" is not known about a feed.\n");
}

TEST_CASE("every guess is listed") {
    const Read r("fuse F1, guessed 15 A\nwire W1 from ground to F1, guessed 2.5 mm2, guessed 2 m\nfuse F2, about 15 A");
    std::string all;
    for (const Assumption& a : r.circuit().assumptions)
        if (a.subject == "you guessed:") all += a.value + "; " + a.basis + "\n";
    CHECK(all == "F1 15 A and W1 2 m; each taken as half of that to one and a half times\n"
                 "W1 2.5 mm2; each taken as one size thinner to one thicker\n");
}

TEST_CASE("a tag is tied on one of two alike, and terminals have a range") {
    const Read r("connector X1, 2 holes, terminals 0.5 mm2 to 1.5 mm2\nwire W1 from ground to X1:1, 1 mm2 green tag 1");
    CHECK(r.findings() == "");
    CHECK(r.circuit().wires[0].label == "tag 1");
}

TEST_CASE("what heat works is said by its degrees; what only opens with heat is closed when it is cold") {
    const Read r("switch S5 \"fan\", closes at 92 degC, opens at 87 degC\nswitch S6 \"cut-out\", opens at 110 degC\n"
                 "switch S7 \"dash\"");
    CHECK(r.findings() == "");
    const auto& controls = r.circuit().controls;
    REQUIRE(controls.size() == 3);
    CHECK(controls[0].type == Control::Type::sensed);
    CHECK(controls[0].rest == 0);
    CHECK(controls[1].type == Control::Type::sensed);
    CHECK(controls[1].rest == 1);
    CHECK(controls[2].type == Control::Type::hand);
    CHECK(Read("switch S5, closes at 92 degC, closes at 95 degC").findings() ==
          "This is said twice about the same switch, in two ways.\n");
}

TEST_CASE("a switch that makes before it breaks stands between its positions for a moment") {
    const Read r("switch S1, make-before-break { left* connects 1 with 2 | right connects 1 with 3 }");
    CHECK(r.findings() == "");
    const Control& control = r.circuit().controls.front();
    CHECK(control.positions == std::vector<std::string>{"left", "between left and right", "right"});
    CHECK(control.springs_back == 0b010);
    CHECK(r.part("S1") == "1 2 3 | contact S1:1 > S1:2 in 11 of S1 | contact S1:1 > S1:3 in 110 of S1 ");
}

TEST_CASE("what is said and not worked out is said to stay open") {
    const std::vector<std::pair<std::string, std::string>> open = {
        {"motor M1, 9 A, duty 30 s in 5 min",
         "how warm fuses, plugs and switches on the way to M1 get in the time it runs: there it is taken to run for "
         "hours\n"},
        {"motor M1, 9 A, duty continuous", ""},
        {"motor M1, 9 A, generates when driven", ""},
        {"existing wire T1, live always, pulsed 100 Hz",
         "how much of the time T1 is live: it is taken to be live or not\n"},
        {"load E1, 1 A, keep alive, works from 8 V", ""},
        {"load E1, 1 A, starts at 3 A",
         "for how long E1 takes its starting current, and whether its fuse stands that\n"},
        {"breaker Q1, 40 A, resets itself", "how often Q1 closes again onto a fault, and what gets warm meanwhile\n"},
        {"fuse F1, 15 A, inline, tails 1.5 mm2", ""},
        {"switch S5, closes at 92 degC, opens at 87 degC", ""},
        {"rheostat R5, 0 ohm to 20 ohm",
         "where R5 is turned to: it is taken at its least ohms, where most flows; what heats it most is looked at\n"},
        {"wire W1 from ground to nothing, 1 mm2 solid",
         "how long W1 stands shaking: it is one solid strand, and crimps do not hold on it\n"},
    };
    for (const auto& [typed, words] : open) {
        CAPTURE(typed);
        const Read r(typed);
        CHECK(r.findings() == "");
        CHECK(r.open() == words);
    }
}

TEST_CASE("pins of a unit say what is inside them") {
    const Read r("electronics A1 {\n supply 1, 0.4 A, asleep 2 mA after 45 min\n ground 2\n input 49 wants plus, 10 "
                 "kohm to ground\n"
                 " output 6 ground side, 1 A, clamped 40 V, leaks to 1 when unpowered\n output 7 plus side, 7 A, "
                 "watches the lamp 15 W to 30 W\n output 9 ground side, pulsed 100 Hz\n}");
    CHECK(r.findings() == "");
    CHECK(r.part("A1").find("contact A1:1 > A1:7 in 10 of A1 rated 7 A") != std::string::npos);
    CHECK(r.open() == "when A1 drives its outputs\n"
                      "how much of the time output 9 of A1 is on: it is taken to be on or off\n");
    const Part& unit = r.circuit().parts.front();
    const auto said = [&](Attr key) {
        for (const Attribute& a : unit.attributes)
            if (a.key == key) return a.word + ": " + (a.value.known() ? figure(a.value.nominal) : "");
        return std::string("not said");
    };
    CHECK(said(Attr::asleep) == "1: 0.002");
    CHECK(said(Attr::asleep_after) == "1: 2700");
    CHECK(said(Attr::clamped) == "6: 40");
    CHECK(said(Attr::leaks_to) == "6 1: ");
    CHECK(said(Attr::watches_least) == "7: 15");
    CHECK(said(Attr::watches_most) == "7: 30");
    CHECK(said(Attr::pulsed) == "9: 100");
    CHECK(r.part("A1").find("resistance A1:6 > A1:1") != std::string::npos); // the leak
}

TEST_CASE("what is misspelt about a pin or a winding, or has no figure, is refused with the words that are right") {
    const auto unit = [](const std::string& output) {
        return Read("electronics A1 {\n supply 1, 0.4 A\n ground 2\n " + output + "\n}").findings();
    };
    CHECK(unit("output 9 ground side, pulzed 100 Hz") ==
          "\"pulzed\" is not known about an output pin; \"pulsed\" is.\n");
    CHECK(unit("output 9 ground side, pulsed") == "What belongs behind \"pulsed\" is missing, or not understood.\n");
    CHECK(unit("output 9 ground side, pulsed 100") == "In \"pulsed 100\" the figure has no unit.\n");
    CHECK(unit("output 9 ground side, pulsed 0 Hz") == "An output that never changes is not pulsed.\n");
    CHECK(unit("output 9 ground side, clampd 40 V") ==
          "\"clampd\" is not known about an output pin; \"clamped\" is.\n");
    CHECK(unit("output 9 ground side, clamped") == "What belongs behind \"clamped\" is missing, or not understood.\n");
    CHECK(unit("output 9 plus side, watches the lamp") ==
          "What belongs behind \"watches\" is missing, or not understood.\n");
    CHECK(unit("output 9 plus side, watches 30 W to 15 W") ==
          "The first figure is the least that this output is content with, the second the most.\n");
    CHECK(unit("output 9 ground side, leaks") == "What belongs behind \"leaks\" is missing, or not understood.\n");
    CHECK(unit("output 9 ground side, leaks to 5") == "A1 has no pin 5 that could be leaked into.\n");
    CHECK(unit("output 9 ground side, leaks to 2") ==
          "Pin 2 of A1 is no supply pin, so that nothing is known of what leaks into it.\n");
    CHECK(Read("electronics A1 {\n supply 1, 0.4 A, asleep\n ground 2\n}").findings() ==
          "What belongs behind \"asleep\" is missing, or not understood.\n");
    CHECK(Read("existing wire T1, live always, pulsed").findings() ==
          "What belongs behind \"pulsed\" is missing, or not understood.\n");

    const auto starter = [](const std::string& lines) { return Read("starter M1 { " + lines + " }").findings(); };
    CHECK(starter("pull-in 50-motor | hold-in 50-case | cranks 180 A") == "");
    CHECK(starter("pull-in 50 to motor, 35 A | hold-in 50 to case, 1.2 ohm") == "");
    CHECK(starter("pull-in 50-motor") ==
          "The hold-in winding is missing: a solenoid has both, or nothing is said of them.\n");
    CHECK(starter("pull-in 50-case | hold-in 50-case") ==
          "A pull-in winding lies between 50 and the motor, so that the closed contact shorts it.\n");
    CHECK(starter("pull-in 50-motor | hold-in 50-motor") ==
          "A hold-in winding lies between 50 and the case, so that it holds as long as 50 is fed.\n");
    CHECK(starter("pull-in 50-motor | hold-in 50-case | crank 180 A") ==
          "Of a starter its two windings and its current while cranking may be said here.\n");
    CHECK(starter("pull-in 50-motor | hold-in 50-case | cranks") ==
          "Of a starter its two windings and its current while cranking may be said here.\n");
    CHECK(starter("pull-in 50-motor, 35 | hold-in 50-case") ==
          "Behind a winding may stand what it takes, or its ohms.\n");
}

TEST_CASE("a starter's windings are two: one over the motor, one to its case") {
    const Read r("starter M1 { pull-in 50-motor, 36 A | hold-in 50-case, 1.2 ohm | cranks 180 A }");
    CHECK(r.findings() == "");
    CHECK(r.part("M1").find("resistance M1:50 > M1:case") != std::string::npos);
    CHECK(r.part("M1").find("resistance M1:50 > M1:motor") != std::string::npos);
    CHECK(Read("starter M1, 180 A").part("M1").find("M1:50 > M1:motor") == std::string::npos);
}

TEST_CASE("strands and their thickness are a size; copper-clad aluminium conducts like less copper") {
    const Read r("wire W1 from ground to nothing, 28/0.30 red\nwire W2 from ground to nothing, copper-clad aluminium, "
                 "4 mm2\nwire W3 from ground to nothing, 4 mm2");
    CHECK(r.findings() == "");
    CHECK(r.circuit().wires[0].area.nominal.si * 1e6 ==
          doctest::Approx(1.979).epsilon(0.001)); // 28 x pi/4 x 0.3^2: the trade's "2 mm2" thin-wall cable
    CHECK(r.circuit().wires[0].size == "28/0.30");
    CHECK(r.circuit().wires[1].area.nominal.si * 1.6 == doctest::Approx(r.circuit().wires[2].area.nominal.si));
    CHECK(Read("wire W1 from ground to nothing, 28/30").findings() != "");
}

TEST_CASE("a terminal stamped D+ is named so") {
    const Read r("alternator G2, 65 A, lamp terminal D+\nlamp H1, 2 W\nwire from H1 to G2:D+\n");
    CHECK(r.findings() == "");
}

TEST_CASE("a terminal made for two wires takes two, and stamps may be the writer's own") {
    const Read r("relay K1, 4-pin, double 87\nalternator G2, 65 A, lamp terminal D1\nwire from K1:87 to nothing\nwire "
                 "from K1:87 to nothing\nwire from G2:D1 to nothing");
    CHECK(r.findings() == "");
    for (const Terminal& t : r.circuit().terminals)
        if (t.stamp == "87") CHECK(t.wires_allowed == 2);
    CHECK(Read("relay K1, 4-pin, double 99").findings() == "K1 has no terminal 99 that could be made for two wires.\n");
}

TEST_CASE("two metals that touch may touch or not") {
    const Read r("metal trailer\ntouch J1 \"hitch ball\" between body and trailer, 0 ohm to open");
    CHECK(r.findings() == "");
    CHECK(r.part("J1") == "1 2 | joint J1:1 > trailer | joint J1:2 > ground | contact J1:1 > J1:2 in 10 of J1 ");
    CHECK(r.open() == "");
    CHECK(Read("metal trailer\ntouch J1 between body and trailer, 10 mohm to 2 ohm").part("J1") ==
          "1 2 | joint J1:1 > trailer | joint J1:2 > ground | contact J1:1 > J1:2 in 10 of J1 10 mohm | "
          "contact J1:1 > J1:2 in 1 of J1 2 ohm ");
    CHECK(Read("touch J1 between body and trailer").findings() == "There is no metal called trailer.\n");
    CHECK(Read("touch J1 \"hitch\"").findings() == "What J1 lies between is not said.\n");
    CHECK(Read("touch J1 between body and Body").findings() ==
          "J1 lies between body and body: that is one piece of metal.\n");
}

TEST_CASE("a capacitor joins nothing, and that its charge is not worked out is said") {
    const Read r("capacitor C1, 2.2 uF\ncondenser C2, 1 F, 16 V");
    CHECK(r.findings() == "");
    CHECK(r.part("C1") == "1 2 ");
    CHECK(r.open() == "how long C2 holds up the volts when its feed goes\n"); // C1 is one against noise
    CHECK(r.circuit().parts[0].attributes[0].value.nominal == doctest::Approx(2.2e-6));
}
