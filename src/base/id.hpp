#pragma once
/// Index of an object in its arena, as a type of its own: a PartId is never taken for a WireId.

#include <compare>
#include <cstddef>
#include <cstdint>
#include <functional>

namespace loomproof {

template <class Tag> struct Id {
    std::uint32_t index = none;
    static constexpr std::uint32_t none = 0xffffffff;

    constexpr Id() = default;
    explicit constexpr Id(std::size_t i) : index(static_cast<std::uint32_t>(i)) {}
    constexpr bool exists() const { return index != none; }
    constexpr auto operator<=>(const Id&) const = default;
};

} // namespace loomproof

template <class Tag> struct std::hash<loomproof::Id<Tag>> {
    std::size_t operator()(loomproof::Id<Tag> id) const noexcept { return id.index; }
};
