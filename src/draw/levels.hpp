#pragma once
/// Levels by network simplex, used for the columns of a drawing and for some of the rows that are tried (layout_library.hpp finds others).
/// The flow that is their dual is found by LEMON (levels.cpp is the one file that knows it).

#include "base/result.hpp"

#include <cstdint>
#include <vector>

namespace loomproof::draw {

/// Which of several solutions that are equally good is wanted: one that lies low, one that lies high, or any.
enum class Lean : std::uint8_t { none, low, high };

/// Find whole numbers x, one for each node, so that x[head] - x[tail] >= shortest for every edge and the sum of
/// weight * (x[head] - x[tail]) is smallest.
class LevelProblem {
  public:
    int add_node() { return nodes_++; }
    /// `shortest` and `weight` >= 0. Several edges between the same two nodes are
    /// merged: the longest `shortest`, the sum of the weights. Edges that close a circle make the problem unsolvable.
    void add(int tail, int head, int shortest, int weight);
    /// Adds weight * |(x[a] + a_offset) - (x[b] + b_offset)| to what is to be made small.
    void add_distance(int a, int a_offset, int b, int b_offset, int weight);
    int nodes() const { return nodes_; }
    Lean lean = Lean::none;

    struct Edge {
        int tail, head, shortest, weight;
    };
    const std::vector<Edge>& edges() const { return edges_; }
    /// weight * |x[head] - x[tail] - apart| is to be small.
    struct Distance {
        int tail, head, apart, weight;
    };
    const std::vector<Distance>& distances() const { return distances_; }

  private:
    int nodes_ = 0;
    std::vector<Edge> edges_;
    std::vector<Distance> distances_;
};

/// Solves the problem; the lowest node is at 0, and from there to the highest it is as near as all else allows. The same problem gives
/// the same levels, in any thread. Fails where the edges run in a circle.
Result<std::vector<int>> solve(const LevelProblem& problem);

} // namespace loomproof::draw
