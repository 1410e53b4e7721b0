#include "base/rows.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <utility>

using namespace loomproof;

TEST_CASE("rows keep their entries apart, in the order in which they were told, and empty rows stay empty") {
    std::mt19937 random(5);
    for (int round = 0; round < 50; ++round) {
        const std::size_t rows = random() % 12;
        std::vector<std::vector<int>> expected(rows);
        std::vector<std::pair<std::size_t, int>> told;
        for (int i = 0; rows > 0 && i < 40; ++i) {
            const std::size_t row = random() % rows;
            if (row % 3 == 1) continue; // these stay empty
            told.emplace_back(row, i);
            expected[row].push_back(i);
        }
        const Rows<int> all(rows, [&](const auto& add) {
            for (const auto& [row, entry] : told) add(row, entry);
        });
        REQUIRE(all.size() == rows);
        CHECK(all.all().size() == told.size());
        for (std::size_t row = 0; row < rows; ++row) CHECK(std::ranges::equal(all[row], expected[row]));
    }
    CHECK(Rows<int>().size() == 0);
}
