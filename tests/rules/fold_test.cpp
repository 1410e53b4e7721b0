// What is put under what: a certain danger of fire never under a question, an uncertain one never under something mild.
#include "rules/fold.hpp"
#include "rules/run_text.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;

namespace {

/// Four plugs of 12 A behind one bolted fuse, whose time to open nobody stated.
std::string glow_plugs(const char* size) {
    std::string text = "loom 1\nbattery, 70 Ah\nfuse F1, bolted, 80 A\nswitch S1, 100 A\n"
                       "wire from battery:+ to F1, 10 mm2 red, 0.15 m\nwire from F1 to S1, 10 mm2 red, 0.6 m\n"
                       "wire W1 from S1 to E1, " +
                       std::string(size) + " red, 0.8 m\n";
    for (int i = 1; i <= 4; ++i) {
        text += fmt::format("heater E{}, 12 A\nwire from E{} to ground, 2.5 mm2 black, 0.3 m\n", i, i);
        if (i > 1) text += fmt::format("wire from E{}:1 to E{}:1, {} red, 0.1 m\n", i - 1, i, size);
    }
    return text;
}

const Finding* of_rule(const std::vector<Finding>& findings, const char* rule) {
    const auto at = std::ranges::find_if(findings, [&](const Finding& f) { return f.rule == rule; });
    return at == findings.end() ? nullptr : &*at;
}

} // namespace

TEST_CASE("a wire that is overloaded for certain stands on its own beside a fuse of which nobody knows") {
    const support::Run thin(glow_plugs("4 mm2"));
    const Finding* fuse = of_rule(thin.outcome.findings, "fuse-above-wire");
    const Finding* wire = of_rule(thin.outcome.findings, "wire-overloaded");
    REQUIRE(fuse);
    CHECK(fuse->certainty == Certainty::undecided);
    REQUIRE(wire);
    CHECK(wire->certainty == Certainty::certain);
    CHECK(!of_rule(fuse->consequences, "wire-overloaded"));

    const support::Run thick(glow_plugs("16 mm2"));
    CHECK(!of_rule(thick.outcome.findings, "fuse-above-wire"));
    CHECK(!of_rule(thick.outcome.findings, "wire-overloaded"));
}

TEST_CASE("a danger that hangs on one measurement does not stand under an advice and count as one") {
    // shared-protection explains fuse-above-wire (the list in fold.cpp).
    const auto folded = [](Certainty of_danger) {
        Finding shared, burns;
        shared.rule = "shared-protection", shared.severity = Severity::advice, shared.subjects = {"F1"};
        burns.rule = "fuse-above-wire", burns.severity = Severity::danger, burns.subjects = {"F1", "W1"};
        burns.certainty = of_danger;
        rules::Report report;
        report.findings = {shared, burns};
        return rules::fold(Circuit{}, std::move(report)).findings;
    };
    const auto undecided = folded(Certainty::undecided);
    REQUIRE(undecided.size() == 2);
    CHECK(undecided.front().rule == "fuse-above-wire");
    CHECK(undecided.front().severity == Severity::danger);

    // For certain it makes its cause a danger, and stands there.
    const auto certain = folded(Certainty::certain);
    REQUIRE(certain.size() == 1);
    CHECK(certain.front().rule == "shared-protection");
    CHECK(certain.front().severity == Severity::danger);
    CHECK(of_rule(certain.front().consequences, "fuse-above-wire"));
}
