/// Circuits whose switches are tried in groups reach all that they reach when every switch is tried with every other.

#include "solve/groups_peer.hpp"
#include "support/sanitized.hpp"

#include <doctest/doctest.h>

using namespace loomproof;

TEST_CASE("groups of switches reach what all switches together reach") {
    std::size_t positions = 0, situations = 0, together = 0, split = 0, capped = 0, certain = 0, lost = 0;
    const std::uint64_t circuits = support::tries(100);
    for (std::uint64_t seed = 1; seed <= circuits; ++seed) {
        INFO("seed ", seed);
        const test::GroupsCompared x =
            test::compare_groups(seed, 4 + static_cast<unsigned>(seed % 3), 1 + static_cast<unsigned>(seed % 3), 20000);
        if (!x.complete) {
            ++capped;
            continue;
        }
        CHECK(x.missed == 0);
        CHECK(x.certain_made_up == 0);
        certain += x.certain;
        lost += x.certain_missed;
        positions += x.positions;
        situations += x.situations;
        together += x.joint_situations;
        split += x.groups > 1 ? 1 : 0;
    }
    MESSAGE(positions, " positions compared in ", circuits, " circuits, ", split, " of more than one group; ",
            situations, " situations solved, ", together, " together; ", certain,
            " certain troubles in the joint search, ", lost, " of them in no group; ", capped,
            " circuits met a limit and are not compared");
    CHECK(capped <= circuits / 50);
    CHECK(split > circuits * 9 / 10);
    CHECK(situations < together);
}
