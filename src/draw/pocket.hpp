#pragma once
/// White in the middle of a circuit that is large enough for a side table.

#include "draw/labels.hpp"
#include "draw/sketch.hpp"

#include <optional>
#include <vector>

namespace loomproof::draw {

struct Pocket {
    Point at;         ///< of the table's left top corner, for paint_side_tables
    double width = 0; ///< for which its cells are broken, units
    SideTable table;  ///< as it has room there: the given one, or a narrower form that says the same
};

/// Where within `circuit` the table keeps clear of all that is taken and of the notes, as near to `subject` as may be; nothing where there is no
/// such place, however its cells are broken.
std::optional<Pocket> pocket_for(const SideTable& table, const Box& circuit, const Taken& taken,
                                 const std::vector<Box>& notes, const std::optional<Point>& subject);

Point middle_of(const Box& box);

} // namespace loomproof::draw
