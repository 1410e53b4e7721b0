#include "rules/rule.hpp"

namespace loomproof::rules {

extern const Rule accepted_finding_stale; // rule_list.hpp lists it

const Rule accepted_finding_stale = {
    "accepted-finding-stale",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "an accept line that silences nothing",
    "always advice",
    {
        "The file accepts a finding that is not there: it was mended since, or the rule or the thing is spelled "
        "differently.",
        "A line that silences nothing today may silence something new tomorrow, and nobody would see it.",
        "Take the line out, or correct the name.",
        "A rule of this file's own housekeeping.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
load E1, 5 A
wire from battery:+ to F1, 1.5 mm2, 0.1 m
wire W2 from F1 to E1, 1.5 mm2, 1 m
wire from E1 to ground, 1.5 mm2, 1 m
accept unfused-feed on W2 because "short and sleeved"
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
load E1, 5 A
wire from battery:+ to F1, 1.5 mm2, 0.1 m
wire W2 from F1 to E1, 1.5 mm2, 1 m
wire from E1 to ground, 1.5 mm2, 1 m
)",
    },
    nullptr,
};

} // namespace loomproof::rules
