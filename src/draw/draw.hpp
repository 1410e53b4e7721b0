#pragma once
/// Sketch in, picture out.

#include "base/result.hpp"
#include "draw/sketch.hpp"

#include <cstdint>
#include <string>

namespace loomproof::draw {

struct Options {
    bool black_and_white = false; ///< for a printer without colour: wires as hollow tubes, stripes as ticks
    int starts = 0;               ///< how often the ordering begins anew; 0 = as the size of the sketch allows
    std::uint64_t seed = 1;
};

struct Drawing {
    std::string svg;                        ///< see svg.hpp for what may be relied on
    double width_mm = 0, height_mm = 0;     ///< on paper
    int crossings = 0, bends = 0;
    int labels_without_place = 0;           ///< wires whose label or job flag found no place; 0 but in hopeless cases
    int repeats_left_out = 0;               ///< labels that would only have repeated one along a long run
};

/// One page for the whole sketch, however large. The same sketch and options give the same bytes. Fails, with a sentence for
/// people, only where the layout library cannot be used.
Result<Drawing> draw(const Sketch& sketch, const Options& options = {});

} // namespace loomproof::draw
