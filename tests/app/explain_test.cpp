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

TEST_CASE("several names are explained one after the other, and one that is strange does not hide the others") {
    const Bench bench("explain-several");
    const auto one = [&](const char* name) { return run(bench, {"explain", name}).out; };
    const Ended both = run(bench, {"explain", "voltage-drop", "splice", "text-use"});
    CHECK(both.status == 0);
    CHECK(both.out == one("voltage-drop") + "\n" + one("splice") + "\n" + one("text-use"));
    const Ended wrong = run(bench, {"explain", "voltage-drop", "unfused-fed"});
    CHECK(wrong.status == 2);
    CHECK(wrong.out == one("voltage-drop"));
    CHECK(wrong.err == run(bench, {"explain", "unfused-fed"}).err);
    CHECK(one("work lamp") == run(bench, {"explain", "work", "lamp"}).out); // what is wanted is one thing
}

} // namespace loomproof::tests
