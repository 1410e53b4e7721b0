#pragma once
/// What a check works on. Built once for a run; rules only read it.

#include "circuit/graph.hpp"
#include "circuit/view.hpp"

#include <vector>

namespace loomproof::rules {

struct Study {
    explicit Study(const Circuit&);
    Study(const Study&) = delete;
    Study& operator=(const Study&) = delete;

    const Circuit& circuit;
    View now;      ///< as it is now: what rules judge
    View factory;  ///< revision 0; equal to `now` in extent where the file has no history
    Graph graph;   ///< of `now`

    /// Terminals that are the solid reference: tied to the ground pole of a strong source by wires, joints and straps alone. A
    /// minus pole that is joined so to another source's plus is the middle of a series, not a reference. Index: terminal.
    std::vector<bool> reference;

    /// A pole from which a fault current can start, with the source behind it.
    struct Live {
        TerminalId pole;
        PrimitiveId source;
        bool operator==(const Live&) const = default;
    };
    /// Live poles of strong sources in text order: battery plus; minus where plus is ground; both poles of a battery in a series. A
    /// feed that is not drawn (`supply`, `existing wire`) is a strong source behind its own fuse; its pole is internal to the part.
    std::vector<Live> strong;
    /// Live poles of sources that limit their own current (alternator, dynamo), in text order.
    std::vector<Live> limited;
    /// The poles of `strong` alone.
    std::vector<TerminalId> strong_sources;

    /// Does fault current flow from the live poles to the reference as it would from plus to minus? False for positive ground.
    bool from_plus() const { return now.ground_pole() == Role::minus; }
};

} // namespace loomproof::rules
