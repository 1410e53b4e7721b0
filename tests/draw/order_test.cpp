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
        CHECK(route(sketch, *woven, find_runs(*woven), {}).crossings == arrangements.front().crossings);
    }
}

TEST_CASE("in a channel nothing lies on anything else, however the wires change places") {
    loomproof::test::Random random(20);
    int broken = 0;
    for (int round = 0; round < 300; ++round) {
        CAPTURE(round);
        // Wires from the columns of one row to the same columns of the next, dealt by chance: full of pairs and circles that change places.
        const int wires = 2 + static_cast<int>(random.below(14));
        std::vector<int> to(index(wires));
        std::iota(to.begin(), to.end(), 0);
        for (std::size_t i = to.size(); i > 1; --i) std::swap(to[i - 1], to[random.below(i)]);
        Weave weave;
        weave.rows.resize(2);
        for (int w = 0; w < wires; ++w) {
            Piece piece;
            piece.upper = w;
            piece.lower = wires + w;
            piece.upper_column = w;
            piece.lower_column = to[index(w)];
            weave.pieces.push_back(piece);
            weave.rows[0].push_back(w);
            weave.rows[1].push_back(wires + w);
        }
        weave.nodes.resize(index(2 * wires));
        for (int w = 0; w < wires; ++w) {
            weave.nodes[index(w)].below = {w};
            weave.nodes[index(wires + w)].above = {w};
        }
        const std::vector<Run> runs = find_runs(weave).front();
        // Level pieces, and upright ones from one track to the next; those from the row above begin above all tracks.
        struct Line {
            int piece, from, to, at;
        };
        std::vector<Line> level, upright;
        for (std::size_t i = 0; i < runs.size(); ++i) {
            const Run& run = runs[i];
            level.push_back({run.piece, run.left(), run.right(), run.track});
            const bool first = i == 0 || runs[i - 1].piece != run.piece;
            const bool last = i + 1 == runs.size() || runs[i + 1].piece != run.piece;
            if (first) upright.push_back({run.piece, -1, run.track, run.from});
            upright.push_back({run.piece, run.track, last ? 1000 : runs[i + 1].track, run.to});
            if (first) CHECK(run.from == 2 * weave.pieces[index(run.piece)].upper_column);
            if (last) CHECK(run.to == 2 * weave.pieces[index(run.piece)].lower_column);
            if (!last) {
                CHECK(run.to == runs[i + 1].from);
                CHECK(run.to % 2 != 0);
                ++broken;
            }
        }
        for (const std::vector<Line>* lines : {&level, &upright})
            for (const Line& a : *lines)
                for (const Line& b : *lines) {
                    if (a.piece == b.piece || a.at != b.at) continue;
                    const bool apart = std::max(a.from, a.to) < std::min(b.from, b.to) ||
                                       std::max(b.from, b.to) < std::min(a.from, a.to);
                    CHECK_MESSAGE(apart, "wires " << a.piece << " and " << b.piece << " at " << a.at);
                }
    }
    CHECK(broken > 300); // the case that it is about
}
