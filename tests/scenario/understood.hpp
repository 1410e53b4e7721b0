#pragma once
/// A scenario as Loomproof reads it, for the property tests.

#include "circuit/read.hpp"
#include "netlist/source.hpp"
#include "support/scenario/scenario.hpp"

#include <string>

namespace loomproof::scenario {

/// Texts and what was read of them; findings cite into `sources`.
struct Understood {
    Sources sources;
    Reading reading;

    explicit Understood(const Written& text) {
        const Loader loader = [text](const std::string& path) -> Result<std::string> {
            for (const Written::File& file : text.files) {
                if (file.path == path) { return file.text; }
            }
            return failure("There is no " + path + ".");
        };
        reading = read_circuit(sources, text.files.front().path, loader);
    }
    Understood(const Understood&) = delete;
    Understood& operator=(const Understood&) = delete;

    const Circuit& circuit() const { return reading.circuit; }
    /// Rule, place and headline of each finding, a line each; for messages.
    std::string told(const std::vector<Finding>& findings) const;
    /// Does one of its citations stand on that line?
    bool cites(const Finding&, const Written&, const Written::Line&) const;
};

} // namespace loomproof::scenario
