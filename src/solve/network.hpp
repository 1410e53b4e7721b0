#pragma once
/// A network of devices between numbered nodes, and its operating point.
///
/// Nothing here knows wires or parts: model.hpp makes a network of a circuit. Node 0 is the reference (0 V).

#include "solve/device.hpp"

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace loomproof::solve {

struct Branch {
    std::uint32_t a = 0, b = 0;
    Device device;
};

struct Solution {
    std::vector<double> volts; ///< by node, against the reference; against an arbitrary node of its island where `island` says so
    std::vector<double> amps;  ///< by branch, from a to b
    /// By node: false where the node hangs together with the reference over devices; true where it belongs to an island of its own, whose volts
    /// against the reference nobody can tell (a spare battery on the bench, the far side of an open switch).
    std::vector<bool> island;
    bool converged = false;
    int steps = 0;          ///< Newton steps taken
    double residual = 0;    ///< largest current that does not balance at a node, over the largest current in the network (at least 0.1 mA)
};

/// Newton with exact line search along each step. Always converges for the devices of device.hpp; `converged` is false only where
/// numbers ran out (not seen), and then says so. `start`: volts to begin from, or empty. Deterministic.
Solution solve(std::uint32_t nodes, std::span<const Branch> branches, std::span<const double> start = {});

/// Lowest resistance that is kept apart (ohm); whatever joins two nodes with less must be contracted before.
inline constexpr double least_ohms = 1e-6;

} // namespace loomproof::solve
