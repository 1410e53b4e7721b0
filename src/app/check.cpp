#include "app/command.hpp"
#include "app/loader.hpp"
#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "report/check_text.hpp"
#include "rules/rule.hpp"

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
    for (const StillToWire& s : reading.circuit.still_to_wire)
        checked.still_to_wire.push_back(name_of(reading.circuit, s.terminal));
    checked.nothing_described = describes_nothing(reading.circuit);
    console.out = report::check_text(checked, sources, console.screen(), {given.has("--all")});

    const Severity threshold = threshold_of(given);
    if (counts(checked.mistakes, threshold) || counts(checked.outcome.findings, threshold)) return Exit::found;
    return checked.nothing_described ? Exit::failed : Exit::clean;
}

} // namespace loomproof::app
