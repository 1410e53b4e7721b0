#pragma once
/// One rule, one file in catalogue/, one line in rule_list.hpp. A rule reads a Study and reports findings; rules never look at one another.
///
/// A new rule: catalogue/<id_with_underscores>.cpp with `const Rule <id_with_underscores> = {...}`, its line in rule_list.hpp, and
/// its cases in tests/cases/<id>/.

#include "findings/finding.hpp"
#include "rules/study.hpp"

#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace loomproof::rules {

/// Something that a rule could not judge, and what would decide it.
struct NotChecked {
    std::string rule;
    std::string what;    ///< "what protects T1", "voltage at E1"
    std::string why;     ///< "nobody said what size W12 is"
    std::string measure; ///< what to find out; may be empty
};

/// What a job added that was not there before: listed, not blamed.
struct NewFunction {
    std::string job;  ///< its title
    std::string what; ///< "E1 on with S1 run, "main beam on""
};

struct Report {
    std::vector<Finding> findings;
    /// What a rule of convention found on the maker's own wiring that no job touched: the folding stage makes one note of all of them.
    std::vector<Finding> as_built;
    std::vector<NotChecked> not_checked;
    std::vector<NewFunction> new_functions; ///< in the order of the jobs, then in text order
    /// What was taken for a figure that nobody said, where a verdict hangs on it (assume_once).
    std::vector<Assumption> assumptions;

    /// A finding: `makers`, where all that it blames is the maker's own work.
    void add(Finding finding, bool makers) { (makers ? as_built : findings).push_back(std::move(finding)); }
};
/// Puts an assumption into the report unless the same stands there already.
void assume_once(Report&, Assumption);

/// Does the finding stay true when only some states were looked at?
enum class Quantifier { exists, forall };

/// What comes of it, for ranking among findings of one severity: what can burn or cannot be stopped comes first.
enum class Harm { burns_or_runs_on, other };

/// What `explain` prints about a rule. Plain sentences; the examples are whole circuit files, and a test runs them.
struct Explanation {
    const char* means;   ///< what the finding says
    const char* matters; ///< why it matters
    const char* cure;    ///< what to do
    const char* limit;   ///< where the limit comes from
    const char* faulty;  ///< a file in which this rule finds something
    const char* mended;  ///< the same file put right, in which nothing is found
};

struct Rule {
    const char* id;
    Severity worst; ///< the most severe it can be
    Quantifier quantifier;
    Harm harm;
    const char* summary;   ///< one line: what it finds
    const char* criterion; ///< one line: when it is a danger, when less
    Explanation explanation;
    void (*run)(const Study&, Report&); ///< null: judged by the folding stage, which knows the findings of all rules
};

/// All rules in their printed order.
std::span<const Rule* const> table();
/// Null where no rule has this id.
const Rule* find_rule(std::string_view id);

/// What a run found, ready to print.
struct Outcome {
    std::vector<Finding> findings; ///< sorted; what the file accepts is not among them
    std::vector<Finding> accepted; ///< each with its reason
    std::vector<NotChecked> not_checked;
    std::vector<NewFunction> new_functions;
    std::vector<Assumption> assumptions; ///< besides those of the circuit
    std::size_t rules_run = 0;           ///< checks made
    std::size_t rules_open = 0;          ///< of those, how many have something not checked
};
/// Runs all rules and folds what they report (fold.hpp).
Outcome check(const Study&);

} // namespace loomproof::rules
