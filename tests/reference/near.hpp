#pragma once
// Comparison with printed figures: the distance allowed is how exactly the source printed them.

#include <cmath>

namespace loomproof::reference {

inline bool within(double got, double printed, double allowed) { return std::abs(got - printed) <= allowed; }
inline bool within_share(double got, double printed, double share) {
    return within(got, printed, share * std::abs(printed));
}

} // namespace loomproof::reference
