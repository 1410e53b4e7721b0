#include "support/scenario/maker.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

bool always(const Condition& c) { return c.any.size() == 1 && c.any.front().empty(); }

std::string exactly(const Plan& plan, const End& e) {
    const std::string& name = plan.parts[static_cast<std::size_t>(e.part)].name;
    return e.stamp.empty() ? name : fmt::format("{}:{}", name, e.stamp.substr(0, e.stamp.find('/')));
}

} // namespace

int Maker::step(std::string head, std::vector<std::string> clauses) {
    Statement s;
    s.block = block_;
    s.head = std::move(head);
    s.clauses = std::move(clauses);
    s.fixed = true;
    return plan.statement(std::move(s));
}

// Named wires that feed a load on which no job has worked, with `shortest` metres in their first piece.
std::vector<int> Maker::load_feeds(double shortest, bool direct) const {
    std::vector<int> found;
    for (std::size_t i = 0; i < plan.wires.size(); ++i) {
        const Wire& w = plan.wires[i];
        if (!w.alive || !w.named || w.purpose != Purpose::feed || w.b.part < 0 || w.a.part < 0 ||
            !std::isfinite(w.protection) || w.lengths.front() < shortest || (direct && !w.through.empty())) {
            continue;
        }
        const bool feeds_load = std::any_of(plan.loads.begin(), plan.loads.end(), [&](const Load& l) {
            return l.part == w.b.part && l.filament.empty() &&
                   plan.parts[static_cast<std::size_t>(l.part)].keyword != "beyond" && fed(l.part).node == w.b.node;
        });
        if (feeds_load && !worked_on_.contains(w.b.part)) { found.push_back(static_cast<int>(i)); }
    }
    return found;
}

// One of them; -1 where there is none.
int Maker::some_feed(double shortest, bool direct) {
    const std::vector<int> found = load_feeds(shortest, direct);
    return found.empty() ? -1 : found[c.below(static_cast<std::uint32_t>(found.size()))];
}

// Cuts the first piece of a wire, `distance` from its far end. Returns the pieces: the one at that end, the one at the near end.
std::pair<int, int> Maker::cut(int index, double distance) {
    Wire whole = plan.wires[static_cast<std::size_t>(index)];
    const End far_end = whole.through.empty() ? whole.b : whole.through.front();
    const double rest = std::round((whole.lengths.front() - distance) * 1e4) / 1e4;
    Wire at_far = whole;
    at_far.name = whole.name + "x";
    Wire at_near = whole;
    at_near.name = whole.name + "f";
    names_.insert({at_far.name, at_near.name});
    const int statement =
        step(fmt::format("cut {} {} from {}: {} stays at {}, {} stays at {}", whole.name, metres(distance),
                         exactly(plan, far_end), at_far.name, plan.parts[static_cast<std::size_t>(far_end.part)].name,
                         at_near.name, plan.parts[static_cast<std::size_t>(whole.a.part)].name));
    Edge& old = plan.edges[static_cast<std::size_t>(whole.edges.front())];
    old.alive = false;
    const int far_node = old.b;
    if (whole.through.empty()) {
        plan.wires[static_cast<std::size_t>(index)].alive = false;
    } else {
        plan.touched_plugs.insert(far_end.part);
    }
    const auto piece = [&](Wire& w, double length, End a, End b) {
        w.statement = statement;
        w.through.clear();
        w.colours.resize(1);
        w.lengths = {length};
        w.edges.clear();
        w.a = std::move(a);
        w.b = std::move(b);
        Edge e{Element::wire, w.a.node, w.b.node, w.name};
        e.length = length;
        e.wire = static_cast<int>(plan.wires.size());
        w.edges.push_back(plan.edge(std::move(e)));
        plan.wires.push_back(w);
        return static_cast<int>(plan.wires.size()) - 1;
    };
    const auto loose = [&](const Wire& w) { return End{-1, {}, w.name, plan.node("loose end of " + w.name, -1)}; };
    End far_terminal = far_end;
    far_terminal.node = far_node;
    const int first_piece = piece(at_far, distance, loose(at_far), far_terminal);
    const int second_piece = piece(at_near, rest, whole.a, loose(at_near));
    plan.features.insert("cut");
    return {first_piece, second_piece};
}

void Maker::remove_wire(int index) {
    Wire& w = plan.wires[static_cast<std::size_t>(index)];
    w.alive = false;
    for (int e : w.edges) { plan.edges[static_cast<std::size_t>(e)].alive = false; }
    step("remove " + w.name);
}

void Maker::remove_part(int part, const char* more) {
    Part& p = plan.parts[static_cast<std::size_t>(part)];
    p.alive = false;
    for (Edge& e : plan.edges) {
        if (e.element != Element::wire && e.alive && plan.nodes[static_cast<std::size_t>(e.a)].part == part) {
            e.alive = false;
        }
    }
    std::erase_if(plan.loads, [&](const Load& l) { return l.part == part; });
    step("remove " + p.name, *more == '\0' ? std::vector<std::string>{} : std::vector<std::string>{more});
    plan.features.insert("remove");
}

// The load gets its current by a relay from the battery; what fed it so far pulls the relay in.
void Maker::convert_to_relay() {
    const int index = some_feed(0.4, false);
    if (index < 0 || always(plan.wires[static_cast<std::size_t>(index)].live)) { return renew_fuse(); }
    const Wire whole = plan.wires[static_cast<std::size_t>(index)];
    // Where its ground is switched together with that of other loads, the coil would get current over those while the switch is open.
    const int returns_at = grounded(whole.b.part).node;
    const auto return_wire = std::find_if(plan.wires.begin(), plan.wires.end(),
                                          [&](const Wire& w) { return w.alive && w.a.node == returns_at; });
    if (return_wire != plan.wires.end() && return_wire->b.part >= 0 &&
        plan.parts[static_cast<std::size_t>(return_wire->b.part)].keyword != "ground") {
        return renew_fuse();
    }
    const double load_amps = plan.parts[static_cast<std::size_t>(whole.b.part)].rating;
    Point& rail = rails_.front();
    rail.budget = 90;
    const Feed heavy = fused(rail, load_amps, 2 * load_amps);
    RelayPlan r;
    r.part = relay("4-pin", load_amps * 1.5, false);
    const auto [at_far, at_near] = cut(index, 0.15);
    Run run;
    run.protection = heavy.fuse;
    run.amps = load_amps;
    run.may_pass_plugs = false;
    run.colour = whole.colours.front();
    r.wire_30 = wire(heavy.at, plan.end(r.part, "30"), run);
    r.wire_87 = wire(plan.end(r.part, "87"), plan.wires[static_cast<std::size_t>(at_far)].a, run);
    for (int w : {index, at_far}) { plan.wires[static_cast<std::size_t>(w)].protection = heavy.fuse; }
    run.purpose = Purpose::trigger;
    run.protection = whole.protection;
    run.amps = 0.3;
    r.wire_86 = wire(plan.wires[static_cast<std::size_t>(at_near)].b, plan.end(r.part, "86"), run);
    Run back{Purpose::back};
    back.carry = whole.protection;
    back.may_pass_plugs = false;
    r.wire_85 = wire(plan.end(r.part, "85"), ground_end(), back);
    plan.relays.push_back(r);
    for (Load& l : plan.loads) {
        if (l.part == whole.b.part) { l.on = both(l.on, heavy.live); }
    }
    worked_on_.insert(whole.b.part);
    plan.features.insert("job relay");
}

// A small lamp more, on a joint made in the run of a wire.
void Maker::add_on_splice() {
    const int index = some_feed(0.5, true);
    if (index < 0 || plan.wires[static_cast<std::size_t>(index)].protection < 5 ||
        always(plan.wires[static_cast<std::size_t>(index)].live)) {
        return renew_fuse();
    }
    const Wire whole = plan.wires[static_cast<std::size_t>(index)];
    const double distance = std::round(whole.lengths.front() * 5) / 10; // halfway
    const std::string near_part = plan.parts[static_cast<std::size_t>(whole.a.part)].name;
    Part p;
    p.keyword = "splice";
    p.name = new_name("SP");
    p.statement = step(fmt::format("splice {} on {}", p.name, whole.name),
                       {fmt::format("{} from {}", metres(distance), near_part), "crimp"});
    plan.parts.push_back(p);
    const int joint_part = static_cast<int>(plan.parts.size()) - 1;
    plan.terminal(joint_part, "");
    const End joint = plan.end(joint_part);
    // The wire is now two runs from end to joint and from joint to end.
    Wire& w = plan.wires[static_cast<std::size_t>(index)];
    w.alive = false;
    plan.edges[static_cast<std::size_t>(w.edges.front())].alive = false;
    for (int half = 0; half < 2; ++half) {
        Wire piece = whole;
        piece.statement = p.statement;
        (half == 0 ? piece.b : piece.a) = joint;
        piece.lengths = {half == 0 ? distance : std::round((whole.lengths.front() - distance) * 1e4) / 1e4};
        Edge e{Element::wire, piece.a.node, piece.b.node, whole.name};
        e.piece = half + 1;
        e.length = piece.lengths.front();
        e.wire = static_cast<int>(plan.wires.size());
        piece.edges = {plan.edge(std::move(e))};
        piece.purpose = Purpose::feed;
        plan.wires.push_back(std::move(piece));
    }
    const Feed feed{joint, whole.protection, whole.live};
    const int lamp = load({"led", {"1.2 W"}, 1.2 / plan.volts, 0, true, false}, whole.live);
    Run run;
    run.protection = whole.protection;
    run.amps = 0.2;
    run.may_pass_plugs = false;
    run.colour = whole.colours.front();
    const int added = wire(joint, fed(lamp), run);
    plan.wires[static_cast<std::size_t>(added)].live = feed.live;
    to_ground(grounded(lamp), whole.protection, 0.2);
    worked_on_.insert({whole.b.part, lamp});
    plan.features.insert("splice on a wire");
}

// A ground wire goes to a better place.
void Maker::move_ground() {
    std::vector<int> found;
    for (std::size_t i = 0; i < plan.wires.size(); ++i) {
        const Wire& w = plan.wires[i];
        if (w.alive && w.named && w.purpose == Purpose::back && w.b.part >= 0 && w.through.empty() &&
            plan.parts[static_cast<std::size_t>(w.b.part)].keyword == "ground") {
            found.push_back(static_cast<int>(i));
        }
    }
    if (found.empty()) { return renew_fuse(); }
    Wire& w = plan.wires[static_cast<std::size_t>(found[c.below(static_cast<std::uint32_t>(found.size()))])];
    const int id = part("ground", "GND", {});
    plan.edge({Element::joint, plan.terminal(id, ""), plan.body, plan.parts[static_cast<std::size_t>(id)].name});
    const End target = plan.end(id);
    step(fmt::format("move {} off {} onto {}", w.name, exactly(plan, w.b), exactly(plan, target)));
    w.b = target;
    plan.edges[static_cast<std::size_t>(w.edges.back())].b = target.node;
    plan.features.insert("move");
}

// A load that hangs on a bus is taken out with its wires.
void Maker::take_out() {
    for (std::size_t i = 0; i < plan.wires.size(); ++i) {
        const Wire& w = plan.wires[i];
        const bool on_bus = w.a.part >= 0 && plan.parts[static_cast<std::size_t>(w.a.part)].keyword == "bus";
        const bool to_load = w.b.part >= 0 && std::any_of(plan.loads.begin(), plan.loads.end(), [&](const Load& l) {
                                 return l.part == w.b.part && l.filament.empty() &&
                                        plan.parts[static_cast<std::size_t>(l.part)].keyword != "beyond";
                             });
        if (!w.alive || !w.named || !on_bus || !to_load || !w.through.empty() || worked_on_.contains(w.b.part)) {
            continue;
        }
        const int load_part = w.b.part;
        const int ground_node = grounded(load_part).node;
        remove_part(load_part, "kept in boot");
        remove_wire(static_cast<int>(i));
        for (std::size_t k = 0; k < plan.wires.size(); ++k) {
            if (plan.wires[k].alive && plan.wires[k].a.node == ground_node && plan.wires[k].through.empty()) {
                remove_wire(static_cast<int>(k));
            }
        }
        return;
    }
    renew_fuse();
}

// A fuse is replaced by another of the same rating, as far as anybody knows.
void Maker::renew_fuse() {
    std::vector<int> found;
    for (std::size_t i = 0; i < plan.parts.size(); ++i) {
        if (plan.parts[i].keyword == "fuse" && plan.parts[i].alive) { found.push_back(static_cast<int>(i)); }
    }
    if (!found.empty()) {
        const int fuse = found[c.below(static_cast<std::uint32_t>(found.size()))];
        const Part& p = plan.parts[static_cast<std::size_t>(fuse)];
        plan.renewed.insert(fuse);
        step("fuse " + p.name, {amps(p.rating)});
        plan.features.insert("change");
    }
}

// A load switched on its ground side goes; its feed, live at all times, is cut short and capped.
void Maker::cut_and_cap() {
    const auto wire_from = [&](int node) {
        const auto found = std::find_if(plan.wires.begin(), plan.wires.end(), [&](const Wire& w) {
            return w.alive && w.a.node == node && w.through.empty();
        });
        return found == plan.wires.end() ? -1 : static_cast<int>(found - plan.wires.begin());
    };
    for (int index : load_feeds(0.5, true)) {
        const Wire whole = plan.wires[static_cast<std::size_t>(index)];
        const int back = wire_from(grounded(whole.b.part).node);
        if (!always(whole.live) || back < 0) { continue; }
        const int gate = plan.wires[static_cast<std::size_t>(back)].b.part;
        const bool by_switch = gate >= 0 && plan.parts[static_cast<std::size_t>(gate)].keyword == "switch";
        const int behind = by_switch ? wire_from(second(gate).node) : -1;
        if (behind < 0) { continue; }
        const auto [at_far, at_near] = cut(index, 0.2);
        plan.caps.push_back(step("cap " + plan.wires[static_cast<std::size_t>(at_near)].name, {"sealed sleeve"}));
        remove_part(whole.b.part, "");
        remove_wire(at_far);
        remove_wire(back);
        remove_part(gate, "kept in boot");
        remove_wire(behind);
        plan.features.insert("cap");
        return;
    }
    renew_fuse();
}

void Maker::job() {
    static constexpr const char* whys[] = {"ran hot in traffic", "owner asked for it",
                                           "bracket broke, part not to be had", "connector corroded"};
    const int number = ++jobs_;
    const bool planned = c.chance(20);
    block_ = static_cast<int>(plan.blocks.size());
    plan.blocks.push_back(
        {planned ? fmt::format("job \"step {}\" planned", number)
                 : fmt::format("job \"step {}\" fitted 2026-{:02}-{:02}", number, 1 + number % 12, 1 + number % 28)});
    plan.features.insert(planned ? "job planned" : "job fitted");
    if (c.chance(40)) { step("by \"owner\""); }
    if (c.chance(60)) { step(fmt::format("why \"{}\"", c.one_of(whys))); }
    switch (c.below(9)) {
    case 1:
    case 2:
    case 3: convert_to_relay(); break;
    case 4: add_on_splice(); break;
    case 5: move_ground(); break;
    case 6: take_out(); break;
    case 7:
    case 8: cut_and_cap(); break;
    default: renew_fuse(); break;
    }
}

void Maker::history(int size) {
    block_ = 0;
    plan.history = true;
    plan.blocks.push_back({c.chance(50) ? "factory" : "factory confirmed by \"workshop manual\""});
    vehicles(std::max(size * 2 / 3, 4));
    for (std::uint32_t jobs = 1 + c.below(3);
         (jobs > 0 || wires() < size) && !c.exhausted() && jobs_<40; jobs = jobs> 0 ? jobs - 1 : 0) {
        job();
    }
    block_ = -1;
    plan.features.insert("factory");
}

} // namespace loomproof::scenario
