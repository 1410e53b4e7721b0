#pragma once
/// What the marks on a sheet mean, in words for whoever holds it.

#include "draw/sketch.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// Stands on the first sheet and on every page of contents.
inline constexpr const char* caution =
    "Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.";

/// Below a sheet, a line each: dotted lines (metal on metal, and straps that were assumed, by name), and that all feet on the body stand on one
/// and the same metal. Only what occurs on `sheet`, a part of `whole` or `whole` itself.
std::vector<std::string> legend_of(const Sketch& sheet, const Sketch& whole);

/// The marks that lead from sheet to sheet.
std::vector<std::string> leading_marks(const Sketch& whole);

} // namespace loomproof::draw
