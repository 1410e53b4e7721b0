/// What may be said of motors, coils, plugs, grounds and inputs beyond their amps, and what becomes of it electrically.

#include "circuit/reading.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace loomproof;

namespace {

struct Read : tests::Read {
    using tests::Read::Read;
    std::string stamps(const std::string& name) const {
        std::string out;
        for (const Part& p : circuit().parts)
            if (p.name == name)
                for (TerminalId t : p.terminals)
                    if (!circuit().at(t).internal) out += circuit().at(t).stamp + " ";
        return out;
    }
    /// The lines of dump() that hold this text.
    std::string lines(const std::string& with) const {
        const std::string all = dump(circuit());
        std::string out;
        for (std::size_t at = 0; at < all.size();) {
            const std::size_t end = all.find('\n', at);
            const std::string line = all.substr(at, end - at);
            if (line.find(with) != std::string::npos && line.find(" > ") != std::string::npos) out += line + "\n";
            at = end + 1;
        }
        return out;
    }
};

} // namespace

TEST_CASE("a motor with two speeds has an end for each and a common one; its stamps are those of DIN 72552") {
    const Read r("motor M3 \"wiper\", slow 3 A, fast 5 A at 13 V");
    CHECK(r.findings() == "");
    CHECK(r.stamps("M3") == "53 53b 31 ");
    CHECK(r.lines("M3:") == "machine M3:53 > M3:31 takes 3 A 4.33 ohm\nmachine M3:53b > M3:31 takes 5 A 2.6 ohm\n");
    CHECK(Read("motor M3, slow 36 W, fast 60 W").lines("M3:") ==
          "machine M3:53 > M3:31 takes 3 A 4 ohm\nmachine M3:53b > M3:31 takes 5 A 2.4 ohm\n");
    CHECK(Read("motor M3, two speeds, slow 3 A").stamps("M3") == "53 53b 31 ");
    CHECK(Read("motor M3, 3 A").stamps("M3") == "+ - ");
    CHECK(Read("motor M3, slow 3 A, fast 5 A\nswitch S1 { off* | low connects 1 with 2 | high connects 1 with 3 }\n"
               "wire from S1:2 to M3:slow\nwire from S1:3 to M3:fast\nwire from M3:- to ground\n"
               "expect M3.53b on when S1 high")
              .findings() == "");
    CHECK(Read("motor M3, slow 3 A, 5 A").findings() == "This is said twice about the same motor, in two ways.\n");
}

TEST_CASE("a motor that parks by itself carries on over a contact of its own") {
    const Read r("motor M3 \"wiper\", slow 3 A, fast 5 A, parks by itself");
    CHECK(r.findings() == "");
    CHECK(r.stamps("M3") == "53 53b 53a 31b 31 ");
    CHECK(r.lines("contact") == "contact M3:31 > M3:31b in 1 of M3\ncontact M3:53a > M3:31b in 10 of M3\n");
    CHECK(Read("motor M3, 3 A, parks by itself").stamps("M3") == "53 53a 31b 31 ");
}

TEST_CASE("a coil's watts hold at the volts that it is made for") {
    CHECK(Read("relay K1, coil 1.6 W").lines("K1:86") == "resistance K1:86 > K1:85 takes assumed 133 mA 90 ohm\n");
    CHECK(Read("system 24 V\nrelay K1, coil 1.8 W").lines("K1:86") ==
          "resistance K1:86 > K1:85 takes assumed 75 mA 320 ohm\n");
    CHECK(Read("relay K1, 12 V, 1.6 W coil").findings() == "");
}

TEST_CASE("pressure switches take bar, psi and kPa") {
    const Read r("switch S5 \"air\", closes at 6 bar, opens at 8 bar\nswitch S6, pressure, opens at 4 psi");
    CHECK(r.findings() == "");
    CHECK(r.circuit().controls[0].type == Control::Type::sensed);
    CHECK(r.circuit().controls[1].rest == 1);
}

TEST_CASE("an alternator whose regulator sits beside it has its field at DF, or F") {
    const Read r(
        "alternator G2, 45 A, external regulator\nregulator N1\nwire from N1:DF to G2:F\nwire from N1:D+ to G2:D+");
    CHECK(r.findings() == "");
    CHECK(r.lines("resistance G2:DF") == "resistance G2:DF > G2:- takes assumed 3 A assumed 4 ohm\n");
}

TEST_CASE("a ground's own ohms lie between its bolt and the rest of its metal") {
    CHECK(Read("ground GND1 \"left wing\" on body, 3 mohm").lines("GND1") == "joint GND1 > ground 3 mohm\n");
}

TEST_CASE("an input's ohms are worked out, and nothing else is concluded from it") {
    const Read r(
        "electronics A1 {\n supply 1\n ground 2\n input 49 wants plus, 10 kohm to ground\n input 50 wants ground, 4.7 "
        "kohm to plus\n}");
    CHECK(r.findings() == "");
    CHECK(r.lines("A1:49") == "resistance A1:49 > A1:2 takes assumed 1.2 mA 10 kohm\n");
    CHECK(r.lines("A1:50") == "resistance A1:1 > A1:50 takes assumed 2.55 mA 4700 ohm\n");
}

TEST_CASE("restraint may stand at any part, and name parts as well as wires") {
    const Read r(
        "existing wire T1 \"seat\", yellow, restraint\nconnector X5, 2 holes\nwire W5 from T1 to nothing\nrestraint "
        "X5, W5");
    CHECK(r.findings() == "");
    int marked = 0;
    for (const Part& p : r.circuit().parts)
        for (const Attribute& a : p.attributes) marked += a.key == Attr::restraint;
    CHECK(marked == 2);
    CHECK(r.circuit().wires[0].restraint);
}

TEST_CASE("what a plug's seals close on is said in mm over the insulation") {
    CHECK(Read("connector X7, 2 holes, sealed, seals 1.2 mm to 2.1 mm").findings() == "");
}

TEST_CASE("colours as they are typed in a hurry: with, w/ and wi, or only the word stripe") {
    for (const char* typed : {"blue with white stripe", "blue w/ white stripe", "blue wi white stripe",
                              "blue w white stripe", "blue white stripe", "blue white tracer"}) {
        CAPTURE(typed);
        const Read r(std::string("fuse F1, 10 A\nwire W1 from F1:2 to nothing, 1 mm2 ") + typed + ", 1 m");
        CHECK(r.findings() == "");
        CHECK(r.circuit().wires[0].colours.main == "BU");
        CHECK(r.circuit().wires[0].colours.stripe == "WH");
    }
    const Read light("fuse F1, 10 A\nwire W1 from F1:2 to nothing, 1 mm2 lt green red stripe, 1 m\n"
                     "wire W2 from F1:1 to nothing, 1 mm2 light green with red stripe, 1 m");
    CHECK(light.findings() == "");
    CHECK(light.circuit().wires[0].colours == light.circuit().wires[1].colours);
    // Two colours without a word between them may be two wires, or a slip.
    CHECK(Read("fuse F1, 10 A\nwire W1 from F1:2 to nothing, 1 mm2 blue white, 1 m").findings() != "");
}

TEST_CASE("a plug-in fuse may be said with its colour, and one that is not its rating's is refused") {
    // Body colours: SAE J1284, ISO 8820-3.
    for (const char* good : {"fuse F1, 25 A clear", "fuse F1, 25 A, clear", "fuse F1, 10 A red", "fuse F1, 5 A, tan",
                             "fuse F1, 80 A clear, maxi", "fuse F1, 25 A grey, maxi", "fuse F1, 7.5 A brown"}) {
        CAPTURE(good);
        CHECK(Read(good).findings() == "");
    }
    for (const char* bad : {"fuse F1, 25 A red", "fuse F1, 10 A blue", "fuse F1, 25 A clear, maxi"}) {
        CAPTURE(bad);
        CHECK(Read(bad).findings().find("A fuse of this kind for ") == 0);
    }
}

TEST_CASE("loads grounded by their mounting, fed one from the other, hang side by side") {
    const Read r("battery, 60 Ah\nmetal engine\nheater E1, 10 A, grounded by its mounting on engine\n"
                 "heater E2, 10 A, grounded by its mounting on engine\n"
                 "wire W1 from battery:+ to E1, 4 mm2 red, 1 m\nwire W2 from E1 to E2, 4 mm2 red, 0.1 m");
    const Circuit& c = r.circuit();
    CHECK(c.wires[1].a == c.wires[0].b);
    // One that is not grounded so is passed through.
    const Read plain("battery, 60 Ah\nheater E1, 10 A\nheater E2, 10 A\nwire W1 from battery:+ to E1, 4 mm2 red, 1 m\n"
                     "wire W2 from E1 to E2, 4 mm2 red, 0.1 m");
    CHECK(plain.circuit().wires[1].a != plain.circuit().wires[0].b);
}

TEST_CASE("two filaments may be guessed; a colour may be said with its stripe in words") {
    const Read r(
        "lamp E1, guessed 60/55 W, filaments main and dip\nlamp E2, 100/55 W\nwire W1 from E1:main to nothing, 1 mm2 "
        "blue with a red stripe, 1 m\nwire W2 from E2:1 to nothing, 1 mm2 light green with black tracer, 1 m");
    CHECK(r.findings() == "");
    CHECK(r.lines("E1:main").find("takes guessed 5 A") != std::string::npos);
    CHECK(r.circuit().wires[0].colours.main == "BU");
    CHECK(r.circuit().wires[0].colours.stripe == "RD");
    CHECK(r.circuit().wires[1].colours.stripe == "BK");
    CHECK(Read("wire W1 from ground to nothing, 1 mm2 R with B stripe, 1 m").findings() != "");
    CHECK(Read("lamp E1, 60/ W").findings() != "");
}

TEST_CASE("an output may be told in a line of its own what drives it; other words of the trade mean the same") {
    const std::string unit =
        "wish fan { no* | yes }\nelectronics A1, 1 A {\n supply 1\n ground 2\n output 6 ground side, 1 A";
    const Read apart(unit + "\n drives 6 when wish fan is yes\n}"), together(unit + ", when fan yes\n}");
    CHECK(apart.findings() == "");
    CHECK(apart.lines("contact") != "");
    CHECK(apart.lines("contact") == together.lines("contact"));
    CHECK(Read(unit + "\n drives 7 when fan yes\n}").findings() == "A1 has no output 7 above this line.\n");
    const Read others(
        "relay K1, 4-pin, coil class 1.6 W\nsplice SP1, piercing tap\nsplice SP2, screw terminal\nbreaker Q1, 30 A, "
        "by itself\nfuse F1, 15 A, inline holder, tails 2.5 mm2 0.15 m\nsolar G5, 100 W, limited to 5 A");
    CHECK(others.findings() == "");
}

TEST_CASE("a bare number behind a colour, and a word that is a kind of its own, get the words to type") {
    const Read row("connector X8, 2 holes {\n 1 green 1\n}");
    REQUIRE(row.reading.findings.size() == 1);
    CHECK(row.reading.findings[0].cures[0].text == "If it is the tag on one of two wires of that colour, type: tag 1");
    const Read led("lamp E1, LED, 5 W");
    REQUIRE(led.reading.findings.size() == 1);
    CHECK(led.reading.findings[0].cures[0].text ==
          "If that is what it is, begin the line with led in place of lamp, and leave the word out here.");
}
