/// An engine that is cranked, runs, and stops when what keeps it alive fails: small circuits with one right answer each.
///
/// That a charge lamp can keep an ignition alive through the alternator's D+ once the key is off is common practice (a resistor or a diode in the
/// lamp's line is the usual cure; no source).

#include "circuit/wishes.hpp"
#include "solve/bench.hpp"
#include "solve/predict.hpp"
#include "solve/states.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace loomproof;
using namespace loomproof::solve;
using loomproof::test::Bench;

namespace {

const std::string car =
    "battery, 60 Ah\nstarter M1, 150 A\nwire from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable\n"
    "switch S1 { off* | run connects 30 with 15 | start connects 30 with 15 and 50, springs back }\n"
    "wire from battery:+ to S1:30, 4 mm2 red, 1 m\nwire from S1:50 to M1:50, 4 mm2 red, 1 m\nbus BB15\nwire from S1:15 "
    "to BB15, 2.5 mm2 black, 1 m\n"
    "load Y1 \"ignition coil\", 3 ohm\nwire from BB15 to Y1, 1.5 mm2 black, 1 m\nwire from Y1 to ground, 1.5 mm2 "
    "brown, 0.5 m\n";
const std::string charging = "alternator G1, 65 A, 25 A at idle\nwire from G1:B+ to battery:+, 10 mm2 red, 1 m\n";

std::vector<const State*> with_engine(const Bench& b, const Behaviour& x, const char* word) {
    std::vector<const State*> out;
    for (const State& s : x.states)
        if (s.stable && b.circuit()
                                .controls[b.circuit().engine->control.index]
                                .positions[s.positions[b.circuit().engine->control.index]] == word)
            out.push_back(&s);
    return out;
}

} // namespace

TEST_CASE("the engine is cranked, runs, and dies with the key") {
    const Bench b(car + charging + "engine, runs while Y1 is fed\n");
    const Behaviour x = explore(b.view());
    CHECK(x.complete);
    CHECK(x.troubles.empty());
    // it cranks only where the starter turns, and never runs with the key off
    REQUIRE(with_engine(b, x, "cranking").size() == 1);
    CHECK(with_engine(b, x, "cranking")[0]->positions[b.control("S1").index] == 2);
    REQUIRE(!with_engine(b, x, "running").empty());
    for (const char* word : {"idling", "running"})
        for (const State* s : with_engine(b, x, word)) CHECK(s->positions[b.control("S1").index] > 0);
    // the way, as one says it
    const auto runs = std::ranges::find_if(x.states, [&](const State& s) {
        return s.stable && s.positions[b.control("S1").index] == 1 &&
               s.positions[b.circuit().engine->control.index] == 3;
    });
    REQUIRE(runs != x.states.end());
    const auto id = static_cast<StateId>(runs - x.states.begin());
    CHECK(said(b.circuit(), x, x.way_to(id)) == "start the engine, rev it up");
    CHECK(said(b.circuit(), runs->positions) == "S1 run, engine running");
    // running it charges, at idle it gives no more than it can there
    const Point point = x.point(id);
    CHECK(point.volts[b.terminal("battery:+").index]->si > 13.8);
}

TEST_CASE(
    "a starter's pull-in winding pulls over the motor, is shorted once in, and lets the solenoid go with the key") {
    std::string two = car;
    two.replace(two.find("starter M1, 150 A"), 17,
                "starter M1 { pull-in 50-motor, 30 A | hold-in 50-case, 10 A | cranks 150 A }");
    const Bench b(two);
    const View view = b.view();
    const auto winding = [&](Purpose purpose) {
        for (PrimitiveId id : view.primitives())
            if (b.circuit().at(id).purpose == purpose) return id;
        return PrimitiveId{};
    };
    const PrimitiveId pull = winding(Purpose::pull_in_winding), hold = winding(Purpose::starter_solenoid);
    REQUIRE(pull.exists());
    const ControlId solenoid = b.circuit().at(b.circuit().at(pull).part).controls.front();
    Model model(view);
    solve::Positions at = at_rest(b.circuit());
    at[b.control("S1").index] = 2;
    // Nothing has moved yet: 0.4 ohm in a row with 0.08 ohm of motor, and 1.2 ohm beside them (volts over ohms).
    const Point first = model.point(at);
    const double volts = first.primitive_volts[hold.index]->si;
    CHECK(first.primitive_amps[hold.index]->si == doctest::Approx(volts / 1.2));
    CHECK(first.primitive_amps[pull.index]->si == doctest::Approx(volts / 0.48));
    CHECK(model.quick(at).coil_volts[0] ==
          doctest::Approx((volts / 1.2 + volts / 0.48) * 0.3)); // as 1.2 beside 0.4 ohm
    // In: the contact shorts the pull-in winding, the hold-in winding alone holds.
    at[solenoid.index] = 1;
    const Point in = model.point(at);
    CHECK(std::abs(in.primitive_amps[pull.index]->si) < 1);
    CHECK(in.primitive_amps[hold.index]->si == doctest::Approx(in.primitive_volts[hold.index]->si / 1.2));
    CHECK(model.quick(at).coil_volts[0] > 8);
    // The key let go: the closed contact feeds both in a row, the one backwards, and they cancel.
    at[b.control("S1").index] = 1;
    const Point back = model.point(at);
    CHECK(back.primitive_amps[hold.index]->si > 5);
    CHECK(back.primitive_amps[pull.index]->si == doctest::Approx(-back.primitive_amps[hold.index]->si));
    CHECK(model.quick(at).coil_volts[0] < 0.01);
    // So it cranks while the key is held, and only then.
    const Behaviour x = explore(b.view());
    CHECK(x.troubles.empty());
    bool cranked = false;
    for (const State& s : x.states) {
        if (!s.stable) continue;
        CHECK((s.positions[solenoid.index] == 1) == (s.positions[b.control("S1").index] == 2));
        cranked = cranked || s.positions[solenoid.index] == 1;
    }
    CHECK(cranked);
}

TEST_CASE("idling gives less") {
    const Bench b(car + charging +
                  "engine, runs while BB15 is fed\nload E1, 50 A\nwire from battery:+ to E1, 16 mm2 red, 1 m\nwire "
                  "from E1 to ground, 16 mm2 black, 1 m\n");
    const auto with = [&](const char* when) { return predict(b.view(), *read_wish(b.circuit(), when)); };
    const auto amps = [&](const Prediction& p) { return -p.point.primitive_amps[b.primitive("G1").index]->si; };
    CHECK(amps(with("S1 run, engine idling")) == doctest::Approx(25));
    CHECK(amps(with("S1 run, engine running")) > 50);
    CHECK(amps(with("S1 run")) == doctest::Approx(0));
    const Prediction off = with("S1 off, engine running");
    REQUIRE(off.arrived.notes.size() == 1);
    CHECK(off.arrived.notes[0] == "The engine does not run with the switches so: what keeps it alive is not there.");
    CHECK(amps(off) == doctest::Approx(0));
    CHECK_FALSE(read_wish(b.circuit(), "engine flying"));
}

TEST_CASE("the lamp terminal follows B+ down, and what comes out of it balances") {
    // Both hang on the same windings, each behind diodes (alternator handbooks, from memory).
    const Bench b(car +
                  "alternator G1, 20 A\nwire from G1:B+ to battery:+, 10 mm2 red, 1 m\nengine, runs while Y1 is fed\n"
                  "load E1, 50 A\nwire from battery:+ to E1, 16 mm2 red, 1 m\nwire from E1 to ground, 16 mm2 black, "
                  "1 m\nload E2, 0.5 A\nwire W7 from G1:L to E2, 1 mm2 blue, 1 m\nwire from E2 to ground, 1 mm2 "
                  "black, 1 m\n");
    const Prediction p = predict(b.view(), *read_wish(b.circuit(), "S1 run, engine running"));
    const double main = p.point.volts[b.terminal("G1:B+").index]->si,
                 lamp = p.point.volts[b.terminal("G1:L").index]->si;
    CHECK(main < 12.6);
    CHECK(lamp < main + 0.01);
    CHECK(lamp > main - 0.6); // half an ampere behind the rotor's own diodes
    const double given = std::abs(p.point.wire_amps[b.wire("W7").index]->si);
    CHECK(given > 0.4);
    CHECK(std::abs(-p.point.primitive_amps[b.primitive("G1", 1).index]->si - given) < 1e-6);
}

TEST_CASE("a relay that reads its own volts is in while the alternator lifts them, and out without") {
    const Bench b(
        car + charging +
        "engine, runs while Y1 is fed\nbattery B2, 60 Ah\nrelay K1, closes at 13.3 V, opens at 12.8 V\nwire from "
        "battery:+ to K1:30, 10 mm2 red, 1 m\nwire from K1:87 to B2:+, 10 mm2 red, 1 m\nwire from K1:85 to "
        "ground, 1 mm2 black, 0.3 m\nwire from B2:- to ground, 10 mm2 black, 0.3 m\n");
    const auto in = [&](const char* when) {
        const Prediction p = predict(b.view(), *read_wish(b.circuit(), when));
        return p.arrived.positions[b.control("K1").index] == 1;
    };
    CHECK_FALSE(in("S1 off"));
    CHECK_FALSE(in("S1 run"));
    CHECK_FALSE(in("S1 start, engine cranking"));
    CHECK(in("S1 run, engine running"));
    const Behaviour x = explore(b.view());
    CHECK(x.complete);
    CHECK(x.troubles.empty());
}

TEST_CASE("fed through the charge lamp it runs on with the key off") {
    // the lamp is fed from the ignition's own bus: with the key off D+ lights it backwards and holds a thrifty ignition
    const std::string lamp = "wire from BB15 to H1, 1 mm2 blue, 1 m\nwire from H1 to G1:L, 1 mm2 blue, 1 m\n";
    const Bench thrifty(car + charging + lamp +
                        "lamp H1, 3 W\nelectronics A1, 40 ohm\nwire from BB15 to A1:+, 1 mm2 red, 1 m\nwire from A1:- "
                        "to ground, 1 mm2 black, 1 m\nengine, runs while BB15 is fed\n");
    const Behaviour hungry = explore(thrifty.view()); // the coil's 3 ohm pull it down: it stops
    for (const State* s : with_engine(thrifty, hungry, "running")) CHECK(s->positions[thrifty.control("S1").index] > 0);
    std::string light = car;
    light.replace(light.find("3 ohm"), 5, "400 ohm");
    const Bench held(light + charging + lamp + "lamp H1, 3 W\nengine, runs while Y1 is fed\n");
    const Behaviour x = explore(held.view());
    const auto on = with_engine(held, x, "running");
    const auto off =
        std::ranges::find_if(on, [&](const State* s) { return s->positions[held.control("S1").index] == 0; });
    REQUIRE(off != on.end());
    CHECK(said(held.circuit(), x, x.way_to(static_cast<StateId>(*off - x.states.data()))) ==
          "start the engine, turn S1 to off, rev it up");
}

TEST_CASE("a magneto's engine needs no key to run, and a kill switch to stop") {
    const Bench b("switch S3 { run* | kill connects 1 with 2 }\nelectronics T1 \"magneto\" {\n  ground 31\n  input "
                  "1\n}\nwire from T1:1 to S3:1, 1 mm2 black, 1 m\n"
                  "wire from S3:2 to ground, 1 mm2 brown, 0.5 m\nwire from T1:31 to ground, 1 mm2 brown, 0.5 "
                  "m\nengine, stops when S3:1 is grounded\n");
    const Behaviour x = explore(b.view());
    const auto on = with_engine(b, x, "running");
    REQUIRE(on.size() == 1);
    CHECK(on[0]->positions[b.control("S3").index] == 0);
    REQUIRE(x.dying.size() == 2); // idling and running, with the switch at kill
    CHECK(x.states[x.dying[0]].positions[b.control("S3").index] == 1);
    CHECK_FALSE(x.states[x.dying[0]].stable);
}

TEST_CASE("without a word about what keeps it alive it dies with the switch that cranked it") {
    const Bench b(car + charging + "engine { stopped* | cranking | running }\n");
    const Behaviour x = explore(b.view());
    CHECK(with_engine(b, x, "running").size() == 2);
    for (const State* s : with_engine(b, x, "running")) CHECK(s->positions[b.control("S1").index] > 0);
    CHECK_FALSE(read_wish(b.circuit(), "engine idling"));
}

TEST_CASE(
    "where no starter is drawn and nobody said what keeps it alive, it runs while the ignition is on and no longer") {
    const Bench b("battery, 60 Ah\n" + charging +
                  "engine\nsupply Z1, behind 10 A, plus when \"ignition on\"\nrelay K1, 4-pin\nlamp H1, 2 W\n"
                  "wire from Z1 to H1, 0.75 mm2 black, 1 m\nwire from H1 to G1:L, 0.75 mm2 blue, 1 m\n"
                  "wire from G1:L to K1:86, 1 mm2 blue, 1 m\nwire from K1:85 to ground, 1 mm2 black, 0.3 m\n");
    const Behaviour x = explore(b.view());
    CHECK(x.complete);
    const auto running = with_engine(b, x, "running");
    REQUIRE(!running.empty());
    const std::uint32_t ignition = x.variables.front().controls.front().index;
    const std::uint32_t relay = b.control("K1").index;
    for (const State* s : running) {
        if (b.circuit().controls[ignition].type == Control::Type::condition) CHECK(s->positions[ignition] == 1);
        CHECK(s->positions[relay] == 1); // its coil hangs on what the alternator gives
    }
}
