#pragma once
/// Text as a terminal shows it: how many columns it takes, where it may be broken, what must never reach a terminal.
///
/// Widths follow East Asian Width of Unicode 14.0 (UAX 11) by block: ideographs, kana, hangul, full-width forms and emoji take two
/// columns, combining marks and joiners none, all else one. The locale is never asked.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::report {

/// One code point of a text as it is shown.
struct Glyph {
    std::size_t begin = 0;   ///< its first byte in the text
    std::size_t end = 0;     ///< one past its last byte
    std::size_t columns = 1; ///< 0, 1 or 2; a tab: 1 (who shows lines knows where it stops)
    /// What is shown: its own bytes, or U+FFFD where a terminal could be led astray: control characters (also escape), bytes
    /// that are not UTF-8, marks that turn the reading direction round. A tab stays a tab.
    std::string_view shown;
};

/// The text cut into its code points. The views live as long as `text`.
std::vector<Glyph> glyphs(std::string_view text);

/// The text with everything replaced that must not reach a terminal; tabs and line ends become blanks.
std::string printable(std::string_view text);

/// Columns that a text takes once it is printable.
std::size_t columns(std::string_view text);

/// Sets a text into lines of at most `room` columns, the first line of at most `first_room`. Breaks at blanks only, never between
/// a figure and its unit ("0.8 m", "2.5 mm2"); a single word wider than the room is cut.
/// Always at least one line; the lines are printable and carry no blank at either end.
std::vector<std::string> wrap(std::string_view text, std::size_t first_room, std::size_t room);

} // namespace loomproof::report
