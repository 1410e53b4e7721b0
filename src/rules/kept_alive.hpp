#pragma once
/// What is fed at all times on purpose.

#include "base/words.hpp"
#include "circuit/circuit.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace loomproof::rules {

/// Says its label that it is meant to be on at all times (common practice)?
inline bool is_kept_alive(const Part& part) {
    constexpr std::array<std::string_view, 8> words = {"clock",   "memory", "keep alive", "alarm",
                                                       "tracker", "radio",  "charger",    "immobiliser"};
    const std::string label = lower(part.label);
    return std::ranges::any_of(words, [&](std::string_view word) { return label.find(word) != std::string::npos; });
}

} // namespace loomproof::rules
