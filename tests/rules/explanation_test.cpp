// What `explain` shows must be true: in each rule's faulty example the rule finds something, in the mended one nothing is found.
#include "circuit/read.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>

using namespace loomproof;

namespace {

struct Run {
    Sources sources;
    Reading reading;
    rules::Outcome outcome;
    explicit Run(const char* text)
        : reading(read_circuit_text(sources, "example", text)), outcome(rules::check(rules::Study(reading.circuit))) {}
};

std::string said(const Run& run) {
    std::string all;
    for (const Finding& f : run.reading.findings) all += f.rule + ": " + f.headline + "\n";
    for (const Finding& f : run.outcome.findings) all += f.rule + ": " + f.headline + "\n";
    return all;
}

} // namespace

TEST_CASE("each rule finds its own mistake in its faulty example, and the mended one is silent") {
    for (const rules::Rule* rule : rules::table()) {
        CAPTURE(rule->id);
        const Run faulty(rule->explanation.faulty), mended(rule->explanation.mended);
        CAPTURE(said(faulty));
        CAPTURE(said(mended));
        CHECK(faulty.reading.findings.empty());
        CHECK(std::ranges::any_of(faulty.outcome.findings, [&](const Finding& f) { return f.rule == rule->id; }));
        CHECK(mended.reading.findings.empty());
        CHECK(mended.outcome.findings.empty());
    }
}
