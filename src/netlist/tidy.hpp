#pragma once
/// The canonical form of a circuit file.

#include "netlist/syntax.hpp"

#include <cstddef>
#include <string>
#include <string_view>

namespace loomproof {

/// What the formatter must be told about the language, since the netlist room does not know its words. Each may be null:
/// then that is left as typed.
struct TidyOptions {
    /// Words written in lower case wherever they stand as a whole token, except glued behind a colon, where stamps stand. Names
    /// ignore case, so a name that is such a word means the same afterwards; everything in quotes keeps its spelling.
    bool (*is_keyword)(std::string_view lower_case_word) = nullptr;
    /// Where in a word its unit begins ("12v" -> 2), 0 where the word is not a number with a known unit. Asked only where a
    /// figure can stand, never where a stamp may ("connects 30 with 87a").
    std::size_t (*split_unit)(std::string_view word) = nullptr;
    /// Gives every unnamed `wire from ...` the next name W1, W2, ..., beyond the highest number that stands in the text.
    bool number_wires = false;
};

/// Rewrites the text behind a tree:
/// - two blanks for each block; a statement that goes on over several lines keeps its lines, four blanks further in;
/// - a block written in one line stays so, every other has one statement a line;
/// - at most one empty line, none at the ends of a block or of the text; line ends are LF;
/// - one blank between words, behind commas, around braces, `|` and sums; none before a comma; a comma at the end is dropped;
///   elsewhere one blank where there was any (`K1:30`, `off*`, `X7:1: W14x`);
/// - straight quotes, '-' for every dash, '*' for multiplication signs, ".." for ellipses;
/// - in runs of `wire` statements the names, the clause behind the route and the next one stand in columns, so do `connects`
///   and, in runs of `expect`, `when`; comments behind statements line up.
/// Comments, order, names, spellings of values and everything unknown stay. A statement with a mistake keeps what stands
/// between its first and last token; a text whose braces do not match is given back as it is.
///
/// tidy(tidy(x)) = tidy(x), and reading tidy(x) gives the same statements as reading x. Linear in time and memory.
std::string tidy(const Sources&, const Tree&, const TidyOptions&);

} // namespace loomproof
