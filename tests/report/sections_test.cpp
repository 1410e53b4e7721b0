#include "report/sections.hpp"

#include <doctest/doctest.h>

namespace loomproof::report {

namespace {
const Screen wide{120, false, false};
const Screen usual{};
} // namespace

TEST_CASE("Assumptions stand in columns where there is room") {
    const std::vector<Assumption> assumed{
        {"battery", "12.6 V, 7 mohm", "from 60 Ah, lead-acid", "battery, 60 Ah, 5 mohm"},
        {"engine bay", "70 degC", "common practice", "place engine-bay, 85 degC"},
    };
    CHECK('\n' + assumed_section(assumed, wide) == R"(
I assumed       battery 12.6 V, 7 mohm   from 60 Ah, lead-acid   to change: battery, 60 Ah, 5 mohm
                engine bay 70 degC       common practice         to change: place engine-bay, 85 degC
)");
    CHECK('\n' + assumed_section(assumed, usual) == R"(
I assumed       battery 12.6 V, 7 mohm, from 60 Ah, lead-acid
                  to change: battery, 60 Ah, 5 mohm
                engine bay 70 degC, common practice
                  to change: place engine-bay, 85 degC
)");
    CHECK(assumed_section({}, wide).empty());
}

TEST_CASE("The same value assumed for several things is one row") {
    const std::vector<Assumption> assumed{
        {"W1", "105 degC insulation", "common practice", ""},
        {"battery", "12.6 V", "from 60 Ah", ""},
        {"W2", "105 degC insulation", "common practice", ""},
        {"W3", "105 degC insulation", "common practice", ""},
    };
    CHECK('\n' + assumed_section(assumed, usual) == R"(
I assumed       W1, W2 and W3 105 degC insulation   common practice
                battery 12.6 V                      from 60 Ah
)");
}

TEST_CASE("Ends still to wire are one paragraph") {
    CHECK(still_to_wire_section({"K1:85", "E1:-"}, usual) ==
          "Still to wire   K1:85, E1:-. When you think that all is done, add a line:\n"
          "                complete. From then on each end that is missing is a fault.\n");
    CHECK(still_to_wire_section({}, usual).empty());
}

TEST_CASE("What was not checked says why and what to find out") {
    const std::vector<rules::NotChecked> open{
        {"voltage-drop", "voltage at E1", "the length of the ground wire is unknown",
         "Measure it along its route; under 3 m the drop stays below 0.5 V."},
        {"fuse-above-wire", "what protects W2", "nobody said what size it is", ""},
    };
    CHECK('\n' + not_checked_section(open, usual, 10) == R"(
Not checked     voltage at E1: the length of the ground wire is unknown. Measure
                it along its route; under 3 m the drop stays below 0.5 V.
                what protects W2: nobody said what size it is.
)");
}

TEST_CASE("Things that stay open for one reason stand together, and a long list is cut") {
    std::vector<rules::NotChecked> open;
    for (int i = 1; i <= 12; ++i)
        open.push_back({"r", "what protects W" + std::to_string(i), "its size is unknown", "Look at the print on it"});
    open.push_back({"r", "voltage at E1", "no length", ""});
    open.push_back({"r", "voltage at E2", "no load", ""});
    CHECK('\n' + not_checked_section(open, usual, 2) == R"(
Not checked     what protects W1, what protects W2, what protects W3, what
                protects W4, what protects W5, what protects W6, what protects
                W7, what protects W8 and 4 more: its size is unknown. Look at
                the print on it.
                voltage at E1: no length.
                and 1 more; --all shows them.
)");
}

TEST_CASE("What the file accepts is listed with its reason") {
    Finding f;
    f.rule = "unfused-feed";
    f.headline = "Nothing protects W11.";
    f.subjects = {"W11", "battery"};
    f.accepted_because = "winch isolator, taken off when parked";
    CHECK('\n' + accepted_section({f}, usual) == R"(
Accepted        Nothing protects W11. Reason: winch isolator, taken off when
                parked. (unfused-feed)
)");
}

} // namespace loomproof::report
