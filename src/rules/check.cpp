#include "base/words.hpp"
#include "circuit/straps.hpp"
#include "circuit/view.hpp"
#include "rules/changed_by_job.hpp"
#include "rules/ends.hpp"
#include "rules/fold.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <memory>
#include <set>
#include <utility>

namespace loomproof::rules {

extern const Rule ground_missing, reversed_polarity; // rule_list.hpp lists them

namespace {

/// The circuit as it is, and again with the strap that its battery lacks: without one nothing works, and no other mistake could be found.
struct Strapped {
    explicit Strapped(const Circuit& lacking, TerminalId ground_pole, TerminalId body)
        : circuit(lacking), pole(ground_pole) {
        Primitive strap;
        strap.element = Element::joint;
        strap.purpose = Purpose::mounting;
        strap.part = circuit.at(pole).part;
        strap.a = pole;
        strap.b = body;
        strap.life = circuit.at(strap.part).life;
        circuit.primitives.push_back(std::move(strap));
        study = std::make_unique<Study>(circuit);
    }

    Circuit circuit;
    TerminalId pole;
    std::unique_ptr<Study> study; ///< of `circuit`, so it comes after it
};

/// Null where nothing is missing, or not the strap of a battery.
std::unique_ptr<Strapped> with_the_missing_strap(const Study& study) {
    const Circuit& c = study.circuit;
    const auto a_body = [&](PartId id) {
        return c.at(id).kind == Kind::metal && equal_ignoring_case(c.at(id).name, "body") &&
               !study.reference[c.at(id).terminals.front().index];
    };
    const std::vector<PartId> parts(study.now.parts().begin(), study.now.parts().end());
    const auto body = std::ranges::find_if(parts, a_body);
    if (!study.reversed_batteries.empty() || body == parts.end()) return {};
    for (const MissingGround& m : missing_grounds(study, Sides(study), Ends(study))) {
        if (!m.due) continue;
        TerminalId pole = m.pole;
        if (m.source && !m.metal.exists() && c.at(m.users.front()).kind == Kind::battery)
            pole = m.at; // the body is live
        if (pole.exists()) return std::make_unique<Strapped>(c, pole, c.at(*body).terminals.front());
    }
    return {};
}

} // namespace

void assume_once(Report& report, Assumption a) {
    const auto same = [&](const Assumption& o) { return o.subject == a.subject && o.value == a.value; };
    if (std::ranges::none_of(report.assumptions, same)) report.assumptions.push_back(std::move(a));
}

Outcome check(const Study& study) {
    Report report;
    std::size_t run = 0;
    const std::unique_ptr<Strapped> strapped = with_the_missing_strap(study);
    if (strapped) {
        const std::string pole = name_of(study.circuit, strapped->pole);
        assume_once(report,
                    {pole, "a strap to the body for all other checks", "none is drawn, and without one nothing works",
                     "wire from " + pole + " to ground, " + strap_size(study.circuit) + " black, 0.4 m"});
    }
    for (const Rule* rule : table()) {
        if (!rule->run) continue;
        ++run;
        if (study.reversed_batteries.empty() || rule == &reversed_polarity)
            rule->run(strapped && rule != &ground_missing ? *strapped->study : study, report);
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
