// A position is told with the switches that matter and no others.
#include "rules/run_text.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using support::Run;

TEST_CASE("a loss that is a trace larger with some other switch thrown is told without it") {
    // Tripped, S4 takes the heater off the battery, whose volts rise by half a volt: the loss behind S1 with them.
    const Run r(R"(loom 1
battery, 60 Ah, 60 mohm
fuse F1, 10 A
fuse F2, 15 A
switch S1
switch S4 "inertia switch", thermal { closed* connects 1 with 2 | tripped }
lamp E1 "work lamp", 55 W
heater E2, 10 A
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S1, 1.5 mm2 red, 1 m
wire from S1 to E1, 1.5 mm2 red, 1 m
wire W4 from E1 to ground, 1 mm2 black, 5 m
wire from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire from F2 to S4:1, 2.5 mm2 red, 1 m
wire from S4:2 to E2:+, 2.5 mm2 red, 1 m
wire from E2:- to ground, 2.5 mm2 black, 0.3 m
)");
    const auto found = r.of("ground-drop");
    REQUIRE(found.size() == 1);
    CHECK(found.front().headline.find("with S1 on, most") != std::string::npos);
    CHECK(found.front().headline.find("S4") == std::string::npos);
}
