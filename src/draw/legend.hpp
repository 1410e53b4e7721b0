#pragma once
/// What the marks on a sheet mean, in words for whoever holds it.

#include "draw/grounds.hpp"
#include "draw/sketch.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace loomproof::draw {

/// Stands on the first sheet and on every page of contents.
inline constexpr const char* caution =
    "Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.";

/// All marks that occur, or only what is needed beside the sheet, where a page of contents explains the rest.
enum class Explains : unsigned char { all_marks, what_is_needed };

/// Below a sheet, and only what occurs on `sheet`, a part of the sketch with these grounds or that sketch. First which ground signs are one metal and where the battery's
/// minus is on it (`minus_at`: "sheet 1, path 1"; empty = not said); then how sizes and colour letters are read, what a wire is like
/// `black_and_white`, what the marks mean; last the straps that were assumed, by name. A paragraph each.
std::vector<std::string> legend_of(const Sketch& sheet, const Grounds& grounds, const std::string& minus_at = {},
                                   bool black_and_white = false, Explains explains = Explains::all_marks);

/// "Ridgeback pickup; as of the job of 2026-05-02; sheet 3 of 11": whose sheet this is, if it lies alone. Sheet 0 is the overview.
std::string owner_line(const Sketch& whole, std::size_t sheet, std::size_t sheets);

/// For the contents: the same for all sheets together, and the marks that lead from one to the other.
std::vector<std::string> leading_marks(const Sketch& whole, const std::string& minus_at, bool black_and_white = false);

} // namespace loomproof::draw
