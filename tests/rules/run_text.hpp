#pragma once
/// A circuit file as text, read and checked.

#include "circuit/read.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::support {

struct Run {
    Sources sources;
    Reading reading;
    rules::Study study;
    rules::Outcome outcome;

    explicit Run(std::string text)
        : reading(read_circuit_text(sources, "test.loom", std::move(text))),
          study(reading.circuit),
          outcome(rules::check(study)) {}

    /// Findings of one rule, in their order.
    std::vector<Finding> of(std::string_view rule) const {
        std::vector<Finding> found;
        for (const Finding& f : outcome.findings)
            if (f.rule == rule) found.push_back(f);
        return found;
    }
    bool finds(std::string_view rule) const { return !of(rule).empty(); }

    /// Everything said, for the log of a failed test.
    std::string said() const {
        std::string all;
        for (const Finding& f : reading.findings) all += f.rule + ": " + f.headline + "\n";
        say(outcome.findings, "", all);
        for (const rules::NotChecked& n : outcome.not_checked)
            all += "not checked, " + n.rule + ": " + n.what + ": " + n.why + "\n";
        return all;
    }
    static void say(const std::vector<Finding>& findings, const std::string& before, std::string& all) {
        for (const Finding& f : findings) {
            all += before + word(f.severity) + ", " + word(f.certainty) + ", " + f.rule + ": " + f.headline + "\n";
            say(f.consequences, before + "  and so: ", all);
        }
    }
    /// No danger and no fault.
    bool passes() const {
        return reading.findings.empty() &&
               std::ranges::none_of(outcome.findings, [](const Finding& f) { return f.severity <= Severity::fault; });
    }
    bool silent() const { return reading.findings.empty() && outcome.findings.empty(); }
};

} // namespace loomproof::support
