#pragma once
/// Matching what is said about a part against the patterns of its kind (kind.hpp). Inside matter of the reader.

#include "circuit/cursor.hpp"
#include "circuit/kind.hpp"
#include "findings/finding.hpp"
#include "reference/colours.hpp"

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace loomproof {

/// Everything said in the clauses of one statement.
struct Clauses {
    std::vector<Attribute> attributes; ///< life not yet set
    std::string label;
    std::string place; ///< as spelled; empty where not said
    Span place_span;
    Colours colours;
    std::string mounting; ///< "": not said; "*": grounded by its mounting; else the named metal
    bool poisoned = false;
};

/// A part said once for many: `type H4 is a lamp, 60/55 W`.
struct PartType {
    const KindSpec* kind = nullptr;
    std::string name;
    Clauses clauses;
    Span span;
};
using KnownTypes = std::map<std::string, PartType>; ///< by lower-case name

using KnownPlaces = std::map<std::string, PlaceId>; ///< by lower-case name

/// The place at the cursor, and moves behind it: a word, a text, or the words of a place that is known ("engine bay" for
/// engine-bay). Empty where none stands there.
std::string take_place(Cursor&, const KnownPlaces*);

/// "in kick panel": the word at the cursor stands right behind `in WORD`. The problem, or nothing.
std::optional<Finding> place_of_several_words(const Cursor&);

struct ClauseReader {
    reference::ColourSet colour_set = reference::ColourSet::undeclared;
    std::vector<Finding>* findings = nullptr;
    const KnownPlaces* places = nullptr;
    const KnownTypes* types = nullptr;

    /// Reads from the cursor to the statement's end. What no pattern knows is a finding and poisons the result.
    Clauses read(Cursor&, const KindSpec&) const;

    /// The type that stands at the cursor, "H4" or "as "mini 4-pin"", and moves behind it; null, and no move, where none does.
    const PartType* take_type(Cursor&, const KindSpec&) const;

    /// Does something that may be said about this kind stand at the cursor?
    bool knows(const Cursor&, const KindSpec&) const;
    /// Is the word at the cursor near to one that may be said about this kind?
    static bool is_near(const Cursor&, const KindSpec&);

    /// A colour at the cursor ("blue/white", "BU/WH", "light green"); nothing and no move where there is none. Letters that can mean
    /// two colours are consumed, reported, and come back empty.
    std::optional<Colours> colour(Cursor&) const;
};

} // namespace loomproof
