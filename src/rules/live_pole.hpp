#pragma once

#include "circuit/circuit.hpp"

namespace loomproof::rules {

/// A pole from which a fault current can start, with the source behind it.
struct LivePole {
    TerminalId pole;
    PrimitiveId source;
    bool operator==(const LivePole&) const = default;
};

} // namespace loomproof::rules
