#pragma once
/// Mistakes in the text as findings. Inside matter of the reader; the ids are listed in text_ids().

#include "circuit/cursor.hpp"
#include "findings/finding.hpp"
#include "netlist/text_ids.hpp"

#include <span>
#include <string>
#include <string_view>

namespace loomproof {

/// Every id that reading a text can give beyond those of netlist/, with one line for `explain`.
std::span<const TextId> circuit_text_ids();

Finding text_problem(const char* id, Span at, std::string headline, std::string cure = {}, std::string label = {});

/// Runs of blanks and line ends as one blank each.
std::string one_line(std::string_view);
/// A statement with [at] typed in another way, in one line: for cures.
std::string line_with(const Sources&, Span statement, Span at, std::string_view instead);
inline std::string line_with(const Cursor& c, Span at, std::string_view instead) {
    return line_with(*c.sources, c.statement(), at, instead);
}

} // namespace loomproof
