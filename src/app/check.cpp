#include "app/command.hpp"
#include "app/loader.hpp"
#include "circuit/read.hpp"
#include "report/check_text.hpp"
#include "rules/all.hpp"

#include <algorithm>
#include <array>

namespace loomproof::app {

namespace {

Severity threshold_of(const Given& given) {
    constexpr std::array all{Severity::danger, Severity::fault, Severity::advice, Severity::note};
    const auto at =
        std::find_if(all.begin(), all.end(), [&](Severity s) { return given.value("--threshold") == word(s); });
    return at == all.end() ? Severity::fault : *at;
}

/// Is there anything in it that somebody wrote down?
bool describes_nothing(const Circuit& circuit) {
    const auto written = [](const auto& thing) {
        return thing.origin.provenance != Provenance::assumed && thing.span.exists();
    };
    return std::none_of(circuit.wires.begin(), circuit.wires.end(), written) &&
           std::none_of(circuit.parts.begin(), circuit.parts.end(), written);
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

} // namespace

Exit check(const Given& given, Console& console) {
    const std::string file = given.value("FILE");
    if (file == "-" && console.keyboard_is_input())
        console.say("Reading the circuit from the keyboard; Ctrl-D ends it.");
    Sources sources;
    Reading reading = read_circuit(sources, file, FileLoader(file));
    if (!reading.readable) {
        console.say(reading.failure);
        return Exit::failed;
    }

    const rules::Study study(reading.circuit);
    report::Checked checked;
    checked.mistakes = std::move(reading.findings);
    checked.outcome = rules::check(study);
    checked.assumptions = reading.circuit.assumptions;
    checked.still_to_wire = take_out_still_to_wire(checked.outcome.findings);
    checked.nothing_described = describes_nothing(reading.circuit);
    console.out = report::check_text(checked, sources, console.screen(), {given.has("--all")});

    const Severity threshold = threshold_of(given);
    if (counts(checked.mistakes, threshold) || counts(checked.outcome.findings, threshold)) return Exit::found;
    return checked.nothing_described ? Exit::failed : Exit::clean;
}

} // namespace loomproof::app
