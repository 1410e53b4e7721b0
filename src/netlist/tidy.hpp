#pragma once
/// The canonical form of a circuit file.

#include "netlist/syntax.hpp"

#include <string>

namespace loomproof {

/// Words that the formatter writes in lower case wherever they stand as a whole token; names and everything in quotes keep
/// their spelling. Handed in by the caller, since the netlist room does not know the language's words.
struct TidyOptions {
    bool (*is_keyword)(std::string_view lower_case_word) = nullptr;
    bool number_wires = false; ///< give every unnamed `wire from ...` the next free name W1, W2, ...
};

/// Rewrites blanks, indentation, quotes, dashes, line ends and the blank between a number and its unit; keeps comments, order,
/// blank lines (at most one), names, spellings of values, everything unknown. Statements with mistakes are left as typed.
/// tidy(tidy(x)) = tidy(x), and reading tidy(x) gives the same circuit as reading x.
std::string tidy(const Sources&, const Tree&, const TidyOptions&);

} // namespace loomproof
