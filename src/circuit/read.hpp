#pragma once
/// Text to circuit.

#include "circuit/circuit.hpp"
#include "findings/finding.hpp"
#include "netlist/syntax.hpp"

#include <deque>
#include <string>
#include <vector>

namespace loomproof {

struct Reading {
    Circuit circuit;
    std::vector<Finding> findings; ///< rule "text-...": what could not be understood, in text order
    std::deque<Tree> trees;        ///< one for each source, in the order of Sources
    /// False where a file could not be read at all; `failure` then says why, and the circuit is empty.
    bool readable = true;
    std::string failure;
};

/// Reads `path` and what it `use`s through `loader`, and builds the circuit. `sources` receives the texts and must outlive the
/// result. A mistake is a finding and poisons only the thing it stands in; reading never stops at one.
Reading read_circuit(Sources& sources, const std::string& path, const Loader& loader);

/// The same for one text at hand (tests, standard input). `use` finds nothing.
Reading read_circuit_text(Sources& sources, const std::string& name, std::string text);

/// One line for each part, terminal, wire, primitive, control, assumption: readable and stable, for tests.
/// Two texts that mean the same give the same dump.
std::string dump(const Circuit&);

/// Words of the language in lower case, for tidy and for nearest-name messages.
bool is_keyword(std::string_view lower_case_word);

} // namespace loomproof
