#pragma once
/// What the marks on a sheet mean, in words for whoever holds it.

#include "draw/sketch.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace loomproof::draw {

/// Stands on the first sheet and on every page of contents.
inline constexpr const char* caution =
    "Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.";

/// Below a sheet, a line each: dotted lines (metal on metal, and straps that were assumed, by name), and that all feet on the body stand on
/// one and the same metal. Only what occurs on `sheet`, a part of `whole` or `whole`.
std::vector<std::string> legend_of(const Sketch& sheet, const Sketch& whole);

/// "Ridgeback pickup; as of the job of 2026-05-02; sheet 3 of 11": whose sheet this is, if it lies alone. Sheet 0 is the overview.
std::string owner_line(const Sketch& whole, std::size_t sheet, std::size_t sheets);

/// For the contents: the marks that lead from sheet to sheet, what sizes and colour letters mean, joints, plugs and wires that were there
/// before, which studs are one metal, and the lines of legend_of.
std::vector<std::string> leading_marks(const Sketch& whole);

} // namespace loomproof::draw
