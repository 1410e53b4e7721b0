#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/fault_current.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule one_end_protected; // rule_list.hpp lists it

namespace {

Finding finding(const Study& s, const Lead& lead) {
    const Circuit& c = s.circuit;
    const TerminalId pole = lead.from.front().pole;
    const std::string bare = name_of(c, c.at(lead.from.front().source).part),
                      guarded = name_of(c, c.at(lead.beyond.source).part);
    const std::string protector = name_of(c, c.at(lead.beyond_protector).part);
    Finding f;
    f.rule = one_end_protected.id;
    f.severity = Severity::danger;
    f.certainty = lead.certainty;
    f.headline = sentence_start(fmt::format(
        "{}{} joins two batteries but is protected from one only: {} guards it against {}, nothing against {}.",
        described(c, lead.root), c.at(lead.root).named ? "," : "", protector, guarded, bare));
    if (lead.certainty == Certainty::undecided)
        f.headline += " Nobody said how long it is.";
    else if (lead.certainty == Certainty::possible)
        f.headline += fmt::format(" At {} it may be short enough for that.", text(lead.length));
    f.place = place_of(c, lead.root);
    f.cites = {cite_wire_end(c, lead.root, lead.near), cite_wire_end(c, lead.root, lead.far),
               cite_length(c, lead.root, "no fuse at " + name_of(c, lead.origin))};
    const auto most = dead_short(c, lead.from.front().source, resistance_along(c, lead.way, Celsius{20}));
    f.why = most ? fmt::format("Shorted to the body it takes at most {} out of {}, and nothing there opens; a fuse at "
                               "the other end never sees that current.",
                               text(rounded(*most, 2)), bare)
                 : fmt::format("Shorted to the body it takes all that {} can give, and nothing there opens; a fuse at "
                               "the other end never sees that current.",
                               bare);
    f.limit = fmt::format("a fuse within {} of every source that can feed a short, 1 m if the lead is sleeved all the "
                          "way (33 CFR 183.455, written for boats)",
                          text(allowed_lead));
    f.cures.push_back({fmt::format("Fit a second fuse like {} within {} of {}.", protector, text(allowed_lead),
                                   name_of(c, lead.origin))});
    if (lead.allowed == allowed_lead && lead.length <= allowed_sleeved_lead && lead.behind.empty())
        f.cures.push_back({fmt::format("Sleeve it from {} to {} and write \"sleeved\"; then it may be up to 1 m long.",
                                       protector, name_of(c, lead.origin))});
    // A wire of a relay's coil on the same studs: the fuse that the thick one gets is no protection for it.
    if (const auto thin = thinnest_behind(s, lead.far, {lead.root, {}});
        thin && c.at(lead.root).area.known() && c.at(thin->wire).area.nominal < c.at(lead.root).area.nominal) {
        f.why += ' ' + sentence_start(fmt::format("{} behind it carries {} and can burn first.", called(c, thin->wire),
                                                  text(thin->carries)));
        if (const auto own = reference::largest_fuse_up_to(thin->carries))
            f.cures.front().text +=
                fmt::format(" And give {} a fuse of its own, {} or less, where it begins: those two "
                            "let far more through.",
                            called(c, thin->wire), text(own->rating));
    }
    if (lead.certainty == Certainty::undecided)
        f.measure =
            fmt::format("Measure it along the route: up to {} from {} needs no second fuse, beyond that it does.",
                        text(lead.allowed), name_of(c, lead.origin));
    std::vector<TerminalId> stops{pole};
    for (EdgeRef e : lead.way) stops.push_back(other_end(c, e, stops.back()));
    f.path = stops_in_words(c, stops);
    if (f.path.back() != protector) f.path.push_back(protector);
    f.path.push_back(name_of(c, lead.beyond.pole));
    f.subjects = {subject_of(c, lead.root), name_of(c, lead.far)};
    return f;
}

void run(const Study& s, Report& report) {
    for (const Lead& lead : s.leads)
        if (lead.beyond.pole.exists()) report.findings.push_back(finding(s, lead));
}

} // namespace

const Rule one_end_protected = {
    "one-end-protected",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a wire between two batteries with a fuse at one end only",
    "always a danger: the battery at the other end feeds a short without any fuse",
    {
        "The wire joins two batteries. A fuse guards it against one of them; the other can feed it over nothing that "
        "opens. It makes no difference "
        "which way the current goes in normal use, or that a relay stands between: its contact can be closed when the "
        "wire is damaged.",
        "Both ends of such a wire are sources. The fuse at one end never sees the current that the other battery "
        "drives into a short.",
        "Fit a second fuse of the same rating within 0.18 m of the other battery.",
        "A fuse at every source: 33 CFR 183.455, a rule for boats; common practice for split charging and trailer "
        "leads on the road.",
        R"(loom 1
battery B1 "starting", 60 Ah
battery B2 "leisure", 90 Ah
fuse F1, 80 A, bolted
wire from B1:+ to F1, 16 mm2 red, 0.1 m
wire W2 from F1 to B2:+, 16 mm2 red, 3 m
wire from B2:- to ground, 16 mm2 black, 0.4 m
)",
        R"(loom 1
battery B1 "starting", 60 Ah
battery B2 "leisure", 90 Ah
fuse F1, 80 A, bolted
fuse F2, 80 A, bolted
wire from B1:+ to F1, 16 mm2 red, 0.1 m
wire W2 from F1 to F2, 16 mm2 red, 3 m
wire from F2 to B2:+, 16 mm2 red, 0.1 m
wire from B2:- to ground, 16 mm2 black, 0.4 m
)",
    },
    run,
};

} // namespace loomproof::rules
