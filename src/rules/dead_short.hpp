#pragma once
/// Is a source joined to its return without a load?

#include "rules/study.hpp"
#include "solve/model.hpp"

#include <optional>

namespace loomproof::rules {

struct DeadShort {
    Reach reach;
    TerminalId ground;
};

/// From a live pole to the reference without meeting a load, over the contacts that are closed in these positions; to the first terminal of
/// the reference in their order. Nothing where there is no such way.
enum class Clamps {
    block, ///< diodes inside relays, and those that lead straight into the reference, are not passed: diode-wrong-way speaks of them
    pass,  ///< in their direction
};
std::optional<DeadShort> dead_short_in(const Study&, TerminalId pole, const solve::Positions&, Clamps = Clamps::block);

/// Is there such a way at all, with every contact closed that can close? In most circuits there is none, and nothing need be explored.
bool perhaps_shorted(const Study&, Clamps = Clamps::block);

} // namespace loomproof::rules
