#pragma once
/// Which way current runs in each wire when everything is on.

#include "circuit/view.hpp"

#include <cstddef>
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
    /// Could current run from `b` back to `a` in some position of switches and contacts? Never "no" where it could: a feed must reach `b`
    /// without `a`, and `a` a ground without `b`; or an alternator, past no load, `b`, and `a` a battery to charge. Diodes let through one
    /// way; what metal alone joins to ground is ground. Always where one of the two is joined to an alternator's lamp terminal.
    bool may_turn(TerminalId a, TerminalId b) const;

    using Ways = std::vector<std::vector<std::size_t>>; ///< by terminal id: the next ones
    Ways onwards, back; ///< where current may get, through all but sources, and where it may have come from
    Ways closed;        ///< past no load: wires, joints, contacts, fuses
    Ways joined;        ///< by metal alone: wires and joints
    std::vector<bool> feed, alternator, battery, earth, ground, lamp; ///< by terminal id; `ground`: joined to `earth`
};

/// For the parts and wires alive in the view. Works without a battery, too: everything then hangs on the order alone. Which pole
/// is the feed follows the vehicle's ground pole. Conjugate gradients on the graph's Laplacian (Hestenes and Stiefel, 1952), in
/// a fixed order: the same circuit gives the same bits.
Flow find_flow(const View& view);

} // namespace loomproof::draw
