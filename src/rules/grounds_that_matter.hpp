#pragma once
/// Grounds between which a few tenths of a volt falsify something: of a sender or sensor and of the gauge or unit that reads it, of two
/// units that exchange a signal.

#include "rules/study.hpp"

#include <vector>

namespace loomproof::rules {

struct GroundPair {
    enum class Reads {
        gauge,  ///< a needle: it divides the system's volts between itself and its sender
        unit,   ///< the input of an electronic unit
        signal, ///< two units with a `signal` or `screen` wire between them: audio, a tachometer's pulses
        alone,  ///< who reads it is not drawn: `there` is the metal, or where there is none the battery's ground pole
    };
    TerminalId here; ///< the ground of the sender or sensor; of the first unit; of the one that is alone
    TerminalId there;
    Reads reads{};
};

/// In text order, each once; only where both are joined to the battery's ground by wires, joints and straps alone, and at different
/// terminals.
std::vector<GroundPair> grounds_that_matter(const Study&);

} // namespace loomproof::rules
