#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/straps.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule ground_missing; // rule_list.hpp lists it

namespace {

const char* pole_name(const Study& study) { return study.now.ground_pole() == Role::minus ? "minus" : "plus"; }

/// "battery:-", the pole that the vehicle's ground is.
std::string ground_pole(const Study& study) {
    for (TerminalId t : ground_poles(study))
        if (study.circuit.part_of(t).kind == Kind::battery) return name_of(study.circuit, t);
    return fmt::format("the battery's {} pole", pole_name(study));
}

/// "E1, E2, E3 and 9 more have": the first few of many.
std::string users_have(const Circuit& c, const std::vector<PartId>& users) {
    std::vector<std::string> names = names_of(c, users);
    if (names.size() > 5) {
        const std::size_t rest = names.size() - 4;
        names.resize(4);
        names.push_back(fmt::format("{} more", rest));
    }
    return list_of(names) + verb(users.size(), " has", " have");
}

void say_metal(const Study& study, const MissingGround& m, Finding& f) {
    const Circuit& c = study.circuit;
    const std::string metal = equal_ignoring_case(name_of(c, m.metal), "ground") ? "body" : name_of(c, m.metal);
    const std::string pole = m.pole.exists() ? name_of(c, m.pole) : ground_pole(study);
    const bool trailer = equal_ignoring_case(metal, "trailer");
    f.severity = trailer ? Severity::fault : Severity::danger;
    f.headline = fmt::format("Nothing joins the {} to {}: {} no ground.", metal, pole, users_have(c, m.users));
    if (!m.touches.empty())
        f.headline = fmt::format("Nothing but {} joins the {} to {}: {} no ground that lasts.",
                                 list_of(names_of(c, m.touches)), metal, pole, users_have(c, m.users));
    if (m.pole.exists()) {
        f.headline = fmt::format("Nothing is wired to {}: {} no ground.", pole, users_have(c, m.users));
        f.why = "What current there is finds its way back over whatever touches the battery, or not at all.";
        f.cures.push_back({fmt::format("Fit a cable from {} to the body: wire from {} to ground, {} black, 0.4 m", pole,
                                       pole, strap_size(c))});
    } else if (equal_ignoring_case(metal, "engine")) {
        f.why = "Starting current finds another way: throttle and gearbox cables, thin wires, bearings. They glow, "
                "seize or burn (common practice, no source).";
        f.cures.push_back(
            {"Fit a strap from the engine to the body or the battery, as thick as the battery's own ground cable: "
             "wire from engine to ground, 25 mm2 black, 0.4 m"});
    } else if (trailer) {
        f.why = "Its lamps find a ground through one another and the towing car: they glow dimly, and the wrong ones "
                "light.";
        f.cures.push_back({"Give the trailer a ground wire of its own through the plug; the hitch is no ground."});
    } else {
        f.why = "All that is grounded on it works through something else or not at all; what current there is takes "
                "thin wires and cables.";
        f.cures.push_back({fmt::format("Fit a cable from {} to the body: wire from {} to ground, {} black, 0.4 m", pole,
                                       pole, strap_size(c))});
    }
    if (!m.touches.empty()) {
        const std::string plain = std::move(f.why);
        f.why = fmt::format("Grease, paint and rust part what merely touches, and a jolt does. {}", plain);
        for (PartId touch : m.touches) f.cites.push_back(cite_part(c, touch, "touches, or does not"));
    }
    if (!c.vehicle.complete)
        f.cures.push_back(
            {"If it is there and only not written down, write it down; or say: vehicle \"...\", partly described"});
}

void say_source(const Study& study, const MissingGround& m, Finding& f) {
    const Circuit& c = study.circuit;
    f.severity = Severity::danger;
    f.headline = fmt::format("{} has no ground: {} leads nowhere.", sentence_start(called(c, m.users.front())),
                             name_of(c, m.at));
    f.why = "What it gives finds its way back over whatever touches it, or not at all.";
    f.cures.push_back({fmt::format("Fit a cable from {} to the body, as thick as its other one.", name_of(c, m.at))});
}

/// A switch in that wiring with one end left: the way back was meant to go through it. A ground in front of it would bridge it.
TerminalId free_end_of_a_switch(const Study& study, const MissingGround& m) {
    const Circuit& c = study.circuit;
    for (TerminalId at : m.floating) {
        const Part& part = c.part_of(at);
        if (part.kind != Kind::switching || study.now.wires_at(at).empty()) continue;
        for (TerminalId t : part.terminals)
            if (study.now.wires_at(t).empty()) return t;
    }
    return {};
}

void say_loads(const Study& study, const MissingGround& m, Finding& f) {
    const Circuit& c = study.circuit;
    f.severity = Severity::fault;
    const std::string have =
        m.users.size() == 1 ? sentence_start(called(c, m.users.front())) + " has" : users_have(c, m.users);
    if (m.bare) {
        f.headline = fmt::format("{} no ground: nothing is wired to {}.", have, name_of(c, m.at));
        f.cures.push_back({fmt::format("Run a wire from {} to ground, as thick as its feed.", name_of(c, m.at))});
        return;
    }
    TerminalId meeting = m.at;
    for (TerminalId t : m.floating)
        if (c.at(t).role == Role::joint) meeting = t;
    f.headline = fmt::format("{} no ground: what is wired to {} leads nowhere.", have, name_of(c, meeting));
    if (m.users.size() > 1)
        f.why = "They hang on one piece of wiring that reaches neither the body nor the battery. They stay dead, or "
                "find a way through one another "
                "and through other lamps, and glow dimly.";
    f.cures.push_back({fmt::format("Run a wire from {} to ground that carries all of them.", name_of(c, meeting))});
    if (m.users.size() == 1)
        f.cures.back() = {fmt::format("Run a wire from {} to ground, as thick as the feed.", name_of(c, meeting))};
    if (const TerminalId end = free_end_of_a_switch(study, m); end.exists())
        f.cures = {{fmt::format("Run a wire from {} to ground.", name_of(c, end))},
                   {grounded_by_its_body(c, c.at(end).part)}};
    f.measure = fmt::format("Battery off: from {} to a bare bolt on the body the meter should read under 1 ohm.",
                            name_of(c, m.at));
}

/// What a second battery feeds, or is charged by, and what is grounded with another battery and not with this one.
struct GroundedElsewhere {
    std::vector<PartId> loads, chargers; ///< in text order
};

/// May what is joined to this end lie on the body, seen by nobody? A charger's minus does not: it charges what hangs on its two leads.
bool may_lead_on(const Study& study, TerminalId t) {
    const Circuit& c = study.circuit;
    const Part& part = c.part_of(t);
    switch (part.kind) {
    case Kind::charger:
    case Kind::solar: return part.poisoned;
    case Kind::metal:
    case Kind::unknown_end:
    case Kind::not_known:
    case Kind::beyond:
    case Kind::supply:
    case Kind::existing_wire: return true;
    case Kind::connector: return study.now.wires_at(t).empty();
    default:
        return part.poisoned || (c.at(t).role == Role::signal && study.now.primitives_at(t).empty()) ||
               !says_what_it_is(study.now, c.at(t).part);
    }
}

GroundedElsewhere grounded_elsewhere(const Study& study, const Sides& sides, const BatteryPoles& battery) {
    const Circuit& c = study.circuit;
    GroundedElsewhere found;
    std::vector<bool> own(c.terminals.size(), false);
    own[battery.ground.index] = true;
    bool elsewhere = false; // an end that nobody traced, metal, or the pole of another source: it has its way home
    region(study.now, {battery.ground}, Through::what_conducts, [&](TerminalId t) {
        if (own[t.index] || sides.live(t)) return false;
        own[t.index] = true;
        elsewhere = elsewhere || may_lead_on(study, t);
        return !elsewhere;
    });
    if (elsewhere) return found;
    const Spread from(study.now,
                      {.starts = {battery.live}, .with_current = study.from_plus(), .not_beyond = &study.reference});
    const auto note = [](std::vector<PartId>& list, PartId part) {
        if (std::ranges::find(list, part) == list.end()) list.push_back(part);
    };
    const auto on_the_body = [&](TerminalId t) {
        if (!study.reference[t.index] || own[t.index]) return false;
        const std::vector<TerminalId> there = ground_walk(study, t).in_order();
        return std::ranges::any_of(there, [&](TerminalId at) { return c.part_of(at).kind == Kind::metal; });
    };
    for (PrimitiveId id : study.now.primitives()) {
        const Primitive& p = c.at(id);
        const Part& part = c.at(p.part);
        if (part.poisoned || from.reached(p.a) == from.reached(p.b)) continue;
        if (!on_the_body(from.reached(p.a) ? p.b : p.a)) continue;
        const bool gives = part.kind == Kind::converter || part.kind == Kind::charger || part.kind == Kind::solar;
        if (gives)
            note(found.chargers, p.part);
        else if (is_load(p) && part.kind != Kind::resistor && part.kind != Kind::beyond && p.purpose != Purpose::leak)
            note(found.loads, p.part);
    }
    return found;
}

void say_grounded_elsewhere(const Study& study, const BatteryPoles& battery, const GroundedElsewhere& there,
                            Report& report) {
    const Circuit& c = study.circuit;
    const PartId id = c.at(battery.source).part;
    const std::string name = name_of(c, id), pole = name_of(c, battery.ground);
    std::vector<PartId> users = there.loads;
    users.insert(users.end(), there.chargers.begin(), there.chargers.end());
    const auto short_list = [&](const std::vector<PartId>& parts) {
        std::vector<std::string> names = names_of(c, parts);
        if (names.size() > 5) {
            names.resize(4);
            names.push_back(fmt::format("{} more", parts.size() - 4));
        }
        return list_of(names);
    };
    Finding f;
    f.rule = "ground-missing";
    f.severity = Severity::fault;
    f.headline =
        there.loads.empty()
            ? fmt::format("Nothing joins {} to the body, where {} {} ground: nothing from there charges {}.", pole,
                          short_list(there.chargers), there.chargers.size() == 1 ? "has its" : "have their", name)
            : fmt::format("Nothing joins {} to the body: {} get{} nothing from {}.", pole, short_list(there.loads),
                          there.loads.size() == 1 ? "s" : "", name);
    f.place = where_it_lies(c, id);
    if (!there.loads.empty()) f.why = fmt::format("What {} feeds on the body has no way back to it.", name);
    if (!there.chargers.empty()) {
        const std::string chargers = short_list(there.chargers);
        if (!there.loads.empty())
            f.why += fmt::format(" It works only while {} give{} current, which does not charge {}.", chargers,
                                 there.chargers.size() == 1 ? "s" : "", name);
        else
            f.why = fmt::format("What {} give{} has no way back.", chargers, there.chargers.size() == 1 ? "s" : "");
    }
    f.cures.push_back({fmt::format("Fit a cable from {} to the body, as thick as its other one.", pole)});
    if (!c.vehicle.complete) f.cures.push_back({"If it is there and only not written down, write it down."});
    f.measure =
        fmt::format("All off, meter from {} to a bare bolt on the body: a sound battery shows there what it shows "
                    "between its own posts; nothing, or a figure that wanders: it is not joined.",
                    name_of(c, battery.live));
    f.cites.push_back(cite_part(c, id));
    f.cites.push_back(cite_terminal(study.now, battery.ground, "reaches no body"));
    f.cites.push_back(cite_part(c, users.front(), "grounded on the body"));
    // Not the battery, nor what charges it: what goes home by wire does not come of this.
    f.subjects = names_of(c, there.loads);
    if (there.loads.empty()) f.subjects = {pole};
    report.findings.push_back(std::move(f));
}

/// A second battery that is joined to others by its live pole alone: coils and loads are wired to its ground pole, but nothing joins that one to
/// the ground of the others. A battery with its own loads and nothing else is a system of its own, and one in a row feeds more volts.
void look_at_second_batteries(const Study& study, const Sides& sides, Report& report) {
    const Circuit& c = study.circuit;
    for (const BatteryPoles& battery : battery_poles(study)) {
        const auto& [id, live, ground] = battery;
        const Primitive& p = c.at(id);
        if (study.reference[live.index] || sides.live(ground) || study.now.wires_at(ground).empty() ||
            (p.voltage.known() && c.vehicle.system.si > 1.5 * p.voltage.nominal.si))
            continue;
        const std::string name = name_of(c, p.part);
        if (std::ranges::any_of(report.findings, [&](const Finding& f) {
                return f.rule == ground_missing.id && std::ranges::find(f.subjects, name) != f.subjects.end();
            }))
            continue;
        const Spread from(study.now,
                          {.starts = {live}, .with_current = study.from_plus(), .not_beyond = &study.reference});
        const Reach same_ground = ground_walk(study, ground);
        if (std::ranges::any_of(same_ground.in_order(), [&](TerminalId t) { return c.part_of(t).kind == Kind::metal; }))
            continue;
        const auto other = std::ranges::find_if(study.strong, [&](const LivePole& l) {
            const Primitive& source = c.at(l.source);
            const TerminalId others = study.from_plus() ? source.b : source.a;
            return c.at(source.part).kind == Kind::battery && l.source != id && study.reference[others.index] &&
                   from.reached(l.pole) && !same_ground.reached(others);
        });
        if (other == study.strong.end() || sides.untraced(ground)) {
            const GroundedElsewhere there = grounded_elsewhere(study, sides, battery);
            if (!there.loads.empty() || !there.chargers.empty()) say_grounded_elsewhere(study, battery, there, report);
            continue;
        }
        Finding f;
        f.rule = "ground-missing";
        f.severity = Severity::danger;
        f.headline =
            sentence_start(fmt::format("Nothing joins {} to the ground of {}: {} gives and takes no current.",
                                       name_of(c, ground), name_of(c, c.at(other->source).part), called(c, p.part)));
        f.place = where_it_lies(c, p.part);
        f.cites.push_back(cite_part(c, p.part));
        f.cites.push_back(cite_terminal(study.now, ground, "reaches no ground"));
        std::vector<PartId> users;
        std::vector<std::string> names;
        std::vector<bool> seen(c.terminals.size(), false);
        const auto fresh = [&](TerminalId at) {
            if (seen[at.index]) return false;
            seen[at.index] = true;
            return true;
        };
        for (TerminalId t : region(study.now, {ground}, Through::what_conducts, fresh)) {
            names.push_back(name_of(c, t));
            for (WireId w : study.now.wires_at(t)) names.push_back(subject_of(c, w));
            if (c.at(t).part != p.part && std::ranges::find(users, c.at(t).part) == users.end() &&
                c.at(t).role != Role::joint)
                users.push_back(c.at(t).part);
        }
        f.why =
            users.empty()
                ? "It is never charged, and feeds nothing."
                : fmt::format("It is never charged, and what is wired to that pole ({}) is without ground as well: it "
                              "stays dead, or finds one through other loads.",
                              list_of(names_of(c, users)));
        f.cures.push_back(
            {fmt::format("Fit a cable from {} to the body, as thick as its other one.", name_of(c, ground))});
        f.subjects = {name_of(c, ground), name_of(c, p.part)};
        for (PartId user : users) f.subjects.push_back(name_of(c, user));
        for (std::string& n : names)
            if (std::ranges::find(f.subjects, n) == f.subjects.end()) f.subjects.push_back(std::move(n));
        report.findings.push_back(std::move(f));
    }
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    const Sides sides(study);
    const Ends ends(study);
    for (const MissingGround& m : missing_grounds(study, sides, ends)) {
        if (!m.due) continue;
        if (ends.doubtful()) {
            report.not_checked.push_back(
                open_until_mended("ground-missing", fmt::format("whether {} a ground", users_have(c, m.users))));
            continue;
        }
        Finding f;
        f.rule = "ground-missing";
        f.place = where_it_lies(c, m.users.front());
        if (m.metal.exists())
            say_metal(study, m, f);
        else if (m.source)
            say_source(study, m, f);
        else
            say_loads(study, m, f);
        f.subjects.push_back(name_of(c, m.at));
        if (m.metal.exists()) f.subjects.insert(f.subjects.begin(), name_of(c, m.metal));
        if (!m.pole
                 .exists()) // else all of them are judged as if the strap were there: nothing that is found comes of it
            for (PartId p : m.users) f.subjects.push_back(name_of(c, p));
        for (PartId p : m.touches) f.subjects.push_back(name_of(c, p));
        if (m.pole.exists()) {
            f.cites.push_back(cite_part(c, c.at(m.pole).part));
            f.subjects.insert(f.subjects.begin(), name_of(c, m.pole));
        }
        f.cites.push_back(m.metal.exists() && c.at(m.metal).span.exists() ? cite_part(c, m.metal)
                                                                          : cite_terminal(study.now, m.at));
        if (m.metal.exists()) f.cites.push_back(cite_part(c, m.users.front()));
        if (m.metal.exists() &&
            !m.pole.exists()) // other rules find the ground side by the body: say that they were blind there
            report.not_checked.push_back(
                {"diode-wrong-way",
                 fmt::format("diodes, relay coils and doubled ends on what is grounded on the {}",
                             name_of(c, m.metal) == "ground" ? "body" : name_of(c, m.metal)),
                 "nothing joins it to the battery yet", "Mend that first, then check again."});
        report.findings.push_back(std::move(f));
    }
    if (!ends.doubtful()) look_at_second_batteries(study, sides, report);
}

} // namespace

const Rule ground_missing = {
    "ground-missing",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "something that is fed but has no way back to the battery",
    "danger for the ground of a battery, the engine or the body; else a fault. In files that are not finished it is "
    "only listed as still to wire; the battery's strap is assumed but where the vehicle is described and its file says "
    "complete or draws its body",
    {
        "Current that gets in has no way back: no wire, or a wire that ends at a splice or a piece of metal which "
        "nothing joins "
        "to the battery. A way through another load counts as one.",
        "A load without ground is dead, or finds one through other lamps. A starter without an engine strap takes the "
        "throttle "
        "cable for one.",
        "Run a ground wire as thick as the feed; give engine and body straps as thick as the battery's own cable.",
        "None: it is there or not.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
complete
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 16 A
lamp E1 "left work lamp", 55 W
lamp E2 "right work lamp", 55 W
splice SP1, crimp
splice SP2, crimp
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to SP1, 2.5 mm2 red, 1 m
wire W4 from SP1 to E1, 2.5 mm2 red, 0.5 m
wire W5 from SP1 to E2, 2.5 mm2 red, 0.5 m
wire W6 from E1 to SP2, 2.5 mm2 black, 0.5 m
wire W7 from E2 to SP2, 2.5 mm2 black, 0.5 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
complete
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 16 A
lamp E1 "left work lamp", 55 W
lamp E2 "right work lamp", 55 W
splice SP1, crimp
splice SP2, crimp
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m
wire W3 from S1 to SP1, 2.5 mm2 red, 1 m
wire W4 from SP1 to E1, 2.5 mm2 red, 0.5 m
wire W5 from SP1 to E2, 2.5 mm2 red, 0.5 m
wire W6 from E1 to SP2, 2.5 mm2 black, 0.5 m
wire W7 from E2 to SP2, 2.5 mm2 black, 0.5 m
wire W8 from SP2 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
