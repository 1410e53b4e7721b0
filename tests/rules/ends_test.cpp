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
           "battery, 60 Ah\nfuse F1, 5 A\nlamp E1, 5 W\nwire from battery:+ to F1, 1 mm2 red, 0.1 m\nwire from F1 to "
           "E1:1, 1 mm2 red, 1 m\n" +
           last_wire;
}

} // namespace

TEST_CASE("a switch of which nobody said what it carries is asked about from 5 A on, in one line, and is no finding") {
    const auto heater = [](const std::string& said, const std::string& amps) {
        return Run(
            "loom 1\nbattery, 60 Ah\nfuse F1, 15 A\nswitch S1" + said + "\nload E1, " + amps +
            "\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\nwire from F1 to S1, 2.5 mm2 red, 1 m\nwire from S1 "
            "to E1:+, 2.5 mm2 red, 1 m\nwire from E1:- to ground, 2.5 mm2 black, 0.5 m\n");
    };
    const Run open = heater("", "9 A");
    CHECK(open.silent());
    CHECK(left_open(open, "part-overloaded") == std::vector<std::string>{"how many amps S1 may switch"});
    CHECK(left_open(heater(", 16 A", "9 A"), "part-overloaded").empty());
    CHECK(left_open(heater("", "4 A"), "part-overloaded").empty());
}

TEST_CASE("what is hung on a wire behind an unknown fuse is named; a coil and a small lamp are not") {
    const auto hung = [](const std::string& lamp) {
        return Run("loom 1\nbattery, 60 Ah\nexisting wire H9 \"main beam\", live when \"main beam on\"\nlamp E2, " +
                   lamp + "\nwire from H9 to E2, 1 mm2 blue, 1 m\nwire from E2 to ground, 1 mm2 black, 0.3 m\n");
    };
    CHECK(left_open(hung("21 W"), "fuse-near-limit") ==
          std::vector<std::string>{"whether the fuse before H9 carries E2 as well"});
    CHECK(left_open(hung("2 W"), "fuse-near-limit").empty());
}

// Terminals for blades of 6.3 mm are sold for up to 6 mm2, one or two wires in a crimp: common practice, no source.
TEST_CASE("one blade of a relay holds the copper of all wires on it, and two wires, unless it is made for two") {
    const auto asked = [](int wires, const std::string& size, const std::string& said = "") {
        std::string text = "loom 1\nbattery, 60 Ah\nrelay K1, 4-pin, 40 A" + said + "\n";
        for (int i = 1; i <= wires; ++i)
            text += "motor M" + std::to_string(i) + ", 2 A\nwire from K1:87 to M" + std::to_string(i) + ":+, " + size +
                    " red, 1 m\n";
        return left_open(Run(text), "plug-hole-conflict");
    };
    CHECK(asked(2, "6 mm2") == std::vector<std::string>{"whether 6 mm2 and 6 mm2 go onto K1:87 together"});
    CHECK(asked(2, "2.5 mm2").empty());
    CHECK(asked(5, "1 mm2") == std::vector<std::string>{"whether 5 wires go onto K1:87 together"});
    CHECK(asked(2, "6 mm2", ", double 87").empty());
    CHECK(asked(2, "6 mm2", ", double 30").size() == 1);
    CHECK(asked(2, "6 mm2", ", studs").empty());
    CHECK(asked(2, "10 mm2").size() == 2); // each on its own
    CHECK(asked(1, "6 mm2").empty());
}

TEST_CASE("a finding about what a job changed cites the words of the job, and names it where it is only planned") {
    const auto lamp_changed = [](const std::string& job) {
        return Run(
            "loom 1\nbattery, 60 Ah\nfuse F1, 7.5 A\nlamp E1, 55 W\nwire from battery:+ to F1, 1 mm2 red, 0.1 m\n"
            "wire from F1 to E1, 1 mm2 red, 1 m\nwire from E1 to ground, 1 mm2 black, 0.5 m\n" +
            job);
    };
    CHECK(!lamp_changed("").finds("fuse-near-limit"));
    for (const char* status : {"planned", "fitted 2026-05-02"}) {
        const Run run = lamp_changed("job \"brighter\" " + std::string(status) + " {\nlamp E1, 100 W\n}\n");
        const auto found = std::ranges::find(run.outcome.findings, "fuse-near-limit", &Finding::rule);
        REQUIRE(found != run.outcome.findings.end());
        CHECK(run.sources.text(found->cites.back().span) == "100 W");
        CHECK(found->why.starts_with("That is so with the planned job \"brighter\". ") == (status[0] == 'p'));
    }
}

TEST_CASE("the ground cable that is proposed is as thick as the starter's, and carries the largest load") {
    const auto proposed = [](const std::string& more) {
        const Run run("loom 1\nbattery, 60 Ah\n" + more);
        for (const Assumption& a : run.reading.circuit.assumptions)
            if (a.subject == "battery:-") return a.to_change;
        return std::string();
    };
    CHECK(proposed("") == "wire from battery:- to ground, 16 mm2 black, 0.4 m");
    CHECK(proposed("starter M1, 150 A\nwire from battery:+ to M1:30, 35 mm2 red, 1 m, starter cable\n") ==
          "wire from battery:- to ground, 35 mm2 black, 0.4 m");
    CHECK(proposed("load E1 \"winch\", 300 A\n") == "wire from battery:- to ground, 70 mm2 black, 0.4 m");
}

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

TEST_CASE("a finding names the planned job that changed a word of a part, not only a figure") {
    const Run r(R"(loom 1
factory {
  battery, 60 Ah
  fuse F1, 20 A
  relay K1 "fan", 4-pin, 30 A, diode, band on 86
  motor M1 "fan", 10 A
  switch S1, 5 A
  wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
  wire W2 from F1 to K1:30, 2.5 mm2 red, 1 m
  wire W3 from K1:87 to M1:+, 2.5 mm2 red, 1 m
  wire W4 from M1:- to ground, 2.5 mm2 black, 1 m
  wire W5 from F1:2 to S1:1, 1 mm2 red, 1 m
  wire W6 from S1:2 to K1:86, 1 mm2 blue, 1 m
  wire W7 from K1:85 to ground, 1 mm2 black, 0.3 m
}
job "another relay" planned {
  relay K1, diode, band on 85
}
)");
    const auto found = r.of("diode-wrong-way");
    REQUIRE(found.size() == 1);
    CHECK(found.front().why.find("planned job \"another relay\"") != std::string::npos);
}
