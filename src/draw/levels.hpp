#pragma once
/// Levels by network simplex: the one question the drawing asks of Graphviz, used for the rows of a drawing as well as for
/// its columns. The library is loaded the first time something is drawn, and never by a command that draws nothing.

#include "base/result.hpp"

#include <vector>

namespace loomproof::draw {

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

    struct Edge {
        int tail, head, shortest, weight;
    };
    const std::vector<Edge>& edges() const { return edges_; }

  private:
    int nodes_ = 0;
    std::vector<Edge> edges_;
};

/// Solves the problem; parts of the graph that hang together in no way are each counted from 0. The same problem gives the
/// same levels, in any thread: one lock for the whole process stands before the library.
/// Fails where loomproof-layout.so lies neither beside the program nor in ../lib/loomproof, or the edges run in a circle.
Result<std::vector<int>> solve(const LevelProblem& problem);

}  // namespace loomproof::draw
