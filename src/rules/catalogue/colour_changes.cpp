#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule colour_changes; // rule_list.hpp lists it

namespace {

/// The tail of a part is as short as this at most (common practice: lamps, pumps and switches come with 0.1 to 0.3 m of wire).
constexpr Metres longest_tail{0.3};

/// Is the wire somebody's own choice of colour: made by a job, and not the tail that came with a part?
bool chosen_by_a_job(const Study& s, WireId id, TerminalId splice) {
    const Circuit& c = s.circuit;
    const Wire& w = c.at(id);
    for (WireId from = id; from.exists(); from = c.at(from).cut_from)
        if (s.now.is_factory(from)) return false;
    if (w.origin.provenance != Provenance::job || w.poisoned || w.colours.main.empty()) return false;
    const Kind far = c.part_of(w.other(splice)).kind;
    const bool goes_on = far == Kind::splice || far == Kind::bus || far == Kind::metal || far == Kind::ground ||
                         far == Kind::connector || far == Kind::fuse || far == Kind::link || far == Kind::breaker ||
                         far == Kind::box || far == Kind::battery;
    return goes_on || !w.length.known() || w.length.nominal > longest_tail;
}

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    for (PartId id : s.now.parts()) {
        const Part& part = c.at(id);
        if (part.kind != Kind::splice || part.poisoned || part.origin.provenance != Provenance::job ||
            !part.label.empty())
            continue;
        const TerminalId at = part.terminals.front();
        const std::span<const WireId> wires = s.now.wires_at(at);
        if (wires.size() != 2 || wires[0] == wires[1] || s.reference[at.index]) continue;
        const Wire &a = c.at(wires[0]), &b = c.at(wires[1]);
        if (!chosen_by_a_job(s, wires[0], at) || !chosen_by_a_job(s, wires[1], at) || a.colours == b.colours ||
            !a.label.empty() || !b.label.empty())
            continue;
        Finding f;
        f.rule = colour_changes.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format("The wire changes from {} to {} inside {}, and nothing says so.",
                                                colour_words(a.colours), colour_words(b.colours), called(c, id)));
        f.place = where_it_lies(c, id);
        f.cites.push_back(cite_part(c, id, "two colours meet here"));
        for (WireId w : wires)
            f.cites.push_back({c.at(w).colours.span.exists() ? c.at(w).colours.span : c.at(w).span, {}});
        f.why = "Whoever follows this wire later sees it end in the loom in one colour and does not find it again at "
                "the other end.";
        f.limit = "a wire keeps its colour from end to end, or a record says where it changes (common practice, no "
                  "source)";
        f.cures.push_back({fmt::format("Use {} wire for both pieces.", colour_words(a.colours))});
        f.cures.push_back({fmt::format("Tie a tag on both pieces, and write what it says behind the splice: splice {} "
                                       "\"{} goes on in {}\"",
                                       part.name, colour_words(a.colours), colour_words(b.colours))});
        f.subjects = {name_of(c, id), subject_of(c, wires[0]), subject_of(c, wires[1])};
        report.findings.push_back(std::move(f));
    }
}

} // namespace

const Rule colour_changes = {
    "colour-changes",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "a wire of a job that changes its colour inside a splice without a word",
    "always advice",
    {
        "A splice that a job made joins two wires of that job end to end, and they have different colours.",
        "The next one who looks for a fault follows colours. A wire that changes its colour where nobody sees it, "
        "under "
        "tape, is taken for two wires.",
        "One colour from end to end. Where that cannot be had: a tag on both pieces, and a text in quotes behind the "
        "splice or one of the wires. Left alone are the maker's wires, to which a job joins what colour it has; the "
        "tails of parts up to 0.3 m; splices where more than two wires meet; and plugs, fuses and switches, at which "
        "everybody looks for the next colour.",
        "Common practice, no source.",
        R"(loom 1
factory {
  battery, 60 Ah
}
job "work lamp" fitted 2026-05-02 {
  fuse F1, 10 A
  switch S1 "work lamp"
  lamp E1 "work lamp", 55 W
  splice SP1, crimp
  wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 2.5 mm2 red, 1 m
  wire W3 from S1 to SP1, 2.5 mm2 blue, 1 m
  wire W4 from SP1 to E1, 2.5 mm2 white, 2 m
  wire W5 from E1 to ground, 2.5 mm2 black, 0.3 m
}
)",
        R"(loom 1
factory {
  battery, 60 Ah
}
job "work lamp" fitted 2026-05-02 {
  fuse F1, 10 A
  switch S1 "work lamp"
  lamp E1 "work lamp", 55 W
  splice SP1, crimp
  wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 2.5 mm2 red, 1 m
  wire W3 from S1 to SP1, 2.5 mm2 blue, 1 m
  wire W4 from SP1 to E1, 2.5 mm2 blue, 2 m
  wire W5 from E1 to ground, 2.5 mm2 black, 0.3 m
}
)",
    },
    run,
};

} // namespace loomproof::rules
