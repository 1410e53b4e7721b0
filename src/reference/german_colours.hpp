#pragma once
/// The usual German words for colours of wires, in small letters, and the words of IEC 60757 in English (from memory).

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace loomproof::reference {

inline constexpr auto german_colours =
    std::to_array<std::pair<std::string_view, std::string_view>>({{"schwarz", "black"},
                                                                  {"braun", "brown"},
                                                                  {"rot", "red"},
                                                                  {"gelb", "yellow"},
                                                                  {"gr\xc3\xbcn", "green"},
                                                                  {"gr\xc3\x9cn", "green"},
                                                                  {"gruen", "green"},
                                                                  {"blau", "blue"},
                                                                  {"violett", "violet"},
                                                                  {"lila", "violet"},
                                                                  {"grau", "grey"},
                                                                  {"wei\xc3\x9f", "white"},
                                                                  {"weiss", "white"},
                                                                  {"rosa", "pink"},
                                                                  {"hellblau", "light blue"},
                                                                  {"dunkelblau", "dark blue"},
                                                                  {"hellgr\xc3\xbcn", "light green"},
                                                                  {"hellgruen", "light green"},
                                                                  {"dunkelgr\xc3\xbcn", "dark green"},
                                                                  {"dunkelgruen", "dark green"}});

/// "yellow" of "gelb"; empty where it is none of them.
constexpr std::string_view english_colour(std::string_view german) {
    const auto* const at = std::ranges::find(german_colours, german, [](const auto& pair) { return pair.first; });
    return at == german_colours.end() ? std::string_view{} : at->second;
}

} // namespace loomproof::reference
