#include "reference/places.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <string>

namespace loomproof::reference {

namespace {

constexpr std::string_view as_the_table = "common practice, the ambient of 33 CFR 183.425 Table 5";

constexpr PlaceTemperature rows[] = {
    {"engine-bay", Celsius{70}, "common practice"},
    {"cabin", Celsius{30}, as_the_table},
    {"boot", Celsius{30}, as_the_table},
    {"outside", Celsius{30}, as_the_table},
    {"tank", Celsius{30}, as_the_table},
};

} // namespace

std::span<const PlaceTemperature> place_temperatures() { return rows; }

std::optional<PlaceTemperature> find_place_temperature(std::string_view place) {
    std::string wanted = lower(place);
    std::ranges::replace(wanted, ' ', '-');
    if (wanted == "trunk") wanted = "boot";
    const auto* row = std::ranges::find(rows, wanted, &PlaceTemperature::place);
    if (row == std::end(rows)) return std::nullopt;
    return *row;
}

PlaceTemperature default_place_temperature() { return {"", Celsius{30}, as_the_table}; }

} // namespace loomproof::reference
