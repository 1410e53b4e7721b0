#pragma once
/// Mistakes that need more parts than one change makes: each is a small circuit of its own, wired to the battery of the plan.

#include "support/scenario/mistakes.hpp"

#include <vector>

namespace loomproof::scenario {

/// One of each kind, added by the last job where there is one. None where the body is at
/// plus, below 12 V, or where the battery's plus is not the whole system's volts.
std::vector<Mistake> set_pieces(const Plan&);

} // namespace loomproof::scenario
