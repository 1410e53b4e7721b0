#pragma once
/// The coil of a relay that is wired to what the relay itself feeds.

#include "rules/study.hpp"

#include <optional>

namespace loomproof::rules {

/// From the make contact of a relay to its own coil, over wires, joints, fuses, resistors and meters, and not over its own contacts or coil.
struct OwnOutput {
    TerminalId output; ///< of its make contact, "K1:87"
    TerminalId coil;   ///< the end of the coil that is reached
    TerminalId other;  ///< the coil's other end
    /// The first wire on the way without which what the relay feeds still hangs on it and its coil is still fed from elsewhere: that one
    /// may be taken off. None where each has something else to do.
    WireId to_take_off;
    bool is_return =
        false; ///< the other end is fed from elsewhere, and this one from nowhere: the coil's ground is meant
};

/// Nothing where no such way is there. `coil`: the coil of this relay.
std::optional<OwnOutput> own_output_at(const Study&, PrimitiveId coil);

} // namespace loomproof::rules
