#pragma once
/// Fuses too large for the contacts, plugs and outlets behind them.

#include "rules/rule.hpp"

#include <optional>

namespace loomproof::rules {

/// A contact or a hole of a plug that says what it is made for, behind a fuse that lets more through than that and than the next rating on
/// sale above it: advice, reported under part-overloaded. Silent where the load itself is too much for it (it stands in the report already),
/// where each load behind it has a fuse of its own that suits, where triggers alone hang on a switch or a plug, and on the ground side.
void judge_fuses_above_parts(const Study&, Report&);

/// A plug-in relay of which nobody said what it is made for (common practice, no source).
inline constexpr Amps usual_relay_carries{30};

/// The next rating in common use above what a part is made for: a fuse of 40 A before a relay of 30 A is everyday practice, and 35 A is hardly
/// ever met (common practice, no source).
Amps one_size_above(Amps made_for);

/// Up to which fuse is let pass before an outlet made for so much: the next rating above it, and 10 A before any (common practice, no source).
Amps suits_outlet(Amps made_for);

/// The least that such parts are made for which this fuse alone stands before: what suits a wire behind it is to suit them too.
std::optional<Amps> least_part_behind(const Study&, PrimitiveId fuse);

} // namespace loomproof::rules
