#pragma once
/// Text to tokens. Used by the parser alone.

#include "netlist/mistakes.hpp"
#include "netlist/syntax.hpp"

namespace loomproof {

struct Lexed {
    std::vector<Token> tokens; ///< '|' is always a mark here; the parser knows where it ends a statement
    std::vector<Respelling> respelled;
    /// The tokens at which something may turn, in order: ends, braces, bars, and commas right behind another one. All others only go on
    /// with the statement that they stand in, or begin one.
    std::vector<std::uint32_t> turns;
};

/// All tokens of a text, in order, none of them empty; what lies between them is blank, comment or continued line end.
/// Never fails: what cannot be read is a stray token and a mistake. One pass, no recursion.
Lexed lex(std::string_view text, Mistakes& mistakes);

} // namespace loomproof
