#pragma once
/// The lossless syntax of a circuit file: tokens grouped into statements, statements into blocks.
///
/// The netlist room knows the shape of the language, not its words: what a fuse is, circuit/ knows. A file is a list of
/// statements, one a line; a statement is a run of tokens, perhaps followed by a block `{ ... }` of statements.
/// Inside a block `|` ends a statement as a line end does. A line that ends with a comma goes on in the next line if that
/// one is indented deeper than the statement's first line. Comments start with // and run to the line end.
///
/// Everything of the text is either inside a token or between two tokens (blanks and comments), so the text can be
/// rebuilt byte by byte from the source and the tree.

#include "base/span.hpp"
#include "findings/finding.hpp"
#include "netlist/source.hpp"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

enum class TokenKind : std::uint8_t {
    /// A word, name or number: a run of letters, digits, _ and any byte of a non-ASCII character that is not a quote or dash;
    /// '.' between two such characters, '-' between two such characters, and '/' never. "0.15", "4-pin", "12v", "engine-bay", "mm2".
    word,
    /// Text in quotes, straight or curly, on one line. The span holds the quotes.
    text,
    /// One of  , : / { } | * + - = ( ) # % & ; or ".."; all dashes of a phone (en, em, minus) count as '-', a multiplication sign as '*'.
    mark,
    /// Line end, or '|' inside a block: ends a statement.
    end,
    /// A byte or character that has no place in a circuit file.
    stray,
};

struct Token {
    TokenKind kind = TokenKind::end;
    char mark = 0;          ///< for marks: the ASCII form ('.' stands for ".."); otherwise 0
    bool glued = false;     ///< no blank or comment between the previous token and this one
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
};

/// A statement: tokens [first, last) without its ending, then its block, if any.
struct Statement {
    static constexpr std::uint32_t none = 0xffffffff;
    std::uint32_t first = 0; ///< index of its first token
    std::uint32_t last = 0;  ///< one past its last token (before '{' or the line end)
    std::uint32_t open = none;  ///< token index of '{', or none
    std::uint32_t close = none; ///< token index of '}', or none (also where it is missing)
    std::uint32_t parent = none;
    std::uint32_t first_child = none;
    std::uint32_t next = none; ///< next statement of the same block
};

/// The syntax of one source. Holds no text of its own: it is valid as long as the Sources it was made from.
struct Tree {
    std::uint32_t source = 0;
    std::vector<Token> tokens;
    std::vector<Statement> statements; ///< in text order; a block's children follow their parent
    std::uint32_t first = Statement::none; ///< first top-level statement

    Span span(const Token& t) const { return {source, t.begin, t.end}; }
    Span span(const Statement& s) const; ///< first to last token, the block included
    Span head(const Statement& s) const; ///< first to last token, the block left out
};

/// The word as the language sees it: for a `text` token without its quotes, for other tokens as typed.
std::string_view spelling(const Sources&, const Tree&, const Token&);

struct Parsed {
    Tree tree;
    std::vector<Finding> findings; ///< rule "text-...": each with span, reason and cure; the tree is whole without the bad pieces
};

/// Never fails: what cannot be understood is a finding, and reading goes on at the next statement. Blocks deeper than
/// 16 are a finding and are skipped. Linear in time and memory (about 16 bytes a token).
Parsed parse(const Sources&, std::uint32_t source);

} // namespace loomproof
