/// Circuits as networks: worked by hand, and what must hold for any.

#include "solve/bench.hpp"
#include "solve/model.hpp"

#include "reference/carrying.hpp"

#include <doctest/doctest.h>

#include <cmath>

using namespace loomproof;
using namespace loomproof::solve;
using loomproof::test::Bench;

namespace {

doctest::Approx near(double v, double epsilon = 1e-6) { return doctest::Approx(v).epsilon(epsilon); }

} // namespace

TEST_CASE("a lamp on a switch: volts, amps and losses as worked by hand") {
    const Bench b("battery, 60 Ah, 12 mohm\nfuse F1, 10 A\nswitch S1\nload E1, 2 ohm\n"
                  "wire W1 from battery:+ to F1, 1 mm2 red, 0.1 m\nwire W2 from F1 to S1, 1 mm2 red, 2 m\n"
                  "wire W3 from S1 to E1, 1 mm2 red, 3 m\nwire W4 from E1 to ground, 1 mm2 black, 1 m\n");
    Conditions cold;
    cold.warmed = false;
    Model model(b.view(), cold);
    Positions p = at_rest(b.circuit());
    SUBCASE("off: nothing flows, the far side of the switch floats to ground") {
        const Point point = model.point(p);
        CHECK(point.settled);
        CHECK(point.volts[b.terminal("S1:1").index]->si == near(12.6));
        CHECK(point.volts[b.terminal("S1:2").index]->si == near(0));
        CHECK(std::abs(point.wire_amps[b.wire("W2").index]->si) < 1e-12);
    }
    SUBCASE("on") {
        p[b.control("S1").index] = 1;
        const Point point = model.point(p);
        // copper of 1 mm2 as ISO 6722 has it, at 30 degC; fuse 7.7 mohm cold; contact 5 mohm; battery 12 mohm and its strap 1 mohm
        const double metre = 1e-6 / 58 / b.circuit().at(b.wire("W1")).area.nominal.si * (1 + 0.00393 * 10);
        const double amps = 12.6 / (0.012 + 0.001 + 0.0077 + 0.005 + 2 + 6.1 * metre);
        CHECK(point.wire_amps[b.wire("W3").index]->si == near(amps));
        CHECK(point.wire_drop[b.wire("W3").index]->si == near(amps * 3 * metre));
        CHECK(point.volts[b.terminal("E1:2").index]->si == near(amps * (metre + 0.001)));
        CHECK(point.power(b.primitive("E1")).si == near(amps * amps * 2));
        CHECK(point.power(b.primitive("battery", 1)).si == near(-amps * (12.6 - amps * 0.012)));
    }
}

TEST_CASE("wires in a row carry the same amps, to the last digit") {
    // Else which of them carries most would hang on the solver's rounding: a winch over three wires, each named by turns.
    const Bench b("battery, 70 Ah\nmotor M1, 400 A\nswitch S1\nwire W1 from battery:+ to S1, 4 awg red, 6 ft\n"
                  "wire W2 from S1 to M1:+, 4 awg red, 0.3 m\nwire W3 from M1:- to battery:-, 4 awg black, 6 ft\n");
    Model model(b.view());
    Positions p = at_rest(b.circuit());
    p[b.control("S1").index] = 1;
    const Point point = model.point(p);
    CHECK(point.wire_amps[b.wire("W1").index]->si > 100);
    CHECK(*point.wire_amps[b.wire("W2").index] == *point.wire_amps[b.wire("W1").index]);
    CHECK(*point.wire_amps[b.wire("W3").index] == *point.wire_amps[b.wire("W1").index]);
    CHECK(*point.primitive_amps[b.primitive("M1").index] == *point.wire_amps[b.wire("W1").index]);
}

TEST_CASE("a wire settles at the temperature that its own current gives it") {
    const Bench b(
        "battery, 60 Ah, 5 mohm\nload E1, 0.5 ohm\nplace bay, 70 degC\n"
        "wire W1 from battery:+ to E1, 1 mm2 red, 4 m, in bay\nwire W2 from E1 to ground, 16 mm2 black, 1 m\n");
    Model model(b.view());
    const Point point = model.point(at_rest(b.circuit()));
    const Wire& w = b.circuit().at(b.wire("W1"));
    // rise = (class - place) (I / I_carry)^2, and the resistance that goes with it: checked as a fixed point
    const auto carrying = reference::what_a_wire_can_carry(w.area.nominal, Celsius{105}, Celsius{70});
    const double amps = point.wire_amps[b.wire("W1").index]->si;
    const double rise = (105 - 70) * std::pow(amps / carrying->amps.si, 2);
    CHECK(amps > carrying->amps.si); // it is overloaded on purpose
    CHECK(point.wire_temperature[b.wire("W1").index]->degrees == near(70 + rise));
    const double ohms = 4e-6 / 58 / w.area.nominal.si * (1 + 0.00393 * (70 + rise - 20));
    CHECK(point.wire_drop[b.wire("W1").index]->si / amps == near(ohms));
}

TEST_CASE("a fuse leaves its published drop at its rating") {
    // 10 A blade: 7.7 mohm cold, 109 mV at 10 A (makers' typical values, from memory)
    const Bench b(
        "battery, 60 Ah, 5 mohm\nfuse F1, 10 A\nload E1, 1.2 ohm\nwire W1 from battery:+ to F1, 16 mm2 red, 0.1 m\n"
        "wire W2 from F1 to E1, 16 mm2 red, 0.1 m\nwire W3 from E1 to ground, 16 mm2 black, 0.1 m\n");
    Model model(b.view());
    const Point point = model.point(at_rest(b.circuit()));
    const double amps = point.primitive_amps[b.primitive("F1").index]->si;
    CHECK(point.primitive_volts[b.primitive("F1").index]->si / amps ==
          near(0.0077 + (0.0109 - 0.0077) * std::pow(amps / 10, 2)));
}

TEST_CASE("the battery's volts follow its charge and kind, and the engine charges it") {
    // A battery forum's table: 12.6 / 12.4 / 12.2 / 12.0 / 11.6 V at 100 / 75 / 50 / 25 / 0 %; 24 V is twice, 6 V half of it
    for (const auto& [charge, volts] :
         {std::pair{1.0, 12.6}, {0.75, 12.4}, {0.5, 12.2}, {0.25, 12.0}, {0.0, 11.6}, {0.125, 11.8}})
        CHECK(rested_volts("", 12, charge) == near(volts));
    CHECK(rested_volts("lead-acid", 24, 1) == near(25.2));
    CHECK(rested_volts("lead-acid", 6, 1) == near(6.3));
    CHECK(rested_volts("AGM", 12, 1) == near(12.8));
    const std::string lamp = "battery, 60 Ah\nlamp E1, 55 W\nwire W1 from battery:+ to E1, 4 mm2 red, 1 m\nwire W2 "
                             "from E1 to ground, 4 mm2 black, 0.5 m\n";
    const Bench without(lamp), with(lamp + "alternator G1, 65 A\nwire W3 from G1:B+ to battery:+, 10 mm2 red, 1 m\n");
    for (const Bench* b : {&without, &with}) {
        Conditions runs;
        runs.engine_running = true;
        Model stopped(b->view()), running(b->view(), runs);
        const auto at_lamp = [&](Model& m) {
            return m.point(at_rest(b->circuit())).primitive_volts[b->primitive("E1").index]->si;
        };
        CHECK(at_lamp(stopped) == near(12.4, 0.02));
        CHECK(at_lamp(running) == near(14.0, 0.02));
    }
    // The alternator's own current: what the lamp takes, and the few amps that a charged battery takes
    Conditions runs;
    runs.engine_running = true;
    const Point p = Model(with.view(), runs).point(at_rest(with.circuit()));
    CHECK(-p.primitive_amps[with.primitive("G1").index]->si == near(5 + 4.6 * std::pow(14 / 12.0, 0.55), 0.1));
}

// A lead battery delivers from its rested volts, whatever charges the other one (Ohm's law over the lead between the two).
TEST_CASE("where no alternator is drawn the first battery is charged, and what is joined to it by wires; one behind a "
          "fuse is not") {
    const std::string load =
        "load E1, 200 A\nwire W1 from B2:+ to E1, 35 mm2 red, 1 m\nwire W2 from E1 to B2:-, 35 mm2 "
        "black, 1 m\nwire W3 from B2:- to ground, 35 mm2 black, 0.5 m\n";
    const std::string both = "battery B1, 60 Ah\nbattery B2, 60 Ah\n";
    const Bench apart(both +
                      "fuse F1, 250 A, bolted\nwire W4 from B1:+ to F1, 35 mm2 red, 1 m\nwire W5 from F1 to B2:+, 35 "
                      "mm2 red, 1 m\n" +
                      load);
    const Bench one_bank(both + "wire W5 from B1:+ to B2:+, 35 mm2 red, 2 m\n" + load);
    Conditions runs;
    runs.engine_running = true;
    const Point p = Model(apart.view(), runs).point(at_rest(apart.circuit()));
    const double b2 = p.volts[apart.terminal("B2:+").index]->si - p.volts[apart.terminal("B2:-").index]->si;
    const double over_fuse = std::abs(p.wire_amps[apart.wire("W5").index]->si);
    const double taken = std::abs(p.primitive_amps[apart.primitive("E1").index]->si);
    CHECK(over_fuse > 75);
    CHECK(taken - over_fuse ==
          near((12.6 - b2) / apart.circuit().at(apart.primitive("B2")).resistance.nominal.si, 0.05));
    const Point q = Model(one_bank.view(), runs).point(at_rest(one_bank.circuit()));
    CHECK(q.volts[one_bank.terminal("B2:+").index]->si - q.volts[one_bank.terminal("B2:-").index]->si > 13.2);
}

// Kirchhoff: batteries side by side share both poles; in a positive-ground car the body joins the plus poles of all, the minus is the live one.
TEST_CASE("in a positive-ground car the bank is what is joined by its minus poles, not by plus") {
    const std::string head =
        "vehicle \"Ridgeback roadster, 1951\", positive ground, partly described\n"
        "battery B1, 60 Ah\nbattery B2, 60 Ah\nload E1, 100 A\n"
        "wire W1 from B2:- to E1, 35 mm2 black, 1 m\nwire W2 from E1 to B2:+, 35 mm2 red, 1 m\n"
        "wire W3 from B2:+ to ground, 35 mm2 red, 0.5 m\nwire W4 from B1:+ to ground, 35 mm2 red, 0.5 m\n";
    const auto volts = [](const std::string& text) {
        const Bench b(text);
        Conditions runs;
        runs.engine_running = true;
        const Point p = Model(b.view(), runs).point(at_rest(b.circuit()));
        return p.volts[b.terminal("B2:+").index]->si - p.volts[b.terminal("B2:-").index]->si;
    };
    CHECK(volts(head + "wire W5 from B1:- to B2:-, 35 mm2 black, 1 m\n") > 13.2);
    CHECK(volts(head) < 12.6);
    CHECK(volts(head + "wire W5 from B1:+ to B2:+, 35 mm2 red, 1 m\n") < 12.6); // a second strap between them
}

TEST_CASE("an alternator gives no more than it can: the rest comes from the battery") {
    const Bench b("battery, 60 Ah\nalternator G1, 35 A\nwire from G1:B+ to battery:+, 10 mm2 red, 1 m\nload E1, 60 "
                  "A\nwire from battery:+ to E1, 16 mm2 red, 1 m\nwire from E1 to ground, 16 mm2 black, 1 m\n");
    Conditions runs;
    runs.engine_running = true;
    const Point p = Model(b.view(), runs).point(at_rest(b.circuit()));
    CHECK(-p.primitive_amps[b.primitive("G1").index]->si == near(35));
    CHECK(-p.primitive_amps[b.primitive("battery", 1).index]->si > 20);
}

TEST_CASE("the charge lamp shines with the engine stopped and is out with it running") {
    const Bench b("battery, 60 Ah\nalternator G1, 65 A\nswitch S1\nlamp H1, 3 W\nwire from battery:+ to S1, 1 mm2 red, "
                  "1 m\nwire from S1 to H1, 1 mm2 red, 1 m\n"
                  "wire from H1 to G1:L, 1 mm2 blue, 1 m\nwire from G1:B+ to battery:+, 10 mm2 red, 1 m\n");
    Positions p = at_rest(b.circuit());
    p[b.control("S1").index] = 1;
    Conditions runs;
    runs.engine_running = true;
    Model stopped(b.view()), running(b.view(), runs);
    CHECK(stopped.point(p).power(b.primitive("H1")).si > 2);
    CHECK(running.point(p).power(b.primitive("H1")).si < 0.1);
    // and with the key off the lamp's terminal of the running machine does not feed anything but the lamp
    CHECK(std::abs(running.point(at_rest(b.circuit())).primitive_amps[b.primitive("H1").index]->si) < 1e-6);
}

TEST_CASE("floating things are said to float, and nothing is ever not a number") {
    const Bench b("battery, 60 Ah\nbattery B2, 40 Ah\nlamp E1, 5 W\nlamp E2, 5 W\nwire W1 from B2:+ to E1, 1 mm2 red, "
                  "1 m\nwire W2 from E1 to B2:-, 1 mm2 red, 1 m\n"
                  "wire W3 from battery:+ to E2, 1 mm2 red, unknown m\nwire W4 from E2 to nothing, red, 1 m\nvehicle "
                  "\"bench\"\nwire W5 from battery:- to ground, 16 mm2 BK, 0.3 m\n");
    Model model(b.view());
    const Point p = model.point(at_rest(b.circuit()));
    CHECK_FALSE(p.volts[b.terminal("B2:+").index]);
    CHECK(p.primitive_volts[b.primitive("E1").index]->si ==
          near(12.4, 0.03)); // between its own ends the second battery has its volts
    CHECK(p.wire_amps[b.wire("W1").index]->si > 0.3);
    CHECK(p.volts[b.terminal("E2:2").index]->si == near(12.6));
    REQUIRE(model.not_known().size() == 2);
    CHECK(model.not_known()[0].what == "length");
    CHECK(model.not_known()[1].what == "size");
    for (const auto& v : p.volts)
        if (v) CHECK(std::isfinite(v->si));
}

TEST_CASE("no battery at all: everything floats or is at zero") {
    const Bench b(
        "lamp E1, 5 W\nswitch S1\nwire from S1 to E1, 1 mm2 red, 1 m\nwire from E1 to ground, 1 mm2 black, 1 m\n");
    const Point p = Model(b.view()).point(at_rest(b.circuit()));
    CHECK(p.settled);
    CHECK(p.volts[b.terminal("E1:1").index]->si == 0);
    const Bench nothing("");
    CHECK(Model(nothing.view()).point({}).settled);
}

TEST_CASE("electronics take constant power, and nothing below their brown-out") {
    const auto text = [](const char* feed) {
        return std::string("battery, 60 Ah, 1 mohm\nelectronics A1, 120 W at 12 V\nresistor R1, ") + feed +
               " ohm\nwire from battery:+ to R1, 16 mm2 red, 0.1 m\nwire from R1 to A1:+, 16 mm2 red, 0.1 m\nwire from "
               "A1:- to ground, 16 mm2 black, 0.1 m\n";
    };
    for (const char* ohms : {"0.01", "0.1", "0.25", "0.3", "0.35", "0.5", "2"}) {
        const Bench b(text(ohms));
        Conditions cold;
        cold.warmed = false;
        const Point p = Model(b.view(), cold).point(at_rest(b.circuit()));
        INFO("ohms ", ohms);
        CHECK(p.settled);
        const double volts = p.primitive_volts[b.primitive("A1").index]->si,
                     amps = p.primitive_amps[b.primitive("A1").index]->si;
        if (volts >= 8.4) CHECK(volts * amps == near(120));
        if (volts <= 6) CHECK(amps < 1e-6);
        CHECK(amps <= 120 / 8.4 + 1e-6);
        // The higher of the two crossings of E - R I with P / V, while it lies above the brown-out: E^2 >= 4 R P
        const double r = std::stod(ohms) + 0.001 + 0.001 + 0.0003;
        const double high = (12.6 + std::sqrt(std::max(0.0, 12.6 * 12.6 - 4 * r * 120))) / 2;
        if (12.6 * 12.6 > 4 * r * 120 && high > 8.4) CHECK(volts == near(high, 2e-3));
    }
}

TEST_CASE("what starts: cold filaments and standing motors") {
    const Bench b(
        "battery, 60 Ah, 1 mohm\nlamp E1, 48 W\nmotor M1, 9 A at 12 V, starts at 27 A\nmotor M2, 10 A at 12 V\n"
        "wire from battery:+ to E1, 50 mm2 red, 0.1 m\nwire from battery:+ to M1:+, 50 mm2 red, 0.1 m\nwire from "
        "battery:+ to M2:+, 50 mm2 red, 0.1 m\n"
        "wire from E1 to ground, 50 mm2 black, 0.1 m\nwire from M1:- to ground, 50 mm2 black, 0.1 m\nwire from M2:- to "
        "ground, 50 mm2 black, 0.1 m\n");
    Conditions starting;
    starting.starting = true;
    const Point p = Model(b.view(), starting).point(at_rest(b.circuit()));
    const auto ratio = [&](const char* name) {
        return p.primitive_amps[b.primitive(name).index]->si / p.primitive_volts[b.primitive(name).index]->si;
    };
    CHECK(ratio("E1") == near(12 * 4 / 12.0));
    CHECK(ratio("M1") == near(27 / 12.0));
    CHECK(ratio("M2") == near(3.8 * 10 / 12.0));
}

TEST_CASE("a motor that something turns gives what is left of its volts behind the ohms of its armature") {
    // 13 V at 9 A and 26 A at its start: 0.5 ohm, and 13 V - 9 A x 0.5 ohm = 8.5 V of its own (Lessons in Electric Circuits).
    const Bench b(
        "motor M1, 9 A at 13 V, starts at 26 A, generates when driven\nload E1, 4 A at 12 V\nwire from M1:+ to "
        "E1, 2.5 mm2 red, 0 m\nwire from M1:- to ground, 2.5 mm2 black, 0 m\nwire from E1 to ground, 2.5 mm2 "
        "black, 0 m\nbattery, 60 Ah\n");
    Model model(b.view());
    model.drive(b.primitive("M1"));
    const Point p = model.point(at_rest(b.circuit()));
    CHECK(p.primitive_volts[b.primitive("E1").index]->si == doctest::Approx(8.5 * 3 / 3.5).epsilon(0.01));
    CHECK(p.power(b.primitive("M1")).si < 0); // it delivers
}

TEST_CASE("positive ground counts downwards from the battery's plus") {
    const Bench b("system 12 V, positive ground\nbattery, 60 Ah\nlamp E1, 21 W\nwire W1 from battery:- to E1, 1 mm2 "
                  "brown, 1 m\nwire W2 from E1 to ground, 1 mm2 red, 1 m\n");
    const Point p = Model(b.view()).point(at_rest(b.circuit()));
    CHECK(p.volts[b.terminal("battery:-").index]->si == near(-12.6, 0.01));
    CHECK(p.volts[b.terminal("battery:+").index]->si == 0);
}

TEST_CASE("currents of what has no resistance come by balance, or not at all") {
    const Bench b("battery, 60 Ah, 5 mohm\nbus BB1\nload E1, 4 ohm\nload E2, 6 ohm\nwire W1 from battery:+ to BB1, 4 "
                  "mm2 red, 0 m\nwire W2 from BB1 to E1, 1 mm2 red, 1 m\n"
                  "wire W3 from BB1 to E2, 1 mm2 red, 1 m\nwire W4 from E1 to SP1, 1 mm2 black, 1 m\nwire W5 from E2 "
                  "to SP1, 1 mm2 black, 1 m\nsplice SP1, crimp\n"
                  "wire W6 from SP1 to SP2, 1 mm2 black, 0 m\nwire W7 from SP1 to SP2, 1 mm2 black, 0 m\nsplice SP2, "
                  "crimp\nwire W8 from SP2 to ground, 1 mm2 black, 1 m\n");
    const Point p = Model(b.view()).point(at_rest(b.circuit()));
    const auto amps = [&](const char* w) { return p.wire_amps[b.wire(w).index]; };
    CHECK(amps("W1")->si == near(amps("W2")->si + amps("W3")->si));
    CHECK_FALSE(amps("W6"));
    CHECK_FALSE(amps("W7"));
    CHECK(amps("W8")->si == near(amps("W1")->si));
}

TEST_CASE("a lamp held against a terminal") {
    const Bench b("battery, 60 Ah\nrelay K1, 4-pin, coil 85 ohm\nswitch S1\nwire from battery:+ to K1:86, 1 mm2 red, 1 "
                  "m\nwire from K1:85 to S1, 1 mm2 red, 1 m\n"
                  "wire from S1 to ground, 1 mm2 red, 1 m\nwire from battery:+ to K1:30, 1 mm2 red, 1 m\nwire from "
                  "K1:87 to nothing, 1 mm2 red, 1 m\n");
    Model model(b.view());
    const Positions p = at_rest(b.circuit());
    CHECK(model.point(p).volts[b.terminal("K1:85").index]->si == near(12.6));
    CHECK(model.with_lamp(p, b.terminal("K1:85"), Volts{12}, Amps{0.25})->si <
          3); // a meter shows 12.6 V behind the coil, a lamp stays out
    CHECK(model.with_lamp(p, b.terminal("K1:86"), Volts{12}, Amps{0.25})->si > 12.5);
    CHECK(std::abs(model.with_lamp(p, b.terminal("K1:87"), Volts{12}, Amps{0.25})->si) <
          1e-9); // floats: nothing comes out of it
    CHECK_FALSE(model.point(p).volts[b.terminal("K1:87").index]);
}

TEST_CASE(
    "two windings on one common end share nothing; a ground's own ohms and an input's are worked out by Ohm's law") {
    const std::string fed =
        "battery, 60 Ah, 12 mohm\nmotor M3, slow 3 A at 12 V, fast 6 A at 12 V\nwire from battery:+ to "
        "M3:53b, 2.5 mm2 red, 0 m\nwire W9 from M3:31 to GND1, 2.5 mm2 black, 0 m\n";
    const Bench one(fed + "ground GND1 on body\n");
    const Bench both(fed + "ground GND1 on body, 100 mohm\nwire from battery:+ to M3:53, 2.5 mm2 red, 0 m\n");
    const auto amps = [](const Bench& b, std::size_t n) {
        return std::abs(Model(b.view()).point(at_rest(b.circuit())).primitive_amps[b.primitive("M3", n).index]->si);
    };
    CHECK(amps(one, 0) == near(0));
    CHECK(amps(one, 1) == near(12.6 / (2 + 0.012 + 2 * 0.0005)).epsilon(0.01));
    // 4 ohm beside 2 ohm, with 0.1 ohm of body and 0.012 ohm of battery before them
    const double sum = 12.6 / (4.0 / 3 + 0.1 + 0.012);
    CHECK(amps(both, 0) == near(sum / 3).epsilon(0.01));
    CHECK(amps(both, 1) == near(sum * 2 / 3).epsilon(0.01));

    const Bench unit(
        "battery, 60 Ah\nelectronics A1, 0.1 A {\n supply 1\n ground 2\n input 49 wants plus, 10 kohm to ground\n}\n"
        "resistor R1, 10 kohm\nwire from battery:+ to A1:1, 1 mm2 red, 1 m\nwire from A1:2 to ground, 1 mm2 black, "
        "1 m\nwire from battery:+ to R1, 1 mm2 red, 1 m\nwire from R1 to A1:49, 1 mm2 blue, 1 m\n");
    const Point p = Model(unit.view()).point(at_rest(unit.circuit()));
    CHECK(p.volts[unit.terminal("A1:49").index]->si == near(6.3).epsilon(0.01));
}
