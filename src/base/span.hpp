#pragma once
/// A stretch of source text: which source, first byte, one past the last byte.

#include <cstdint>

namespace loomproof {

struct Span {
    std::uint32_t source = none; ///< index into Sources; `none` for things that no text stands behind (assumed)
    std::uint32_t begin = 0;     ///< first byte
    std::uint32_t end = 0;       ///< one past the last byte

    static constexpr std::uint32_t none = 0xffffffff;
    constexpr bool exists() const { return source != none; }
    constexpr bool operator==(const Span&) const = default;
};

/// The smallest span that holds both; the existing one if only one exists. Both must lie in one source.
constexpr Span joined(Span a, Span b) {
    if (!a.exists()) return b;
    if (!b.exists() || a.source != b.source) return a;
    return {a.source, a.begin < b.begin ? a.begin : b.begin, a.end > b.end ? a.end : b.end};
}

} // namespace loomproof
