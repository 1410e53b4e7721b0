#pragma once
/// What a fuse, breaker or relay sits in: the slot of a box, a holder in the wire, a base with tails.

#include "circuit/view.hpp"
#include "reference/carrying.hpp"

#include <optional>
#include <string>

namespace loomproof::rules {

struct Seat {
    std::string words;    ///< "slot 3 of FB1", "the holder of F1"
    Stated<Amps> carries; ///< what the file says that it may carry
    Span said;
};

/// The seat of a protector whose amps the file tells; nothing where it tells none.
std::optional<Seat> seat_of(const View&, PartId protector);

struct Tails {
    std::string size;            ///< as typed
    reference::Carrying carries; ///< in the place of the part, in insulation of the usual class
    Span said;
};

/// The tails of its holder or base; nothing where the file does not tell their size, or no table reaches.
std::optional<Tails> tails_of(const View&, PartId);

} // namespace loomproof::rules
