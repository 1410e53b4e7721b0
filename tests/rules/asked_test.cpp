// What cannot be told from a file is asked for, not passed over in silence; and not asked where the file tells it.
#include "rules/run_text.hpp"
#include "support/places.hpp"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>

using namespace loomproof;
using support::Run;

namespace {

Run case_of(const std::string& file) { return Run(support::read_file(support::source_path("tests/cases/" + file))); }

bool asks(const Run& run, const std::string& rule, const std::string& words) {
    return std::ranges::any_of(run.outcome.not_checked, [&](const rules::NotChecked& n) {
        return n.rule == rule && n.what.find(words) != std::string::npos;
    });
}

} // namespace

TEST_CASE("what a file leaves open about a second battery, an alternator or an amplifier is asked for where a verdict "
          "hangs on it") {
    const auto check = [](const std::string& file, const std::string& rule, const std::string& words, bool asked) {
        CAPTURE(file);
        const Run run = case_of(file);
        CAPTURE(run.said());
        CHECK(asks(run, rule, words) == asked);
        CHECK_FALSE(run.finds(rule));
    };
    check("never-charged/silent-partly-described.loom", "never-charged", "whether anything charges B2", true);
    check("never-charged/silent-plug.loom", "never-charged", "whether anything charges B2", true);
    check("never-charged/silent-mains.loom", "never-charged", "charges B2", false);
    check("joined-while-cranking/silent-no-starter-drawn.loom", "joined-while-cranking", "stays in", true);
    check("joined-while-cranking/good.loom", "joined-while-cranking", "stays in", false);
    check("ground-missing/bad-complete-second-battery.loom", "joined-while-cranking", "stays in", false);
    check("excitation-lost/silent-straight-to-the-ignition.loom", "excitation-lost", "what G1:D+ does", true);
    check("excitation-lost/silent-ignition-input.loom", "excitation-lost", "what G1", false);
    check("excitation-lost/good.loom", "excitation-lost", "what G1", false);
    check("always-powered/silent-amplifier-asked.loom", "always-powered", "what switches off", true);
    check("always-powered/silent-amplifier.loom", "always-powered", "what switches off", false);
}
