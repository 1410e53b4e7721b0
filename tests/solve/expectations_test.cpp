/// What the file expects, against what the circuit does.

#include "solve/bench.hpp"
#include "solve/expectations.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using namespace loomproof::solve;
using loomproof::test::Bench;

namespace {

std::string judged(const std::string& text, const ExploreOptions& options = {}) {
    const Bench b(text);
    const Behaviour behaviour = explore(b.view(), options);
    std::string out;
    for (const Judged& j : judge_expectations(behaviour)) {
        static constexpr const char* words[] = {"met",     "broken",       "undecided",
                                                "no case", "other engine", "not understood"};
        out += (out.empty() ? "" : "; ") + std::string(words[static_cast<std::size_t>(j.verdict)]);
        if (j.verdict == Judged::Verdict::broken)
            out += " after " + said(b.circuit(), behaviour, behaviour.way_to(j.state));
    }
    return out;
}

const std::string fan = R"(battery, 60 Ah
switch S1 { off* | accessory connects 30 with 15R | run connects 30 with 15 }
switch S5, thermal
relay K1, 4-pin
motor M2, 9 A at 13 V
wire from battery:+ to S1:30, 2.5 mm2 red, 1 m
wire from battery:+ to K1:30, 2.5 mm2 red, 1 m
wire from S1:15 to K1:86, 1 mm2 red, 1 m
wire from K1:85 to S5, 1 mm2 red, 1 m
wire from S5 to ground, 1 mm2 black, 1 m
wire from K1:87 to M2:+, 2.5 mm2 red, 1 m
wire from M2:- to ground, 2.5 mm2 black, 1 m
)";

} // namespace

TEST_CASE("on and off, with every position of the switches that are not named") {
    CHECK(judged(fan + "expect M2 on when S1 run, S5 hot\nexpect M2 off when S1 off\nexpect M2 on when S1 run\nexpect "
                       "M2 off\nexpect K1 on when S1 run, S5 hot\n") ==
          "met; met; broken after turn S1 to run; broken after turn S1 to run, S5 closes; met");
}

TEST_CASE("volts, positions that do not occur, the engine") {
    CHECK(
        judged(
            fan +
            "expect M2 at least 11 V when S1 run, S5 on\nexpect M2 at least 12.55 V when S1 run, S5 on\nexpect M2 "
            "between 11 V and 12.55 V when S1 run, S5 on\n"
            "expect M2 on when K1 pulled in, S5 cold\nexpect M2 at least 13 V when S1 run, S5 on, engine running\n") ==
        "met; broken after turn S1 to run, S5 closes; met; no case; other engine");
    ExploreOptions running;
    running.conditions.engine_running = true;
    CHECK(judged(fan + "expect M2 at least 13 V when S1 run, S5 on, engine running\nexpect M2 off when S1 off, engine "
                       "stopped\n",
                 running) == "met; other engine");
}

TEST_CASE("two filaments never together") {
    const std::string lamp =
        "battery, 60 Ah\nswitch S3 { dip* connects 56 with 56b | both connects 56 with 56b and 56a | main connects 56 "
        "with 56a }\nlamp E1, 60/55 W, filaments main and dip\n"
        "wire from battery:+ to S3:56, 2.5 mm2 red, 1 m\nwire from S3:56a to E1:main, 1.5 mm2 red, 1 m\nwire from "
        "S3:56b to E1:dip, 1.5 mm2 red, 1 m\nwire from E1:common to ground, 1.5 mm2 black, 1 m\n";
    CHECK(judged(lamp + "never E1.main with E1.dip\nexpect E1.dip on when S3 dip\nexpect E1.main off when S3 "
                        "dip\nexpect E1 on\n") == "broken after turn S3 to both; met; met; met");
}

TEST_CASE("a lamp in series with another glows or not by its power") {
    // 21 W behind 5 W: nearly all volts on the small one
    const std::string pair = "battery, 60 Ah\nlamp E1, 21 W\nlamp E2, 5 W\nwire from battery:+ to E1, 1 mm2 red, 1 "
                             "m\nwire from E1 to E2, 1 mm2 red, 1 m\nwire from E2 to ground, 1 mm2 black, 1 m\n";
    CHECK(judged(pair + "expect E1 off\nexpect E2 on\n") == "met; met");
}

TEST_CASE("what was not looked at to the end is undecided, unless something stands against it") {
    ExploreOptions few;
    few.most = 3;
    CHECK(judged(fan + "expect M2 off when S1 off\nexpect M2 on when S1 off\n", few) == "undecided; broken after ");
}

TEST_CASE("volts at a point, as a meter shows them there; limits from above; as people say it") {
    const std::string at_rest = "expect K1:87 at most 0.5 V when S1 off\nexpect at least 12 V at K1:30\n";
    CHECK(judged(fan + at_rest) == "met; met");
    CHECK(judged(fan +
                 "expect K1:87 at least 12 V when S1 run, S5 hot\nexpect K1:85 below 0.3 V when S1 run, S5 hot\n") ==
          "met; met");
    CHECK(judged(fan + "expect K1:85 at least 5 V when S1 run, S5 hot\n") == "broken after turn S1 to run, S5 closes");
    CHECK(judged(fan + "expect M2 at most 11 V when S1 run, S5 hot\n") == "broken after turn S1 to run, S5 closes");
    CHECK(judged(fan +
                 "expect M2 running when S1 run, S5 hot\nexpect K1 pulled in when S1 run, S5 hot\nexpect M2 should "
                 "be off when S1 off\nexpect M2:+ above 11 V when S1 run, S5 hot\nexpect M2:- about 0.1 V when S1 "
                 "off\n")
              .starts_with("met; met; met; met; broken"));
}
