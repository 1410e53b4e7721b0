// Where there are more switch positions than can be tried, what must hold in all of them is open and never a finding.
#include "rules/run_text.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;
using support::Run;

namespace {

constexpr int relays = 40;

/// A feed over the contacts of 40 relays in a row, two of three of them at rest: only with every third switch on and all others off it gets
/// through, one of 2^40 positions. `end` hangs on SP40.
std::string row_of_relays(const std::string& end) {
    std::string text = R"(loom 1
battery, 60 Ah
fuse F1, 20 A
bus BB1
fuse F2, 20 A
bus BB2
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to BB1, 4 mm2 red, 0.5 m
wire from battery:+ to F2, 4 mm2 red, 0.1 m
wire from F2 to BB2, 4 mm2 red, 0.3 m
)";
    for (int i = 1; i <= relays; ++i) {
        const bool pulled = i % 3 == 0;
        text += fmt::format("switch S{0}, 10 A\nrelay R{0}, {1}-pin, 20 A\nsplice SP{0}, crimp\n", i, pulled ? 4 : 5);
        text += fmt::format("wire from BB2 to S{0}, 1 mm2 red, 1 m\nwire from S{0} to R{0}:86, 1 mm2 red, 1 m\n"
                            "wire from R{0}:85 to ground, 1 mm2 black, 0.3 m\n",
                            i);
        text += fmt::format("wire from {} to R{}:30, 4 mm2 red, 0.1 m\n",
                            i == 1 ? std::string("BB1") : fmt::format("SP{}", i - 1), i);
        text += fmt::format("wire from R{0}:{1} to SP{0}, 4 mm2 red, 0.1 m\n", i, pulled ? "87" : "87a");
    }
    return text + end;
}

/// Left open with more positions than were looked at as the reason.
bool open_in(const Run& run, const std::string& rule, const std::string& name) {
    return std::ranges::any_of(run.outcome.not_checked, [&](const rules::NotChecked& n) {
        return n.rule == rule && n.what.find(name) != std::string::npos && n.why.find("positions") != std::string::npos;
    });
}

} // namespace

TEST_CASE("a load that only one of all positions feeds is open, straight or behind a resistor") {
    const Run run(row_of_relays(R"(lamp E1 "straight", 21 W
lamp E2 "dimmed", 5 W
resistor R91, 5 ohm
wire from SP40 to E1, 1 mm2 red, 1 m
wire from E1 to ground, 1 mm2 black, 0.3 m
wire from SP40 to R91, 1 mm2 red, 1 m
wire from R91 to E2, 1 mm2 red, 1 m
wire from E2 to ground, 1 mm2 black, 0.4 m
)"));
    INFO(run.said());
    CHECK_FALSE(run.finds("never-powered"));
    CHECK(open_in(run, "never-powered", "E1"));
    CHECK(open_in(run, "never-powered", "E2"));
}

TEST_CASE("a relay that only one of all positions pulls in is open, straight or behind a resistor") {
    const Run run(row_of_relays(R"(relay K1 "straight", 4-pin, 20 A
relay K2 "behind a dropper", 4-pin, 20 A
resistor R92, 5 ohm
wire from SP40 to K1:86, 1 mm2 red, 1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
wire from SP40 to R92, 1 mm2 red, 1 m
wire from R92 to K2:86, 1 mm2 red, 1 m
wire from K2:85 to ground, 1 mm2 black, 0.3 m
)"));
    INFO(run.said());
    CHECK_FALSE(run.finds("coil-never-pulls-in"));
    CHECK(open_in(run, "coil-never-pulls-in", "K1"));
    CHECK(open_in(run, "coil-never-pulls-in", "K2"));
}

TEST_CASE("rules that look for one position in which something is wrong say that they did not see all") {
    const Run run(row_of_relays(R"(ammeter P1, 30 A
lamp E1 "headlamp", 60/55 W, filaments main and dip
alternator G1, 65 A
wire from SP40 to P1, 4 mm2 red, 1 m
wire from P1 to E1:main, 1.5 mm2 red, 1 m
wire from SP39 to E1:dip, 1.5 mm2 red, 1 m
wire from E1:common to ground, 1.5 mm2 black, 0.3 m
wire from G1:B+ to battery:+, 16 mm2 red, 1 m
)"));
    INFO(run.said());
    for (const char* rule : {"ammeter-in-path", "both-filaments-at-once", "source-overloaded", "ground-drop",
                             "wrong-voltage", "shared-protection", "wire-overloaded", "voltage-drop"}) {
        CAPTURE(rule);
        CHECK(open_in(run, rule, ""));
    }
}

TEST_CASE("what no position can feed is found all the same") {
    const Run run(row_of_relays(R"(splice SP99, crimp
lamp E3 "on a joint that nothing feeds", 5 W
lamp E4 "beside it", 5 W
wire from SP99 to E3, 1 mm2 red, 1 m
wire from E3 to ground, 1 mm2 black, 0.4 m
wire from SP99 to E4, 1 mm2 red, 1 m
wire from E4 to ground, 1 mm2 black, 0.4 m
)"));
    INFO(run.said());
    CHECK(run.finds("never-powered"));
}
