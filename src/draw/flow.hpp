#pragma once
/// Which way current runs in each wire when everything is on.

#include "circuit/view.hpp"

#include <vector>

namespace loomproof::draw {

/// The potential of every terminal, 1 at the feed and 0 at ground, with all switches and contacts closed and every wire and part a
/// resistance of one; and the order in which a walk from the feed meets the terminals, which decides between equal ones.
struct Flow {
    std::vector<double> potential; ///< by terminal id
    std::vector<int> met;          ///< by terminal id; larger = farther from the feed

    /// Does current run from `a` to `b`, rather than back? Antisymmetric but for a == b.
    bool runs(TerminalId a, TerminalId b) const;
    /// Does anything flow between the two? Otherwise `runs` only goes by which is nearer to a source.
    bool flows(TerminalId a, TerminalId b) const;
};

/// For the parts and wires alive in the view. Works without a battery, too: everything then hangs on the order alone. Which pole
/// is the feed follows the vehicle's ground pole. Conjugate gradients on the graph's Laplacian (Hestenes and Stiefel, 1952), in
/// a fixed order: the same circuit gives the same bits.
Flow find_flow(const View& view);

} // namespace loomproof::draw
