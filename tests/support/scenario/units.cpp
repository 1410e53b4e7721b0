// What measures, flashes, computes or charges, and relays that stand either way: parts of whose life the truth knows only a part.
#include "support/scenario/maker.hpp"

#include <cmath>

#include <fmt/core.h>

namespace loomproof::scenario {

// An ammeter, or the shunt of one: it conducts whatever is switched.
Gate Maker::meter() {
    const bool shunt = turn(2, 1) == 1;
    std::vector<std::string> clauses{shunt ? "100 A" : "60 A"};
    if (shunt) { clauses.emplace_back("75 mV"); }
    if (turn(4, 2) >= 2) { clauses.back() = shunt ? "0.75 mohm" : "1 mohm"; }
    const int id =
        two_ended(part(shunt ? "shunt" : "ammeter", shunt ? "R" : "P", std::move(clauses)), Element::joint, 0);
    return {first(id), second(id), {}};
}

// A capacitor against noise, behind a fuse of its own. It lets nothing through.
void Maker::smoothing(Point& point) {
    const Feed feed = fused(point, 1);
    const int id = part("capacitor", "C", {"2.2 uF", "100 V"});
    plan.terminal(id, "1");
    plan.terminal(id, "2");
    feed_wire(feed.at, first(id), feed, 1);
    to_ground(second(id), feed.fuse, 1);
}

// A wire between two pins whose inner life nobody knows: nor is what protects it.
void Maker::nobody_knows(const End& from, const End& to, double fuse, double amps) {
    Run run;
    run.amps = amps;
    run.protection = fuse;
    run.may_pass_plugs = false;
    plan.wires[static_cast<std::size_t>(wire(from, to, run))].protection = std::nan("");
}

// A flasher: whether it is lit at the moment nobody can tell.
Gate Maker::flasher(const Feed& feed, double amps) {
    const bool electronic = turn(2, 3 + static_cast<unsigned>(amps * 10)) == 0;
    const double watts = amps * plan.volts;
    std::vector<std::string> clauses{
        fmt::format("{} W to {} W", typed(std::floor(watts * 0.7)), typed(std::ceil(watts * 1.3) + 10))};
    if (electronic) {
        clauses.insert(clauses.end(), {"85 per minute", "electronic", "20 A"});
        if (turn(2, 92) == 0) { clauses.emplace_back("takes 0.02 A"); }
    } else {
        clauses.insert(clauses.end(), {"thermal", typed(plan.volts) + " V"});
    }
    const int id = part("flasher", "K", std::move(clauses));
    const std::string& name = plan.parts[static_cast<std::size_t>(id)].name;
    plan.terminal(id, "49");
    plan.terminal(id, "49a");
    const int lit = plan.control(fmt::format("when {} lit", name), {"no", "yes"});
    Edge e{Element::contact, plan.end(id, "49").node, plan.end(id, "49a").node, name};
    e.control = lit;
    e.closed_in = {"yes"};
    plan.edge(std::move(e));
    if (electronic) {
        plan.edge({Element::load, plan.end(id, "49").node, plan.terminal(id, "31"), name});
        to_ground(plan.end(id, "31"), feed.fuse, 0.02);
    }
    Condition closed;
    closed.any.front()[lit] = {"yes"};
    return {plan.end(id, "49"), plan.end(id, "49a"), std::move(closed)};
}

// An electronic unit that feeds what hangs on its output, and reads a sensor.
Gate Maker::unit(const Feed& feed) {
    // Outputs that nothing hangs on say what may be said of outputs; so do the pins that are used, where it changes nothing.
    std::vector<std::string> pins{"supply 1, 0.4 A", "ground 2",
                                  turn(2, 91) == 0 ? "input 49 wants plus" : "input 49 wants plus, 10 kohm to ground",
                                  "output 7 plus side, 40 A \"lamps\""};
    if (turn(2, 71) == 0) { pins.front() += ", asleep 2 mA after 45 min"; }
    if (turn(3, 72) == 0) { pins.back() = "output 7 plus side, 40 A, clamped 40 V"; }
    if (turn(3, 73) == 0) { pins.emplace_back("output 9 ground side, 1 A, pulsed 100 Hz, leaks to 1"); }
    if (turn(3, 74) == 0) { pins.emplace_back("output 8 plus side, 5 A, watches the lamp 15 W to 30 W"); }
    if (turn(3, 96) == 0) { pins.emplace_back("output 10 plus side, 5 A, limited to 6 A"); }
    const int id = part("electronics", "A", {}, std::move(pins));
    const std::string& name = plan.parts[static_cast<std::size_t>(id)].name;
    plan.terminal(id, "1");
    plan.terminal(id, "2");
    plan.terminal(id, "49");
    plan.terminal(id, "7");
    const int driven = plan.control(fmt::format("when {} drives 7", name), {"no", "yes"});
    Edge e{Element::contact, plan.end(id, "1").node, plan.end(id, "7").node, name};
    e.control = driven;
    e.closed_in = {"yes"};
    plan.edge(std::move(e));
    plan.edge({Element::load, plan.end(id, "1").node, plan.end(id, "2").node, name});
    to_ground(plan.end(id, "2"), feed.fuse, 0.4);
    const int sensor = part("sensor", "B", {"20 mA"});
    if (turn(2, 4) == 1) { add_clause(sensor, "850 ohm"); }
    plan.terminal(sensor, "1");
    plan.terminal(sensor, "2");
    nobody_knows(plan.end(sensor, "1"), plan.end(id, "49"), feed.fuse);
    to_ground(plan.end(sensor, "2"), feed.fuse, 0.02);
    Condition closed;
    closed.any.front()[driven] = {"yes"};
    return {plan.end(id, "1"), plan.end(id, "7"), std::move(closed)};
}

// A gauge with its sender; a charger of some sort behind a fuse at the battery's side.
void Maker::dial(Point& point) {
    const Feed feed = fused(point, 0.5);
    const int gauge = part("gauge", "P", {"100 mA"});
    for (const char* stamp : {"+", "-", "S"}) { plan.terminal(gauge, stamp); }
    const int sender = part("sender", "B", {turn(2, 5) == 0 ? "10 ohm to 180 ohm" : "240 ohm"});
    plan.terminal(sender, "S");
    plan.edge(
        {Element::joint, plan.terminal(sender, "-"), plan.body, plan.parts[static_cast<std::size_t>(sender)].name});
    plan.edge({Element::load, plan.end(gauge, "+").node, plan.end(gauge, "-").node,
               plan.parts[static_cast<std::size_t>(gauge)].name});
    feed_wire(feed.at, plan.end(gauge, "+"), feed, 0.1);
    to_ground(plan.end(gauge, "-"), feed.fuse, 0.1);
    nobody_knows(plan.end(gauge, "S"), plan.end(sender, "S"), feed.fuse);
}

void Maker::charged(Point& point) {
    const unsigned which = (turn(97, 6) + static_cast<unsigned>(plan.wires.size())) % 4;
    static constexpr const char* keywords[] = {"solar", "charger", "converter", "regulator"};
    const char* keyword = keywords[static_cast<std::size_t>(which)];
    const Feed feed = fused(point, 2);
    std::vector<std::string> clauses{"0.5 A", typed(plan.volts) +
                                                  " V"}; // a small one: it needs no regulator, and its fuse holds
    if (which < 3) { clauses.emplace_back("6 W"); }
    if (which == 2) { clauses.emplace_back(turn(2, 99) == 0 ? "takes 0.6 A" : "delivers when \"sun shines\""); }
    const int id = part(keyword, which == 3 ? "N" : "G", std::move(clauses));
    const bool by_potential =
        positive_ && which < 2; // + and - of what charges belong on plus and minus, whatever is on the body
    const char* in = which == 3 ? "A" : which == 2 ? "in" : by_potential ? "-" : "+";
    const char* home = which == 3 ? "E" : by_potential ? "+" : "-";
    plan.terminal(id, in);
    plan.terminal(id, home);
    feed_wire(feed.at, plan.end(id, in), feed, 2);
    to_ground(plan.end(id, home), feed.fuse, 2);
    if (which != 3) { return; }
    const int dynamo = part("dynamo", "G", {"22 A", typed(plan.volts) + " V"});
    for (const char* stamp : {"D", "F"}) {
        plan.terminal(dynamo, stamp);
        plan.terminal(id, stamp);
        nobody_knows(plan.end(dynamo, stamp), plan.end(id, stamp), feed.fuse, *stamp == 'D' ? 22 : 3);
    }
    plan.edge(
        {Element::joint, plan.terminal(dynamo, "E"), plan.body, plan.parts[static_cast<std::size_t>(dynamo)].name});
}

// A relay that reads its own volts: no line says what the engine does, so its contact may stand either way too.
Gate Maker::sensing_relay() {
    std::vector<std::string> clauses{"40 A"};
    if (turn(2, 98) == 0) {
        clauses.emplace_back("voltage-sensing");
    } else {
        clauses.push_back(fmt::format("closes at {} V", typed(plan.volts * 1.11)));
        clauses.push_back(fmt::format("opens at {} V", typed(plan.volts * 1.06)));
    }
    const int id = part("relay", "K", std::move(clauses));
    const std::string& name = plan.parts[static_cast<std::size_t>(id)].name;
    for (const char* stamp : {"30", "87", "85"}) { plan.terminal(id, stamp); }
    plan.edge({Element::load, plan.end(id, "30").node, plan.end(id, "85").node, name});
    const int control = plan.control(name, {"rest", "pulled in"});
    Edge e{Element::contact, plan.end(id, "30").node, plan.end(id, "87").node, name};
    e.control = control;
    e.closed_in = {"pulled in"};
    plan.edge(std::move(e));
    to_ground(plan.end(id, "85"), 5, 0.2);
    Condition closed;
    closed.any.front()[control] = {"pulled in"};
    return {plan.end(id, "30"), plan.end(id, "87"), std::move(closed)};
}

// A relay that latches, or runs by the clock: its contact may stand either way.
Gate Maker::free_relay(Point& point) {
    if (turn(3, 97) == 0) { return sensing_relay(); }
    const int id = part("relay", "K", {"4-pin", "40 A", turn(2, 8) == 0 ? "latching" : "timed \"15 s after-run\""});
    const std::string& name = plan.parts[static_cast<std::size_t>(id)].name;
    for (const char* stamp : {"86", "85", "30", "87"}) { plan.terminal(id, stamp); }
    plan.edge({Element::coil, plan.end(id, "86").node, plan.end(id, "85").node, name});
    const int control = plan.control(name, {"rest", "pulled in"});
    Edge e{Element::contact, plan.end(id, "30").node, plan.end(id, "87").node, name};
    e.control = control;
    e.closed_in = {"pulled in"};
    plan.edge(std::move(e));
    const Feed feed = fused(point, 0.5);
    const Feed pulse = gated(feed, 0.2, gate(0.2, false));
    feed_wire(pulse.at, plan.end(id, positive_ ? "85" : "86"), feed, 0.2);
    to_ground(plan.end(id, positive_ ? "86" : "85"), feed.fuse, 0.2);
    Condition closed;
    closed.any.front()[control] = {"pulled in"};
    return {plan.end(id, "30"), plan.end(id, "87"), std::move(closed)};
}

} // namespace loomproof::scenario
