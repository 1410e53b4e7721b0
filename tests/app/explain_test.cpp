#include "app/process.hpp"

#include "circuit/text_problems.hpp"
#include "netlist/text_ids.hpp"
#include "rules/rule.hpp"
#include "support/stored.hpp"

#include <doctest/doctest.h>

namespace loomproof::tests {

TEST_CASE("explain alone lists every rule and every mistake of the text, each with a line of its own") {
    const Ended all = run(Bench("explain"), {"explain"});
    CHECK(all.status == 0);
    for (const rules::Rule* rule : rules::table())
        CHECK(all.out.find("\n  " + std::string(rule->id) + ' ') != std::string::npos);
    for (const TextId& id : netlist_text_ids)
        CHECK(all.out.find("\n  " + std::string(id.id) + ' ') != std::string::npos);
    for (const TextId& id : circuit_text_ids())
        CHECK(all.out.find("\n  " + std::string(id.id) + ' ') != std::string::npos);
    for (std::size_t at = 0, end = 0; at < all.out.size(); at = end + 1) {
        end = all.out.find('\n', at);
        CHECK(end - at <= 80);
    }
}

TEST_CASE("explain says more about each of them") {
    const Bench bench("explain-one");
    for (const rules::Rule* rule : rules::table()) {
        CAPTURE(rule->id);
        const Ended one = run(bench, {"explain", rule->id});
        CHECK(one.status == 0);
        CHECK(one.out.starts_with(std::string(rule->id) + '\n'));
        CHECK(one.out.find("A file with this finding:\n") != std::string::npos);
    }
    support::check_stored("tests/app/expected/explain-unfused-feed.txt", run(bench, {"explain", "unfused-feed"}).out);
    CHECK(run(bench, {"explain", "Unfused-Feed"}).out == run(bench, {"explain", "unfused-feed"}).out);
    CHECK(run(bench, {"explain", "text-use"}).out ==
          "text-use\n"
          "  finds    A file that `use` names cannot be read, or reads itself.\n"
          "  means    A mistake in the text of the file. What stands in that statement is\n"
          "           not checked; everything else is.\n");
}

TEST_CASE("A rule that does not exist names the nearest one") {
    const Bench bench("explain-unknown");
    const Ended near = run(bench, {"explain", "unfused-fed"});
    CHECK(near.err == "loomproof: No rule and no word is called unfused-fed; the nearest is unfused-feed. loomproof "
                      "explain lists the rules, loomproof help words "
                      "the words.\n");
    CHECK(near.out.empty());
    CHECK(near.status == 2);
    CHECK(run(bench, {"explain", "gremlins"}).err == "loomproof: No rule and no word is called gremlins. loomproof "
                                                     "explain lists the rules, loomproof help words the words.\n");
}

} // namespace loomproof::tests
