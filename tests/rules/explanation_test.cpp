// What `explain` shows must be true: in each rule's faulty example the rule finds something, in the mended one nothing is found.
#include "rules/run_text.hpp"

#include <doctest/doctest.h>

using namespace loomproof;
using support::Run;

TEST_CASE("each rule finds its own mistake in its faulty example, and the mended one is silent") {
    for (const rules::Rule* rule : rules::table()) {
        CAPTURE(rule->id);
        const Run faulty(rule->explanation.faulty), mended(rule->explanation.mended);
        CAPTURE(faulty.said());
        CAPTURE(mended.said());
        CHECK(faulty.reading.findings.empty());
        CHECK(faulty.finds(rule->id));
        CHECK(mended.silent());
    }
}
