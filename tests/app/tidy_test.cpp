#include "app/process.hpp"

#include <doctest/doctest.h>

namespace loomproof::tests {

TEST_CASE("tidy prints the file in its tidy form, and changes it only when asked") {
    const Bench bench("tidy");
    const std::string untidy = "loom 1\nbattery,60Ah // old\n\n\n\nWIRE from battery:+   to F1, 0.8m\n";
    const std::string tidied = "loom 1\nbattery, 60 Ah  // old\n\nwire from battery:+ to F1, 0.8 m\n";
    bench.write("bench.loom", untidy);
    const Ended printed = run(bench, {"tidy", "bench.loom"});
    CHECK(printed.out == tidied);
    CHECK(printed.err.empty());
    CHECK(printed.status == 0);
    CHECK(bench.read("bench.loom") == untidy);

    const Ended written = run(bench, {"tidy", "bench.loom", "--write"});
    CHECK(written.out.empty());
    CHECK(written.status == 0);
    CHECK(bench.read("bench.loom") == tidied);
    CHECK(bench.files() == std::vector<std::string>{"bench.loom"});
}

TEST_CASE("tidy numbers wires without a name") {
    const Bench bench("number");
    const Ended ended =
        run(bench, Run{{"tidy", "-", "--number-wires"},
                       "loom 1\nwire from battery:+ to F1\nwire W1 from F1 to E1\nwire from E1 to ground\n"});
    CHECK(ended.out == "loom 1\nwire W2 from battery:+ to F1\nwire W1 from F1 to E1\nwire W3 from E1 to ground\n");
    CHECK(ended.status == 0);
}

TEST_CASE("tidy leaves statements with mistakes as typed, and says so") {
    const Bench bench("tidy-mistake");
    const Ended ended = run(bench, Run{{"tidy", "-"}, "loom   1\nlamp E1,  \"never   closed\n"});
    CHECK(ended.out == "loom 1\nlamp E1,  \"never   closed\n");
    CHECK(
        ended.err ==
        "loomproof: 1 mistake in the text: those statements stay as they were typed. loomproof check - shows them.\n");
    CHECK(ended.status == 1);
}

TEST_CASE("Standard input cannot be changed in place") {
    const Bench bench("tidy-input");
    const Ended ended = run(bench, Run{{"tidy", "-", "--write"}, "loom 1\n"});
    CHECK(ended.err == "loomproof: Standard input cannot be changed: leave --write out, and the result is printed.\n");
    CHECK(ended.status == 2);
}

} // namespace loomproof::tests
