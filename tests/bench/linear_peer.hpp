#pragma once

namespace loomproof::bench {

/// Rows of the goals that have Eigen beside them, at 1000 and 10 000 wires.
void beside_eigen();

} // namespace loomproof::bench
