// Levels: against every solution there is, for problems small enough to try them all.
#include "draw/levels.hpp"
#include "support/random.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <optional>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

long long cost_of(const LevelProblem& problem, const std::vector<int>& level) {
    long long cost = 0;
    for (const LevelProblem::Edge& e : problem.edges()) {
        const int length = level[static_cast<std::size_t>(e.head)] - level[static_cast<std::size_t>(e.tail)];
        if (length < e.shortest) return -1;
        cost += static_cast<long long>(e.weight) * length;
    }
    return cost;
}

// The smallest cost with all levels from 0 to `top`.
std::optional<long long> least(const LevelProblem& problem, int top) {
    std::vector<int> level(static_cast<std::size_t>(problem.nodes()), 0);
    std::optional<long long> best;
    for (;;) {
        const long long cost = cost_of(problem, level);
        if (cost >= 0 && (!best || cost < *best)) best = cost;
        std::size_t n = 0;
        while (n < level.size() && level[n] == top) level[n++] = 0;
        if (n == level.size()) return best;
        ++level[n];
    }
}

} // namespace

TEST_CASE("levels are the best there are, whichever way they lean") {
    loomproof::test::Random random(5);
    for (int round = 0; round < 200; ++round) {
        LevelProblem problem;
        const int nodes = 2 + static_cast<int>(random.below(4));
        for (int n = 0; n < nodes; ++n) problem.add_node();
        const int edges = static_cast<int>(random.below(7));
        for (int e = 0; e < edges; ++e) {
            const int head = 1 + static_cast<int>(random.below(static_cast<std::size_t>(nodes - 1)));
            const int tail = static_cast<int>(random.below(static_cast<std::size_t>(head)));
            problem.add(tail, head, static_cast<int>(random.below(3)), static_cast<int>(random.below(5)));
        }
        CAPTURE(round);
        for (const Lean lean : {Lean::none, Lean::low, Lean::high}) {
            problem.lean = lean;
            const auto level = solve(problem);
            REQUIRE(level);
            CHECK(*std::min_element(level->begin(), level->end()) == 0);
            CHECK(cost_of(problem, *level) == least(problem, 6));
        }
    }
}

TEST_CASE("distances pull nodes over each other's offsets") {
    LevelProblem problem;
    const int a = problem.add_node(), b = problem.add_node(), c = problem.add_node();
    problem.add(a, b, 5, 0);
    problem.add_distance(a, 3, c, 0, 2); // c wants to stand at a + 3
    problem.add_distance(b, 0, c, 0, 1); // less than it wants to stand at b
    const auto level = solve(problem);
    REQUIRE(level);
    CHECK((*level)[2] == (*level)[0] + 3);
    CHECK((*level)[1] == (*level)[0] + 5);
}

TEST_CASE("what leans low stands low, what leans high stands high") {
    for (const Lean lean : {Lean::low, Lean::high}) {
        LevelProblem problem;
        for (int n = 0; n < 4; ++n) problem.add_node();
        problem.add(0, 1, 3, 1);
        problem.add(0, 2, 1, 0);
        problem.add(2, 1, 1, 0);
        problem.lean = lean;
        const auto level = solve(problem);
        REQUIRE(level);
        CHECK((*level)[2] == (lean == Lean::low ? 1 : 2));
        CHECK((*level)[3] == (lean == Lean::low ? 0 : 3)); // it hangs together with nothing
    }
}

TEST_CASE("a circle has no levels, and an empty problem none to find") {
    LevelProblem problem;
    CHECK(solve(problem)->empty());
    problem.add_node();
    problem.add_node();
    problem.add(0, 1, 1, 1);
    problem.add(1, 0, 1, 1);
    const auto level = solve(problem);
    REQUIRE_FALSE(level);
    CHECK(level.error().find("circle") != std::string::npos);
}
