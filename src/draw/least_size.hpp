#pragma once
/// How small a drawing can be at best: a quick answer to whether a sheet that does not exist yet could hold it.

#include "draw/geometry.hpp"
#include "draw/weave.hpp"

#include <vector>

namespace loomproof::draw {

/// Width and height (units) that no circuit of these rows falls below, in whichever order they stand: what its symbols take side by side and
/// one above the other, without tracks, labels and notes.
Point least_size(const Weave& weave);

/// The same where every column is known, so many of them in all: with the tracks.
Point least_size(const Sketch& sketch, const Weave& weave, int columns);

/// What stands around a circuit in any case, in heights (units).
struct LeastNotes {
    double around = 0; ///< title, headings, the key of the marks
    double foot = 0;   ///< on lines of any length; it stands below all else, or beside the circuit
};
LeastNotes least_notes(const Sketch& sketch);

/// Is there no page that holds at that scale a sheet of at least so large a circuit with at least these notes? Sizes and pages in units.
bool fits_none(const Point& circuit, const LeastNotes& notes, const std::vector<Point>& pages, double scale);

} // namespace loomproof::draw
