#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule part_not_wired; // rule_list.hpp lists it

namespace {

void run(const Study& study, Report& report) {
    const Circuit& c = study.circuit;
    const Ends ends(study);
    for (const Ends::Idle& idle : ends.idle()) {
        if (!idle.due) continue;
        if (ends.doubtful()) {
            report.not_checked.push_back(
                open_until_mended("part-not-wired", fmt::format("whether {} has wires", name_of(c, idle.part))));
            continue;
        }
        const std::string name = name_of(c, idle.part);
        Finding f;
        f.rule = "part-not-wired";
        f.severity = Severity::advice;
        f.headline = fmt::format("No wire goes to {}: it is tied to nothing.", called(c, idle.part));
        f.place = where_it_lies(c, idle.part);
        f.cites.push_back(cite_part(c, idle.part));
        f.why = "The next person will look for what it does, and for wires that are not there.";
        f.cures.push_back({fmt::format("Write down the wires that go to {}.", name)});
        f.cures.push_back(
            {fmt::format("If it is out of use, take it out and say where it lies: remove {}, kept in boot", name)});
        f.subjects = {name};
        report.findings.push_back(std::move(f));
    }
}

} // namespace

const Rule part_not_wired = {
    "part-not-wired",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "a part to which no wire goes",
    "always advice, in the factory block, in jobs marked fitted and in files marked complete; elsewhere it is only "
    "listed "
    "as still to wire",
    {
        "The file names a part and no wire goes to it.",
        "Either wires were forgotten in the file, or the part is out of use and the next person will wonder what it "
        "did.",
        "Write its wires down; or, where it is out of use, say so: remove S6, kept in boot.",
        "None: there is nothing to measure.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
complete
battery, 60 Ah
fuse F1, 10 A
lamp E1 "work lamp", 5 W
switch S2 "left over from the fog lamps"
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to E1, 1.5 mm2 red, 1 m
wire W3 from E1 to ground, 1.5 mm2 black, 0.5 m
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
complete
battery, 60 Ah
fuse F1, 10 A
lamp E1 "work lamp", 5 W
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to E1, 1.5 mm2 red, 1 m
wire W3 from E1 to ground, 1.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
