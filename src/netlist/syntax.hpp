#pragma once
/// The lossless syntax of a circuit file: tokens grouped into statements, statements into blocks.
///
/// The netlist room knows the shape of the language, not its words: what a fuse is, circuit/ knows. A file is a list of
/// statements, one a line; a statement is a run of tokens, perhaps followed by a block `{ ... }` of statements.
///
/// - A line that ends with a comma goes on in the next line that holds something, if that one is indented deeper than
///   the line on which the statement began (a tab reaches to the next column that is a multiple of eight).
/// - A block whose first statement stands on the line of its `{` is a short block: in it `|` ends a statement as a line
///   end does (`{ cold* | hot connects 1 with 2 }`). In every other block, and outside blocks, `|` is a mark like any
///   other (`1 mm2 BU/WH | BK`).
/// - A comma at the end of a statement, or alone on a line, says nothing and belongs to no statement.
/// - Comments start with // outside quotes and run to the line end.
/// - A text in quotes cannot hold its own kind of quotes, double or single, and has no escapes. 'the "big" lamp' is fine.
///
/// Everything of the text is either inside a token or between two tokens (blanks, comments, empty lines, and the line ends
/// inside a statement), so the text can be rebuilt byte by byte from the source and the tree.
///
/// What cannot be read becomes a token of kind `stray`, and every stray token has been reported in a finding. Who reads the
/// tree keeps silent about it: a clause with a stray token has no known value, what is missing in a statement with a stray
/// token is not missed, a statement that begins with one, or has no head, is left out. Likewise two commas with nothing
/// between are reported here and mean nothing.

#include "base/span.hpp"
#include "findings/finding.hpp"
#include "netlist/source.hpp"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

enum class TokenKind : std::uint8_t {
    /// A word, name or number: a run of word characters (letters, digits, _ and any non-ASCII character that is no blank, quote,
    /// dash or symbol), with '.' and dashes between two of them, and '.' before a digit. "0.15", ".5", "4-pin", "12v", "mm2", "mm²".
    word,
    /// Text in quotes, straight or curly, double or single, on one line. The span holds the quotes.
    text,
    /// One of  , : / { } | * + - = ( ) # % & ; or "..", see Token::mark.
    mark,
    /// Line end, or '|' in a short block: ends a statement. Line ends that end no statement are no tokens.
    end,
    /// Something that cannot be read; reported already.
    stray,
};

/// Twelve bytes. Offsets are bytes of the source text.
struct Token {
    TokenKind kind = TokenKind::end;
    /// For marks the ASCII form: '-' for all dashes of a phone (hyphen, en, em, minus), '*' for multiplication signs, '.' for ".."
    /// (two or more dots, or an ellipsis). For ends '|' or '\n'. Otherwise 0.
    char mark = 0;
    bool glued = false; ///< nothing that takes room between the previous token and this one, and neither is a line end
    bool respelled = false; ///< a word typed with other dashes than '-': Tree::respelled holds it with '-'
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
};

/// A statement: tokens [first, last) without its ending, then its block, if any. None of its tokens is an end.
struct Statement {
    static constexpr std::uint32_t none = 0xffffffff;
    std::uint32_t first = 0; ///< index of its first token
    std::uint32_t last =
        0; ///< one past its last token (before a closing comma, '{' or the line end); = first: a block without head, reported
    std::uint32_t open = none;  ///< token index of '{', or none
    std::uint32_t close = none; ///< token index of '}', or none (also where it is missing)
    std::uint32_t parent = none;
    std::uint32_t first_child = none;
    std::uint32_t next = none; ///< next statement of the same block
};

struct Respelling {
    std::uint32_t begin = 0; ///< Token::begin
    std::string word;
};

/// The syntax of one source. Holds no text of its own but a few respelled words: it is valid as long as the Sources it was
/// made from.
struct Tree {
    std::uint32_t source = 0;
    std::vector<Token> tokens;
    std::vector<Statement> statements;     ///< in text order; a block's children follow their parent
    std::uint32_t first = Statement::none; ///< first top-level statement
    std::vector<Respelling> respelled;     ///< in text order

    Span span(const Token& t) const { return {source, t.begin, t.end}; }
    Span span(const Statement& s) const; ///< first to last token, the block included
    Span head(const Statement& s) const; ///< first to last token, the block left out; empty where there is no head
};

/// The word as the language sees it: for a `text` token without its quotes, for marks and for dashes in words the ASCII form,
/// else as typed. Lives as long as both arguments.
std::string_view spelling(const Sources&, const Tree&, const Token&);

struct Parsed {
    Tree tree;
    std::vector<Finding> findings; ///< rules of text_ids.hpp, in text order: each with span, reason and cure
};

/// Blocks inside blocks, at most.
inline constexpr std::size_t deepest_block = 16;
/// Mistakes listed for one text, at most; beyond it one more finding says how many more there are.
inline constexpr std::size_t most_mistakes = 1000;

/// Never fails: what cannot be understood is a finding, and reading goes on at the next statement. A statement whose block
/// lies deeper than `deepest_block` keeps its braces but gets no children. Where braces do not match, the indentation
/// decides which block was left open, so that what follows is still read where it belongs.
/// Linear in time and memory (12 bytes a token, 28 a statement), no recursion.
Parsed parse(const Sources&, std::uint32_t source);

} // namespace loomproof
