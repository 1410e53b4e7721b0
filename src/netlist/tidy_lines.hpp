#pragma once
/// Lines of a tidied text before their columns are known. Used by tidy alone.

#include <array>
#include <cstddef>
#include <string>
#include <vector>

namespace loomproof {

/// What lines up with what.
enum class Layout {
    none,
    wire,        ///< name | from ... to ..., | size, | the rest
    position,    ///< a switch position | connects ...
    expectation, ///< expect ... | when ...
    comment,     ///< a comment on a line of its own; runs go on over it
    as_typed,    ///< a statement with a mistake; runs go on over it
};

struct TidyLine {
    static constexpr std::size_t most_cells = 4;

    std::size_t indent = 0;
    Layout layout = Layout::none;
    std::array<std::string, most_cells> cells; ///< the text, cut where a column begins; no blanks at their ends
    std::size_t count = 0;                     ///< cells in use
    std::string comment;                       ///< behind the text, with its //; may be empty

    explicit TidyLine(std::size_t indent_ = 0, std::string text = {}, Layout layout_ = Layout::none)
        : indent(indent_), layout(layout_), count(1) {
        cells[0] = std::move(text);
    }
};

/// Writes lines that stand together (no empty line between them) with their columns aligned. Widths count characters. A cell
/// much wider than its neighbours stands out rather than pushing all the others away.
void write_paragraph(std::vector<TidyLine>& lines, std::string& out);

} // namespace loomproof
