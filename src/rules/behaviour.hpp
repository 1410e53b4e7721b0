#pragma once
/// What the circuit does in every switch position, for rules that need it: explored once for a study, when the first rule asks.

#include "rules/study.hpp"
#include "solve/states.hpp"

namespace loomproof::rules {

/// The largest circuit whose switch positions are all tried within a moment.
inline constexpr std::size_t most_wires_explored = 600;

/// Null where the circuit has more wires than that; rules then say that they did not check. Lives as long as the study.
const solve::Behaviour* behaviour_of(const Study&);

} // namespace loomproof::rules
