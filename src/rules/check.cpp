#include "circuit/view.hpp"
#include "rules/changed_by_job.hpp"
#include "rules/fold.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace loomproof::rules {

extern const Rule reversed_polarity; // rule_list.hpp lists it

void assume_once(Report& report, Assumption a) {
    const auto same = [&](const Assumption& o) { return o.subject == a.subject && o.value == a.value; };
    if (std::ranges::none_of(report.assumptions, same)) report.assumptions.push_back(std::move(a));
}

Outcome check(const Study& study) {
    Report report;
    std::size_t run = 0;
    for (const Rule* rule : table()) {
        if (!rule->run) continue;
        ++run;
        if (study.reversed_batteries.empty() || rule == &reversed_polarity)
            rule->run(study, report);
        else
            report.not_checked.push_back({rule->id,
                                          "all else",
                                          "with the battery the wrong way round plus and ground cannot be told apart",
                                          {}});
    }
    for (std::string& what : not_solved(study.now))
        report.not_checked.push_back({"behaviour", std::move(what), "this is not worked out", {}});
    agree_on_sizes(report.findings);
    Outcome outcome = fold(study.circuit, std::move(report));
    outcome.rules_run = run;
    cite_what_counts(study.now, outcome.findings);
    std::set<std::string> open;
    for (const NotChecked& n : outcome.not_checked) open.insert(n.rule);
    outcome.rules_open = open.size();
    return outcome;
}

} // namespace loomproof::rules
