#pragma once
/// The circuit as a graph: terminals are vertices; wires and primitives are edges. Several edges between the same two
/// vertices are normal (doubled straps, several wires on one stud), and every question here is answered for them too.
///
/// Boost.Graph stays inside graph.cpp.

#include "circuit/view.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace loomproof {

/// An edge is a wire or a primitive.
struct EdgeRef {
    WireId wire;
    PrimitiveId primitive;
    bool is_wire() const { return wire.exists(); }
    bool operator==(const EdgeRef&) const = default;
};

/// May the walk pass this edge, coming from `from`?
using Passes = std::function<bool(EdgeRef, TerminalId from)>;
/// Length of an edge, in metres; primitives have none unless the caller says so.
using LengthOf = std::function<double(EdgeRef)>;
/// How much an edge lets through (amps); infinity for what does not limit.
using CapacityOf = std::function<double(EdgeRef)>;

struct Step {
    EdgeRef edge;      ///< the edge taken to arrive here; neither wire nor primitive for a start
    TerminalId from;   ///< where it was taken from
    double distance = 0;
};

/// The result of a walk from some starts: for each terminal the shortest way, if it was reached.
class Reach {
  public:
    bool reached(TerminalId t) const { return steps_[t.index].has_value(); }
    double distance(TerminalId t) const { return steps_[t.index]->distance; } ///< precondition: reached
    /// Edges from the start to `t`, in order; empty for a start. Precondition: reached.
    std::vector<EdgeRef> path_to(TerminalId t) const;
    /// The terminals along that way, start and `t` included.
    std::vector<TerminalId> stops_to(TerminalId t) const;

    std::vector<std::optional<Step>> steps_;
};

class Graph {
  public:
    explicit Graph(const View&);
    ~Graph();
    Graph(Graph&&) noexcept;
    Graph& operator=(Graph&&) noexcept;

    const View& view() const;

    /// Shortest ways from `starts` over the edges that `passes` lets through. Ties go to the earlier edge in text order.
    Reach walk(std::span<const TerminalId> starts, const Passes& passes, const LengthOf& length) const;

    /// Which component each terminal lies in, over the edges that `passes` lets through (direction ignored); numbered from 0
    /// in terminal order. Terminals of parts that are not alive get a component of their own.
    std::vector<std::uint32_t> components(const Passes& passes) const;

    struct Cut {
        double capacity = 0;        ///< sum over the cut; infinity where no set of limiting edges separates the two
        std::vector<EdgeRef> edges; ///< the limiting edges of the smallest cut nearest to the sources, in text order
    };
    /// The smallest cut between all `sources` together and `sink`, each edge worth `capacity`, over edges that pass from their
    /// first to their second side (an edge that passes both ways counts both ways). Precondition: sink is no source.
    Cut smallest_cut(std::span<const TerminalId> sources, TerminalId sink, const Passes& passes, const CapacityOf& capacity) const;

    /// Edges whose loss separates something, keyed on edges so that a doubled wire is none; over the edges that pass.
    std::vector<EdgeRef> bridges(const Passes& passes) const;

    /// For each edge that passes: the number of its cyclic block, or nothing where it lies in no cycle. Two edges lie in one
    /// simple cycle exactly if they share a block. Index: wires first (by wire id), then primitives.
    struct Blocks {
        std::vector<std::optional<std::uint32_t>> wire, primitive;
    };
    Blocks cyclic_blocks(const Passes& passes) const;

    /// A shortest closed path through `edge` over the edges that pass, as terminals, first = last; empty where there is none.
    std::vector<TerminalId> loop_through(EdgeRef edge, const Passes& passes) const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

} // namespace loomproof
