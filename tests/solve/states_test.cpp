/// What relays do, by circuits small enough to think through: each has one right answer.

#include "solve/bench.hpp"
#include "solve/states.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

using namespace loomproof;
using namespace loomproof::solve;
using loomproof::test::Bench;

namespace {

using Kind = Trouble::Kind;

const char* word(const Trouble& t) {
    switch (t.kind) {
    case Kind::chatter: return t.certain ? "certain chatter" : "possible chatter";
    case Kind::race: return "race";
    case Kind::on_limits: return "on limits";
    case Kind::not_solved: return "not solved";
    }
    return "";
}

/// "certain chatter after press S1", one for each trouble; ", " between.
std::string troubles(const Bench& b, const Behaviour& behaviour) {
    std::string out;
    for (const Trouble& t : behaviour.troubles) {
        std::vector<Operation> way = behaviour.way_to(t.before);
        if (t.by) way.push_back(*t.by);
        out += (out.empty() ? "" : "; ") + std::string(word(t)) + " after " + said(b.circuit(), behaviour, way);
    }
    return out;
}

/// Volts at the coil of a relay where it is pulled in in some state.
bool ever(const Bench& b, const Behaviour& behaviour, const char* relay, std::uint8_t at) {
    return std::ranges::any_of(behaviour.states,
                               [&](const State& s) { return s.stable && s.positions[b.control(relay).index] == at; });
}

const std::string fed = "battery, 60 Ah, 5 mohm\nwire from battery:+ to SW, 4 mm2 red, 0.2 m\nswitch SW\n";

} // namespace

TEST_CASE("a coil fed through its own rest contact chatters for certain") {
    const Bench b(fed + "relay K1, 5-pin\nwire from SW to K1:30, 4 mm2 red, 0.2 m\nwire from K1:87a to K1:86, 4 mm2 "
                        "red, 0.2 m\nwire from K1:85 to ground, 4 mm2 black, 0.2 m\n");
    const Behaviour x = explore(b.view());
    CHECK(troubles(b, x) == "certain chatter after switch SW on");
    REQUIRE(x.troubles.size() == 1);
    // between rest and in flight, never pulled in
    std::vector<int> positions;
    for (StateId s : x.troubles[0].ends) positions.push_back(x.states[s].positions[b.control("K1").index]);
    std::ranges::sort(positions);
    CHECK(positions == std::vector{0, 1});
    // a chattering car can still be switched off: rest is among the states and nothing is missing
    CHECK(x.complete);
    CHECK(x.find(at_rest(b.circuit())));
}

TEST_CASE("a state is worked out once, however many rules ask for it") {
    const Bench b(fed +
                  "lamp E1, 21 W\nwire from SW to E1, 1 mm2 red, 1 m\nwire from E1:- to ground, 1 mm2 black, 1 m\n");
    const Behaviour x = explore(b.view());
    const std::size_t before = operating_points();
    const double first = x.point(1).primitive_amps.back()->si;
    CHECK(operating_points() == before); // the search left its solution
    const Behaviour copied = x;
    CHECK(copied.point(1).primitive_amps.back()->si == first);
    CHECK(operating_points() == before);
    // And it is the solution: nobody else's volts.
    Model fresh(b.view());
    CHECK(first == doctest::Approx(fresh.point(x.states[1].positions).primitive_amps.back()->si).epsilon(1e-9));
    CHECK(first != doctest::Approx(x.point(0).primitive_amps.back()->si).epsilon(1e-9));
}

TEST_CASE("with an economy resistor across that contact it pulls in and stays") {
    const Bench b(fed +
                  "relay K1, 5-pin, coil 85 ohm\nresistor R1, 60 ohm\nwire from SW to SP1, 4 mm2 red, 0.2 m\nsplice "
                  "SP1, crimp\nwire from SP1 to K1:30, 4 mm2 red, 0.2 m\n"
                  "wire from SP1 to R1, 4 mm2 red, 0.2 m\nwire from R1 to SP2, 4 mm2 red, 0.2 m\nsplice SP2, crimp\n"
                  "wire from K1:87a to SP2, 4 mm2 red, 0.2 m\nwire from SP2 to K1:86, 4 mm2 red, 0.2 m\nwire from "
                  "K1:85 to ground, 4 mm2 black, 0.2 m\n");
    const Behaviour x = explore(b.view());
    CHECK(troubles(b, x).empty());
    REQUIRE(x.states.size() == 2);
    CHECK(x.states[1].positions[b.control("K1").index] == 2);
}

TEST_CASE("self-hold: stays after the button, until the stop button") {
    const Bench b("battery, 60 Ah\nswitch STOP { running* connects 1 with 2 | stop, springs back }\nswitch START, "
                  "push\nrelay K1, 4-pin\nlamp E1, 21 W\n"
                  "wire from battery:+ to STOP:1, 1 mm2 red, 1 m\nwire from STOP:2 to SP1, 1 mm2 red, 1 m\nsplice SP1, "
                  "crimp\nwire from SP1 to START, 1 mm2 red, 1 m\n"
                  "wire from SP1 to K1:30, 1 mm2 red, 1 m\nwire from START to SP2, 1 mm2 red, 1 m\nsplice SP2, "
                  "crimp\nwire from K1:87 to SP2, 1 mm2 red, 1 m\nwire from SP2 to K1:86, 1 mm2 red, 1 m\n"
                  "wire from K1:85 to ground, 1 mm2 black, 1 m\nwire from SP2 to E1, 1 mm2 red, 1 m\nwire from E1 to "
                  "ground, 1 mm2 black, 1 m\n");
    const Behaviour x = explore(b.view());
    CHECK(troubles(b, x).empty());
    CHECK(x.complete);
    // start * stop = 4 positions of the hand; at rest the relay is out or holds itself: five states
    CHECK(x.states.size() == 5);
    const auto holds = std::ranges::find_if(x.states, [&](const State& s) {
        return s.positions[b.control("START").index] == 0 && s.positions[b.control("STOP").index] == 0 &&
               s.positions[b.control("K1").index] == 1;
    });
    REQUIRE(holds != x.states.end());
    CHECK(said(b.circuit(), x, x.way_to(static_cast<StateId>(holds - x.states.begin()))) ==
          "press START, let START go");
    // both pressed: out
    for (const State& s : x.states)
        if (s.positions[b.control("STOP").index] == 1) CHECK(s.positions[b.control("K1").index] == 0);
    CHECK(x.primitive_amps[b.primitive("E1").index]->high == doctest::Approx(1.75).epsilon(0.05));
    CHECK(x.primitive_amps[b.primitive("E1").index]->low < 1e-6);
}

TEST_CASE("two relays that open each other's coil: a race, not chatter") {
    const Bench b(fed + "relay K1, 5-pin\nrelay K2, 5-pin\nsplice SP1, crimp\nwire from SW to SP1, 4 mm2 red, 0.2 "
                        "m\nwire from SP1 to K1:30, 4 mm2 red, 0.2 m\nwire from SP1 to K2:30, 4 mm2 red, 0.2 m\n"
                        "wire from K1:87a to K2:86, 1 mm2 red, 1 m\nwire from K2:87a to K1:86, 1 mm2 red, 1 m\nwire "
                        "from K1:85 to ground, 1 mm2 red, 1 m\nwire from K2:85 to ground, 1 mm2 red, 1 m\n");
    const Behaviour x = explore(b.view());
    CHECK(troubles(b, x) == "race after switch SW on");
    REQUIRE(x.troubles.size() == 1);
    CHECK(x.troubles[0].ends.size() == 2);
    CHECK(x.troubles[0].relays.size() == 2);
}

TEST_CASE("a load that pulls the coil's own feed down") {
    // Coil and load behind 0.25 ohm; the load alone decides what is left: 4.7, 3.0, 0.9 V
    const auto with = [](const char* load) {
        return fed + "resistor R1, 0.24 ohm\nrelay K1, 4-pin\nload E1, " + load +
               " ohm\nsplice SP1, crimp\nwire from SW to R1, 50 mm2 red, 0.1 m\nwire from R1 to SP1, 50 mm2 red, 0.1 "
               "m\nwire from SP1 to K1:86, 1 mm2 red, 0.1 m\n"
               "wire from K1:85 to ground, 1 mm2 black, 0.1 m\nwire from SP1 to K1:30, 50 mm2 red, 0.1 m\nwire from "
               "K1:87 to E1, 50 mm2 red, 0.1 m\nwire from E1 to ground, 50 mm2 black, 0.1 m\n";
    };
    for (const auto& [load, verdict] : {std::pair{"0.15", ""},
                                        {"0.08", "possible chatter after switch SW on"},
                                        {"0.015", "certain chatter after switch SW on"}}) {
        const Bench b(with(load));
        const Behaviour x = explore(b.view());
        INFO("load ", load);
        CHECK(troubles(b, x) == verdict);
    }
}

TEST_CASE("cranking pulls the bus to where another relay may drop: it depends on limits, and is no race") {
    const Bench b("battery, 60 Ah, 60 mohm\nstarter M1, 410 A\nswitch S50, push\nrelay K1, 4-pin\nlamp E1, 5 W\n"
                  "wire from battery:+ to M1:30, 50 mm2 black, 0.5 m, starter cable\nwire from battery:+ to S50, 4 mm2 "
                  "red, 1 m\nwire from S50 to M1:50, 4 mm2 red, 1 m\n"
                  "wire from battery:+ to K1:86, 1 mm2 red, 1 m\nwire from K1:85 to ground, 1 mm2 black, 1 m\nwire "
                  "from battery:+ to K1:30, 1 mm2 red, 1 m\nwire from K1:87 to E1, 1 mm2 red, 1 m\nwire from E1 to "
                  "ground, 1 mm2 black, 1 m\n");
    ExploreOptions options;
    options.limits = {{b.control("M1"), {8, 5, 2, 1}}}; // so that only K1 is in doubt
    const Behaviour x = explore(b.view(), options);
    CHECK(troubles(b, x) == "on limits after press S50");
    REQUIRE(x.troubles.size() == 1);
    CHECK(x.troubles[0].relays == std::vector{b.control("K1")});
    for (StateId end : x.troubles[0].ends) {
        const double bus = x.point(end).volts[b.terminal("battery:+").index]->si;
        CHECK(bus > 4.2);
        CHECK(bus < 4.5);
    }
}

TEST_CASE("a starter relay that starves itself") {
    const auto with = [](const char* ohms) {
        return std::string("battery, 60 Ah, ") + ohms +
               " mohm\nmotor M1, 410 A\nrelay K1, 4-pin\nswitch S50, push\nwire from battery:+ to K1:30, 50 mm2 black, "
               "0.5 m\nwire from K1:87 to M1:+, 50 mm2 black, 0.2 m\nwire from M1:- to ground, 50 mm2 black, 0.5 m\n"
               "wire from battery:+ to S50, 1 mm2 red, 1 m\nwire from S50 to K1:86, 1 mm2 red, 1 m\nwire from K1:85 to "
               "ground, 1 mm2 black, 1 m\n";
    };
    const Bench dead(with("400")), weak(with("60")), good(with("7"));
    CHECK(troubles(dead, explore(dead.view())) == "certain chatter after press S50");
    CHECK(troubles(weak, explore(weak.view())) == "possible chatter after press S50");
    CHECK(troubles(good, explore(good.view())) == "");
    CHECK(ever(good, explore(good.view()), "K1", 1));
}

TEST_CASE("limits that make no sense are told apart") {
    CHECK(usual_limits(Volts{12}).sensible());
    CHECK(usual_limits(Volts{12}).must_pull_in == doctest::Approx(8));
    CHECK_FALSE(Limits{8, 5, 6, 1}.sensible()); // may let go above where it may pull in
    CHECK_FALSE(Limits{4, 5, 3, 1}.sensible());
}

TEST_CASE("a coil that only may pull in: where the circuit ends depends on the relay") {
    // 100 ohm in line with a coil of 85 ohm leave 5.8 V: above 5, below 8
    const Bench b(fed + "relay K1, 4-pin, coil 85 ohm\nresistor R1, 100 ohm\nwire from SW to R1, 1 mm2 red, 0.1 "
                        "m\nwire from R1 to K1:86, 1 mm2 red, 0.1 m\nwire from K1:85 to ground, 1 mm2 red, 0.1 m\n");
    const Behaviour x = explore(b.view());
    CHECK(troubles(b, x) == "on limits after switch SW on");
    CHECK(ever(b, x, "K1", 0));
    CHECK(ever(b, x, "K1", 1));
}

TEST_CASE("a hot coil needs more volts") {
    // 9.5 V at the coil: a cold one must pull in at 8 V; 60 K warmer it gets the current of 7.6 V and only may
    const Bench b(fed + "relay K1, 4-pin, coil 85 ohm\nresistor R1, 27 ohm\nwire from SW to R1, 1 mm2 red, 0.1 m\nwire "
                        "from R1 to K1:86, 1 mm2 red, 0.1 m\nwire from K1:85 to ground, 1 mm2 red, 0.1 m\n");
    CHECK(troubles(b, explore(b.view())).empty());
    ExploreOptions hot;
    hot.conditions.hot_coils = true;
    CHECK(troubles(b, explore(b.view(), hot)) == "on limits after switch SW on");
}

TEST_CASE("ignition, momentary start, conditions of one wording") {
    const Bench b("battery, 60 Ah\nstarter M1, 150 A\nwire from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable\n"
                  "switch S1 { off* | accessory connects 30 with 15R | run connects 30 with 15R and 15 | start "
                  "connects 30 with 15 and 50, springs back }\n"
                  "wire from battery:+ to S1:30, 4 mm2 red, 1 m\nwire from S1:50 to M1:50, 4 mm2 red, 1 m\n"
                  "existing wire T1, live when \"main beam on\"\nexisting wire T2, live when \"Main beam on\"\nlamp "
                  "E1, 5 W\nlamp E2, 5 W\n"
                  "wire from T1 to E1, 1 mm2 red, 1 m\nwire from T2 to E2, 1 mm2 red, 1 m\nwire from E1 to ground, 1 "
                  "mm2 black, 1 m\nwire from E2 to ground, 1 mm2 black, 1 m\n");
    const Behaviour x = explore(b.view());
    CHECK(x.variables.size() == 2);
    CHECK(x.states.size() == 8); // 4 positions, one condition
    CHECK(troubles(b, x).empty());
    const Extreme starter = *x.primitive_amps[b.primitive("M1", 2).index];
    CHECK(starter.high > 120);
    CHECK(said(b.circuit(), x, x.way_to(starter.high_at)) == "turn S1 to start and hold it");
    CHECK(x.states[starter.high_at].held);
    const Extreme lamp = *x.primitive_amps[b.primitive("E2").index];
    CHECK(said(b.circuit(), x, x.way_to(lamp.high_at)) == "\"main beam on\" begins");
    CHECK(said(b.circuit(), x.states[lamp.high_at].positions) == "\"main beam on\", \"Main beam on\"");
}

TEST_CASE("more than is looked at is not complete") {
    std::string text = "battery, 60 Ah\n";
    for (int i = 0; i < 12; ++i)
        text += "switch S" + std::to_string(i) + "\nlamp E" + std::to_string(i) + ", 5 W\nwire from battery:+ to S" +
                std::to_string(i) + ", 1 mm2 red, 1 m\nwire from S" + std::to_string(i) + " to E" + std::to_string(i) +
                ", 1 mm2 red, 1 m\nwire from E" + std::to_string(i) + " to ground, 1 mm2 black, 1 m\n";
    const Bench b(text);
    ExploreOptions options;
    options.most = 300;
    const Behaviour x = explore(b.view(), options);
    CHECK_FALSE(x.jointly);
    CHECK(x.groups == 12);
    CHECK(x.complete); // no switch has a say in another's lamp
    CHECK(x.situations < 60);
    CHECK(explore(b.view()).jointly); // 4096 positions fit
    options.most_groups = 0;
    const Behaviour cut = explore(b.view(), options);
    CHECK_FALSE(cut.complete);
    CHECK(cut.unseen.size() == 12);
}
