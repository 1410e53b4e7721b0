#pragma once
/// Long sums and largest values, several numbers at a time: one after the other each would wait for the last digit of the one before.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <span>

namespace loomproof::solve {

/// Two numbers that the processor works on together, as every 64-bit one of today does.
using Two [[gnu::vector_size(16)]] = double;

inline Two two(const double* from) {
    Two t;
    std::memcpy(&t, from, sizeof t);
    return t;
}

inline void put(double* to, Two t) { std::memcpy(to, &t, sizeof t); }

/// The largest size among them, at least `least`.
inline double largest_size(std::span<const double> all, double least) {
    std::array<double, 4> lanes{least, least, least, least};
    std::size_t k = 0;
    for (; k + 4 <= all.size(); k += 4)
        for (std::size_t lane = 0; lane < 4; ++lane) lanes[lane] = std::max(lanes[lane], std::abs(all[k + lane]));
    for (; k < all.size(); ++k) lanes[0] = std::max(lanes[0], std::abs(all[k]));
    return std::max(std::max(lanes[0], lanes[1]), std::max(lanes[2], lanes[3]));
}

/// The sum of their products, in an order that is always the same. Both are as long.
inline double sum_of_products(std::span<const double> a, std::span<const double> b) {
    std::array<double, 4> lanes{};
    std::size_t k = 0;
    for (; k + 4 <= a.size(); k += 4)
        for (std::size_t lane = 0; lane < 4; ++lane) lanes[lane] += a[k + lane] * b[k + lane];
    for (; k < a.size(); ++k) lanes[0] += a[k] * b[k];
    return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
}

} // namespace loomproof::solve
