#include "support/scenario/maker.hpp"

#include <algorithm>
#include <cctype>
#include <limits>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

// No construction says what protects these: the peers' own calculation is the only word on it.
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

} // namespace

void Maker::tangle(Point& point) {
    plan.clean = false;
    switch (c.below(4)) {
    case 1: return doubled_feed(point);
    case 2: return tied_splices(point);
    case 3: return loose_things();
    default: return hold(point);
    }
}

// A push button pulls the relay in, its own contact holds it, a stop switch lets it go.
void Maker::hold(Point& point) {
    const Feed feed = fused(point, 3);
    const int stop = part("switch", "S", {}, {"running* connects 1 with 2", "stop, springs back"});
    two_ended(stop, Element::contact, 0,
              plan.control(plan.parts[static_cast<std::size_t>(stop)].name, {"running", "stop"}), {"running"});
    const int push = part("switch", "S", {"push"});
    two_ended(push, Element::contact, 0, plan.control(plan.parts[static_cast<std::size_t>(push)].name, {"off", "on"}),
              {"on"});
    const int k = relay("4-pin", 5, false);
    const End live = plan.end(splice());
    const End held = plan.end(splice());
    Feed unknown = feed;
    feed_wire(feed.at, first(stop), feed, 3);
    feed_wire(second(stop), live, feed, 3);
    feed_wire(live, plan.end(k, "30"), unknown, 3);
    feed_wire(plan.end(k, "87"), held, unknown, 3);
    feed_wire(live, first(push), unknown, 0.3);
    feed_wire(second(push), held, unknown, 0.3);
    feed_wire(held, plan.end(k, "86"), unknown, 0.3);
    to_ground(plan.end(k, "85"), feed.fuse, 0.3);
    const int lamp = load({"lamp", {"21 W"}, 21 / plan.volts, 0, false, false}, Condition::never());
    plan.loads.pop_back(); // depends on what was before
    feed_wire(held, fed(lamp), feed, 21 / plan.volts);
    to_ground(grounded(lamp), feed.fuse, 21 / plan.volts);
    plan.features.insert("hold");
}

// Two or three fuses side by side feed one joint.
void Maker::doubled_feed(Point& point) {
    const LoadSpec spec = some_load(3);
    const End joint = plan.end(splice());
    const std::uint32_t ways = 2 + c.below(2);
    double fuses = 0;
    for (std::uint32_t i = 0; i < ways; ++i) {
        const Feed feed = fused(point, spec.amps * (1 + c.below(3)), spec.start);
        const int w = feed_wire(feed.at, joint, feed, spec.amps);
        plan.wires[static_cast<std::size_t>(w)].protection = not_known;
        fuses += feed.fuse;
    }
    const int id = load(behind(spec, fuses), point.live);
    plan.loads.pop_back();
    const int w = feed_wire(joint, fed(id), {joint, fuses, point.live}, spec.amps);
    plan.wires[static_cast<std::size_t>(w)].protection = std::min(fuses, point.fuse);
    to_ground(grounded(id), fuses, spec.amps);
    plan.features.insert("doubled feed");
}

// Rings and doubled wires between joints, on the fed side and on the ground side.
void Maker::tied_splices(Point& point) {
    const Feed feed = fused(point, 5);
    std::vector<End> joints;
    for (std::uint32_t i = 3 + c.below(3); i > 0; --i) { joints.push_back(plan.end(splice())); }
    feed_wire(feed.at, joints.front(), feed, 5);
    for (std::size_t i = 1; i < joints.size(); ++i) {
        feed_wire(joints[i - 1], joints[i], feed, 5);
        if (c.chance(40)) { feed_wire(joints[i - 1], joints[i], feed, 5); }
    }
    if (c.chance(60)) { feed_wire(joints.back(), joints.front(), feed, 5); }
    const int id = load({"load", {"5 A"}, 5, 0, false, false}, feed.live);
    plan.loads.pop_back();
    feed_wire(joints.back(), fed(id), feed, 5);
    const End ground_joint = plan.end(splice());
    Run back{Purpose::back};
    back.carry = feed.fuse;
    wire(grounded(id), ground_joint, back);
    to_ground(ground_joint, feed.fuse, 5);
    to_ground(ground_joint, feed.fuse, 5);
    plan.features.insert("ring");
}

// Parts tied to nothing, parts tied only to each other, open ends, a joint that is twisted or pierced.
void Maker::loose_things() {
    connector(3, 18);
    const int spare = load({"horn", {"5 A"}, 5, 0, false, true}, Condition::never());
    const int joint = part("splice", "SP", {c.chance(50) ? "twisted" : "tap"});
    plan.terminal(joint, "");
    Run run;
    run.carry = 10;
    wire(first(spare), plan.end(joint), run);
    wire(plan.end(joint), {-1, {}, "nothing", plan.node(fmt::format("open end {}", plan.nodes.size()), -1)}, run);
    wire(second(spare), {-1, {}, "unknown", plan.node(fmt::format("unknown end {}", plan.nodes.size()), -1)}, run);
    plan.features.insert("loose things");
}

void Maker::doubt_wire(Wire& w) {
    Statement& s = plan.statements[static_cast<std::size_t>(w.statement)];
    const Statement old = s;
    switch (c.below(6)) {
    case 1: w.how = "guessed "; break;
    case 2: w.size = nullptr; break;
    case 3: w.colours.clear(); break;
    case 4: w.lengths.clear(); break;
    default: break;
    }
    const bool no_length = w.lengths.empty();
    s = plan.written(w);
    s.block = old.block;
    if (no_length) {
        s.clauses.emplace_back("unknown m");
        w.lengths = {0};
    }
    plan.features.insert("unknown on a wire");
}

void Maker::doubt() {
    plan.finished = false;
    for (Wire& w : plan.wires) {
        if (c.chance(30) && w.through.empty()) { doubt_wire(w); }
    }
    for (const Part& p : plan.parts) {
        Statement& s = plan.statements[static_cast<std::size_t>(p.statement)];
        const bool figure = !s.clauses.empty() && std::isdigit(static_cast<unsigned char>(s.clauses.front()[0])) != 0 &&
                            s.clauses.front().ends_with(" A");
        if (!figure || !c.chance(25)) { continue; }
        static constexpr const char* knowledge[] = {"", "about ", "guessed ", "marked ", "measured "};
        const std::string how = c.one_of(knowledge);
        s.clauses.front() = how.empty() ? "unknown A" : how + s.clauses.front();
        plan.features.insert(how.empty() ? "unknown on a part" : "known as " + how.substr(0, how.size() - 1));
    }
    // An end not done yet.
    std::vector<int> open;
    for (const RelayPlan& r : plan.relays) {
        if (r.wire_85 >= 0 && c.chance(40)) { open.push_back(r.wire_85); }
    }
    std::string ends;
    for (int index : open) {
        Wire& w = plan.wires[static_cast<std::size_t>(index)];
        ends += (ends.empty() ? "" : ", ") + plan.spelled(w.a, true);
        w.alive = false;
        for (int e : w.edges) { plan.edges[static_cast<std::size_t>(e)].alive = false; }
        plan.statements[static_cast<std::size_t>(w.statement)].gone = true;
    }
    if (!ends.empty()) {
        Statement s;
        s.head = "still to wire: " + ends;
        plan.statement(std::move(s));
        plan.features.insert("still to wire");
    }
}

} // namespace loomproof::scenario
