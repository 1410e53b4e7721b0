#pragma once
/// What joins two batteries that are there for different things, and can be open.

#include "rules/sides.hpp"

#include <optional>
#include <span>
#include <vector>

namespace loomproof::rules {

/// What a pole feeds over wires, fuses, contacts that can close (never two that are not closed together) and diodes, without these edges.
Reach fed_from(const Study&, TerminalId pole, std::span<const EdgeRef> without);

/// Contacts and diodes between two batteries: of each way from `more` to `first` a relay's contact, where it has one, else the last before
/// `first`, so that what cuts off `more` with all that it feeds is no join; then of each way back that is left. Empty where nothing joins
/// them; nothing where wires and fuses alone do.
std::optional<std::vector<EdgeRef>> joins_between(const Study&, const BatteryPoles& first, const BatteryPoles& more);

} // namespace loomproof::rules
