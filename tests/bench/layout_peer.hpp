#pragma once
/// The layout library's own drawings of a sketch, as a yardstick: Graphviz's `dot`, each symbol a box with its terminals as ports.

#include "draw/sketch.hpp"

#include <optional>

namespace loomproof::bench {

struct Peer {
    int crossings = 0;  ///< of two wires that do not end at the same port
    double seconds = 0; ///< of one core
};

enum class Splines { polyline, ortho };

/// Nothing where the program `dot` (Debian: graphviz) is not there. `seconds_at_most` ends it early; then nothing, too.
std::optional<Peer> dot_draws(const draw::Sketch&, Splines, int seconds_at_most = 300);

} // namespace loomproof::bench
