#pragma once
/// What to type about each kind of part: one line that reads as it stands, and what each pattern looks like when typed. For help and messages.

#include "circuit/kind.hpp"

#include <span>
#include <string>
#include <string_view>

namespace loomproof {

/// One thing that may be said, with invented figures in its gaps: "{A} make" is "20 A make".
std::string as_typed(const AttrSpec&);

/// A statement that describes no part: a wire, a job, what is expected.
struct StatementExample {
    const char* words;  ///< what it is looked for by, in small letters, with commas between
    const char* means;  ///< whole sentences
    const char* line;   ///< may be several, within a job
    const char* before; ///< what has to stand in the file before it for it to be read; not for show
};
std::span<const StatementExample> statement_examples();
/// By any of its words; null where there is none.
const StatementExample* find_statement_example(std::string_view);

/// "joined to the fed side while it is pulled in": what a terminal is for; empty where its name says it.
std::string_view purpose_of(Role);

} // namespace loomproof
