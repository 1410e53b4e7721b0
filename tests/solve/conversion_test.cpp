/// What a converter takes and gives: energy is kept, nothing comes from nothing, and no switch position more than hangs on it.

#include "circuit/wishes.hpp"
#include "report/predict_text.hpp"
#include "solve/bench.hpp"
#include "solve/predict.hpp"
#include "solve/states.hpp"
#include "support/stored.hpp"

#include <cmath>

#include <doctest/doctest.h>

using namespace loomproof;
using namespace loomproof::solve;
using test::Bench;

namespace {

constexpr const char* van = R"(battery B1 "starter", 80 Ah
battery B2 "leisure", 100 Ah
alternator G1, 90 A
fuse F0, 100 A, bolted
fuse F1, 40 A
fuse F2, 40 A
converter G2 "booster", 25 A
wire W1 from B1:- to ground, 35 mm2 black, 0.4 m
wire W2 from B2:- to ground, 16 mm2 black, 0.4 m
wire W3 from G1:B+ to F0, 25 mm2 red, 1 m
wire W4 from F0 to B1:+, 25 mm2 red, 0.1 m
wire W5 from B1:+ to F1, 6 mm2 red, 0.1 m
wire W6 from F1 to G2:in, 6 mm2 red, 4 m
wire W7 from G2:out to F2, 6 mm2 red, 0.5 m
wire W8 from F2 to B2:+, 6 mm2 red, 0.1 m
wire W9 from G2:- to ground, 6 mm2 black, 0.5 m
)";

std::string with(std::string text, const std::string& before, const std::string& after) {
    const std::size_t at = text.find(before);
    REQUIRE(at != std::string::npos);
    return text.replace(at, before.size(), after);
}

Prediction predicted(const Bench& b, const char* wish) { return predict(b.view(), *read_wish(b.circuit(), wish)); }

double amps(const Bench& b, const Prediction& p, const char* wire) { return p.point.wire_amps[b.wire(wire).index]->si; }
double volts(const Bench& b, const Prediction& p, const char* terminal) {
    return p.point.volts[b.terminal(terminal).index]->si;
}

} // namespace

TEST_CASE("a charger takes the watts that it gives, and what is lost in it: 85 to 90 % come out (common practice, no "
          "source)") {
    const Bench b(van);
    const Prediction runs = predicted(b, "engine running");
    CHECK(runs.point.settled);
    CHECK(amps(b, runs, "W7") == doctest::Approx(25).epsilon(0.001));
    const double given = (volts(b, runs, "G2:out") - volts(b, runs, "G2:-")) * amps(b, runs, "W7"),
                 taken = (volts(b, runs, "G2:in") - volts(b, runs, "G2:-")) * amps(b, runs, "W6");
    CHECK(given / taken == doctest::Approx(0.87).epsilon(1e-4));
    CHECK(amps(b, runs, "W9") == doctest::Approx(amps(b, runs, "W6") - amps(b, runs, "W7")).epsilon(1e-6));
    CHECK(amps(b, runs, "W3") < 90);
    support::check_stored("tests/solve/expected/charger.txt",
                          report::predict_text(b.view(), runs, report::Screen{}, {}));

    const Prediction stands = predicted(b, "engine stopped");
    CHECK(std::abs(amps(b, stands, "W6")) < 1e-6);
    CHECK(std::abs(amps(b, stands, "W7")) < 1e-6);
    CHECK(volts(b, stands, "B2:+") == doctest::Approx(12.6).epsilon(1e-3));
}

TEST_CASE("what its label says of its input goes before what is usual") {
    // 25 A at 14.2 V for 32 A at 14.2 V: 78 % come out.
    const Bench b(with(van, "\"booster\", 25 A", "\"booster\", 25 A, takes 32 A"));
    const Prediction runs = predicted(b, "engine running");
    const double given = (volts(b, runs, "G2:out") - volts(b, runs, "G2:-")) * amps(b, runs, "W7"),
                 taken = (volts(b, runs, "G2:in") - volts(b, runs, "G2:-")) * amps(b, runs, "W6");
    CHECK(given / taken == doctest::Approx(25.0 / 32).epsilon(1e-4));
}

TEST_CASE("a charger whose input has no volts gives nothing, and its battery stands as it is") {
    const Bench b(with(with(van, "wire W6 from F1 to G2:in", "wire W6 from F1 to S1:1"), "fuse F0",
                       "switch S1\nwire W10 from S1:2 to G2:in, 6 mm2 red, 1 m\nfuse F0"));
    const Prediction open = predicted(b, "engine running, S1 off"), closed = predicted(b, "engine running, S1 on");
    CHECK(std::abs(amps(b, open, "W7")) < 1e-6);
    CHECK(volts(b, open, "B2:+") == doctest::Approx(12.6).epsilon(1e-3));
    CHECK(amps(b, closed, "W7") == doctest::Approx(25).epsilon(0.001));
}

TEST_CASE("it follows the engine of the file, or the condition that the file names") {
    const Bench follows(std::string(van) + R"(switch S9 "key"
lamp E9, 2 W
wire from B1:+ to S9:1, 2.5 mm2, 0.1 m
wire from S9:2 to E9:1
wire from E9:2 to ground
engine, runs while E9 is fed
)");
    CHECK(follows.circuit().controls.size() == 2); // the key and the engine
    CHECK(amps(follows, predicted(follows, "engine running"), "W7") == doctest::Approx(25).epsilon(0.001));
    CHECK(std::abs(amps(follows, predicted(follows, "S9 on, engine stopped"), "W7")) < 1e-6);
    const Bench said(with(van, "\"booster\", 25 A", "\"booster\", 25 A, delivers when \"B2 is low\""));
    CHECK(amps(said, predicted(said, "\"B2 is low\""), "W7") == doctest::Approx(25).epsilon(0.001));
    CHECK(std::abs(amps(said, predicted(said, "engine running"), "W7")) < 1e-6);
}

TEST_CASE("24 V to 12 V for a radio: the input takes what the radio does, by their volts, and what is lost") {
    const Bench b(R"(system 24 V
battery, 24 V, 100 Ah
fuse F1, 10 A
switch S1
converter G7, 10 A, 12 V
load E1 "heater", 3 ohm
wire W1 from battery:+ to F1, 2.5 mm2, 0.1 m
wire W2 from F1 to S1, 2.5 mm2, 1 m
wire W3 from S1 to G7:in, 2.5 mm2, 1 m
wire W4 from G7:- to ground, 2.5 mm2, 1 m
wire W5 from G7:out to E1:+, 2.5 mm2, 1 m
wire W6 from E1:- to ground, 2.5 mm2, 1 m
wire W7 from battery:- to ground, 16 mm2, 1 m
)");
    const Prediction on = predicted(b, "S1 on"), off = predicted(b, "S1 off");
    CHECK(on.unsolved.parts.empty());
    CHECK(volts(b, on, "G7:out") == doctest::Approx(12).epsilon(0.01));
    CHECK(amps(b, on, "W5") == doctest::Approx(4).epsilon(0.02));
    CHECK(amps(b, on, "W3") == doctest::Approx(12.0 * 4 / 0.87 / 25.2).epsilon(0.03));
    CHECK(std::abs(amps(b, off, "W5")) < 1e-6);
    CHECK(std::abs(amps(b, off, "W3")) < 1e-6);
    CHECK(b.circuit().controls.size() == 1); // S1 alone
}

TEST_CASE("a converter that is asked for more than it can gives its most, at fewer volts") {
    const Bench b(R"(system 24 V
battery, 24 V, 100 Ah
converter G7, 10 A, 12 V
load E1 "heater", 0.6 ohm
wire W3 from battery:+ to G7:in, 6 mm2, 1 m
wire W4 from G7:- to ground, 2.5 mm2, 1 m
wire W5 from G7:out to E1:+, 2.5 mm2, 1 m
wire W6 from E1:- to ground, 2.5 mm2, 1 m
wire W7 from battery:- to ground, 16 mm2, 1 m
)");
    const Prediction on = predicted(b, "");
    CHECK(amps(b, on, "W5") == doctest::Approx(10).epsilon(1e-3));
    CHECK(on.point.primitive_volts[b.primitive("E1").index]->si == doctest::Approx(6).epsilon(0.001));
}

TEST_CASE(
    "two chargers and a feed that is live while the engine runs are one condition, and with an engine line none") {
    const std::string second =
        with(with(van, "battery B2", "battery B3, 60 Ah\nconverter G3, 10 A\nbattery B2"), "wire W1 ",
             "wire W11 from B1:+ to G3:in, 6 mm2, 1 m\nwire W12 from G3:out to B3:+, 6 mm2, 1 m\n"
             "wire W13 from B3:- to ground, 6 mm2, 1 m\nwire W14 from G3:- to ground, 6 mm2, 1 m\n"
             "wire W1 ");
    const std::string feed =
        "supply Z1, behind 10 A, plus when \"engine running\"\nlamp E1, 5 W\nwire from Z1 to E1:1\n"
        "wire from E1:2 to ground\n";
    const Bench b(second + feed);
    CHECK(explore(b.view()).states.size() == 2);
    CHECK(explore(Bench(van).view()).states.size() == 2);
}

TEST_CASE(
    "from the starter battery to a load of the leisure battery the way leads over the charger, not over the body") {
    const Bench b(std::string(van) + R"(fuse F3, 10 A
electronics A2 "radio", 3 A
wire W20 from B2:+ to F3, 2.5 mm2 red, 0.1 m
wire W21 from F3 to A2:+, 1 mm2 red, 2 m
wire W22 from A2:- to ground, 1 mm2 black, 0.5 m
)");
    const auto way = [&](const char* wish) {
        return trace(b.view(), b.terminal("B1:+"), b.terminal("A2:+"), *read_wish(b.circuit(), wish));
    };
    const Trace runs = way("engine running"), stands = way("engine stopped");
    for (const Trace* t : {&runs, &stands})
        for (const TraceStep& step : t->steps) CHECK(b.circuit().part_of(step.at).kind != Kind::ground);
    CHECK_FALSE(runs.broken);
    CHECK(stands.broken); // at the charger, which does not deliver
    support::check_stored("tests/solve/expected/trace-charger.txt",
                          report::trace_text(b.view(), runs, b.terminal("B1:+"), b.terminal("A2:+"), report::Screen{}));
}

TEST_CASE(
    "of two ways in wires that is followed in which current flows, not the shorter one over a diode that blocks") {
    const Bench b(R"(battery, 60 Ah
diode V1, band on 1, 6 A
splice SP1
splice SP2
lamp E1, 21 W
wire W1 from battery:+ to SP1, 2.5 mm2, 1 m
wire W2 from SP1 to SP2, 2.5 mm2, 1 m
wire W3 from SP2 to E1:1, 2.5 mm2, 1 m
wire W4 from battery:+ to V1:1, 2.5 mm2, 1 m
wire W5 from V1:2 to E1:1, 2.5 mm2, 1 m
wire W6 from E1:2 to ground, 2.5 mm2, 1 m
)");
    const Trace t = trace(b.view(), b.terminal("battery:+"), b.terminal("E1:1"), {});
    CHECK(t.steps.size() == 4);
    for (const TraceStep& step : t.steps) CHECK(step.amps.value_or(Amps{2}).si > 1);
}
