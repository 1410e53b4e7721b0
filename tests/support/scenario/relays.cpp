#include "support/scenario/maker.hpp"

#include <algorithm>
#include <numeric>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

constexpr double coil_amps = 0.3;

double sum(const std::vector<LoadSpec>& loads) {
    return std::accumulate(loads.begin(), loads.end(), 0.0,
                           [](double total, const LoadSpec& l) { return total + l.amps; });
}
double starting(const std::vector<LoadSpec>& loads) {
    return std::accumulate(loads.begin(), loads.end(), 0.0,
                           [](double total, const LoadSpec& l) { return total + std::max(l.amps, l.start); });
}

} // namespace

// Wires a coil: feed to 86, 85 to ground, on either side through `gate` where there is one; with a clamp diode across it on request.
Condition Maker::coil_from(const Feed& feed, RelayPlan& relay, bool clamp, const Gate* ground_gate) {
    const End coil_fed = plan.end(relay.part, "86");
    const End coil_back = plan.end(relay.part, "85");
    Run run{Purpose::trigger};
    run.protection = feed.fuse;
    run.amps = coil_amps;
    Run back{Purpose::back};
    back.carry = feed.fuse;
    back.amps = coil_amps;
    End away = coil_back;
    if (clamp) {
        const End before = plan.end(splice());
        const End behind = plan.end(splice());
        const int diode = part("diode", "V", {positive_ ? "band on 1" : "band on 2", "clamps"});
        plan.clamps.push_back(plan.parts[static_cast<std::size_t>(diode)].statement);
        const int a = plan.terminal(diode, "1");
        const int b = plan.terminal(diode, "2");
        plan.edge(
            {Element::diode, positive_ ? b : a, positive_ ? a : b, plan.parts[static_cast<std::size_t>(diode)].name});
        wire(feed.at, before, run);
        wire(before, coil_fed, run);
        wire(before, second(diode), run);
        wire(coil_back, behind, back);
        wire(first(diode), behind, back);
        away = behind;
        plan.features.insert("clamp diode");
    } else {
        run.may_pass_plugs = back.may_pass_plugs = false;
        relay.wire_86 = wire(feed.at, coil_fed, run);
    }
    int back_wire = -1;
    if (ground_gate != nullptr) {
        back_wire = wire(away, ground_gate->in, back);
        if (ground_gate->out.node >= 0) { to_ground(ground_gate->out, feed.fuse, coil_amps); }
    } else {
        back_wire = wire(away, ground_end(), back);
    }
    if (!clamp) { relay.wire_85 = back_wire; }
    return ground_gate != nullptr ? both(feed.live, ground_gate->closed) : feed.live;
}

// One of the ways in which a relay is told to pull in.
Condition Maker::coil(Point& point, RelayPlan& relay, bool clamp) {
    static constexpr const char* keywords[] = {"supply", "existing wire"};
    const unsigned way = positive_ ? c.below(2) : c.below(5);
    switch (way) {
    case 1: {
        const Gate to_ground_gate = gate(coil_amps, c.chance(40));
        return coil_from(fused(point, coil_amps, 0, 3), relay, clamp, &to_ground_gate);
    }
    case 2: {
        Condition live;
        const End from = not_drawn(c.one_of(keywords), Outside::when, 10, &live);
        return coil_from({from, 10, live}, relay, clamp, nullptr);
    }
    case 3: {
        const End from = not_drawn(c.one_of(keywords), Outside::always, 10, nullptr);
        return coil_from(gated({from, 10, {}}, coil_amps, gate(coil_amps, false)), relay, clamp, nullptr);
    }
    case 4: {
        Condition closed;
        const End to = not_drawn(c.one_of(keywords), Outside::ground, 0, &closed);
        const Gate outside{to, {}, closed};
        return coil_from(fused(point, coil_amps, 0, 3), relay, clamp, &outside);
    }
    default: break;
    }
    const Feed feed = fused(point, coil_amps, 0, 3);
    return coil_from(gated(feed, coil_amps, gate(coil_amps, false)), relay, clamp, nullptr);
}

void Maker::relayed(Point& point) {
    auto specs = some_loads(point.budget, 3);
    // Alone behind its relay, and no job taps it: whatever turns it, its volts reach nothing.
    if (LoadSpec& only = specs.front();
        specs.size() == 1 && only.keyword == "motor" && profile_ == Profile::clean && turn(2, 50) == 0) {
        only.clauses.emplace_back("generates when driven");
    }
    const double total = sum(specs);
    const Feed heavy = fused(point, total, starting(specs));
    const bool clamp = c.chance(20);
    RelayPlan r;
    r.part = relay(c.chance(20) ? "5-pin" : "4-pin", std::max(total, starting(specs) / 2), clamp);
    Run run;
    run.protection = heavy.fuse;
    run.amps = total;
    run.may_pass_plugs = false;
    Condition trigger;
    if (c.chance(25)) { // the coil is fed by the same fuse
        const End joint = plan.end(splice());
        feed_wire(heavy.at, joint, heavy, total);
        r.wire_30 = wire(joint, plan.end(r.part, "30"), run);
        trigger =
            coil_from(gated({joint, heavy.fuse, heavy.live}, coil_amps, gate(coil_amps, false)), r, clamp, nullptr);
    } else {
        r.wire_30 = wire(heavy.at, plan.end(r.part, "30"), run);
        trigger = coil(point, r, clamp);
    }
    r.wire_87 = static_cast<int>(plan.wires.size());
    feed_loads({plan.end(r.part, "87"), heavy.fuse, both(heavy.live, trigger)}, specs);
    plan.relays.push_back(r);
}

// One of two things is on: the first at rest, the second when the relay pulls in.
void Maker::changed_over(Point& point) {
    const auto make = some_loads(std::min(point.budget, 8.0), 2);
    const auto rest = some_loads(std::min(point.budget, 8.0), 2);
    const double total = std::max(sum(make), sum(rest));
    const Feed heavy = fused(point, total, std::max(starting(make), starting(rest)));
    RelayPlan r;
    r.part = relay("5-pin", total * 1.5, false);
    feed_wire(heavy.at, plan.end(r.part, "30"), heavy, total);
    const Condition trigger = coil(point, r, false);
    feed_loads({plan.end(r.part, "87"), heavy.fuse, both(heavy.live, trigger)}, make);
    feed_loads({plan.end(r.part, "87a"), heavy.fuse, both(heavy.live, plan.opposite(trigger))}, rest);
}

void Maker::two_makes(Point& point) {
    const auto one = some_loads(std::min(point.budget / 2, 6.0), 1);
    const auto other = some_loads(std::min(point.budget / 2, 6.0), 2);
    const double total = sum(one) + sum(other);
    const Feed heavy = fused(point, total, starting(one) + starting(other));
    RelayPlan r;
    r.part = relay("two makes", total, false);
    feed_wire(heavy.at, plan.end(r.part, "30"), heavy, total);
    const Condition on = both(heavy.live, coil(point, r, false));
    feed_loads({plan.end(r.part, "87"), heavy.fuse, on}, one);
    feed_loads({plan.end(r.part, "87b"), heavy.fuse, on}, other);
}

// A window: both ends of the motor rest on ground, either relay puts one of them on the feed.
void Maker::reversing(Point& point) {
    LoadSpec spec{"motor", {"5 A", "starts at 10 A", "reversible"}, 5, 10, true, false};
    const Feed heavy = fused(point, spec.amps, spec.start);
    const Feed command = fused(point, coil_amps, 0, 3);
    const int id = part("switch", "S", {},
                        {"rest*", "up connects 1 with 2, springs back", "down connects 1 with 3, springs back"});
    const std::string name = plan.parts[static_cast<std::size_t>(id)].name;
    const int control = plan.control(name, {"rest", "up", "down"});
    const int in = plan.terminal(id, "1");
    for (const auto& [stamp, when] : {std::pair{"2", "up"}, std::pair{"3", "down"}}) {
        Edge e{Element::contact, in, plan.terminal(id, stamp), name};
        e.control = control;
        e.closed_in = {when};
        plan.edge(std::move(e));
    }
    feed_wire(command.at, plan.end(id, "1"), command, coil_amps);
    const End live = plan.end(splice());
    const End back = plan.end(splice());
    feed_wire(heavy.at, live, heavy, spec.amps);
    const int motor = load(spec, both(both(heavy.live, command.live), Condition{{{{control, {"up", "down"}}}}}));
    for (const auto& [stamp, end] : {std::pair{"2", "+"}, std::pair{"3", "-"}}) {
        RelayPlan r;
        r.part = relay("5-pin", 12, false);
        coil_from({plan.end(id, stamp), command.fuse, command.live}, r, false, nullptr);
        feed_wire(live, plan.end(r.part, "87"), heavy, spec.amps);
        Run run;
        run.protection = heavy.fuse; // by way of the motor's own relay
        run.amps = spec.amps;
        run.may_pass_plugs = false;
        wire(plan.end(r.part, "30"), plan.end(motor, end), run);
        Run rest{Purpose::back};
        rest.carry = heavy.fuse; // tied to ground: nothing feeds it, and a short in the motor goes through it
        rest.amps = spec.amps;
        rest.may_pass_plugs = false;
        wire(plan.end(r.part, "87a"), back, rest);
    }
    to_ground(back, heavy.fuse, spec.amps);
    plan.features.insert("reversing motor");
}

} // namespace loomproof::scenario
