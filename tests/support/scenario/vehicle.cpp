#include "support/scenario/maker.hpp"

#include <algorithm>
#include <span>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::scenario {

void Maker::head(int size) {
    static constexpr double systems[] = {12, 12, 12, 12, 12, 24, 24, 6};
    const auto say = [&](std::string head, std::vector<std::string> clauses = {}) {
        Statement s;
        s.head = std::move(head);
        s.clauses = std::move(clauses);
        s.fixed = true;
        plan.statement(std::move(s));
    };
    plan.body = plan.node("body", -1);
    say("loom 1");
    plan.volts = c.one_of(systems);
    positive_ = plan.positive_ground = c.chance(10);
    static constexpr Family families[] = {Family::metric, Family::awg, Family::sae};
    family_ = c.one_of(families);
    wires_named_ = !c.chance(15) || profile_ == Profile::tangled || profile_ == Profile::history;
    letters_ = static_cast<int>(c.below(4));
    static constexpr Rule rules[] = {Rule::metres, Rule::metres, Rule::metres, Rule::centimetres, Rule::inches};
    plan.rule = c.one_of(rules);
    plan.features.insert(plan.rule == Rule::inches        ? "feet and inches"
                         : plan.rule == Rule::centimetres ? "centimetres"
                                                          : "metres");
    plan.features.insert(family_ == Family::metric ? "mm2" : family_ == Family::awg ? "awg" : "sae");
    const bool described = c.chance(60);
    if (described) {
        const std::string text(c.chance(30) ? c.one_of(hostile_texts()) : std::string_view("Ridgeback pickup, 1986"));
        const bool partly = plan.partly = c.chance(40);
        say(fmt::format("vehicle \"{}\"", text),
            partly ? std::vector<std::string>{"partly described"} : std::vector<std::string>{});
    }
    if (described && profile_ != Profile::doubt && profile_ != Profile::tangled && c.chance(50)) {
        say("complete");
        plan.complete = true;
        plan.features.insert("complete");
    }
    if (plan.volts != 12 || positive_ || c.chance(50)) {
        say(fmt::format("system {} V", typed(plan.volts)), {positive_ ? "positive ground" : "negative ground"});
    }
    if (letters_ >= 2) { say(letters_ == 2 ? "colours british" : "colours german"); }
    if (c.chance(30)) {
        say("place engine-bay", {"70 degC"});
        plan.features.insert("place");
    }
    if (c.chance(20)) {
        say("metal body");
        plan.features.insert("metal");
    }
    plan.features.insert(positive_ ? "positive ground" : "negative ground");
    plan.features.insert(fmt::format("{} V", typed(plan.volts)));
    if (size == 0) { plan.features.insert("empty file"); }
}

Point Maker::rail_of(const End& live, bool with_bus) {
    Point point{live};
    point.bare = true;
    point.budget = 90;
    point.source = live.node;
    plan.sources.push_back(live.node);
    if (with_bus) {
        Run run{Purpose::lead};
        run.protection = unlimited;
        run.carry = 170;
        run.low = run.high = 0.05;
        run.may_pass_plugs = false;
        const End rail = plan.end(bus());
        Wire& lead = plan.wires[static_cast<std::size_t>(wire(live, rail, run))];
        point.run = lead.unprotected[live.node] = lead.lengths.front();
        point.at = rail;
        point.lead = 0.09;
    }
    return point;
}

// A box of fuses on a main fuse of its own.
Point Maker::box(Point& rail, double budget) {
    Feed feed = fused(rail, budget);
    if (c.chance(20)) {
        feed = gated(feed, budget, gate(budget, false));
        plan.features.insert("isolator");
    }
    const End joint = plan.end(bus());
    feed_wire(feed.at, joint, feed, budget);
    Point point{joint, feed.fuse};
    point.lead = 0.3;
    point.budget = budget;
    point.live = feed.live;
    plan.features.insert("box");
    return point;
}

// The same on a fusible link: every wire up to the next fuse holds at least 2.4 times its copper.
Point Maker::box_behind_link(Point& rail) {
    struct Pair {
        const char* link;
        double area, budget;
    };
    static constexpr Pair pairs[] = {{"18 sae", 0.779, 8}, {"16 sae", 1.184, 12}, {"14 sae", 1.876, 20}};
    const Pair pair = c.one_of(pairs);
    Point point = rail;
    point.budget = pair.budget;
    point.least_area = pair.area * 2.6;
    point.bare = false;
    point.lead = 0.3;
    const auto sae = sizes(Family::sae);
    const auto size =
        std::find_if(sae.begin(), sae.end(), [&](const Size& s) { return std::string_view(s.text) == pair.link; });
    const int link = fusible_link(*size);
    Run run{Purpose::lead};
    run.protection = unlimited;
    run.amps = pair.budget;
    run.least_area = point.least_area;
    run.low = 0.05;
    run.high = std::max(0.05, rail.lead);
    run.may_pass_plugs = false;
    Wire& lead = plan.wires[static_cast<std::size_t>(wire(rail.at, first(link), run))];
    lead.unprotected[rail.source] = rail.run + lead.lengths.front();
    rail.budget -= pair.budget;
    point.at = plan.end(bus());
    run.purpose = Purpose::trunk;
    run.low = 0.5;
    run.high = 1.5;
    run.protection = point.fuse = plan.parts[static_cast<std::size_t>(link)].rating;
    wire(second(link), point.at, run);
    plan.features.insert("link");
    return point;
}

// Starter, alternator, ignition switch, with what hangs on its positions.
void Maker::engine(Point& rail, const End& live, std::vector<Point>& points) {
    const bool first_one = counters_["engine"]++ == 0;
    if (engine_ < 0) {
        engine_ = plan.node("engine", -1);
        Statement s;
        s.head = "metal engine";
        s.block = block_;
        plan.statement(std::move(s));
    }
    const int block_stud = part("ground", "GND", {});
    plan.statements[static_cast<std::size_t>(plan.parts[static_cast<std::size_t>(block_stud)].statement)].head +=
        " on engine";
    plan.edge({Element::joint, plan.terminal(block_stud, ""), engine_,
               plan.parts[static_cast<std::size_t>(block_stud)].name});
    const int straps = c.chance(20) ? 2 : 1;
    for (int i = 0; i < straps; ++i) { strap(plan.end(block_stud), ground_end()); }
    if (straps == 2) { plan.features.insert("doubled strap"); }

    const int starter =
        part("starter", first_one && c.chance(50) ? nullptr : "M",
             {c.chance(30) ? "1.6 kW" : (c.chance(30) ? "cranks " : "") + amps(c.between(120, 200, 20))},
             turn(3, 81) == 0 ? std::vector<std::string>{"pull-in 50-motor", "hold-in 50-case, 10 A"}
                              : std::vector<std::string>{});
    if (plan.parts[static_cast<std::size_t>(starter)].statement >= 0 && turn(3, 81) != 0 && turn(2, 94) == 0) {
        plan.statements[static_cast<std::size_t>(plan.parts[static_cast<std::size_t>(starter)].statement)]
            .clauses.emplace_back("solenoid 30 A");
    }
    const std::string starter_name = plan.parts[static_cast<std::size_t>(starter)].name;
    plan.edge({Element::load, plan.terminal(starter, "30"), engine_, starter_name});
    plan.edge({Element::coil, plan.terminal(starter, "50"), engine_, starter_name});
    Run cable{Purpose::lead};
    cable.protection = unlimited;
    cable.carry = 170;
    cable.low = 0.8;
    cable.high = 1.2;
    cable.may_pass_plugs = false;
    const int main_cable = wire(live, plan.end(starter, "30"), cable);
    Wire& w = plan.wires[static_cast<std::size_t>(main_cable)];
    w.more.emplace_back("starter cable");
    w.unprotected[live.node] = w.lengths.front();
    plan.statements[static_cast<std::size_t>(w.statement)].clauses.emplace_back("starter cable");

    // An ignition switch; what it feeds, stands still while cranking or does not.
    const Feed feed = fused(rail, 25);
    const int key = part("switch", "S", {},
                         {"off*", "accessory connects 30 with 15R", "run connects 30 with 15R and 15",
                          "start connects 30 with 15 and 50, springs back"});
    const std::string name = plan.parts[static_cast<std::size_t>(key)].name;
    const int control = plan.control(name, {"off", "accessory", "run", "start"});
    const int in = plan.terminal(key, "30");
    const auto output = [&](const char* stamp, std::set<std::string> when) {
        Edge e{Element::contact, in, plan.terminal(key, stamp), name};
        e.control = control;
        e.closed_in = when;
        plan.edge(std::move(e));
        return Feed{plan.end(key, stamp), feed.fuse, both(feed.live, Condition{{{{control, std::move(when)}}}})};
    };
    feed_wire(feed.at, plan.end(key, "30"), feed, 25);
    const Feed accessory = output("15R", {"accessory", "run"});
    const Feed on = output("15", {"run", "start"});
    const Feed start = output("50", {"start"});
    feed_wire(start.at, plan.end(starter, "50"), start, 5);
    for (const auto& [from, budget] : {std::pair{accessory, 6.0}, std::pair{on, 17.0}}) {
        const End joint = plan.end(bus());
        feed_wire(from.at, joint, from, budget);
        Point point{joint, from.fuse};
        point.lead = 0.3;
        point.budget = budget;
        point.live = from.live;
        points.push_back(point);
    }
    plan.features.insert("ignition switch");

    if (c.chance(60)) {
        const double output_amps = 120;
        std::vector<std::string> clauses{amps(output_amps), typed(plan.volts * 14.2 / 12) + " V"};
        if (c.chance(30)) { clauses.emplace_back("100 A at idle"); }
        if (turn(3, 51) == 0) { clauses.emplace_back("lamp terminal D9"); }
        if (turn(4, 87) == 0) { clauses.emplace_back("external regulator"); }
        if (turn(3, 52) == 0) { clauses.emplace_back("sense V9"); }
        if (turn(4, 53) == 0) { // a metal with nothing else on it: it changes nothing
            if (counters_["trailer"]++ == 0) {
                Statement metal;
                metal.head = "metal trailer";
                metal.block = block_;
                if (turn(2, 95) == 0) { metal.clauses.emplace_back("2 mohm"); }
                plan.statement(std::move(metal));
            }
            part("touch", "J", {"between engine and trailer", "0 ohm to open"});
        }
        const int alternator = part("alternator", first_one && c.chance(50) ? nullptr : "G", std::move(clauses));
        const std::string alternator_name = plan.parts[static_cast<std::size_t>(alternator)].name;
        const int plus = plan.terminal(alternator, "B+");
        Edge source{Element::source, plus, engine_, alternator_name};
        source.rating = output_amps;
        plan.edge(std::move(source));
        plan.edge({Element::load, plan.terminal(alternator, "L"), engine_, alternator_name});
        plan.edge({Element::load, plan.terminal(alternator, "S"), engine_, alternator_name});
        Point& tap = rail;
        const double left = tap.budget;
        const Feed charge = fused(tap, output_amps);
        tap.budget = left; // what charges does not draw
        feed_wire(charge.at, plan.end(alternator, "B+"), charge, output_amps);
        if (c.chance(60)) { // charge lamp
            const double lamp_amps = 2 / plan.volts;
            const Feed lamp_feed = fused(points.back(), lamp_amps, 0, 3);
            const int lamp = load({"lamp", {"2 W"}, lamp_amps, 0, false, false}, lamp_feed.live);
            plan.loads.pop_back(); // lights only while the engine stands
            feed_wire(lamp_feed.at, first(lamp), lamp_feed, lamp_amps);
            Run run{Purpose::trigger};
            run.carry = lamp_feed.fuse;
            run.amps = lamp_amps;
            run.may_pass_plugs = false;
            wire(second(lamp), plan.end(alternator, "L"), run);
            plan.features.insert("charge lamp");
        } else { // one that has a lamp terminal needs the lamp
            std::erase(
                plan.statements[static_cast<std::size_t>(plan.parts[static_cast<std::size_t>(alternator)].statement)]
                    .clauses,
                "lamp terminal D9");
        }
        if (c.chance(30)) {
            const Feed sense = fused(rail, 0.1, 0, 3);
            feed_wire(sense.at, plan.end(alternator, "S"), sense, 0.1);
            plan.features.insert("sense");
        }
    }
}

// A second battery beside the first, joined by a cable with a fuse at each end.
Point Maker::second_battery(Point& rail) {
    const int other = battery(plan.volts, 80);
    add_clause(other, plan.volts == 12 ? "12 V" : typed(plan.volts) + " V");
    const End live = plan.end(other, positive_ ? "-" : "+");
    strap(plan.end(other, positive_ ? "+" : "-"), ground_end());
    Point own = rail_of(live, false);
    own.budget = 20;
    Point joined = own;
    joined.budget = 60;
    Feed here = fused(rail, 60);
    Feed there = fused(joined, 60);
    plan.joins = {here.at.part, there.at.part};
    Feed way = here;
    if (c.chance(50))
        way = gated(here, 60, gate(60, false));
    else
        plan.features.insert("joined for good"); // batteries-joined-for-good may speak
    feed_wire(way.at, there.at, here, 60);
    plan.features.insert("second battery");
    return own;
}

// A lead that is too long, with the reason why that is accepted.
void Maker::accepted_lead(Point& point) {
    if (!wires_named_) { return plain(point); }
    const auto before = plan.wires.size();
    const double reach = point.lead;
    point.lead = 0.6;
    plain(point);
    point.lead = reach;
    Wire& lead = plan.wires[before];
    lead.lengths = {0.6};
    lead.how.clear();
    lead.unprotected[point.source] = point.run + 0.6;
    plan.edges[static_cast<std::size_t>(lead.edges.front())].length = 0.6;
    const int block = plan.statements[static_cast<std::size_t>(lead.statement)].block;
    plan.statements[static_cast<std::size_t>(lead.statement)] = plan.written(lead);
    plan.statements[static_cast<std::size_t>(lead.statement)].block = block;
    Statement s;
    s.head = fmt::format("accept unfused-feed on {} because \"sleeved end to end, in the maker's conduit\"", lead.name);
    plan.statement(std::move(s));
    plan.features.insert("accept");
}

void Maker::one_vehicle(int goal) {
    const int start = wires();
    stud_ = -1;
    const bool series = plan.volts == 24 && goal >= 8 && c.chance(50);
    const bool with_bus = goal > 9;
    int power = battery(series ? 12 : plan.volts, c.between(40, 110, 10));
    End live = plan.end(power, positive_ ? "-" : "+");
    const End back = plan.end(power, positive_ ? "+" : "-");
    strap(back, ground_end());
    if (with_bus && c.chance(15)) {
        strap(back, ground_end());
        plan.features.insert("doubled strap");
    }
    if (series) {
        plan.sources.push_back(live.node);
        const int upper = battery(12, 80);
        const End joint = plan.end(upper, positive_ ? "+" : "-");
        plan.sources.push_back(joint.node);
        Run run{Purpose::lead};
        run.protection = unlimited;
        run.carry = 170;
        run.low = run.high = 0.1;
        run.may_pass_plugs = false;
        Wire& link = plan.wires[static_cast<std::size_t>(wire(live, joint, run))];
        link.unprotected[live.node] = link.unprotected[joint.node] = link.lengths.front();
        live = plan.end(upper, positive_ ? "-" : "+");
        plan.features.insert("series batteries");
    }
    std::vector<Point> points{rail_of(live, with_bus)};
    rails_.push_back(points.front());
    if (!with_bus) {
        for (int leads = 0; leads < 3 && (leads == 0 || wires() - start < goal) && !c.exhausted(); leads += 2) {
            circuit(points.front());
        }
        return;
    }
    if (!positive_ && goal >= 25 && c.chance(50)) {
        std::vector<Point> more;
        engine(points.front(), live, more);
        points.insert(points.end(), more.begin(), more.end());
    }
    if (goal >= 25 && c.chance(20)) { points.push_back(second_battery(points.front())); }
    if (block_ < 0 && profile_ == Profile::clean && c.chance(10)) { accepted_lead(points.front()); }
    while (wires() - start < goal && !c.exhausted()) {
        std::erase_if(points, [](const Point& p) { return p.budget < 4; });
        if (points.empty() || points.front().source != live.node || !points.front().bare) {
            break; // this battery has enough to feed
        }
        Point& at = points[c.below(static_cast<std::uint32_t>(points.size()))];
        if (at.bare && at.source == live.node && at.budget >= 20 && goal - (wires() - start) > 12 && c.chance(40)) {
            Point fresh = c.chance(25) ? box_behind_link(at) : box(at, at.budget >= 40 && c.chance(50) ? 30 : 15);
            points.push_back(fresh);
            continue;
        }
        circuit(at);
    }
}

void Maker::vehicles(int size) {
    std::vector<std::size_t> begins;
    for (bool first = true; size > 0 && (first || (wires() < size && !c.exhausted())); first = false) {
        begins.push_back(plan.parts.size());
        one_vehicle(size - wires());
        if (plan.wires.empty()) { break; }
    }
    // In a file with an engine a battery that nothing of it charges says so.
    begins.push_back(plan.parts.size());
    const auto has_engine = [](std::span<const Part> parts) {
        return std::ranges::any_of(parts,
                                   [](const Part& p) { return p.keyword == "alternator" || p.keyword == "starter"; });
    };
    for (std::size_t v = 0; v + 1 < begins.size() && has_engine(plan.parts); ++v) {
        const std::span its(plan.parts.data() + begins[v], begins[v + 1] - begins[v]);
        if (has_engine(its)) { continue; }
        for (const Part& p : its) {
            if (p.keyword != "battery") { continue; }
            std::string& head = plan.statements[static_cast<std::size_t>(p.statement)].head;
            head = head.substr(0, head.find(" \"")) + " \"charged elsewhere\"";
        }
    }
}

// One battery, a tree of boxes (six boxes on a box, one feed in ten without a main fuse), eight circuits or so on each.
void Maker::stress(int size) {
    const int power = battery(plan.volts, 100);
    strap(plan.end(power, positive_ ? "+" : "-"), ground_end());
    strap(plan.end(power, positive_ ? "+" : "-"), ground_end());
    std::vector<Point> boxes{rail_of(plan.end(power, positive_ ? "-" : "+"), true)};
    std::size_t parent = 0;
    while (wires() < size && !c.exhausted()) {
        for (int i = 0; i < 6 && wires() < size; ++i) {
            Point from = boxes[parent];
            from.budget = 1e9;
            Point fresh;
            if (c.chance(10)) {
                fresh = from;
                fresh.at = plan.end(bus());
                Run run{Purpose::trunk};
                run.protection = from.fuse;
                run.carry = 200;
                run.may_pass_plugs = false;
                Wire& w = plan.wires[static_cast<std::size_t>(wire(from.at, fresh.at, run))];
                if (from.bare) {
                    fresh.run = from.run + w.lengths.front();
                    w.unprotected[from.source] = fresh.run;
                }
            } else {
                fresh = box(from, 170);
            }
            for (std::uint32_t n = 5 + c.below(7); n > 0 && wires() < size; --n) {
                fresh.budget = 30;
                circuit(fresh);
            }
            boxes.push_back(fresh);
        }
        ++parent;
    }
}

void Maker::plug_rows() {
    for (const auto& entry : plan.plug_wires) {
        const int id = entry.first;
        const std::vector<int>& through = entry.second;
        Statement& s = plan.statements[static_cast<std::size_t>(plan.parts[static_cast<std::size_t>(id)].statement)];
        if (std::find(s.clauses.begin(), s.clauses.end(), "wire side") == s.clauses.end()) { continue; }
        for (std::size_t i = 0; i < through.size(); ++i) {
            const Wire& w = plan.wires[static_cast<std::size_t>(through[i])];
            const auto hole =
                std::find_if(w.through.begin(), w.through.end(), [&](const End& e) { return e.part == id; });
            const auto piece = static_cast<std::size_t>(hole - w.through.begin());
            s.rows.push_back(fmt::format("{} {}{}", hole->stamp.substr(0, hole->stamp.find('/')),
                                         w.colours[w.colours.size() == 1 ? 0 : piece],
                                         c.chance(30) ? " \"temperature?\"" : ""));
        }
    }
}

// Says of some loads what they have to do: true by construction.
void Maker::expectations() {
    const auto sayable = [&](const Load& l) {
        return l.filament.empty() && l.on.any.size() == 1 && !l.on.any.front().empty() &&
               l.on.any.front().size() <= 3 &&
               std::all_of(l.on.any.front().begin(), l.on.any.front().end(), [&](const auto& term) {
                   const std::string& name = plan.controls[static_cast<std::size_t>(term.first)].name;
                   return name.find_first_of(" .") == std::string::npos;
               });
    };
    for (const Load& l : plan.loads) {
        const Part& p = plan.parts[static_cast<std::size_t>(l.part)];
        if (!p.alive || !sayable(l) || !c.chance(15)) { continue; }
        std::string when;
        for (const auto& [control, positions] : l.on.any.front()) {
            when += fmt::format("{}{} {}", when.empty() ? "" : ", ",
                                plan.controls[static_cast<std::size_t>(control)].name, *positions.begin());
        }
        Statement s;
        s.head = fmt::format("expect {} {} when {}", p.name,
                             c.chance(20) ? fmt::format("at least {} V", typed(plan.volts * 0.9)) : "on", when);
        plan.statement(std::move(s));
        plan.features.insert("expect");
    }
}

void Maker::close() {
    plug_rows();
    if (profile_ != Profile::tangled && profile_ != Profile::doubt && profile_ != Profile::stress) { expectations(); }
}

} // namespace loomproof::scenario
