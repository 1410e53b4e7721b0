#pragma once
/// The circuit as a graph: terminals are vertices; wires and primitives are edges. Several edges between the same two
/// vertices are normal (doubled straps, several wires on one stud), and every question here is answered for them too.
///
/// Boost.Graph stays inside graph_net.hpp and graph.cpp.

#include "circuit/view.hpp"

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <tuple>
#include <vector>

namespace loomproof {

/// An edge is a wire or a primitive. Edges have one order, called text order here: wires by id, then primitives by id.
struct EdgeRef {
    WireId wire;
    PrimitiveId primitive;
    bool exists() const { return wire.exists() || primitive.exists(); }
    bool is_wire() const { return wire.exists(); }
    auto operator<=>(const EdgeRef&) const = default; ///< text order: a wire has no primitive, a primitive no wire
};

/// What walks are asked about an edge, copied together in half a cache line: the wire and the primitive themselves take several lines
/// each, and a walk that looked there would wait for memory at every step.
struct Edge : EdgeRef {
    TerminalId a, b;
    Element element = Element::joint; ///< of a primitive; a wire is none and says joint
    bool divides = false;             ///< a contact of a control that has contacts which are never all closed together
    double metres = 0;                ///< length of a wire as stated; 0 where nobody said, and for a primitive
};

/// May the walk pass this edge, coming from `from`? One that only needs to know which edge it is may take an EdgeRef.
using Passes = std::function<bool(const Edge&, TerminalId from)>;
/// Length of an edge, in metres, not below zero: `&Edge::metres`, or what the caller makes of it.
using LengthOf = std::function<double(const Edge&)>;
/// How much an edge lets through (amps, not below zero, counted in thousandths, up to a million); infinity for what does not limit.
using CapacityOf = std::function<double(const Edge&)>;

/// Does a way have to be possible in one position of every control?
enum class Positions {
    any,             ///< contacts are looked at one by one
    one_per_control, ///< a way never uses two contacts of a control that are never closed together (30-87 and 30-87a of a relay)
};

struct Step {
    EdgeRef edge;    ///< the edge taken to arrive here; none for a start
    TerminalId from; ///< where it was taken from; not existing for a start
    double distance = 0;
};

/// The result of a walk from some starts: for each terminal the shortest way, if it was reached.
class Reach {
  public:
    bool reached(TerminalId t) const { return best_[t.index] != none; }
    double distance(TerminalId t) const { return labels_[best_[t.index]].distance; } ///< precondition: reached
    /// How it was reached. Precondition: reached.
    Step step(TerminalId t) const;
    /// Edges from the start to `t`, in order; empty for a start. Precondition: reached.
    std::vector<EdgeRef> path_to(TerminalId t) const;
    /// The terminals along that way, start and `t` included.
    std::vector<TerminalId> stops_to(TerminalId t) const;
    /// All terminals that were reached, nearest first; sorted anew for each call.
    std::vector<TerminalId> in_order() const;

  private:
    friend class Graph;
    static constexpr std::uint32_t none = 0xffffffff;
    /// One way to a terminal. There are several for one terminal only where they use a control differently.
    struct Label {
        TerminalId at;
        EdgeRef edge;
        std::uint32_t from = none; ///< the label before
        std::uint32_t edges = 0;   ///< from the start to here
        bool waits = false;        ///< during the walk: it has not gone on from here
        double distance = 0;
        /// Of two ways to one terminal that of lower rank is taken. A start has no edge, which ranks behind all.
        auto rank() const { return std::tuple(distance, edges, edge); }
    };
    std::vector<Label> labels_;
    std::vector<std::uint32_t> best_; ///< terminal -> label
};

class Graph {
  public:
    explicit Graph(const View&);
    ~Graph();
    Graph(Graph&&) noexcept;
    Graph& operator=(Graph&&) noexcept;

    const View& view() const;

    /// Shortest ways from `starts` over the edges that `passes` lets through: the least length, then the fewest edges, then the
    /// earlier last edge. With one_per_control a terminal keeps up to 16 ways that use controls differently; beyond that it counts
    /// as reached in any position: more may be reached than there is, never less.
    Reach walk(std::span<const TerminalId> starts, const Passes& passes, const LengthOf& length,
               Positions positions = Positions::any) const;

    /// Which component each terminal lies in, over the edges that `passes` lets through from one of their ends (direction
    /// ignored); numbered from 0 in terminal order. Terminals of parts that are not alive get a component of their own.
    std::vector<std::uint32_t> components(const Passes& passes) const;

    struct Cut {
        double capacity = 0;        ///< sum over the cut; infinity where no set of limiting edges separates the two
        std::vector<EdgeRef> edges; ///< the limiting edges of the smallest cut nearest to the sources, in text order
    };
    /// The smallest cut between all `sources` together and `sink`, each edge worth `capacity`, over edges that pass from their
    /// first to their second side (an edge that passes both ways counts both ways). Precondition: sink is no source.
    Cut smallest_cut(std::span<const TerminalId> sources, TerminalId sink, const Passes& passes,
                     const CapacityOf& capacity) const;

    /// Edges whose loss separates something, keyed on edges so that a doubled wire is none; over the edges that pass
    /// (direction ignored), in text order.
    std::vector<EdgeRef> bridges(const Passes& passes) const;

    /// For each edge that passes: the number of its cyclic block, or nothing where it lies in no cycle. Two edges lie in one
    /// simple cycle exactly if they share a block (direction ignored). Index: wires by id, primitives by id.
    struct Blocks {
        std::vector<std::optional<std::uint32_t>> wire, primitive;
    };
    Blocks cyclic_blocks(const Passes& passes) const;

    /// A shortest closed path (fewest edges) through `edge` over the edges that pass (direction ignored), as terminals,
    /// first = last = the edge's first end; empty where there is none.
    std::vector<TerminalId> loop_through(EdgeRef edge, const Passes& passes) const;

  private:
    struct Impl;
    std::optional<Reach> walk_plainly(std::span<const TerminalId>, const Passes&, const LengthOf&) const;
    Reach walk_settling(std::span<const TerminalId>, const Passes&, const LengthOf&, Positions) const;
    std::unique_ptr<Impl> impl_;
};

/// The same smallest cut over a plain net of numbered nodes, for callers who have drawn together what nothing limits.
struct NetEdge {
    std::uint32_t a = 0, b = 0;
    double forward = 0, backward = 0; ///< most from a to b, and from b to a; infinity where nothing limits
};
struct NetCut {
    double capacity = 0;
    std::vector<std::uint32_t> edges; ///< indices of the limiting edges nearest to the source, ascending
};
/// Precondition: source and sink differ, all nodes are below `nodes`.
NetCut smallest_cut(std::uint32_t nodes, std::span<const NetEdge> edges, std::uint32_t source, std::uint32_t sink);

/// For each edge: does it lie on some way from one node to the other that visits no node twice (direction and worth ignored)?
/// Only such edges matter to a cut between the two. Precondition: the nodes differ.
std::vector<bool> on_some_way(std::uint32_t nodes, std::span<const NetEdge> edges, std::uint32_t from,
                              std::uint32_t to);

/// The same for one `from` and many ends, without a search over the whole net for each: its blocks, hung up at `from`.
class WaysFrom {
  public:
    /// Precondition: `from` and all ends of edges are below `nodes`.
    WaysFrom(std::uint32_t nodes, std::span<const NetEdge> edges, std::uint32_t from);
    /// Numbers of the edges on some way to the node, ascending.
    std::vector<std::uint32_t> to(std::uint32_t node) const;
    /// Those and whatever lies in a block with the node: all that can be on some way to a piece of it once it is cut into pieces.
    std::vector<std::uint32_t> around(std::uint32_t node) const;

  private:
    static constexpr std::uint32_t none = 0xffffffff;
    std::uint32_t from_;
    std::vector<std::uint32_t> above_;                      ///< by node: the block over which it hangs, or none
    std::vector<std::uint32_t> top_;                        ///< by block: the node at which it hangs
    std::vector<std::vector<std::uint32_t>> in_block_, at_; ///< edges by block; blocks by node
};

} // namespace loomproof
