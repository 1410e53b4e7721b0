// The table itself: ids are permanent names, and every row says what a reader of `explain` needs.
#include "rules/rule.hpp"

#include <set>
#include <string>
#include <string_view>

#include <doctest/doctest.h>

using namespace loomproof;

TEST_CASE("ids are lower-case words with hyphens, each used once, and found again") {
    std::set<std::string_view> ids;
    for (const rules::Rule* rule : rules::table()) {
        CAPTURE(rule->id);
        const std::string_view id = rule->id;
        CHECK(id.find_first_not_of("abcdefghijklmnopqrstuvwxyz-") == std::string_view::npos);
        CHECK(ids.insert(id).second);
        CHECK(rules::find_rule(id) == rule);
    }
    CHECK(rules::find_rule("no-such-rule") == nullptr);
}

TEST_CASE("every row is filled in") {
    for (const rules::Rule* rule : rules::table()) {
        CAPTURE(rule->id);
        const rules::Explanation& e = rule->explanation;
        for (const char* text :
             {rule->summary, rule->criterion, e.means, e.matters, e.cure, e.limit, e.faulty, e.mended}) {
            REQUIRE(text != nullptr);
            CHECK(std::string_view(text).size() > 8);
        }
    }
}
