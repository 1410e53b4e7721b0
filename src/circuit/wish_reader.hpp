#pragma once
/// Positions of controls at a cursor. Inside matter of the reader.

#include "circuit/circuit.hpp"
#include "circuit/cursor.hpp"
#include "findings/finding.hpp"

#include <vector>

namespace loomproof {

/// Reads up to the end of the statement. False where something was not understood: then it is among the problems.
bool read_wish(const Circuit&, Cursor&, Wish&, std::vector<Finding>& problems);

/// The part that carries this name last; not existing where none does. Case does not matter.
PartId part_called(const Circuit&, std::string_view name);

} // namespace loomproof
