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

/// Below a sheet, what it takes to read it where it lies alone, and only what occurs on `sheet`, a part of `whole` or `whole`: how sizes and
/// colour letters are read, what the marks mean, which studs are one metal and where the battery's minus is (`minus_at`: "sheet 1, path 1";
/// empty = not said), dotted lines (metal on metal, and straps that were assumed, by name), what a wire is like `black_and_white`. A paragraph each.
std::vector<std::string> legend_of(const Sketch& sheet, const Sketch& whole, const std::string& minus_at = {},
                                   bool black_and_white = false);

/// The foot at which the battery's minus is wired to a stud; index of the symbol, -1 where there is none.
int minus_foot(const Sketch& whole);

/// "Ridgeback pickup; as of the job of 2026-05-02; sheet 3 of 11": whose sheet this is, if it lies alone. Sheet 0 is the overview.
std::string owner_line(const Sketch& whole, std::size_t sheet, std::size_t sheets);

/// For the contents: the same for all sheets together, and the marks that lead from one to the other.
std::vector<std::string> leading_marks(const Sketch& whole, bool black_and_white = false);

} // namespace loomproof::draw
