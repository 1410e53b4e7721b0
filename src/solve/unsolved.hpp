#pragma once
/// Where a figure would be made up: what hangs on parts that give volts which nothing here works out.

#include "solve/model.hpp"

#include <vector>

namespace loomproof::solve {

/// A converter's output, a charger, a panel, a dynamo and its regulator while the engine runs.
struct Unsolved {
    std::vector<bool> at;      ///< by terminal: its volts hang on such a part, as no battery or ground holds them there
    std::vector<PartId> parts; ///< on which something hangs, in text order
    bool operator()(TerminalId t) const { return at[t.index]; }
};

/// Is anything of that sort in the circuit at all?
bool has_unsolved(const View&);
/// What a battery, a feed or the ground holds over wires, fuses and closed contacts has its volts whatever else is joined to it.
/// `point` belongs to `positions`.
Unsolved hangs_on_unsolved(const Model&, const Positions&, const Point&);

} // namespace loomproof::solve
