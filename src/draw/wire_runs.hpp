#pragma once
/// All runs of all wires as thick as they are drawn: which wire a word or a mark stands nearest to. Drawing units. Inside matter of labels.cpp.

#include "draw/route.hpp"
#include "draw/run_map.hpp"
#include "draw/sketch.hpp"

#include <vector>

namespace loomproof::draw {

/// Between the nearest edges.
double distance(const Box& a, const Box& b);

class WireRuns {
  public:
    WireRuns(const Sketch& sketch, const Route& route);

    /// Nobody takes what stands there for another wire's: every other wire is farther away, by so much at least.
    bool is_nearest(int wire, const Box& box, double by) const;

    /// A line begins within the room that its own wire takes, where what else runs there does not show.
    bool beside_another(int wire, Point p) const;

  private:
    std::vector<std::vector<Box>> runs_; // by wire
    RunMap map_;
};

} // namespace loomproof::draw
