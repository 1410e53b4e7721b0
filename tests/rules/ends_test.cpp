// What is open, and whether that is a mistake yet.
#include "rules/run_text.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using support::Run;

namespace {

std::vector<std::string> left_open(const Run& run, const std::string& rule) {
    std::vector<std::string> said;
    for (const rules::NotChecked& n : run.outcome.not_checked)
        if (n.rule == rule) said.push_back(n.what);
    return said;
}

std::string lamp(const std::string& head, const std::string& last_wire) {
    return "loom 1\n" + head +
           "battery, 60 Ah\nfuse F1, 5 A\nlamp E1, 21 W\nwire from battery:+ to F1, 1 mm2 red, 0.1 m\nwire from F1 to "
           "E1:1, 1 mm2 red, 1 m\n" +
           last_wire;
}

} // namespace

TEST_CASE("the same open end: still to wire, or missing, by what the file says of itself") {
    CHECK(Run(lamp("", "")).finds("still-to-wire"));
    CHECK(Run(lamp("complete\n", "")).finds("ground-missing"));
    CHECK(Run(lamp("complete\n", "wire from E1:2 to ground, 1 mm2 black, 0.3 m\n")).silent());
}

TEST_CASE("while a line cannot be read nothing is called missing: it may stand there") {
    const Run slip(lamp("complete\n", "wyre from E1:2 to ground, 1 mm2 black, 0.3 m\n"));
    CHECK(slip.reading.findings.size() == 1);
    CHECK_FALSE(slip.finds("ground-missing"));
    CHECK(left_open(slip, "ground-missing") == std::vector<std::string>{"whether E1 has a ground"});

    const Run coil(
        "loom 1\ncomplete\nbattery, 60 Ah\nfuse F1, 5 A\nrelay K1, 4-pin\nwire from battery:+ to F1, 1 mm2 red, 0.1 m\n"
        "wire from F1 to K1:86, 1 mm2 red, 1 m\nwyre from K1:85 to ground, 1 mm2 black, 1 m\n");
    CHECK_FALSE(coil.finds("terminal-not-wired"));
    CHECK(left_open(coil, "terminal-not-wired") ==
          std::vector<std::string>{"whether K1:85, K1:30 and K1:87 are wired"});
}

TEST_CASE("an acceptance may yet find what it speaks of, once all lines can be read") {
    const std::string accept = "accept unfused-feed on W9 because \"in conduit\"\n";
    CHECK(Run(lamp("", accept)).finds("accepted-finding-stale"));
    CHECK_FALSE(
        Run(lamp("", "wyre W9 from battery:+ to E1:1, 1 mm2 red, 1 m\n" + accept)).finds("accepted-finding-stale"));
    CHECK(
        Run(lamp("",
                 "wyre W9 from battery:+ to E1:1, 1 mm2 red, 1 m\naccept unfused-lead on W9 because \"in conduit\"\n"))
            .finds("accepted-finding-stale"));
}
