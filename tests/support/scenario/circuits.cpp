#include "support/scenario/maker.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

double sum(const std::vector<LoadSpec>& loads) {
    return std::accumulate(loads.begin(), loads.end(), 0.0,
                           [](double total, const LoadSpec& l) { return total + l.amps; });
}

// All of them started in one moment.
double starting(const std::vector<LoadSpec>& loads) {
    return std::accumulate(loads.begin(), loads.end(), 0.0,
                           [](double total, const LoadSpec& l) { return total + std::max(l.amps, l.start); });
}

} // namespace

Feed Maker::fused(Point& point, double amps_through, double start, double least) {
    // Six tenths of the rating in steady use, starting current at most a third above it: nothing comes near to opening.
    const double rating = fuse_for(std::max({amps_through / 0.6, start / 1.3, least}));
    const int guard = protector(rating, point.bare);
    Run run{Purpose::lead};
    run.protection = point.fuse;
    run.carry = rating;
    run.amps = amps_through;
    run.least_area = point.least_area;
    run.low = 0.05;
    run.high = point.bare ? std::max(0.05, point.lead) : 0.3;
    run.may_pass_plugs = false;
    Wire& lead = plan.wires[static_cast<std::size_t>(wire(point.at, first(guard), run))];
    lead.live = point.live;
    if (point.bare) { lead.unprotected[point.source] = point.run + lead.lengths.front(); }
    point.budget -= amps_through;
    return {second(guard), std::min(rating, point.fuse), point.live};
}

std::vector<LoadSpec> Maker::some_loads(double budget, std::size_t most) {
    std::vector<LoadSpec> loads;
    const std::size_t count = 1 + c.below(static_cast<std::uint32_t>(most));
    double left = std::min(budget, 15.0);
    for (std::size_t i = 0; i < count && (i == 0 || left > 0.5); ++i) {
        loads.push_back(some_load(std::min(left, 10.0)));
        left -= loads.back().amps;
    }
    return loads;
}

int Maker::feed_wire(const End& from, const End& to, const Feed& feed, double amps_through) {
    Run run;
    run.protection = feed.fuse;
    run.amps = amps_through;
    run.carry = feed.carry;
    const int id = wire(from, to, run);
    plan.wires[static_cast<std::size_t>(id)].live = feed.live;
    return id;
}

// As many ends as asked for: the feed itself, or splices one behind the other, each with two wires going off.
std::vector<End> Maker::spread(const Feed& feed, std::size_t ends) {
    if (ends <= 1) { return {feed.at}; }
    std::vector<End> result;
    End from = feed.at;
    while (result.size() < ends) {
        const End joint = plan.end(splice());
        feed_wire(from, joint, feed, feed.fuse * 0.6);
        result.insert(result.end(), {joint, joint});
        from = joint;
        if (result.size() > 2) { plan.features.insert("splice chain"); }
    }
    result.resize(ends);
    return result;
}

void Maker::return_loads(const std::vector<int>& loads, const Feed& feed, bool through_gate, const Gate& gate) {
    End common = through_gate ? gate.in : End{};
    const bool together = loads.size() > 1 && (through_gate || c.chance(30));
    if (together) { common = plan.end(splice()); }
    Run run{Purpose::back};
    run.carry = feed.fuse;
    run.drop = 0.03;
    double total = 0;
    for (int load : loads) {
        run.amps = plan.parts[static_cast<std::size_t>(load)].rating;
        total += run.amps;
        if (together || through_gate) {
            wire(grounded(load), common, run);
        } else {
            to_ground(grounded(load), feed.fuse, run.amps);
        }
    }
    run.amps = total;
    if (together && through_gate) { wire(common, gate.in, run); }
    if (through_gate) {
        to_ground(gate.out, feed.fuse, total);
    } else if (together) {
        to_ground(common, feed.fuse, total);
        plan.features.insert("ground splice");
        if (c.chance(20)) {
            to_ground(common, feed.fuse, total);
            plan.features.insert("doubled ground");
        }
    }
}

void Maker::feed_loads(const Feed& feed, const std::vector<LoadSpec>& specs) {
    const std::vector<End> from = spread(feed, specs.size());
    std::vector<int> wired;
    for (std::size_t i = 0; i < specs.size(); ++i) {
        const int id = load(behind(specs[i], feed.fuse), feed.live);
        feed_wire(from[i], fed(id), feed, specs[i].amps);
        if (specs[i].may_be_mounted && c.chance(12)) {
            const bool on_engine = engine_ >= 0 && c.chance(50);
            add_clause(id, on_engine ? "grounded by its mounting on engine" : "grounded by its mounting");
            plan.edge({Element::joint, grounded(id).node, on_engine ? engine_ : plan.body,
                       plan.parts[static_cast<std::size_t>(id)].name});
            plan.features.insert(on_engine ? "mounted on engine" : "mounted");
        } else {
            wired.push_back(id);
        }
    }
    return_loads(wired, feed, false, {});
}

Feed Maker::gated(const Feed& feed, double amps_through, const Gate& gate) {
    feed_wire(feed.at, gate.in, feed, amps_through);
    return {gate.out, feed.fuse, both(feed.live, gate.closed)};
}

void Maker::plain(Point& point) {
    const bool one_lead = point.lead > 0.5; // that one is told to be too long
    const unsigned extra = one_lead ? 0 : turn(14, 20);
    if (extra == 3) { dial(point); }
    if (extra == 5) { charged(point); }
    if (extra == 8) { smoothing(point); }
    const auto specs = some_loads(point.budget, 3);
    Feed feed = fused(point, sum(specs) + (extra == 6 ? 0.5 : 0.0), starting(specs)); // a unit takes something itself
    if (extra == 1) { feed = gated(feed, sum(specs), flasher(feed, sum(specs))); }
    if (extra == 6) { feed = gated(feed, sum(specs), unit(feed)); }
    if (extra == 7) { feed = gated(feed, sum(specs), free_relay(point)); }
    if (turn(6, 10) == 2) { feed = gated(feed, sum(specs), meter()); }
    const bool always = point.live.any.size() == 1 && point.live.any.front().empty();
    if (always || c.chance(60)) { feed = gated(feed, sum(specs), gate(sum(specs), c.chance(15))); }
    feed_loads(feed, specs);
}

void Maker::ground_switched(Point& point) {
    const auto specs = some_loads(point.budget, 3);
    const Feed feed = fused(point, sum(specs), starting(specs));
    const Gate way = gate(sum(specs), c.chance(40));
    const std::vector<End> from = spread(feed, specs.size());
    std::vector<int> loads;
    for (std::size_t i = 0; i < specs.size(); ++i) {
        loads.push_back(load(behind(specs[i], feed.fuse), both(feed.live, way.closed)));
        feed_wire(from[i], fed(loads.back()), feed, specs[i].amps);
    }
    return_loads(loads, feed, true, way);
    plan.features.insert("ground side");
}

// A stalk of two sections: side lamps, then dip and main through each other.
void Maker::stalk(Point& point) {
    const double at = plan.volts;
    const double lamp_amps = 60 / at;
    const auto side = some_loads(std::min(point.budget - lamp_amps, 3.0), 2);
    const double total = sum(side) + lamp_amps;
    const Feed feed = fused(point, total, total);
    const int id = part("switch", "S", {},
                        {"section lights { off* | side connects 1 with 58 | head connects 1 with 58 and 56 }",
                         "section dip { dip* connects 56 with 56b | main connects 56 with 56a }"});
    const std::string name = plan.parts[static_cast<std::size_t>(id)].name;
    const int lights = plan.control(name + ".lights", {"off", "side", "head"});
    const int dip = plan.control(name + ".dip", {"dip", "main"});
    for (const char* stamp : {"1", "58", "56", "56b", "56a"}) { plan.terminal(id, stamp); }
    const auto contact = [&](const char* a, const char* b, int control, std::set<std::string> when) {
        Edge e{Element::contact, plan.end(id, a).node, plan.end(id, b).node, name};
        e.control = control;
        e.closed_in = std::move(when);
        plan.edge(std::move(e));
    };
    contact("1", "58", lights, {"side", "head"});
    contact("1", "56", lights, {"head"});
    contact("56", "56b", dip, {"dip"});
    contact("56", "56a", dip, {"main"});
    feed_wire(feed.at, plan.end(id, "1"), feed, total);

    const auto when = [&](Combination combination) { return both(feed.live, Condition{{std::move(combination)}}); };
    feed_loads({plan.end(id, "58"), feed.fuse, when({{lights, {"side", "head"}}})}, side);
    const int lamp = part("lamp", "E", {"60/55 W", "filaments main and dip"});
    plan.parts[static_cast<std::size_t>(lamp)].rating = lamp_amps;
    const int common = plan.terminal(lamp, "common");
    const auto filament = [&](const char* stamp, const char* from, double watts, const char* position) {
        Edge e{Element::load, plan.terminal(lamp, stamp), common, plan.parts[static_cast<std::size_t>(lamp)].name};
        e.rating = watts / at;
        plan.edge(e);
        plan.loads.push_back({lamp, stamp, e.rating, when({{lights, {"head"}}, {dip, {position}}})});
        const Feed on{plan.end(id, from), feed.fuse, plan.loads.back().on};
        feed_wire(on.at, plan.end(lamp, stamp), on, e.rating);
    };
    filament("main", "56a", 60, "main");
    filament("dip", "56b", 55, "dip");
    to_ground(plan.end(lamp, "common"), feed.fuse, lamp_amps);
    plan.features.insert("multi-section switch");
}

// Stop and tail in one bulb, each on a fuse of its own.
void Maker::two_filaments(Point& point) {
    const double at = plan.volts;
    const int lamp = part("lamp", "E", {"21/5 W", "filaments stop and tail"});
    plan.parts[static_cast<std::size_t>(lamp)].rating = 26 / at;
    const int common = plan.terminal(lamp, "common");
    double largest = 0;
    for (const auto& [stamp, watts] : {std::pair{"stop", 21.0}, std::pair{"tail", 5.0}}) {
        const int end = plan.terminal(lamp, stamp);
        const Feed feed = fused(point, watts / at, 0, 3);
        const Feed on = gated(feed, watts / at, gate(watts / at, false));
        Edge e{Element::load, end, common, plan.parts[static_cast<std::size_t>(lamp)].name};
        e.rating = watts / at;
        plan.edge(e);
        plan.loads.push_back({lamp, stamp, e.rating, on.live});
        feed_wire(on.at, plan.end(lamp, stamp), on, e.rating);
        largest = std::max(largest, feed.fuse);
    }
    to_ground(plan.end(lamp, "common"), largest, 26 / at);
    plan.features.insert("two filaments");
}

// Either of two feeds lights the same lamp, each kept apart from the other by a diode.
void Maker::diodes(Point& point) {
    const LoadSpec spec = some_load(std::min(point.budget / 2, 3.0));
    static constexpr const char* duties[] = {"isolates", "one-way"};
    const End joint = plan.end(splice());
    Condition on = Condition::never();
    double fuses = 0;
    for (int i = 0; i < 2; ++i) {
        const Feed feed = fused(point, spec.amps, spec.start);
        const Feed way = gated(feed, spec.amps, gate(spec.amps, false));
        const bool marked = c.chance(50);
        const int diode = part("diode", "V", {positive_ ? "band on 1" : "band on 2", c.one_of(duties)});
        if (marked) {
            add_clause(diode, amps(std::max(6.0, std::ceil(spec.amps * 2))));
            add_clause(diode, "400 V");
        }
        const int a = plan.terminal(diode, "1");
        const int b = plan.terminal(diode, "2");
        plan.edge(
            {Element::diode, positive_ ? b : a, positive_ ? a : b, plan.parts[static_cast<std::size_t>(diode)].name});
        feed_wire(way.at, first(diode), feed, spec.amps);
        // Fed by its own fuse from here, by the other one from the joint: they are alike.
        feed_wire(second(diode), joint, {second(diode), feed.fuse, way.live}, spec.amps);
        on = either(on, way.live);
        fuses += feed.fuse;
    }
    fuses = std::min(fuses, point.fuse);
    const int id = load(behind(spec, fuses), on);
    feed_wire(joint, fed(id), {joint, fuses, on}, spec.amps);
    to_ground(grounded(id), fuses, spec.amps);
    plan.features.insert("diodes isolate");
}

void Maker::two_speeds(Point& point) {
    LoadSpec spec{"motor", {}, 4, 8, true, false};
    spec.clauses = {fmt::format("4 A at {} V", typed(plan.volts == 6 ? 6.5 : plan.volts + 1)), "starts at 8 A"};
    const Feed feed = fused(point, spec.amps, spec.start);
    const int id = part("switch", "S", {}, {"off*", "low connects 1 with 2", "high connects 1 with 3"});
    const std::string name = plan.parts[static_cast<std::size_t>(id)].name;
    const int control = plan.control(name, {"off", "low", "high"});
    const int in = plan.terminal(id, "1");
    for (const auto& [stamp, when] : {std::pair{"2", "low"}, std::pair{"3", "high"}}) {
        Edge e{Element::contact, in, plan.terminal(id, stamp), name};
        e.control = control;
        e.closed_in = {when};
        plan.edge(std::move(e));
    }
    if (turn(3, 86) == 0) { // a winding for each in place of a resistor
        std::vector<std::string> clauses{fmt::format("slow 3 A at {} V", typed(plan.volts)), "fast 4 A", "two speeds"};
        if (turn(2, 90) == 0) {
            clauses = {fmt::format("slow {} W at {} V", typed(plan.volts * 3), typed(plan.volts)),
                       fmt::format("fast {} W", typed(plan.volts * 4)), "parks by itself"};
        }
        if (turn(2, 93) == 0) { // a middle speed that nobody uses
            clauses.push_back(clauses.back() == "two speeds" ? "medium 3.5 A"
                                                             : fmt::format("medium {} W", typed(plan.volts * 3.5)));
            if (clauses[2] == "two speeds") { clauses[2] = "three speeds"; }
        }
        const int motor = part("motor", "M", std::move(clauses));
        plan.parts[static_cast<std::size_t>(motor)].rating = 4;
        const int common = plan.terminal(motor, "31");
        feed_wire(feed.at, plan.end(id, "1"), feed, spec.amps);
        for (const auto& [stamp, from, takes, when] :
             {std::tuple{"53", "2", 3.0, "low"}, std::tuple{"53b", "3", 4.0, "high"}}) {
            Edge e{Element::load, plan.terminal(motor, stamp), common,
                   plan.parts[static_cast<std::size_t>(motor)].name};
            e.rating = takes;
            plan.edge(std::move(e));
            plan.loads.push_back({motor, stamp, takes, both(feed.live, Condition{{{{control, {when}}}}})});
            const Feed on{plan.end(id, from), feed.fuse, plan.loads.back().on};
            feed_wire(on.at, plan.end(motor, stamp), on, takes);
        }
        to_ground(plan.end(motor, "31"), feed.fuse, spec.amps);
        plan.features.insert("two windings");
        return;
    }
    const int dropper = part("resistor", "R",
                             {plan.volts == 24  ? "2 ohm"
                              : plan.volts == 6 ? "0.3 ohm"
                                                : "0.8 ohm",
                              "50 W"});
    const int a = plan.terminal(dropper, "1");
    const int b = plan.terminal(dropper, "2");
    plan.edge({Element::load, a, b, plan.parts[static_cast<std::size_t>(dropper)].name});
    const End joint = plan.end(splice());
    feed_wire(feed.at, plan.end(id, "1"), feed, spec.amps);
    const auto in_position = [&](std::set<std::string> positions) {
        return Feed{joint, feed.fuse, both(feed.live, Condition{{{{control, std::move(positions)}}}})};
    };
    const Feed running = in_position({"low", "high"}); // in the high position the dropper is live from its far end
    feed_wire(plan.end(id, "2"), first(dropper), in_position({"low"}), spec.amps);
    feed_wire(second(dropper), joint, running, spec.amps);
    feed_wire(plan.end(id, "3"), joint, running, spec.amps);
    const int motor = load(spec, running.live);
    feed_wire(joint, fed(motor), running, spec.amps);
    to_ground(grounded(motor), feed.fuse, spec.amps);
    plan.features.insert("resistor");
}

void Maker::drawn_elsewhere(Point& point) {
    const double takes = c.between(0.1, 1, 0.1);
    const Feed feed = fused(point, takes, 0, 3);
    const int id = part("beyond", "Z",
                        {c.chance(30) ? fmt::format("takes {} W", typed(takes * plan.volts)) : "takes " + amps(takes)});
    const int at = plan.terminal(id, "");
    Edge e{Element::load, at, plan.body, plan.parts[static_cast<std::size_t>(id)].name};
    e.rating = takes;
    plan.edge(std::move(e));
    plan.loads.push_back({id, {}, takes, feed.live});
    feed_wire(feed.at, plan.end(id), feed, takes);
}

// A sender's line with a screen that is grounded at one end only.
void Maker::sender(Point& point) {
    const Feed feed = fused(point, 0.1, 0, 2);
    const Gate way = gate(0.1, false);
    const Feed on = gated(feed, 0.1, way);
    const int id = load({"electronics", {"50 mA"}, 0.05, 0, true, false}, on.live);
    const auto also = [&](int w, const char* what) {
        Wire& line = plan.wires[static_cast<std::size_t>(w)];
        line.more.emplace_back(what);
        Statement& s = plan.statements[static_cast<std::size_t>(line.statement)];
        s.clauses.emplace_back(what);
    };
    Run run;
    run.protection = feed.fuse;
    run.amps = 0.1;
    run.may_pass_plugs = false;
    also(wire(on.at, fed(id), run), "signal");
    to_ground(grounded(id), feed.fuse, 0.1);
    const int stud = part("ground", "GND", {});
    plan.edge({Element::joint, plan.terminal(stud, ""), plan.body, plan.parts[static_cast<std::size_t>(stud)].name});
    Run screen{Purpose::screen};
    screen.carry = 5;
    screen.may_pass_plugs = false;
    const int open = plan.node(fmt::format("open end {}", plan.nodes.size()), -1);
    also(wire(plan.end(stud), {-1, {}, "nothing", open}, screen), "screen");
    plan.features.insert("screen");
}

void Maker::many_on_a_bus(Point& point) {
    const auto specs = some_loads(point.budget, 6);
    const Feed feed = fused(point, sum(specs), starting(specs));
    const Feed on = gated(feed, sum(specs), gate(sum(specs), false));
    const End rail = plan.end(bus());
    feed_wire(on.at, rail, on, sum(specs));
    std::vector<int> loads;
    for (const LoadSpec& spec : specs) {
        loads.push_back(load(behind(spec, on.fuse), on.live));
        feed_wire(rail, fed(loads.back()), on, spec.amps);
    }
    return_loads(loads, on, false, {});
    plan.features.insert("bus");
    if (turn(3, 54) == 0) { part("wish", "wish", {}, {"no*", "yes"}); }
    if (turn(3, 55) == 0) { part("box", "FB", {"20 A each"}, {fmt::format("rail {} fed from 1", new_name("BB"))}); }
}

void Maker::circuit(Point& point) {
    const bool always = point.live.any.size() == 1 && point.live.any.front().empty();
    if (profile_ == Profile::tangled && c.chance(30)) { return tangle(point); }
    switch (c.below(23)) {
    case 5:
    case 6:
    case 7: return ground_switched(point);
    case 8: return positive_ ? plain(point) : stalk(point);
    case 9: return two_filaments(point);
    case 10: return diodes(point);
    case 11: return two_speeds(point);
    case 12: return positive_ ? plain(point) : drawn_elsewhere(point);
    case 13: return sender(point);
    case 14: return many_on_a_bus(point);
    case 15:
    case 16:
    case 17:
    case 18: return relayed(point);
    case 19:
    case 20: return always ? relayed(point) : changed_over(point);
    case 21: return two_makes(point);
    case 22: return reversing(point);
    default: return plain(point);
    }
}

} // namespace loomproof::scenario
