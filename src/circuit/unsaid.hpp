#pragma once
/// Between which bounds a wire lies of which nobody said how long or how thick it is: printed as an assumption where it matters, and
/// weighed by every rule whose verdict hangs on it (solve/bounds.hpp).

#include "circuit/circuit.hpp"

#include <string>

namespace loomproof {

/// Of a wire in a car; common practice, no source.
inline constexpr Metres least_unsaid_length{0.1}, most_unsaid_length{8};
inline constexpr SquareMetres least_unsaid_size{0.5e-6};

struct UnsaidSize {
    SquareMetres copper;
    std::string words;     ///< "6 mm2"
    bool for_fuse = false; ///< more than in a car, as the largest fuse asks for it
};
/// 6 mm2, as in a car (common practice, no source), or the thinnest metric size that carries the file's largest fuse or breaker (at
/// 30 degC): behind a 100 A fuse hardly anybody runs a thin wire.
UnsaidSize most_unsaid_size(const Circuit&);

} // namespace loomproof
