#pragma once
/// What hangs behind a wire or a fuse: a bound by structure, until the solved circuit knows what runs together.

#include "rules/study.hpp"

#include <vector>

namespace loomproof::rules {

struct LoadsBehind {
    /// It is the only way to them: what they take goes through it. False: it lies in a loop, and nothing is said.
    bool only_way = false;
    Amps sum;                    ///< all at once
    Amps largest;                ///< the largest single one
    std::vector<PartId> parts;   ///< each once, in text order
    std::vector<PartId> unknown; ///< of these, whose current nobody stated
};

/// Loads that a live pole feeds over this wire or protector, contacts that can close counted as closed, with `near` the end towards
/// the source.
LoadsBehind loads_behind(const Study&, EdgeRef, TerminalId near);

} // namespace loomproof::rules
