#pragma once
/// How warm the places of a vehicle are taken to be, where nobody measured.

#include "base/quantity.hpp"

#include <optional>
#include <span>
#include <string_view>

namespace loomproof::reference {

struct PlaceTemperature {
    std::string_view place; ///< "engine-bay", "cabin", "boot", "outside", "tank"
    Celsius ambient;        ///< air around the wire, a warm working day
    std::string_view basis; ///< in words, for the list of what was assumed
};

/// The places with a temperature of their own. No road-vehicle source that can be read gives one for wiring: the engine
/// bay's 70 C is common practice; the others have 30 C, for which 33 CFR 183.425 Table 5 is printed.
std::span<const PlaceTemperature> place_temperatures();

/// By name; case does not matter and a space does for the hyphen ("engine bay"); "boot" is "trunk" too. Nothing for places
/// that people name themselves ("left kick panel"): those count as `default_place_temperature`.
std::optional<PlaceTemperature> find_place_temperature(std::string_view place);

/// For a place with no name, or with one that says nothing about its heat.
PlaceTemperature default_place_temperature();

} // namespace loomproof::reference
