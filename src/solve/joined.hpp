#pragma once
/// Which of n things hang together, found while they are joined pair by pair.

#include <algorithm>
#include <cstdint>
#include <numeric>
#include <vector>

namespace loomproof::solve {

/// A root is the least index of those joined, whatever the order of joining.
struct Joined {
    std::vector<std::uint32_t> parent;
    explicit Joined(std::size_t n) : parent(n) { std::iota(parent.begin(), parent.end(), 0U); }
    std::uint32_t root(std::uint32_t n) {
        while (parent[n] != n) n = parent[n] = parent[parent[n]];
        return n;
    }
    void join(std::uint32_t a, std::uint32_t b) {
        const std::uint32_t x = root(a), y = root(b);
        if (x != y) parent[std::max(x, y)] = std::min(x, y);
    }
    bool together(std::uint32_t a, std::uint32_t b) { return root(a) == root(b); }
};

} // namespace loomproof::solve
