#pragma once
/// The sanitizers look at how memory is used, and a few circuits use it like many: suites that only try more of the same try fewer there.

#include <cstdint>

namespace loomproof::support {

#ifdef __SANITIZE_ADDRESS__
inline constexpr bool sanitized = true;
#else
inline constexpr bool sanitized = false;
#endif

/// How many tries of `all` a run makes.
constexpr std::uint64_t tries(std::uint64_t all) { return sanitized ? (all + 3) / 4 : all; }

} // namespace loomproof::support
