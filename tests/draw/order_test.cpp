// The search for an order, by its parts: nothing of a drawing is needed to see whether it does what it says.
#include "draw/blocks.hpp"
#include "draw/columns.hpp"
#include "draw/order.hpp"
#include "draw/route.hpp"

#include "draw/bench.hpp"
#include "support/random.hpp"
#include "support/sanitized.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

void join(std::vector<Thing>& things, int upper, int lower, int upper_cell = 0, int lower_cell = 0) {
    things[index(upper)].below.push_back({lower, upper_cell, lower_cell});
    things[index(lower)].above.push_back({upper, lower_cell, upper_cell});
}

std::vector<Thing> random_things(loomproof::test::Random& random) {
    std::vector<Thing> things;
    std::vector<std::vector<int>> rows(3 + random.below(5));
    for (std::size_t r = 0; r < rows.size(); ++r)
        for (std::size_t i = 0, many = 1 + random.below(8); i < many; ++i) {
            rows[r].push_back(static_cast<int>(things.size()));
            Thing thing;
            thing.row = static_cast<int>(r);
            thing.cells = 1 + static_cast<int>(random.below(4));
            things.push_back(thing);
        }
    for (std::size_t r = 1; r < rows.size(); ++r)
        for (const int n : rows[r])
            for (std::size_t i = 0, many = random.below(4); i < many; ++i) {
                const int above = rows[r - 1][random.below(rows[r - 1].size())];
                join(things, above, n, static_cast<int>(random.below(index(things[index(above)].cells))),
                     static_cast<int>(random.below(index(things[index(n)].cells))));
            }
    return things;
}

int crossings(const std::vector<Thing>& things, const Rows::Order& order, const std::vector<bool>& mirrored) {
    Rows rows(things);
    rows.put(order, mirrored, false);
    return rows.crossings();
}

} // namespace

TEST_CASE("blocks that go where they are best never make more wires cross") {
    loomproof::test::Random random(7);
    int before_all = 0, after_all = 0;
    for (std::uint64_t round = 0; round < support::tries(300); ++round) {
        CAPTURE(round);
        const std::vector<Thing> things = random_things(random);
        const Walk walk = walk_down(things);
        Blocks blocks(things, walk.met, walk);
        std::vector<bool> mirrored;
        for (std::size_t n = 0; n < things.size(); ++n) mirrored.push_back(random.below(3) == 0);
        for (std::uint64_t shake = 0; shake < 4; ++shake) {
            const int before = crossings(things, blocks.rows(), mirrored);
            const bool moved = blocks.sift(mirrored);
            const Rows::Order order = blocks.rows();
            const int after = crossings(things, order, mirrored);
            CHECK(after <= before);
            CHECK((moved || after == before));
            before_all += before;
            after_all += after;
            // Everybody still stands in his own row, once.
            std::size_t found = 0;
            for (std::size_t r = 0; r < order.size(); ++r)
                for (const int n : order[r]) {
                    CHECK(things[index(n)].row == static_cast<int>(r));
                    ++found;
                }
            CHECK(found == things.size());
            blocks.shake(random.below(1000000));
        }
    }
    MESSAGE(before_all << " crossings before, " << after_all << " after");
    CHECK(4 * after_all < 3 * before_all);
}

TEST_CASE("a wire over many rows finds its place though none of its passes alone has a better one") {
    // Three ways down side by side; the first and the third are tied to each other at the top and at the bottom, so the second has to go from
    // between them, and any one of its passes alone would only cross one of them twice.
    constexpr int rows = 6;
    std::vector<Thing> things;
    for (int r = 0; r < rows; ++r)
        for (int way = 0; way < 3; ++way) {
            Thing thing;
            thing.row = r;
            things.push_back(thing);
            if (r > 0) join(things, 3 * (r - 1) + way, 3 * r + way);
        }
    Thing top, bottom;
    top.row = 0;
    bottom.row = rows - 1;
    std::vector<Thing> tied = things;
    tied.push_back(top);
    tied.push_back(bottom);
    for (const int way : {0, 2}) {
        join(tied, 3 * rows, 3 + way);
        join(tied, 3 * (rows - 2) + way, 3 * rows + 1);
    }
    const Walk walk = walk_down(tied);
    std::vector<int> home(tied.size());
    std::iota(home.begin(), home.end(), 0);
    Blocks blocks(tied, home, walk);
    const std::vector<bool> none(tied.size(), false);
    for (int round = 0; round < 6 && blocks.sift(none); ++round) {}
    CHECK(crossings(tied, blocks.rows(), none) == 0);
}

TEST_CASE("on a large page as many wires cross as its order asks for, and no more") {
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
        CAPTURE(seed);
        const Sketch sketch = draw::test::made_up(45, seed);
        Result<Weave> woven = weave(sketch);
        REQUIRE(woven);
        const std::vector<Arrangement> arrangements = arrange(sketch, *woven, {.keep = 1});
        apply(*woven, arrangements.front());
        REQUIRE(find_columns(sketch, *woven));
        CHECK(route(sketch, *woven, {}).crossings == arrangements.front().crossings);
    }
}
