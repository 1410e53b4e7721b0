#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <set>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule terminal_not_wired; // rule_list.hpp lists it

namespace {

/// What comes of it, in the order of what matters most; the first open end decides.
std::string consequence(const Circuit& c, const std::vector<TerminalId>& open) {
    const Part& part = c.part_of(open.front());
    const std::string name = called(c, c.at(open.front()).part);
    switch (c.at(open.front()).role) {
    case Role::coil_plus:
    case Role::coil_minus: return fmt::format("the coil of {} gets no current, so it never pulls in", name);
    case Role::common:
    case Role::make:
    case Role::rest: return fmt::format("{} switches nothing", name);
    case Role::filament:
        if (part.kind == Kind::motor) return fmt::format("{} stands still", name);
        return fmt::format("no filament of {} can light", name);
    case Role::signal:
        if (part.kind == Kind::alternator) return fmt::format("its field gets nothing, so {} does not charge", name);
        return part.kind == Kind::starter ? fmt::format("{} never cranks", name)
                                          : fmt::format("{} does not know what to do", name);
    case Role::output: return fmt::format("{} feeds nothing", name);
    default: break;
    }
    switch (part.kind) {
    case Kind::battery: return fmt::format("{} feeds nothing", name);
    case Kind::fuse:
    case Kind::link:
    case Kind::breaker:
    case Kind::switching:
    case Kind::diode:
    case Kind::ammeter:
    case Kind::shunt:
    case Kind::resistor: return fmt::format("nothing gets through {}", name);
    default: return fmt::format("{} cannot work", name);
    }
}

/// Why it may not be open.
std::string promise(const Circuit& c, const Ends& ends, TerminalId open) {
    if (c.vehicle.complete) return "The file is marked complete.";
    const Revision bared = ends.bared_in(open), made = c.part_of(open).life.born;
    if (bared != never)
        return fmt::format("The job \"{}\" took its wire off and is marked as fitted.", c.revisions[bared].title);
    if (made > 0) return fmt::format("The job \"{}\" is marked as fitted.", c.revisions[made].title);
    return "It stands in the factory block, which is taken to be whole.";
}

/// As its line says it, else as one has to read it off.
std::string cranking_amps(const Study& study, PartId starter) {
    const Stated<Amps> amps = study.now.amps(starter, Attr::current);
    return amps.known() ? text(amps.nominal) : "150 A";
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    const Sides sides(study);
    const Ends ends(study);
    // The ground end of a load that is fed is a missing ground, which is a rule of its own.
    std::set<TerminalId> returns;
    for (const MissingGround& m : missing_grounds(study, sides, ends))
        if (m.due && m.bare) returns.insert(m.at);

    const auto& open = ends.open();
    for (std::size_t i = 0; i < open.size();) {
        const PartId id = c.at(open[i].terminal).part;
        std::vector<TerminalId> missing;
        for (; i < open.size() && c.at(open[i].terminal).part == id; ++i)
            if (open[i].due && !returns.contains(open[i].terminal)) missing.push_back(open[i].terminal);
        if (missing.empty()) continue;
        if (ends.doubtful()) {
            report.not_checked.push_back(open_until_mended(
                "terminal-not-wired",
                fmt::format("whether {} {} wired", list_of(names_of(c, missing)), verb(missing.size(), "is", "are"))));
            continue;
        }
        const std::string names = list_of(names_of(c, missing));
        Finding f;
        f.rule = "terminal-not-wired";
        f.severity = Severity::fault;
        f.headline =
            fmt::format("Nothing is wired to {}: {}.", list_of(names_of(c, missing), "or"), consequence(c, missing));
        f.place = where_it_lies(c, id);
        f.cites.push_back(cite_part(c, id));
        f.why = promise(c, ends, missing.front());
        f.cures.push_back({fmt::format("Wire {}.", names)});
        if (c.at(id).kind == Kind::starter && missing.size() == 1)
            f.cures.push_back({fmt::format("If it has none, as a solenoid of its own or a switch pulled by hand sits "
                                           "in its thick cable, write it as "
                                           "a motor, fed at {}{}: motor {} \"starter\", {}, grounded by its mounting.",
                                           name_of(c, id), study.from_plus() ? ":+" : ":-", name_of(c, id),
                                           cranking_amps(study, id))});
        if (c.at(id).kind == Kind::switching && missing.size() == 1 && ends.bared_in(missing.front()) == never)
            f.cures.push_back({grounded_by_its_body(c, id)});
        if (ends.bared_in(missing.front()) != never)
            f.cures.push_back(
                {fmt::format("If it is out of use now, take it out and say where it lies: remove {}, kept in boot",
                             name_of(c, id))});
        if (!c.vehicle.complete)
            f.cures.push_back({fmt::format("If it is yet to be done, say so: still to wire: {}",
                                           list_of(names_of(c, missing), ","))});
        f.subjects = names_of(c, missing);
        f.subjects.push_back(name_of(c, id));
        report.findings.push_back(std::move(f));
    }
}

} // namespace

const Rule terminal_not_wired = {
    "terminal-not-wired",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "an end that a part needs to do its work, with no wire on it",
    "a fault in the factory block, in jobs marked fitted and in files marked complete; elsewhere it is only listed as "
    "still "
    "to wire",
    {
        "One end of a coil, a contact, a fuse, a switch or a load has no wire, although the file says that this piece "
        "of work "
        "is done.",
        "The part does nothing, and whoever looks for the fault will look for a wire that was never there.",
        "Wire it, or say that it is yet to be done: still to wire. A free 87a, empty holes, second filaments and "
        "outputs that "
        "nobody uses are left alone; the ground of a load has a rule of its own.",
        "None: there is nothing to measure.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
complete
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
fuse F1, 15 A
relay K1 "horns", 4-pin, 40 A, resistor 680 ohm
horn H1, 7 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from S15 to K1:86, 1 mm2 green, 0.5 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
complete
battery, 60 Ah
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
fuse F1, 15 A
relay K1 "horns", 4-pin, 40 A, resistor 680 ohm
horn H1, 7 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K1:30, 1.5 mm2 red, 1 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1 to ground, 1.5 mm2 black, 0.3 m
wire W5 from S15 to K1:86, 1 mm2 green, 0.5 m
wire W6 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
