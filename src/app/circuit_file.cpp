#include "app/circuit_file.hpp"

#include "app/loader.hpp"

#include <algorithm>

namespace loomproof::app {

std::optional<Reading> read(const std::string& file, Sources& sources, const Console& console,
                            const std::function<void(const std::string&)>& before_each) {
    if (file == "-" && console.keyboard_is_input())
        console.say("Reading the circuit from the keyboard; Ctrl-D ends it.");
    const FileLoader files(file);
    Reading reading = read_circuit(sources, file, [&](const std::string& path) {
        if (before_each) before_each(path);
        return files(path);
    });
    if (reading.readable) return reading;
    console.say(reading.failure);
    return std::nullopt;
}

bool describes_nothing(const Circuit& circuit) {
    const auto written = [](const auto& thing) {
        return thing.origin.provenance != Provenance::assumed && thing.span.exists();
    };
    return std::none_of(circuit.wires.begin(), circuit.wires.end(), written) &&
           std::none_of(circuit.parts.begin(), circuit.parts.end(), written);
}

} // namespace loomproof::app
