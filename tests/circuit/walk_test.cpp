// The walk's two forms against each other, where no control counts: the plain one takes the very ways of the one that settles one
// terminal after the other, which graph_test.cpp holds against plain relaxation.
#include "circuit/graph.hpp"

#include "support/handmade.hpp"
#include "support/random.hpp"

#include <array>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using support::Handmade;
using test::Random;

namespace {

/// Where no control divides anything both forms of the walk must agree to the last tie.
void check_plain_against_settled(const Handmade& h, const std::vector<TerminalId>& starts) {
    const Graph graph(View::now(h.circuit));
    const auto walk = [&](Positions positions) {
        return graph.walk(
            starts, [](EdgeRef, TerminalId) { return true; },
            [&](EdgeRef e) { return e.is_wire() ? h.circuit.at(e.wire).length.or_else(Metres{0}).si : 0; }, positions);
    };
    const Reach plain = walk(Positions::any), settled = walk(Positions::one_per_control);
    REQUIRE(plain.in_order() == settled.in_order());
    for (TerminalId t : plain.in_order()) {
        REQUIRE(plain.path_to(t) == settled.path_to(t));
        REQUIRE(plain.distance(t) == settled.distance(t));
    }
}

} // namespace

TEST_CASE(
    "random meshes of equal and nearly equal lengths: the plain walk takes the very ways of the one that settles") {
    // 0.1 and 0.3 add up to different digits in different orders; 1e-17 vanishes beside either, but not beside nothing.
    constexpr std::array<double, 8> lengths{0, 0, 0.1, 0.3, 0.1, 0.7, 1e-17, 40};
    Random random{11};
    for (int round = 0; round < 300; ++round) {
        CAPTURE(round);
        const std::size_t splices = 2 + random.below(round % 10 == 0 ? 60 : 12);
        Handmade h;
        const auto name = [](std::size_t n) { return "S" + std::to_string(n); };
        for (std::size_t n = 0; n < splices; ++n) h.splice(name(n));
        for (std::size_t w = splices / 2 + random.below(3 * splices); w > 0; --w)
            h.wire(name(random.below(splices)), name(random.below(splices)),
                   {.metres = lengths[random.below(lengths.size())], .name = "W" + std::to_string(w)});
        check_plain_against_settled(h, {h.at("S0"), h.at("S1"), h.at("S0")});
    }
}

TEST_CASE(
    "the plain walk gives up to the one that settles where ways improve again and again, and where a digit is lost") {
    // From each rung on the way over two short wires is found after the one over a long one, and all behind it once more.
    Handmade ladder;
    ladder.splice("S0");
    ladder.splice("A0");
    ladder.wire("S0", "A0", {.metres = 64});
    for (int rung = 0; rung < 40; ++rung) {
        const std::string here = "A" + std::to_string(rung), next = "A" + std::to_string(rung + 1),
                          between = "B" + std::to_string(rung);
        ladder.splice(next);
        ladder.splice(between);
        ladder.wire(here, next, {.metres = 1e-3});
        ladder.wire(here, between, {.metres = 1e-4});
        ladder.wire(between, next, {.metres = 1e-4});
    }
    check_plain_against_settled(ladder, {ladder.at("S0")});

    // B is nearer by A, in the last digit only, and C is as far by either.
    Handmade lost;
    for (const char* name : {"S0", "A", "B", "C"}) lost.splice(name);
    lost.wire("S0", "B", {.metres = std::nextafter(1.05 + 0.05, 2)});
    lost.wire("S0", "A", {.metres = 1.05});
    lost.wire("A", "B", {.metres = 0.05});
    lost.wire("B", "C", {.metres = 40});
    check_plain_against_settled(lost, {lost.at("S0")});
}
