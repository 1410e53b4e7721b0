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

/// Below a sheet, a line each: what sizes and colour letters mean, joints, plugs, wires that were there before, dotted lines (metal on metal, and
/// straps that were assumed, by name), which studs are one metal and where the battery's minus joins it (spot_blank, to be filled in with the
/// spot of minus_foot), and that all feet on the body stand on one and the same metal. Only what occurs on `sheet`, a part of `whole` or `whole`.
std::vector<std::string> legend_of(const Sketch& sheet, const Sketch& whole);

/// Stands where a sheet and a path go that are not known yet.
inline constexpr const char* spot_blank = "sheet\u00A088,\u00A0path\u00A088";

/// The foot at which the battery's minus is wired to a stud: an index of `whole`, -1 where there is none.
int minus_foot(const Sketch& whole);

/// "Ridgeback pickup; as of the job of 2026-05-02; sheet 3 of 11": whose sheet this is, if it lies alone. Sheet 0 is the overview.
std::string owner_line(const Sketch& whole, std::size_t sheet, std::size_t sheets);

/// The marks that lead from sheet to sheet.
std::vector<std::string> leading_marks(const Sketch& whole);

} // namespace loomproof::draw
