#pragma once
/// Path numbers, and what ground feet say about the other feet of their stud.

#include "draw/route.hpp"
#include "draw/sketch.hpp"
#include "draw/weave.hpp"

#include <cstddef>
#include <vector>

namespace loomproof::draw {

/// Where wires run up or down, in half columns from the left (in the middle of column c at 2 * c): all of them, so that every upright run on
/// paper has its number, and every symbol (column_of), because references lead there. Columns must be known, `runs` are as found for them.
std::vector<int> find_paths(const Sketch& sketch, const Weave& weave, const Runs& runs);

/// The number of the path nearest to a column; 0 where there is none. `paths` as found.
int path_at(const std::vector<int>& paths, int column_at);

/// The column by which a reader finds a symbol: where its first wire meets it.
int column_of(const Weave& weave, std::size_t symbol);

/// Writes under each foot of a stud that is drawn several times where the others are, on lines as wide as there is room for. Columns must be
/// known.
void note_studs(const Sketch& sketch, Weave& weave, const std::vector<int>& paths);

} // namespace loomproof::draw
