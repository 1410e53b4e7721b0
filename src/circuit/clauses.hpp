#pragma once
/// Matching what is said about a part against the patterns of its kind (kind.hpp). Inside matter of the reader.

#include "circuit/cursor.hpp"
#include "circuit/kind.hpp"
#include "findings/finding.hpp"
#include "reference/colours.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof {

/// Everything said in the clauses of one statement.
struct Clauses {
    std::vector<Attribute> attributes; ///< life not yet set
    std::string label;
    std::string place;      ///< as spelled; empty where not said
    Span place_span;
    Colours colours;
    std::string mounting;   ///< "": not said; "*": grounded by its mounting; else the named metal
    bool poisoned = false;
};

struct ClauseReader {
    reference::ColourSet colour_set = reference::ColourSet::undeclared;
    std::vector<Finding>* findings = nullptr;

    /// Reads from the cursor to the statement's end. What no pattern knows is a finding and poisons the result.
    Clauses read(Cursor&, const KindSpec&) const;

    /// A colour at the cursor ("blue/white", "BU/WH", "light green"); nothing and no move where there is none. Letters that can mean
    /// two colours are consumed, reported, and come back empty.
    std::optional<Colours> colour(Cursor&) const;
};

} // namespace loomproof
