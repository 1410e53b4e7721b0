#pragma once
/// How thick a battery's ground strap has to be where none is drawn.

#include "circuit/circuit.hpp"

#include <string>

namespace loomproof {

/// A size as it is typed ("16 mm2", "2 awg"): that of the thickest cable at the other pole of a battery or at a starter, and at least what
/// carries the largest load of the file (a starter counts for half: it cranks for seconds, common practice, no source); 16 mm2 at least.
std::string strap_size(const Circuit&);

} // namespace loomproof
