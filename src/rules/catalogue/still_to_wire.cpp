#include "rules/ends.hpp"
#include "rules/one_way.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule still_to_wire; // rule_list.hpp lists it

namespace {

bool wired(const View& view, TerminalId t) { return !view.wires_at(t).empty(); }

/// Loose ends of cut wires that nothing was joined to yet and that nobody closed off, in what is planned or has no blocks.
bool open_cut_end(const Study& study, const Ends& ends, TerminalId t) {
    const Circuit& c = study.circuit;
    if (c.part_of(t).kind != Kind::cut || ends.due(t)) return false;
    const auto& wires = study.now.wires_at(t);
    if (wires.size() != 1) return false;
    const Wire& w = c.at(wires.front());
    return !(w.a == t ? w.capped_a : w.capped_b);
}

/// What heat, pressure or a level works mostly has one wire, and its body is the other end.
const char* perhaps_its_body(const View& now, TerminalId t) {
    const Circuit& c = now.circuit();
    const Part& part = c.part_of(t);
    if (part.kind != Kind::switching || part.terminals.size() != 2 || part.controls.size() != 1 ||
        c.at(part.controls.front()).type != Control::Type::sensed)
        return "";
    const TerminalId other = part.terminals.front() == t ? part.terminals.back() : part.terminals.front();
    return wired(now, other) ? " (if its body is that end, say behind its name: grounded by its mounting)" : "";
}

bool any_motor(const Study& study) {
    return std::ranges::any_of(study.now.parts(), [&](PartId p) { return study.circuit.at(p).kind == Kind::motor; });
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    const Sides sides(study);
    const Ends ends(study);
    std::vector<TerminalId> terminals;
    std::vector<std::string> rest;
    std::vector<Citation> cites;
    const auto add = [&](TerminalId t, Citation at) {
        if (std::ranges::find(terminals, t) != terminals.end()) return;
        terminals.push_back(t);
        cites.push_back(std::move(at));
    };
    for (const StillToWire& s : c.still_to_wire)
        if (s.terminal.exists() && c.part_of(s.terminal).life.at(study.now.revision()) &&
            !wired(study.now, s.terminal) && (!ends.due(s.terminal) || ends.doubtful()))
            add(s.terminal, {s.span, {}});
    for (const Ends::Open& o : ends.open())
        if (!o.due || ends.doubtful()) add(o.terminal, cite_part(c, c.at(o.terminal).part));
    std::map<TerminalId, std::string> what_for;
    if (const Survey* survey = any_motor(study) ? survey_of(study) : nullptr)
        for (const OneWay& m : one_way_motors(study, *survey, sides))
            if (m.bare.exists() && (!ends.due(m.bare) || ends.doubtful())) {
                add(m.bare, cite_part(c, c.at(m.bare).part));
                what_for[m.bare] = fmt::format(" (without it {} turns one way only)", name_of(c, c.at(m.motor).part));
            }
    for (TerminalId t : terminals)
        if (study.now.has(c.at(t).part, Attr::parks) && (c.at(t).stamp == "31b" || c.at(t).stamp == "53a"))
            what_for[t] = fmt::format(" (without it {} stops where it just is)", name_of(c, c.at(t).part));
    for (PartId p : study.now.parts())
        for (TerminalId t : c.at(p).terminals)
            if (open_cut_end(study, ends, t)) add(t, cite_terminal(study.now, t));
    for (const Ends::Idle& idle : ends.idle()) {
        const Part& part = c.at(idle.part);
        const bool listed = std::ranges::any_of(
            part.terminals, [&](TerminalId t) { return std::ranges::find(terminals, t) != terminals.end(); });
        if ((idle.due && !ends.doubtful()) || listed) continue;
        rest.push_back("all of " + name_of(c, idle.part));
        cites.push_back(cite_part(c, idle.part));
    }
    for (const MissingGround& m : missing_grounds(study, sides, ends)) {
        if (m.due && !ends.doubtful()) continue;
        if (m.bare) { // a load's open end is in the list by now; a battery's ground pole is needed only where nobody straps it
            if (c.part_of(m.at).kind == Kind::battery) add(m.at, cite_part(c, c.at(m.at).part));
            continue;
        }
        if (m.metal.exists() && !c.at(m.metal).span.exists()) continue; // the body, of which nobody spoke
        rest.push_back(m.metal.exists()
                           ? fmt::format("a ground for the {}, on which {} {}", name_of(c, m.metal),
                                         list_of(names_of(c, m.users)), m.users.size() == 1 ? "hangs" : "hang")
                           : fmt::format("a ground for {}", list_of(names_of(c, m.users))));
        cites.push_back(m.metal.exists() ? cite_part(c, m.metal) : cite_terminal(study.now, m.at));
    }
    if (terminals.empty() && rest.empty()) return;

    Finding f;
    f.rule = "still-to-wire";
    f.severity = Severity::note;
    for (TerminalId t : terminals) f.subjects.push_back(name_of(c, t) + perhaps_its_body(study.now, t) + what_for[t]);
    f.subjects.insert(f.subjects.end(), rest.begin(), rest.end());
    f.headline = fmt::format("Still to wire: {}.", list_of(f.subjects));
    f.cites.push_back(cites.front());
    report.findings.push_back(std::move(f));
}

} // namespace

const Rule still_to_wire = {
    "still-to-wire",
    Severity::note,
    Quantifier::exists,
    Harm::other,
    "what is not wired yet, in one line",
    "always a note: unfinished is not wrong",
    {
        "These ends have no wire yet, in a job that is planned or in a file that is not marked complete.",
        "It is your list of what is left to do. What is there already is checked all the same.",
        "Wire them. When all is done write complete at the head of the file, or mark the job as fitted: from then on "
        "an open "
        "end is a fault.",
        "None: there is nothing to measure.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
fuse F1, 10 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to E1, 1.5 mm2 red, 1 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
fuse F1, 10 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to E1, 1.5 mm2 red, 1 m
wire W3 from E1 to ground, 1.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
