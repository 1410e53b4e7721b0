// The one file that knows LEMON.
#include "draw/levels.hpp"

#include <lemon/network_simplex.h>
#include <lemon/smart_graph.h>

#include <limits>

namespace loomproof::draw {
namespace {

using Graph = lemon::SmartDigraph;
using Flow = lemon::NetworkSimplex<Graph, long long, long long>;

// Levels are the dual of a flow: each edge may carry any flow and earns `shortest` for each unit; a node needs what its edges pull at it
// (weights of those that leave it, less those that arrive). A distance is an edge that may carry no more than its weight, either way. The
// potentials of the cheapest flow, turned round, are the levels.
class Dual {
  public:
    explicit Dual(const LevelProblem& problem)
        : nodes_(problem.nodes()), cost_(graph_), least_(graph_, 0), most_(graph_), supply_(graph_, 0) {
        graph_.reserveNode(nodes_ + 2);
        graph_.reserveArc(static_cast<int>(problem.edges().size() + problem.distances().size()) + 2 * nodes_ + 1);
        for (int n = 0; n < nodes_ + 2; ++n) graph_.addNode();
        // The problem's own weights count more than all that decides between equals.
        const long long above_all = 4 * (static_cast<long long>(nodes_) + 1);
        std::vector<bool> has_lower(static_cast<std::size_t>(nodes_), false), has_upper = has_lower;
        for (const LevelProblem::Edge& e : problem.edges()) {
            add(e.tail, e.head, e.shortest, above_all * e.weight);
            has_lower[static_cast<std::size_t>(e.head)] = has_upper[static_cast<std::size_t>(e.tail)] = true;
        }
        for (const LevelProblem::Distance& d : problem.distances()) {
            const auto arc = add(d.tail, d.head, d.apart, 0);
            most_[arc] = above_all * d.weight;
            least_[arc] = -most_[arc];
        }
        // One node below all and one above all, as near to each other as may be: what hangs together in no way stays near, too.
        const int lowest = nodes_, highest = nodes_ + 1;
        for (int n = 0; n < nodes_; ++n) {
            if (!has_lower[static_cast<std::size_t>(n)]) add(lowest, n, 0, 0);
            if (!has_upper[static_cast<std::size_t>(n)]) add(n, highest, 0, 0);
        }
        add(lowest, highest, 0, 2);
        for (int n = 0; n < nodes_ && problem.lean != Lean::none; ++n) {
            if (problem.lean == Lean::low)
                pull(lowest, n);
            else
                pull(n, highest);
        }
    }

    bool solve(std::vector<int>& level) {
        Flow flow(graph_);
        flow.costMap(cost_).lowerMap(least_).upperMap(most_).supplyMap(supply_);
        if (flow.run() != Flow::OPTIMAL) return false;
        const long long ground = flow.potential(graph_.nodeFromId(nodes_));
        level.resize(static_cast<std::size_t>(nodes_));
        for (int n = 0; n < nodes_; ++n)
            level[static_cast<std::size_t>(n)] = static_cast<int>(ground - flow.potential(graph_.nodeFromId(n)));
        return true;
    }

  private:
    static constexpr long long unlimited = std::numeric_limits<long long>::max();

    void pull(int tail, int head) {
        ++supply_[graph_.nodeFromId(tail)];
        --supply_[graph_.nodeFromId(head)];
    }

    Graph::Arc add(int tail, int head, int shortest, long long weight) {
        const auto from = graph_.nodeFromId(tail), to = graph_.nodeFromId(head);
        const auto arc = graph_.addArc(from, to);
        cost_.set(arc, -shortest);
        most_.set(arc, unlimited);
        supply_[from] += weight;
        supply_[to] -= weight;
        return arc;
    }

    int nodes_;
    Graph graph_;
    Graph::ArcMap<long long> cost_, least_, most_;
    Graph::NodeMap<long long> supply_;
};

} // namespace

void LevelProblem::add(int tail, int head, int shortest, int weight) {
    edges_.push_back({tail, head, shortest, weight});
}

void LevelProblem::add_distance(int a, int a_offset, int b, int b_offset, int weight) {
    distances_.push_back({b, a, b_offset - a_offset, weight});
}

Result<std::vector<int>> solve(const LevelProblem& problem) {
    std::vector<int> level;
    if (problem.nodes() > 0 && !Dual(problem).solve(level))
        return failure("Nothing can be drawn: the rows or columns run in a circle.");
    return level;
}

} // namespace loomproof::draw
