#pragma once
/// What `check` prints: mistakes of the text, findings, what was assumed, what is left to wire, what was not checked, the verdict.
///
/// It never says that a circuit is good: only that nothing dangerous was found, in how many checks of how many, and what stayed
/// open. The order is that of reading: what hides other things first (mistakes of the text), then what can burn.

#include "circuit/circuit.hpp"
#include "findings/finding.hpp"
#include "netlist/source.hpp"
#include "report/ink.hpp"
#include "rules/rule.hpp"

#include <string>
#include <vector>

namespace loomproof::report {

/// The outcome of a check as values.
struct Checked {
    std::vector<Finding> mistakes; ///< rule "text-...", in text order
    rules::Outcome outcome;
    std::vector<Assumption> assumptions;
    std::vector<std::string> still_to_wire; ///< names of terminals, in text order
    /// There is nothing in the file that could be judged: no wire and no part.
    bool nothing_described = false;
};

/// How much is shown. Every danger always is.
struct Extent {
    bool all = false; ///< every finding; else dangers and so many others that there are at most `most_findings` in all
    static constexpr std::size_t most_findings = 3;
    static constexpr std::size_t most_mistakes = 10; ///< mistakes of the text shown without `all`
    static constexpr std::size_t most_open = 10;     ///< lines of "Not checked" shown without `all`
};

/// The worst severity of a finding and of what follows from it.
Severity worst_of(const Finding&);

/// One finding as it stands in a check: heading with the rule's name at the right, place, excerpt, path, why, limit, cures, what to measure, and
/// what follows from it. Ends with a line end.
std::string finding_text(const Finding&, const Sources&, const Screen&);

/// The whole page. The last line but one is the verdict and the last the caution, each on one line unless a person is looking. Ends with a line end. Without colour it holds printable characters, blanks and line ends only, whatever the file holds.
std::string check_text(const Checked&, const Sources&, const Screen&, Extent = {});

/// After a save: the findings that were not there before, in full, then one line for each that is gone, then verdict and caution. The same finding is
/// the same rule with the same headline: that its line has moved is no change.
std::string changes_text(const Checked& before, const Checked& now, const Sources& of_now, const Screen&, Extent = {});

/// "1 danger, 2 faults. Nothing else dangerous found in 21 of 23 checks; not checked: 2.": the verdict alone, on one line.
std::string verdict(const Checked&);

} // namespace loomproof::report
