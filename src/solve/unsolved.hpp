#pragma once
/// Where a figure would be made up: what hangs on parts that give volts which nothing here works out.

#include "solve/model.hpp"

#include <vector>

namespace loomproof::solve {

/// A converter's output, a charger, a panel, a dynamo and its regulator while the engine runs.
struct Unsolved {
    std::vector<bool> at;      ///< by terminal: its volts hang on such a part, as no battery or ground holds them there
    std::vector<PartId> parts; ///< on which something hangs, in text order
    /// Wires of the vehicle, dead in these positions, over whose other loads current finds its way to a ground that the file does not show; in
    /// text order. Only after add_what_the_file_does_not_show.
    std::vector<PartId> wires;
    std::vector<bool> flow; ///< by terminal: it hangs on them what flows here, be the volts held or not; empty: nowhere
    bool flows(TerminalId t) const { return !flow.empty() && flow[t.index]; }
    bool operator()(TerminalId t) const { return at[t.index]; }
};

/// Is anything of that sort in the circuit at all?
bool has_unsolved(const View&);
/// What a battery, a feed or the ground holds over wires, fuses and closed contacts has its volts whatever else is joined to it.
/// `point` belongs to `positions`.
Unsolved hangs_on_unsolved(const Model&, const Positions&, const Point&);
/// Adds what is fed but tied to no ground of the file, and joined to an existing wire that is dead in these positions: a lamp of the vehicle's own on
/// that wire is a way to ground (as trailer lamps without a ground glow through one another and the towing car), so neither volts nor amps
/// are known. What is held keeps its volts.
void add_what_the_file_does_not_show(const Model&, const Positions&, Unsolved&);

} // namespace loomproof::solve
