#pragma once
/// What somebody began to type and did not finish: a figure whose unit is missing, a feed whose "when" stands in no quotes, a stripe that
/// is no colour. Each answer is the statement as it should be typed, with the writer's own figures and words. Inside matter of the reader.

#include "circuit/cursor.hpp"
#include "circuit/figures.hpp"
#include "circuit/kind.hpp"
#include "findings/finding.hpp"
#include "reference/colours.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof {

/// The unit that belongs in a gap of a pattern: "{A}" is amps. Nothing where the element is no gap for a figure.
std::optional<Unit> unit_of_gap(std::string_view element);

/// The elements of a pattern, which are separated by blanks; they live as long as it does.
std::vector<std::string_view> elements_of(std::string_view pattern);

/// "behind 15" of a feed, "coil 85" of a relay: all is there but a unit. The cures are the statement with the unit behind the typed figure,
/// one for each thing that it may be, four at most. Nothing where no pattern of this kind fits, or where a figure alone stands there.
std::optional<Finding> figure_without_unit(const Cursor&, const KindSpec&);

/// "7.5" alone, of a kind of which no figure is said without a word before or behind it: the statement with each of them, three at most.
std::vector<Remedy> with_word_and_unit(const Cursor&, const KindSpec&);

/// What to type for a pattern whose first word stands at the cursor and whose rest is not there or not understood. A figure that stands there
/// is not replaced by that of the example.
std::string cure_for_begun(const Cursor&, const AttrSpec&);

/// "12V when main beam on", "live when main beam on", "12 V always" of a feed: it is said when it is live, in other words than those that are
/// read. Nothing where it is said as it should be.
std::optional<Finding> live_in_other_words(const Cursor&);

/// At the stroke behind a colour, where what follows is no colour ("bk/wt"), or at a word that is nearly one ("rde"): the line with the
/// nearest colour. Nothing where none is near.
std::optional<Finding> no_such_colour(const Cursor&, reference::ColourSet);

} // namespace loomproof
