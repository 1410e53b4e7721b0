#pragma once
/// The few forms in which Loomproof sets text on a screen. All lines end with a line end and are printable (columns.hpp).

#include "report/ink.hpp"

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace loomproof::report {

/// Columns from the left edge to the text behind a label.
inline constexpr std::size_t label_width = 11;

/// The text in lines as wide as the screen.
std::string paragraph(const Screen&, std::string_view text);

/// "  why      text", the text hanging; `indent` moves all of it. The label "or" stands at the end of its column, as it joins two
/// texts. Empty for an empty text.
std::string labelled(const Screen&, std::string_view label, std::string_view text, std::size_t indent = 2);

/// Names on the left, what they are on the right, the latter hanging in one column for all rows; below it where a narrow screen has no room beside.
std::string in_columns(const Screen&, const std::vector<std::pair<std::string, std::string>>& rows);

} // namespace loomproof::report
