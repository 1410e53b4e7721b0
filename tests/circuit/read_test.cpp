/// Text to circuit: what each statement becomes, what is forgiven, what is asked back.

#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>

using namespace loomproof;

namespace {

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& text) { reading = read_circuit_text(sources, "test.loom", text); }
    const Circuit& circuit() const { return reading.circuit; }
    std::string findings() const {
        std::string out;
        for (const Finding& f : reading.findings)
            out += f.rule + " [" + std::string(sources.text(f.cites.front().span)) + "] " + f.headline + "\n";
        return out;
    }
    std::string wire(std::size_t i) const {
        const Wire& w = circuit().wires[i];
        return (w.named ? name_of(circuit(), WireId{i}) : w.name) + ": " + name_of(circuit(), w.a) + " > " +
               name_of(circuit(), w.b);
    }
};

const std::string smallest = R"(loom 1
battery, 60 Ah
fuse F1, 20 A
relay K1, 4-pin, 40 A
led E1 "light bar", 120 W
existing wire T1 "main beam, left lamp plug", blue/white, live when "main beam on"

wire from battery:+ to F1,   12 awg red,   about 0.1 m
wire from F1 to K1:30,       12 awg red,   about 2 m
wire from K1:87 to E1:+,     12 awg red,   about 1 m
wire from E1:- to ground,    12 awg black, about 0.5 m
wire from T1 to K1:86,       18 awg blue,  about 1 m
wire from K1:85 to ground,   18 awg black, about 0.3 m
)";

} // namespace

TEST_CASE("the smallest useful file reads without a question") {
    Read r(smallest);
    CHECK(r.findings() == "");
    const Circuit& c = r.circuit();
    REQUIRE(c.wires.size() == 6);
    CHECK(r.wire(0) == "wire 1: battery:+ > F1:1");
    CHECK(r.wire(1) == "wire 2: F1:2 > K1:30");
    CHECK(r.wire(3) == "wire 4: E1:- > ground");
    CHECK(c.wires[0].length.low.si == doctest::Approx(0.08)); // about: give or take 20 %
    CHECK(c.wires[0].length.high.si == doctest::Approx(0.12));
    CHECK(c.wires[0].colours.main == "RD");
    CHECK(in_square_millimetres(c.wires[0].area.nominal) == doctest::Approx(3.309).epsilon(0.001)); // ASTM B258
    CHECK(c.vehicle.described == false);
}

TEST_CASE("fingers are forgiven") {
    Read strict(smallest);
    std::string typed = smallest;
    const auto replace = [&](const std::string& from, const std::string& to) {
        for (std::size_t at = 0; (at = typed.find(from, at)) != std::string::npos; at += to.size())
            typed.replace(at, from.size(), to);
    };
    SUBCASE("curly quotes, long dashes, capitals") {
        replace("\"light bar\"", "“light bar”");
        replace("battery:+", "Battery:+");
        replace("E1:-", "e1:–");
        replace("wire from", "Wire From");
    }
    SUBCASE("no blank before a unit") {
        replace("20 A", "20a");
        replace("120 W", "120w");
        replace("12 awg", "12AWG");
        replace("18 awg", "AWG 18");
    }
    SUBCASE("CRLF, tabs and a byte-order mark") {
        replace("\n", "\r\n");
        replace(",   ", ",\t");
        typed = "\xEF\xBB\xBF" + typed;
    }
    Read r(typed);
    CHECK(r.findings() == "");
    CHECK(dump(r.circuit()) == dump(strict.circuit()));
}

TEST_CASE("earth and chassis are the ground, unless something carries the name") {
    Read r("loom 1\nlamp E1, 5 W\nlamp E2, 5 W\nsplice earth\nwire from E1 to chassis, 1 mm2\nwire from E2 to earth, 1 "
           "mm2\n");
    CHECK(r.findings() == "");
    CHECK(r.wire(0) == "wire 1: E1:2 > ground");
    CHECK(r.wire(1) == "wire 2: E2:2 > earth");
}

TEST_CASE("a wire without a name is known by its colour and its ends, and two-ended parts by their name alone") {
    Read r(smallest + "lamp E2, 5 W\nwire W9 from F1:2 to E2:+, 1 mm2 BU/WH\nwire from E2 to ground\n");
    CHECK(name_of(r.circuit(), WireId{std::size_t{0}}) == "the red wire from battery:+ to F1");
    CHECK(called(r.circuit(), WireId{std::size_t{0}}) == "the red wire from battery:+ to F1");
    CHECK(described(r.circuit(), WireId{std::size_t{1}}) == "the red wire from F1 to K1:30");
    CHECK(name_of(r.circuit(), WireId{std::size_t{6}}) == "W9");
    CHECK(called(r.circuit(), WireId{std::size_t{6}}) == "the blue/white wire W9");
    CHECK(described(r.circuit(), WireId{std::size_t{6}}) == "W9, the blue/white wire from F1 to E2");
    CHECK(described(r.circuit(), WireId{std::size_t{7}}) == "the wire from E2 to ground");
}

TEST_CASE("a feed of which nobody said when it is live is taken to be live always, and that is listed") {
    const auto assumed = [](const std::string& line) {
        Read r("loom 1\n" + line + "\nlamp E1, 5 W\nwire from T1 to E1\nwire from E1 to ground\n");
        std::string out;
        for (const Assumption& a : r.circuit().assumptions)
            if (a.subject == "T1") out += a.value + ", " + a.basis + "; " + a.to_change;
        return out;
    };
    CHECK(assumed("existing wire T1, behind 10 A") ==
          "live all the time, the file does not say when; existing wire T1, live when \"ignition on\"");
    CHECK(assumed("supply T1, behind 10 A") ==
          "live all the time, the file does not say when; supply T1, plus when \"ignition on\"");
    for (const char* said : {"existing wire T1, live", "existing wire T1, live always", "supply T1, plus",
                             "supply T1, ground when \"door open\"", "existing wire T1, live when \"x\""})
        CHECK(assumed(said) == "");
}

TEST_CASE("a part that is called body is not the body") {
    Read r("loom 1\nfuse body, 5 A\nlamp E1, 5 W\nwire from E1 to ground, 1 mm2\nwire from E1 to body, 1 mm2\n");
    CHECK(r.findings() == "");
    CHECK(r.wire(0) == "wire 1: E1:2 > ground");
    CHECK(r.wire(1) == "wire 2: E1:1 > body:1");
}

TEST_CASE("a part whose block says of no terminals: the sentence says so, and how to say them") {
    const std::string wire = "\nfuse F1, 5 A\nwire from F1 to S1:1, 1 mm2 red, 1 m\n";
    Read positions("loom 1\nswitch S1 { off* | on }" + wire);
    CHECK(positions.findings().find("The switch S1 has no terminal 1: none of its positions connects anything.\n") !=
          std::string::npos);
    REQUIRE(!positions.reading.findings.empty());
    REQUIRE(positions.reading.findings[0].cures.size() == 1);
    CHECK(positions.reading.findings[0].cures[0].text == "Say behind a position what it joins: on connects 1 with 2");
    Read box("loom 1\nbox S1 \"under dash\" { }" + wire);
    CHECK(box.findings().find("The box S1 has no terminal 1: it says of no rail.\n") != std::string::npos);
}

TEST_CASE("what can be read in two ways is asked back") {
    const std::map<std::string, std::string> asked = {
        {"wire from battery:+ to F1, 2,5 mm2", "text-unreadable-number"},
        {"wire from battery:+ to F1, 2.5 mm", "text-unclear-figure"},
        {"wire from battery:+ to F1, 12 gauge", "text-unclear-figure"},
        {"wire from battery:+ to F1, 2.5 mm2 B", "text-colour-unclear"},
        {"wire from battery:+ to F1, 2.5 mm2, 0,5 m", "text-unreadable-number"},
        {"wire from battery:+ to F1, 1.4 mm2", "text-size-unknown"},
        {"fuse F2, 20", "text-unit-missing"},
        {"resistor R1, 5 Mohm", "text-unclear-figure"},
        {"fuse f1, 10 A", "text-name-twice"},
        {"fuse F1, 10 A", "text-name-twice"},
        {"wire from battery:+ to F9, 1 mm2", "text-name-unknown"},
        {"wire from battery to F1, 1 mm2", "text-terminal-unknown"},
        {"wire from K1:87a to F1, 1 mm2", "text-terminal-unknown"},
        {"timer H3, 42 W", "text-word-unknown"},
        {"fuze F7, 10 A", "text-word-unknown"},
        {"fuse F7, 10 A, read", "text-word-unknown"},
        {"fuse, 10 A", "text-name-missing"},
        {"accept unfused-feed on F1", "text-statement-unfinished"},
        {"wire from F1", "text-statement-unfinished"},
        {"fuse F7, 10 A, 20 A", "text-said-twice"},
        {"wire from battery:+ to F1, 1 mm2, 0.1 m, 0.2 m", "text-said-twice"},
        {"wire from battery:+ to F1, #12, 0.1 m", "text-unclear-figure"},
        {"# a comment of another language", "text-word-unknown"},
        {"system 12", "text-unit-missing"},
        {"lamp E1, 55", "text-unit-missing"},
        {"wire from battery:+ to F1, 0.1", "text-unit-missing"},
        {"wire from battery:+ to F1, 1 mm2 rad", "text-word-unknown"},
        {"lamp E1, 20 A, 2 Ah", "text-word-unknown"},
    };
    for (const auto& [line, id] : asked) {
        CAPTURE(line);
        Read r("loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nrelay K1, 4-pin\n" + line + "\n");
        REQUIRE(r.reading.findings.size() == 1);
        CHECK(r.reading.findings[0].rule == id);
        CHECK_FALSE(r.reading.findings[0].headline.empty());
        CHECK_FALSE(r.reading.findings[0].cites.empty());
    }
}

TEST_CASE("letters are read once the file says whose they are") {
    Read r("loom 1\ncolours british\nbattery\nfuse F1, 20 A\nwire from battery:+ to F1, 1 mm2 N, 0.1 m\n");
    CHECK(r.findings() == "");
    CHECK(r.circuit().wires[0].colours.main == "BN");
}

TEST_CASE("a two-ended part: to is its first end, from its second, a third wire asks") {
    Read r("loom 1\nbattery\nfuse F1, 20 A\nbus B1\nwire from F1 to B1, 1 mm2\nwire from battery:+ to F1, 1 mm2\nwire "
           "from B1 to F1, 1 mm2\n");
    CHECK(r.wire(0) == "wire 1: F1:2 > B1");
    CHECK(r.wire(1) == "wire 2: battery:+ > F1:1");
    REQUIRE(r.reading.findings.size() == 1);
    CHECK(r.reading.findings[0].rule == "text-end-unclear");
}

TEST_CASE(
    "a further wire from a fuse lies beside the one at its second end, and is listed; one that may be its feed asks") {
    const std::string head = "loom 1\nbattery\nfuse F1, 20 A\nfuse F2, 20 A\nlamp E1, 5 W\nlamp E2, 5 W\n"
                             "wire from battery:+ to F1, 1 mm2\nwire from F1 to E1, 1 mm2\n";
    Read on(head + "wire from F1 to E2, 1 mm2\n");
    CHECK(on.findings() == "");
    CHECK(on.wire(2) == "wire 3: F1:2 > E2:1");
    const auto& assumed = on.circuit().assumptions;
    CHECK(std::ranges::any_of(assumed, [](const Assumption& a) {
        return a.subject == "F1" && a.to_change == "wire from F1:1 to E2, 1 mm2";
    }));
    for (const char* feed : {"wire from F1 to battery:+, 1 mm2\n", "wire from F1 to F2, 1 mm2\n",
                             "wire from E2 to F1, 1 mm2\n", "wire from F1 to unknown, 1 mm2\n"}) {
        CAPTURE(feed);
        CHECK(Read(head + feed).findings().starts_with("text-end-unclear"));
    }
    // The fuse's wires are typed the other way round: nobody can say which end is its second.
    Read reversed("loom 1\nbattery\nfuse F1, 20 A\nlamp E1, 5 W\nlamp E2, 5 W\nwire from F1:1 to battery:+, 1 mm2\n"
                  "wire from F1:2 to E1, 1 mm2\nwire from F1 to E2, 1 mm2\n");
    CHECK(reversed.findings().starts_with("text-end-unclear"));
}

TEST_CASE("a wire from lamp to lamp that lies at the free end: the cure says how the two hang side by side") {
    Read r("loom 1\nbattery\nfuse F1, 10 A\nlamp E1, 5 W\nlamp E2, 5 W\nwire W1 from F1 to E1, 1 mm2\n"
           "wire W2 from E1 to E2, 1 mm2\nwire W3 from E1 to ground, 1 mm2\n");
    REQUIRE(r.reading.findings.size() == 1);
    REQUIRE(r.reading.findings[0].cures.size() == 1);
    CHECK(
        r.reading.findings[0].cures[0].text ==
        "If W2 shall feed E2 beside E1, not through it, type E1:1 in that wire. Else type E1:2 to join it to the wire "
        "at E2:1, or E1:1 to join it to the wire at F1:2.");
}

TEST_CASE("a run over plugs is one wire in pieces, one on each half") {
    Read r("loom 1\nfuse F3, 15 A\nmotor M2, 9 A\nconnector X7, 2 holes\nwire W14 from F3 through X7:1 to M2:+, 1 mm2 "
           "BU/WH, 2.1 m + 0.2 m\n");
    CHECK(r.findings() == "");
    REQUIRE(r.circuit().wires.size() == 2);
    CHECK(r.wire(0) == "W14 (first piece): F3:2 > X7:1");
    CHECK(r.wire(1) == "W14 (second piece): X7:1 > M2:+");
    CHECK(r.circuit().wires[1].length.nominal.si == doctest::Approx(0.2));
    CHECK(r.circuit().wires[1].colours.stripe == "WH");
    CHECK(r.circuit().wires[0].b != r.circuit().wires[1].a);
}

TEST_CASE("a cut gives two named pieces that share what the wire had") {
    Read r(R"(loom 1
factory {
  battery, 60 Ah
  fuse F3, 15 A
  motor M2, 9 A at 13 V
  connector X7, 2 holes
  wire W14 from F3 through X7:1 to M2:+, 1 mm2 BU/WH, 2.1 m + 0.2 m, in engine-bay
}
job "relay" planned {
  relay K1, 4-pin
  cut W14 0.15 m from X7:1: W14x stays at X7, W14f stays at F3
  wire W30 from W14f to K1:86, 1 mm2 BU, 0.3 m
  cap W14x, sealed sleeve
}
)");
    CHECK(r.findings() == "");
    const View now = View::now(r.circuit()), factory = View::factory(r.circuit());
    CHECK(factory.wires().size() == 2);
    CHECK(now.wires().size() == 4);
    std::map<std::string, const Wire*> wires;
    for (WireId w : now.wires()) wires[name_of(r.circuit(), w)] = &r.circuit().at(w);
    REQUIRE(wires.count("W14x") == 1);
    REQUIRE(wires.count("W14f") == 1);
    CHECK(wires["W14x"]->length.nominal.si == doctest::Approx(0.15));
    CHECK(wires["W14f"]->length.nominal.si == doctest::Approx(1.95));
    CHECK(wires["W14f"]->size == "1 mm2");
    CHECK(wires["W14f"]->colours.stripe == "WH");
    CHECK(r.circuit().at(wires["W14f"]->place).name == "engine-bay");
    CHECK(name_of(r.circuit(), wires["W14x"]->a) == "loose end of W14x");
    CHECK(wires["W30"]->a == wires["W14f"]->b);
    CHECK((wires["W14x"]->capped_a || wires["W14x"]->capped_b));
}

TEST_CASE("moves, taps, changes and removals keep the history") {
    Read r(R"(loom 1
factory {
  battery, 60 Ah
  fuse F3, 15 A
  switch S6
  motor M2, 9 A
  wire W1 from battery:+ to F3, 2.5 mm2, 0.1 m
  wire W2 from F3 to S6, 1.5 mm2, 1 m
  wire W3 from S6 to M2:+, 1.5 mm2, 1 m
}
job "one" fitted 2026-05-02 {
  fuse F3, 25 A
  relay K1, 4-pin
  tap TP1 on W2, 0.4 m from F3
  wire W5 from TP1 to K1:86, 1 mm2, 0.2 m
  move W3 off S6:2 onto K1:87
}
job "two" planned {
  remove S6, kept in boot
  cut W1: W1a stays at battery, W1b stays at F3
}
)");
    CHECK(r.findings() == "");
    const Circuit& c = r.circuit();
    const View factory = View::factory(c), one(c, 1), now = View::now(c);
    const auto fuse = factory.only(Kind::fuse);
    REQUIRE(fuse);
    CHECK(factory.amps(*fuse, Attr::rating).nominal.si == 15);
    CHECK(one.amps(*fuse, Attr::rating).nominal.si == 25);
    CHECK_FALSE(now.is_factory(*fuse));
    CHECK(one.only(Kind::switching).has_value());
    CHECK_FALSE(now.only(Kind::switching).has_value());
    std::size_t ratings = 0;
    for (PrimitiveId p : now.primitives())
        if (c.at(p).part == *fuse) {
            ++ratings;
            CHECK(c.at(p).rating.nominal.si == 25);
        }
    CHECK(ratings == 1);
    for (WireId w : now.wires())
        if (c.at(w).name == "W3") CHECK(name_of(c, c.at(w).a) == "K1:87");
    CHECK(c.revisions[1].date == "2026-05-02");
}

TEST_CASE("a stamp of two signs is one terminal wherever an end is named") {
    Read r(R"(loom 1
battery
alternator G2, 65 A
bus B1
wire W4 from G2:B+ to battery:+, 10 mm2, 1.2 m
splice SP1 on W4, 0.2 m from G2:B+, crimp
move W4 off G2:B+ onto B1
accept unfused-feed on G2:B+ because "short"
)");
    CHECK(r.findings() == "");
    CHECK(r.circuit().acceptances[0].thing == "G2:B+");
}

TEST_CASE("naming what is gone points at the statement that took it away") {
    Read r("loom 1\nfactory {\n battery\n fuse F1, 10 A\n wire W1 from battery:+ to F1, 1 mm2\n}\njob \"x\" planned "
           "{\n remove F1\n wire W2 from W1 to F1, 1 mm2\n}\n");
    REQUIRE(r.reading.findings.size() == 1);
    CHECK(r.reading.findings[0].rule == "text-gone");
    CHECK(r.reading.findings[0].cites.size() == 2);
}

TEST_CASE("all mistakes of a file come out in one run, and the rest is read") {
    Read r("loom 1\nbattery, 60\nfuse F1, 20 A\nfuze F2, 10 A\nwire from battery:+ to F1, 2.5 mm\nlamp E1, 55 W\nwire "
           "from F1 to E1, 1 mm2\n");
    CHECK(r.reading.findings.size() == 3);
    CHECK(r.circuit().wires.size() == 2);
    CHECK(r.circuit().wires[0].poisoned);
    CHECK_FALSE(r.circuit().wires[1].poisoned);
}

TEST_CASE("a wire with one end that cannot be read still holds its other end") {
    Sources sources;
    const Reading r =
        read_circuit_text(sources, "x", "loom 1\nfuse F1, 5 A\nwire W1 from F1 to Q9:1, 1 mm2\nwire W2 from F1:1\n");
    CHECK(r.findings.size() == 2);
    REQUIRE(r.circuit.wires.size() == 2);
    for (const Wire& w : r.circuit.wires) {
        CHECK(w.poisoned);
        CHECK(r.circuit.part_of(w.a).name == "F1");
        CHECK(r.circuit.part_of(w.b).kind == Kind::unknown_end);
    }
}

TEST_CASE("switch positions become contacts") {
    Read r("loom 1\nswitch S1 \"ignition\" {\n off*\n accessory connects 30 with 15R\n run connects 30 with 15R and "
           "15\n start connects 30 with 15 and 50, springs back\n}\n");
    CHECK(r.findings() == "");
    const Circuit& c = r.circuit();
    REQUIRE(c.controls.size() == 1);
    CHECK(c.controls[0].positions.size() == 4);
    CHECK(c.controls[0].springs_back == 0b1000);
    REQUIRE(c.primitives.size() == 3);
    CHECK(c.primitives[0].closed_in == 0b0110); // 30 with 15R
    CHECK(c.primitives[1].closed_in == 0b1100); // 30 with 15
    CHECK(c.primitives[2].closed_in == 0b1000); // 30 with 50
}

TEST_CASE("a size that is asked back is no second size") {
    Read r("loom 1\nbattery, 60 Ah\nwire from battery:+ to nothing, 18 awg BU, 0.9 mm, 105 degC\n");
    REQUIRE(r.reading.findings.size() == 1);
    CHECK(r.reading.findings.front().rule == "text-unclear-figure");
    CHECK(r.circuit().wires.front().poisoned);
}

TEST_CASE("an engine strap is assumed only where none is described") {
    const auto straps = [](const std::string& wire) {
        Read r("loom 1\nbattery, 60 Ah\nmetal engine\nground GND2 \"block\" on engine\nlamp E1, 5 W\nwire from "
               "battery:- to ground, 16 mm2 BK, 0.4 m\n" +
               wire);
        CHECK(r.findings() == "");
        std::size_t n = 0;
        for (const Assumption& a : r.circuit().assumptions) n += a.subject == "engine";
        return n;
    };
    CHECK(straps("wire from engine to ground, 16 mm2 BK, 0.4 m\n") == 0);
    CHECK(straps("wire from GND2 to ground, 16 mm2 BK, 0.4 m\n") == 0);
    CHECK(straps("wire from GND2 to battery:-, 16 mm2 BK, 0.4 m\n") == 0);
    CHECK(straps("wire from E1 to GND2, 1 mm2 BK, 0.4 m\n") == 1); // a lamp's ground is no strap
    CHECK(straps("") == 1);
}

TEST_CASE(
    "what an assumed strap takes for granted is said where the largest load is more than the thinnest cable carries") {
    const auto basis = [](const std::string& load) {
        Read r("loom 1\nbattery, 60 Ah\nfuse F1, 400 A, mega\nwire from battery:+ to F1, 50 mm2 RD, 0.1 m\n" + load);
        CHECK(r.findings() == "");
        for (const Assumption& a : r.circuit().assumptions)
            if (a.subject == "battery:-") return a.basis;
        return std::string("none");
    };
    const std::string usual = "usual in every vehicle";
    CHECK(basis("load E1, 40 A\nwire from F1 to E1, 50 mm2 RD, 1 m\nwire from E1 to ground, 50 mm2 BK, 0.4 m\n") ==
          usual);
    CHECK(basis("load E1, 300 A\nwire from F1 to E1, 50 mm2 RD, 1 m\nwire from E1 to ground, 50 mm2 BK, 0.4 m\n") ==
          "usual are 16 to 25 mm2; whether yours carries the 300 A of E1 is not checked");
    // It comes back by a wire of its own.
    CHECK(basis("load E1, 300 A\nwire from F1 to E1, 50 mm2 RD, 1 m\nwire from E1 to battery:-, 50 mm2 BK, 1 m\n") ==
          usual);
    // A starter takes it for seconds.
    CHECK(basis("starter, 150 A\nwire from battery:+ to starter:30, 25 mm2 RD, 1 m\n") == usual);
}
