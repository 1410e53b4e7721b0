#pragma once
/// One rule, one file, one row in the table (table.cpp). A rule reads a Study and reports findings; rules never look at one another.

#include "circuit/graph.hpp"
#include "circuit/view.hpp"
#include "findings/finding.hpp"

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::rules {

/// What a check works on. Built once for a run; rules only read it.
struct Study {
    explicit Study(const Circuit&);
    const Circuit& circuit;
    View now;      ///< as it is now: what rules judge
    View factory;  ///< revision 0; equal to `now` in extent where the file has no history
    Graph graph;   ///< of `now`
    /// Terminals that are the solid reference: tied to the ground pole of a battery by wires, joints and straps alone. Index: terminal.
    std::vector<bool> reference;
    /// Live terminals of strong sources (battery plus; minus where plus is ground; both poles of a battery in a series), in text order.
    std::vector<TerminalId> strong_sources;
};

/// Something that a rule could not judge, and what would decide it.
struct NotChecked {
    std::string rule;
    std::string what;    ///< "what protects T1", "voltage at E1"
    std::string why;     ///< "nobody said what size W12 is"
    std::string measure; ///< what to find out; may be empty
};

struct Report {
    std::vector<Finding> findings;
    std::vector<NotChecked> not_checked;
};

/// Does the finding stay true when only some states were looked at?
enum class Quantifier { exists, forall };

struct Rule {
    const char* id;
    Severity worst;        ///< the most severe it can be
    Quantifier quantifier;
    const char* summary;   ///< one line: what it finds
    const char* criterion; ///< one line: when it is a danger, when less
    void (*run)(const Study&, Report&);
};

/// All rules in their printed order.
std::span<const Rule> table();
const Rule* find_rule(std::string_view id);

/// What a rule's finding explains: the fold puts `consequence` rules under `cause` where they share a subject.
/// Runs all rules, drops what the file accepts (kept apart, with its reason), puts consequences under causes, folds what the maker built
/// into one note a vehicle, sorts: what can burn or cannot be stopped first, then by severity, certainty (certain, undecided, possible),
/// then text order.
struct Outcome {
    std::vector<Finding> findings; ///< sorted; what the file accepts is not among them
    std::vector<Finding> accepted;
    std::vector<NotChecked> not_checked;
    std::size_t rules_run = 0;     ///< checks made
    std::size_t rules_open = 0;    ///< of those, how many have something not checked
};
Outcome check(const Study&);

} // namespace loomproof::rules
