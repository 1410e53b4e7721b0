#pragma once
/// What has to be bought for the wires and fuses of a proposal, added up.

#include "circuit/view.hpp"
#include "report/ink.hpp"
#include "sizing/proposal.hpp"

#include <string>

namespace loomproof::app {

/// Lengths by size and colour, fuses by rating, terminals and joints by size, in the sizes proposed; of the things that the proposal speaks of, and
/// nothing else. Lengths are the upper end of what was said and a tenth more for slack (common practice, no source). Empty where there is
/// nothing to buy.
std::string to_buy(const View&, const sizing::Proposal&, const report::Screen&);

} // namespace loomproof::app
