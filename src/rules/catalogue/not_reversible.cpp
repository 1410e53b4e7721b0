#include "base/number.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <string>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule not_reversible; // rule_list.hpp lists it

namespace {

/// What a crimped joint needs to be made again (common practice, no source).
constexpr Metres to_rejoin{0.075};

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    for (WireId id : s.now.wires()) {
        const Wire& w = c.at(id);
        if (w.poisoned || !w.cut_from.exists() || !s.now.is_factory(w.cut_from) || !w.length.known() ||
            w.length.high >= to_rejoin)
            continue;
        const WireId from = w.cut_from;
        Finding f;
        f.rule = not_reversible.id;
        f.severity = Severity::advice;
        f.headline = fmt::format("Only {} of {} are left at {}: too little to join it again.", text(w.length.nominal),
                                 name_of(c, from), end_of(c, c.part_of(w.a).kind == Kind::cut ? w.b : w.a));
        f.place = place_of(c, id);
        f.cites.push_back({w.span, "cut here"});
        f.why = "Whoever wants it as the maker built it has to open the plug or the part, or replace the wire.";
        f.limit = fmt::format("{} are needed for a crimped joint (common practice, no source)", text(to_rejoin));
        f.cures.push_back({fmt::format("Cut it {} or more from there.", text(to_rejoin))});
        f.cures.push_back({"Best of all do not cut: use a plug that fits between, or a relay fed from the old plug."});
        f.subjects = {subject_of(c, from), subject_of(c, id)};
        report.findings.push_back(std::move(f));
    }
}

} // namespace

const Rule not_reversible = {
    "not-reversible",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "a wire of the maker's cut so short that it cannot be joined again",
    "always advice",
    {
        "A job cuts a wire of the maker's so near its end that what is left is too short for a joint.",
        "The job cannot be undone without opening a plug or a part.",
        "Cut further away, or do not cut: plugs that fit between the two halves exist for most connectors.",
        "75 mm for a crimped joint: common practice, no source. Wires that jobs added may be cut anywhere.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory {
  battery, 60 Ah
  fuse F1, 10 A
  switch S1 "fan switch", 16 A
  motor M1 "fan", 5 A
  connector X7 "fan plug", 1 hole
  wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 2.5 mm2 red, 1 m
  wire W3 from S1 to X7:1, 2.5 mm2 blue, 2 m
  wire W4 from X7:1 to M1:+, 2.5 mm2 blue, 0.2 m
  wire W5 from M1:- to ground, 2.5 mm2 black, 0.3 m
}
job "relay" fitted 2026-05-02 {
  relay K1, 4-pin, 40 A, resistor 680 ohm
  fuse F2, 15 A
  cut W3 0.04 m from X7:1: W3x stays at X7, W3f stays at S1
  wire W30 from battery:+ to F2, 2.5 mm2 red, 0.1 m
  wire W31 from F2 to K1:30, 2.5 mm2 red, 1 m
  wire W32 from K1:87 to W3x, 2.5 mm2 red, 0.4 m
  wire W33 from W3f to K1:86, 2.5 mm2 blue, 0.3 m
  wire W34 from K1:85 to ground, 1 mm2 black, 0.3 m
}
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory {
  battery, 60 Ah
  fuse F1, 10 A
  switch S1 "fan switch", 16 A
  motor M1 "fan", 5 A
  connector X7 "fan plug", 1 hole
  wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 2.5 mm2 red, 1 m
  wire W3 from S1 to X7:1, 2.5 mm2 blue, 2 m
  wire W4 from X7:1 to M1:+, 2.5 mm2 blue, 0.2 m
  wire W5 from M1:- to ground, 2.5 mm2 black, 0.3 m
}
job "relay" fitted 2026-05-02 {
  relay K1, 4-pin, 40 A, resistor 680 ohm
  fuse F2, 15 A
  cut W3 0.15 m from X7:1: W3x stays at X7, W3f stays at S1
  wire W30 from battery:+ to F2, 2.5 mm2 red, 0.1 m
  wire W31 from F2 to K1:30, 2.5 mm2 red, 1 m
  wire W32 from K1:87 to W3x, 2.5 mm2 red, 0.4 m
  wire W33 from W3f to K1:86, 2.5 mm2 blue, 0.3 m
  wire W34 from K1:85 to ground, 1 mm2 black, 0.3 m
}
)",
    },
    run,
};

} // namespace loomproof::rules
