#pragma once
/// Readable forms of what the netlist room makes, for tests.

#include "netlist/syntax.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace loomproof::test {

/// A text and its syntax. The tree refers to the sources, so both live here.
struct Read {
    Sources sources;
    Parsed parsed;

    const Tree& tree() const { return parsed.tree; }
};

Read read(std::string_view text);

/// One statement a line, blocks indented by two. Tokens as the language sees them: words plain, texts between straight quotes,
/// strays between < >, a blank between two tokens that are not glued. ` {` and `}` around children, `{?` for a block
/// that is never closed, `{}` for one without statements.
std::string dump(const Read&);

/// One line for each finding: "LINE:COLUMN rule headline".
std::string findings(const Read&);
/// The rules of all findings, a blank between them.
std::string rules(const Read&);

/// The text put together again from tokens and what lies between them.
std::string rebuilt(const Read&);
/// What is wrong with the shape of the tree; empty where all is well: tokens in order and within the text, gaps holding nothing but
/// blanks and comments, statements in order and apart, links that agree, every token in a statement or a known mark outside.
std::string flaw(const Read&);

} // namespace loomproof::test
