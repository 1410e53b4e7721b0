#pragma once
/// What is fed at all times on purpose.

#include "base/words.hpp"
#include "circuit/circuit.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace loomproof::rules {

/// Is it said that it is meant to be on at all times: by the clause "keep alive", or by its label (common practice)?
inline bool is_kept_alive(const Part& part) {
    if (std::ranges::any_of(part.attributes,
                            [](const Attribute& a) { return a.key == Attr::told && a.word == "keep alive"; }))
        return true;
    constexpr std::array<std::string_view, 8> words = {"clock",   "memory", "keep alive", "alarm",
                                                       "tracker", "radio",  "charger",    "immobiliser"};
    const std::string label = lower(part.label);
    return std::ranges::any_of(words, [&](std::string_view word) { return label.find(word) != std::string::npos; });
}

} // namespace loomproof::rules
