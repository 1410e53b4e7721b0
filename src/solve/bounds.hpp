#pragma once
/// What a solved figure can be while others are unknown: between which bounds it lies, and which of the unknown ones decides.
///
/// In a linear network each volt and amp moves one way only with each resistance (it is a quotient of two linear functions of it), so its
/// extremes over a box of resistances lie at corners. Up to four that matter: all corners are tried. More: for each the side to which it
/// moves the figure is found, and has to be the same at the corner that is then tried; where it is not, the bounds are not sure. With
/// lamps and other curved devices on the way it is an estimate. No interval arithmetic: it grows without end.

#include "circuit/graph.hpp"
#include "solve/model.hpp"

#include <functional>
#include <string>
#include <vector>

namespace loomproof::solve {

/// One figure that is not known exactly, as a factor on a resistance.
struct Unknown {
    EdgeRef edge;               ///< the wire, or the primitive of a part
    std::string what;           ///< "length", "size", "what it takes"
    double least = 1, most = 1; ///< of its resistance, times what was taken
    double taken = 0;           ///< the figure that was taken, SI
    bool inverse = false;       ///< more of the figure is less resistance: sizes, amps
    /// The figure at a factor on the resistance.
    double figure(double factor) const { return inverse ? taken / factor : taken * factor; }
};

/// A load of which nothing is known takes so much (common practice, no source); of wires circuit/unsaid.hpp has the bounds.
inline constexpr double least_amps_of_load = 0.05, most_amps_of_load = 20;

/// Unknown figures of wires and loads; with `spread` also those that are only known within bounds ("about 2 m").
std::vector<Unknown> unknowns_of(const View&, bool spread = false);

struct Bounds {
    double low = 0, high = 0;
    double taken = 0; ///< with what was taken for each
    bool sure = true; ///< false: it does not move one way only, so that more may be possible
    std::vector<std::size_t>
        relevant; ///< indices of the unknowns that move it at all, the one that moves it most first
};

/// Of one figure in one position. `model` is left as it was.
using Figure = std::function<double(Model&)>;
Bounds bounds(Model& model, const std::vector<Unknown>&, const Figure&);

/// Up to which factor of one unknown, from `least` on, the figure stays on the side of `limit` where it is there; nothing where it never crosses.
std::optional<double> crossing(Model& model, const Unknown&, const Figure&, double limit);

} // namespace loomproof::solve
