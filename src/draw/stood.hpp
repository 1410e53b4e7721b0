#pragma once
/// Where something stands on a sheet, in rows from the top and columns from the left: what a drawing remembers in its SVG, and the next one keeps to.

namespace loomproof::draw {

/// A symbol: its row, and the first and last column that its ink and stubs take.
struct Stood {
    int row = 0, left = 0, right = 0;
    bool mirrored = false;
};

/// One end of a wire's piece between two rows.
struct WayPoint {
    int column = 0, row = 0;
    bool operator==(const WayPoint&) const = default;
};

} // namespace loomproof::draw
