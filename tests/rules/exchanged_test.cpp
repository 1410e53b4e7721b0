// Every way to put four wires onto the four terminals of a relay: what works is left alone, what does not is found.
#include "rules/run_text.hpp"

#include <algorithm>
#include <array>
#include <string>

#include <doctest/doctest.h>
#include <fmt/core.h>

using namespace loomproof;
using support::Run;

namespace {

enum Ends { feed, load, trigger, ground };
using Pins = std::array<const char*, 4>; ///< where the feed, the load, the trigger and the ground of the coil went

std::string text(const Pins& pin) {
    return fmt::format(R"(loom 1
battery, 60 Ah
fuse F1, 15 A
supply S15 "ignition 15", behind 10 A, plus when "ignition on"
switch S1 "dash switch", 5 A
relay K1, 4-pin, 40 A, bare
horn H1, 7 A
wire from battery:+ to F1, 1.5 mm2 red, 0.15 m
wire from F1 to K1:{}, 1.5 mm2 red, 1 m
wire from K1:{} to H1, 1.5 mm2 blue, 0.5 m
wire from H1 to ground, 1.5 mm2 black, 0.3 m
wire from S15 to S1, 1 mm2 green, 0.5 m
wire from S1 to K1:{}, 1 mm2 green, 0.5 m
wire from K1:{} to ground, 1 mm2 black, 0.3 m
)",
                       pin[feed], pin[load], pin[trigger], pin[ground]);
}

/// The same with the coil fed at all times over the contact's feed and a button that goes to ground.
std::string ground_switched(const Pins& pin) {
    return fmt::format(R"(loom 1
battery, 60 Ah
fuse F1, 15 A
fuse F2, 5 A
switch S1 "horn button", push
relay K1, 4-pin, 40 A, bare
horn H1, 7 A
wire from battery:+ to F1, 1.5 mm2 red, 0.15 m
wire from battery:+ to F2, 1.5 mm2 red, 0.15 m
wire from F1 to K1:{}, 1.5 mm2 red, 1 m
wire from K1:{} to H1, 1.5 mm2 blue, 0.5 m
wire from H1 to ground, 1.5 mm2 black, 0.3 m
wire from F2 to K1:{}, 1 mm2 red, 0.5 m
wire from K1:{} to S1, 1 mm2 brown, 0.5 m
wire from S1 to ground, 1 mm2 black, 0.3 m
)",
                       pin[feed], pin[load], pin[trigger], pin[ground]);
}

bool on_coil(const char* pin) { return pin[0] == '8' && (pin[1] == '5' || pin[1] == '6'); }

} // namespace

TEST_CASE("of 24 ways to wire a relay that is switched on its plus side, four work; the others are found") {
    Pins pin = {"30", "85", "86", "87"};
    int works = 0, found = 0;
    do {
        const bool right = on_coil(pin[trigger]) && on_coil(pin[ground]);
        const Run run(text(pin));
        INFO(text(pin) << run.said());
        CHECK(run.finds("coil-contact-exchanged") == !right);
        works += right ? 1 : 0;
        found += run.finds("coil-contact-exchanged") ? 1 : 0;
    } while (std::ranges::next_permutation(pin, {}, [](const char* p) { return std::string(p); }).found);
    CHECK(works == 4);
    CHECK(found == 20);
}

TEST_CASE("of 24 ways to wire a relay that is switched on its ground side, eight work; the others are found") {
    // Both feeds are live at all times, so they may stand for one another.
    Pins pin = {"30", "85", "86", "87"};
    int works = 0;
    do {
        const bool right = on_coil(pin[ground]) && !on_coil(pin[load]) && on_coil(pin[feed]) != on_coil(pin[trigger]);
        const Run run(ground_switched(pin));
        INFO(ground_switched(pin) << run.said());
        CHECK(run.finds("coil-contact-exchanged") == !right);
        works += right ? 1 : 0;
    } while (std::ranges::next_permutation(pin, {}, [](const char* p) { return std::string(p); }).found);
    CHECK(works == 8);
}

TEST_CASE("how bad it is depends on what the thin side stands and on what protects it") {
    const Run fused(text({"86", "87", "30", "85"}));
    REQUIRE(fused.finds("coil-contact-exchanged"));
    const Finding f = fused.of("coil-contact-exchanged").front();
    CHECK(f.certainty == Certainty::certain);
    CHECK(f.severity == Severity::danger); // 7 A over a 5 A switch behind 10 A: nothing opens
    CHECK(f.headline == "Coil and contact wires of relay K1 are exchanged, 86 with 30: switch S1 \"dash switch\" has "
                        "to carry the 7 A of H1.");

    // The same behind 5 A: the fuse opens.
    std::string opens = text({"86", "87", "30", "85"});
    opens.replace(opens.find("behind 10 A"), 11, "behind 5 A");
    CHECK(Run(opens).of("coil-contact-exchanged").front().severity == Severity::fault);

    // A short over the contact behind nobody knows what.
    std::string unknown = text({"86", "85", "30", "87"});
    unknown.replace(unknown.find(", behind 10 A"), 13, "");
    const Finding g = Run(unknown).of("coil-contact-exchanged").front();
    CHECK(g.severity == Severity::danger);
    CHECK(g.certainty == Certainty::undecided);
    CHECK(g.measure != "");
}
