#pragma once
/// Figures and colours as people type them on a phone that no pattern reads: each with the line as it should stand. Inside matter of
/// the reader.

#include "circuit/circuit.hpp"
#include "circuit/cursor.hpp"
#include "findings/finding.hpp"

#include <optional>
#include <string>
#include <utility>

namespace loomproof {

/// "2 x 55 W", "2x55W"; "2-3 m"; "60-0-60 A"; "duty 10 %"; "30/40 A" and "solid-state" of a relay (Kind::not_known: of a wire). Nothing where
/// none of them stands at the cursor, which does not move.
std::optional<Finding> slip_in_figure(const Cursor&, Kind);

/// Is the number at the cursor followed by what may follow a figure: the end, a comma, a text?
bool stands_alone(const Cursor&);

/// Moves over what only says what the next figure or colour is: "length" of "length 2 m", "colour" of "colour: red".
bool skip_word_before_figure(Cursor&);

/// "schwarz", "braun/weiss" in English, and where it stands; empty where the cursor is at no German word for a colour.
std::pair<Span, std::string> german_colour(Cursor);

/// "from F1 to L1 via X7:1": the line with the plug where it belongs. Nothing where no plug is named at the cursor behind "via" or "through".
std::optional<Finding> plug_behind_ends(const Cursor&);

} // namespace loomproof
