#pragma once
/// Two sparse factorisations that others wrote, KLU and CHOLMOD (SuiteSparse), on a symmetric matrix: peers of the solver. Built in where
/// the library is installed (.ci/install bench); the program itself never links it.

#include <functional>
#include <memory>
#include <span>
#include <vector>

namespace loomproof::bench {

/// The lower triangle by columns, as Eigen keeps it.
struct Lower {
    int size = 0;
    std::vector<int> from, row; ///< entries of column c: from[c] to from[c + 1]; rows ascending
    std::vector<double> value;
};

/// A branch that conducts otherwise than before.
struct Change {
    int a = 0, b = 0;   ///< rows; below zero: the reference
    double siemens = 0; ///< so much more, or less
};

struct FactorPeer {
    const char* name;
    /// Other numbers at the same places: those of Lower::value. To be followed by factor().
    std::function<void(std::span<const double>)> numbers;
    std::function<void()> factor;                    ///< numbers anew, the order worked out before
    std::function<void(std::vector<double>&)> solve; ///< in place
    std::function<void(std::vector<double>&)>
        seen; ///< diagonal of the inverse, by sparse right-hand sides; may be empty
    /// Brings the factor up to date without working it out anew (rank-one updates and downdates); empty where the peer cannot.
    std::function<void(std::span<const Change>)> change;
};

/// Empty where the library is not installed.
std::vector<FactorPeer> factor_peers(const Lower&);

} // namespace loomproof::bench
