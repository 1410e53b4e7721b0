// What jobs added is listed with the switches that turn it on, and is no finding. Worked out by hand from the circuit.
#include "rules/run_text.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using support::Run;

namespace {

const char* const with_a_job = R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory {
  battery, 60 Ah
  fuse F1, 10 A
  switch S1 "side lamps", 10 A
  lamp E1 "side lamp", 5 W
  wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 1.5 mm2 red, 1 m
  wire W3 from S1 to E1, 1.5 mm2 grey, 1 m
  wire W4 from E1 to ground, 1.5 mm2 black, 0.3 m
}
job "reading lamp" fitted 2026-05-02 {
  fuse F2, 5 A
  switch S2 "reading lamp", 10 A
  lamp E2 "reading lamp", 5 W
  lamp E3 "reading lamp, rear", 5 W
  splice SP1, crimp
  wire W10 from battery:+ to F2, 1.5 mm2 red, 0.1 m
  wire W11 from F2 to S2, 1.5 mm2 red, 1 m
  wire W12 from S2 to SP1, 1.5 mm2 white, 1 m
  wire W13 from SP1 to E2, 1.5 mm2 white, 0.5 m
  wire W14 from SP1 to E3, 1.5 mm2 white, 1 m
  wire W15 from E2 to ground, 1.5 mm2 black, 0.3 m
  wire W16 from E3 to ground, 1.5 mm2 black, 0.3 m
}
)";

} // namespace

TEST_CASE("what a job added is listed with the fewest switches that turn it on") {
    const Run run(with_a_job);
    CAPTURE(run.said());
    CHECK(run.silent());
    REQUIRE(run.outcome.new_functions.size() == 1);
    CHECK(run.outcome.new_functions.front().job == "reading lamp");
    CHECK(run.outcome.new_functions.front().what ==
          "lamp E2 \"reading lamp\" and lamp E3 \"reading lamp, rear\" on with S2 on");
}

TEST_CASE("where no job is told apart nothing is listed as new") {
    std::string text = with_a_job;
    text.erase(text.find("factory {\n"), 10);
    text.erase(text.find("}\njob"), 2);
    text.erase(text.find("job \"reading lamp\""), text.find("  fuse F2") - text.find("job \"reading lamp\""));
    text.erase(text.rfind("}\n"));
    const Run run(text);
    CAPTURE(run.said());
    CHECK(run.silent());
    CHECK(run.outcome.new_functions.empty());
}
