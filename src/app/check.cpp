#include "app/checking.hpp"
#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "app/typed_name.hpp"
#include "report/check_text.hpp"
#include "rules/rule.hpp"
#include "solve/part_models.hpp"

#include <algorithm>
#include <array>
#include <optional>

namespace loomproof::rules {
extern const Rule still_to_wire; // rule_list.hpp lists it
}

namespace loomproof::app {

namespace {

Severity threshold_of(const Given& given) {
    constexpr std::array all{Severity::danger, Severity::fault, Severity::advice, Severity::note};
    const auto at =
        std::find_if(all.begin(), all.end(), [&](Severity s) { return given.value("--threshold") == word(s); });
    return at == all.end() ? Severity::fault : *at;
}

bool counts(const std::vector<Finding>& findings, Severity threshold) {
    return std::any_of(findings.begin(), findings.end(),
                       [&](const Finding& f) { return report::worst_of(f) <= threshold; });
}

/// What is left to wire has a place of its own on the page.
std::vector<std::string> take_out_still_to_wire(std::vector<Finding>& findings) {
    std::vector<std::string> ends;
    std::erase_if(findings, [&](const Finding& f) {
        if (f.rule != rules::still_to_wire.id) return false;
        ends.insert(ends.end(), f.subjects.begin(), f.subjects.end());
        return true;
    });
    return ends;
}

/// Rules do not know the file's name: "loomproof trace FILE ..." gets it here, so that the line can be copied as it stands.
void name_the_file(std::string& text, const std::string& typed) {
    for (const std::string_view command : {"loomproof trace FILE", "loomproof predict FILE"})
        for (std::size_t at = 0; (at = text.find(command, at)) != std::string::npos;) {
            const std::size_t word = at + command.size() - std::string_view("FILE").size();
            text.replace(word, std::string_view("FILE").size(), typed);
            at = word + typed.size();
        }
}
void name_the_file(std::vector<Finding>& findings, const std::string& typed) {
    for (Finding& f : findings) {
        for (Remedy& cure : f.cures) name_the_file(cure.text, typed);
        name_the_file(f.measure, typed);
        name_the_file(f.consequences, typed);
    }
}

} // namespace

std::optional<report::Checked> checked_file(const std::string& file, Sources& sources, Console& console,
                                            const std::function<void(const std::string&)>& before_each) {
    std::optional<Reading> reading = read(file, sources, console, before_each);
    if (!reading) return std::nullopt;

    report::Checked out = checked(*reading, rules::Study(reading->circuit));
    if (file != "-") { // what came on standard input has no name to type
        name_the_file(out.outcome.findings, typed_name(file));
        name_the_file(out.outcome.accepted, typed_name(file));
        for (rules::NotChecked& open : out.outcome.not_checked) name_the_file(open.measure, typed_name(file));
    }
    return out;
}

report::Checked checked(const Reading& reading, const rules::Study& study) {
    report::Checked checked;
    checked.mistakes = reading.findings;
    checked.outcome = rules::check(study);
    checked.assumptions = reading.circuit.assumptions;
    checked.assumptions.insert(checked.assumptions.end(), checked.outcome.assumptions.begin(),
                               checked.outcome.assumptions.end());
    for (Assumption& a : solve::contacts_assumed(study.now)) checked.assumptions.push_back(std::move(a));
    checked.still_to_wire = take_out_still_to_wire(checked.outcome.findings);
    checked.nothing_described = describes_nothing(reading.circuit);
    return checked;
}

Exit check(const Given& given, Console& console) {
    Sources sources;
    const auto checked = checked_file(given.value("FILE"), sources, console);
    if (!checked) return Exit::failed;
    console.out = report::check_text(*checked, sources, console.screen(), {given.has("--all")});

    const Severity threshold = threshold_of(given);
    if (counts(checked->mistakes, threshold) || counts(checked->outcome.findings, threshold)) return Exit::found;
    return checked->nothing_described ? Exit::failed : Exit::clean;
}

} // namespace loomproof::app
