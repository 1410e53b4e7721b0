#pragma once
/// A position worth telling: without the switches that have nothing to do with it.

#include "solve/states.hpp"

#include <functional>

namespace loomproof::rules {

/// From a state, one control after the other back to rest, as long as that is a stable state of the behaviour of which `still` holds.
/// The last control of the file first: what feeds the others mostly stands before them.
solve::StateId simplest(const solve::Behaviour&, const Circuit&, solve::StateId,
                        const std::function<bool(solve::StateId)>& still);

} // namespace loomproof::rules
