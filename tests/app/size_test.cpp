#include "app/process.hpp"

#include "support/stored.hpp"

#include <doctest/doctest.h>

namespace loomproof::tests {

TEST_CASE("size without a file says wire, fuse, arithmetic and where tables disagree") {
    const Bench bench("size");
    const std::vector<std::string> words{"size", "120", "W", "at", "13.8", "V,", "3", "m"};
    const Ended ended = run(bench, words);
    CHECK(ended.status == 0);
    support::check_stored("tests/app/expected/size-words.txt", transcript(words, ended));
    CHECK(run(bench, {"size", "120 W at 13.8 V, 3 m"}).out == ended.out);
    CHECK(bench.files().empty());
}

TEST_CASE("size says what it did not understand") {
    const Bench bench("size-unclear");
    const Ended ended = run(bench, {"size", "2,5 A,", "3 m"});
    CHECK(ended.status == 2);
    CHECK(ended.out.empty());
    CHECK(ended.err == "loomproof: 2,5 can be read in two ways: as 2.5, or as 2 and 5. Write 2.5 if it is one figure. Write 2, 5 if they are "
                       "separate.\n");
    CHECK(run(bench, {"size"}).status == 2);
}

} // namespace loomproof::tests
