#include "rules/called_so.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule restraint_circuit_touched; // rule_list.hpp lists it

namespace {

constexpr const char* why = "A stray volt, a test lamp or an ohmmeter can fire an airbag or a belt tensioner beside "
                            "somebody's head; a joint more can keep it "
                            "from firing when it must.";

Finding touched(std::string headline) {
    Finding f;
    f.rule = restraint_circuit_touched.id;
    f.severity = Severity::danger;
    f.headline = std::move(headline);
    f.why = why;
    f.limit = "None is left to judgement: nothing is cut, tapped, joined or measured on these wires (makers' "
              "instructions; common practice). An accept line does not "
              "silence this.";
    f.cures.push_back({"Leave the wire as the maker built it; have what was done put right by people who are licensed "
                       "for restraint systems."});
    f.cures.push_back({"Before anybody goes near: battery off, and the maker's waiting time."});
    return f;
}

/// The wire that a statement of the file drew: a cut piece goes back to it.
WireId drawn(const Circuit& c, WireId w) {
    while (c.at(w).cut_from.exists()) w = c.at(w).cut_from;
    return w;
}

/// A wire at a part that is called so, and that the maker did not lay: one to an existing wire, or one that a job or a
/// splice brings to a unit's wire.
void run_by_name(const Study& study, std::set<WireId>& said, Report& report) {
    const Circuit& c = study.circuit;
    const auto report_it = [&](WireId wire, PartId part) {
        if (!said.insert(drawn(c, wire)).second) return;
        const Attribute* mark = study.now.find(part, Attr::restraint);
        Finding f = touched(fmt::format("{} hangs on {}, which {} to the airbags or belt tensioners.",
                                        sentence_start(called(c, wire)), called(c, part),
                                        mark ? "belongs" : "by its name belongs"));
        f.cites.push_back({c.at(wire).span, "joined to it"});
        f.cites.push_back({mark ? mark->span : c.at(part).span, mark ? "marked so" : "called so"});
        if (!mark) f.cures.push_back({"If it has nothing to do with airbags, give it another name."});
        f.subjects = {subject_of(c, wire), c.at(part).name};
        report.findings.push_back(std::move(f));
    };
    for (const PartId id : study.now.parts()) {
        const Part& part = c.at(id);
        const bool marked = study.now.has(id, Attr::restraint);
        if (!marked && !is_called_a_restraint(part)) continue;
        for (const TerminalId end : part.terminals) {
            if (c.at(end).role == Role::minus) continue; // its ground may share a stud with others
            for (const WireId w : study.now.wires_at(end)) {
                if (c.at(w).restraint) continue; // spoken of above
                if (marked && study.now.has(c.at(c.at(w).other(end)).part, Attr::restraint)) continue; // of one circuit
                if (part.kind == Kind::existing_wire || part.kind == Kind::supply ||
                    (study.now.is_factory(id) && !study.now.is_factory(w) && !c.at(w).cut_from.exists()) ||
                    (marked && c.at(w).life.born > part.life.born && !c.at(w).cut_from.exists())) {
                    report_it(w, id);
                    continue;
                }
                const TerminalId far = c.at(w).other(end);
                const Kind kind = c.part_of(far).kind;
                if (kind != Kind::splice && kind != Kind::cut) continue;
                for (const WireId other : study.now.wires_at(far))
                    if (other != w && c.at(other).name != c.at(w).name &&
                        !(study.now.is_factory(other) && study.now.is_factory(w)))
                        report_it(other, id);
            }
        }
    }
}

/// Brakes' and steering's electronics and data lines: a joint in their wires may disturb them. Grounds are left out, which may share a stud,
/// and so is what was wired together with the part.
void run_electronics(const Study& study, std::set<WireId>& said, Report& report) {
    const Circuit& c = study.circuit;
    const auto part_at = [&](WireId w) {
        for (const TerminalId end : {c.at(w).a, c.at(w).b})
            if (is_called_brake_or_steering_electronics(c.part_of(end)) && c.at(end).role != Role::minus)
                return c.at(end).part;
        return PartId{};
    };
    std::map<std::string, PartId> by_name; // pieces of a run over plugs share a name
    for (std::size_t i = 0; i < c.wires.size(); ++i)
        if (const PartId part = part_at(WireId{i}); part.exists() && !c.wires[i].name.empty())
            by_name.emplace(c.wires[i].name, part);
    const auto say = [&](WireId w, PartId part, std::string headline, Span here) {
        if (c.at(w).restraint || !said.insert(drawn(c, w)).second) return;
        Finding f;
        f.rule = restraint_circuit_touched.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(std::move(headline));
        f.cites.push_back({here.exists() ? here : c.at(w).span, "here"});
        if (here.exists()) f.cites.push_back({c.at(w).span, "the wire"});
        f.cites.push_back(cite_part(c, part, "called so"));
        f.why = "Brake and steering units watch their wires: a joint, another load or a few more ohms, and the unit "
                "switches itself off or acts on a wrong figure, while driving.";
        f.limit = "nothing is cut into or hung on these wires (makers' instructions; common practice)";
        f.cures.push_back({"Put the wire back as the maker built it, and take feed or signal from somewhere else."});
        f.subjects = {subject_of(c, w), name_of(c, part)};
        report.findings.push_back(std::move(f));
    };
    for (std::size_t i = 0; i < c.wires.size(); ++i) { // cut, moved, taken out, a joint set into it
        const Wire& w = c.wires[i];
        if (w.life.gone == never || w.life.gone <= w.life.born) continue;
        PartId part = part_at(WireId{i});
        if (const auto run = by_name.find(w.name); !part.exists() && run != by_name.end()) part = run->second;
        if (!part.exists() || c.at(part).life.gone == w.life.gone || c.at(part).life.born == w.life.gone) continue;
        say(WireId{i}, part,
            fmt::format("the job \"{}\" works on {}, a wire of {}.", c.revisions[w.life.gone].title,
                        called(c, WireId{i}), called(c, part)),
            w.origin.removed.exists() ? w.origin.removed : c.revisions[w.life.gone].span);
    }
    for (const WireId w : study.now.wires()) { // another wire on it
        const PartId part = part_at(w);
        if (!part.exists() || c.at(w).cut_from.exists()) continue;
        if (c.at(part).kind == Kind::existing_wire || c.at(w).life.born > c.at(part).life.born)
            say(w, part, fmt::format("{} hangs on {}.", called(c, w), called(c, part)), {});
    }
}

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    std::set<WireId> said;
    for (std::size_t i = 0; i < c.wires.size(); ++i) { // cut, moved, taken out, a joint set into it
        const Wire& w = c.wires[i];
        if (!w.restraint || w.life.gone == never || !said.insert(drawn(c, WireId{i})).second) continue;
        const RevisionInfo& job = c.revisions[w.life.gone];
        Finding f = touched(fmt::format("The job \"{}\" works on {}, which belongs to the airbags or belt tensioners.",
                                        job.title, called(c, WireId{i})));
        f.cites.push_back({w.origin.removed.exists() ? w.origin.removed : job.span, "here"});
        f.cites.push_back({w.span, "the wire"});
        f.subjects = {subject_of(c, WireId{i})};
        report.findings.push_back(std::move(f));
    }
    for (const WireId id :
         study.now.wires()) { // another wire on its end, but at the plugs and units that the maker made for it
        const Wire& w = c.at(id);
        if (!w.restraint || said.contains(drawn(c, id))) continue;
        for (const TerminalId end : {w.a, w.b}) {
            const Kind kind = c.part_of(end).kind;
            if (kind != Kind::splice && kind != Kind::bus && kind != Kind::cut && kind != Kind::loose_end) continue;
            const auto& there = study.now.wires_at(end);
            const auto other = std::ranges::find_if(there, [&](WireId o) {
                return !c.at(o).restraint && !(study.now.is_factory(o) && study.now.is_factory(id));
            });
            if (other == there.end() || !said.insert(drawn(c, id)).second) continue;
            Finding f = touched(fmt::format("{} is joined to {}, which belongs to the airbags or belt tensioners.",
                                            sentence_start(called(c, *other)), called(c, id)));
            f.cites.push_back({c.at(*other).span, "joined to it"});
            f.cites.push_back({w.span, "the wire"});
            f.subjects = {subject_of(c, id), subject_of(c, *other)};
            report.findings.push_back(std::move(f));
        }
    }
    run_by_name(study, said, report);
    run_electronics(study, said, report);
}

} // namespace

const Rule restraint_circuit_touched = {
    "restraint-circuit-touched",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "work on a wire of the airbags or belt tensioners, of brake or steering electronics, or of a data line",
    "a danger for airbags and belt tensioners, which an accept line does not silence; a fault for brakes, steering and "
    "data",
    {
        "A job cuts, joins, taps, moves or takes out a wire that the file marks as restraint, or another wire is "
        "joined to one; a wire hangs on an existing wire, a plug or a unit that is marked so or called airbag, SRS or "
        "tensioner. Or a job works on a wire of a unit, sensor or motor called ABS, wheel speed, electric or power "
        "steering, or of a data line (CAN high, CAN low, data bus).",
        "Airbags and belt tensioners are fired by a small current. They may go off in the fitter's face, or fail in a "
        "crash. Brake and steering units switch themselves off when their wires are not as they know them.",
        "Leave these circuits alone: another feed is always to be found. What was done already belongs in licensed "
        "hands.",
        "Makers' instructions and common practice; no figure.",
        R"(loom 1
vehicle "Ridgeback pickup, 1996", partly described
battery, 60 Ah
fuse F1, 10 A
electronics A1 "airbag unit", 1 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W50 from F1 to A1:+, 0.75 mm2 yellow, 2 m, restraint
wire W51 from A1:- to ground, 0.75 mm2 black, 0.5 m

job "Phone socket" planned {
  socket X9 "phone", 2 A
  splice SP1 on W50, 0.5 m from F1, crimp
  wire W60 from SP1 to X9:+, 0.75 mm2 red, 0.5 m
  wire W61 from X9:- to ground, 0.75 mm2 black, 0.5 m
}
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1996", partly described
battery, 60 Ah
fuse F1, 10 A
electronics A1 "airbag unit", 1 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W50 from F1 to A1:+, 0.75 mm2 yellow, 2 m, restraint
wire W51 from A1:- to ground, 0.75 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
