#pragma once
/// All symbols on one sheet, each with its terminals and what it stands for: for people to check, and for those who read a drawing
/// for the first time.

#include "draw/draw.hpp"

#include <vector>

namespace loomproof::draw {

/// At least one for each kind, and one for each form that a kind may have (FuseStyle, Operated, Suppression, JointStyle ...), in the
/// order of the sheet.
std::vector<Symbol> symbol_samples();

/// The samples on one page, four side by side. The same bytes every time.
Drawing draw_symbols(bool black_and_white = false);

} // namespace loomproof::draw
