#pragma once
/// What a check works on. Built once for a run; rules only read it.

#include "circuit/graph.hpp"
#include "circuit/view.hpp"
#include "rules/leads.hpp"
#include "rules/live_pole.hpp"
#include "rules/protection.hpp"

#include <memory>
#include <vector>

namespace loomproof::rules {

struct Survey;
struct SidesFound;

struct Study {
    explicit Study(const Circuit&);
    /// The circuit as it was at a revision (`now` is then that one): for comparing.
    Study(const Circuit&, Revision now);
    Study(const Study&) = delete;
    Study& operator=(const Study&) = delete;

    const Circuit& circuit;
    View now;     ///< as it is now: what rules judge
    View factory; ///< revision 0; equal to `now` in extent where the file has no history
    Graph graph;  ///< of `now`

    /// Terminals that are the solid reference: tied to the ground pole of a strong source by wires, joints and straps alone. A
    /// minus pole that is joined so to another source's plus is the middle of a series, not a reference. Index: terminal.
    std::vector<bool> reference;

    /// Batteries whose live pole is tied to the body by wires and joints alone, while their ground pole is not: connected the wrong
    /// way round. With one of these nothing else can be judged.
    std::vector<PartId> reversed_batteries;

    /// Live poles of strong sources in text order: battery plus; minus where plus is ground; both poles of a battery in a series. A
    /// feed that is not drawn (`supply`, `existing wire`) is a strong source behind its own fuse; its pole is internal to the part.
    std::vector<LivePole> strong;
    /// Live poles of sources that limit their own current (alternator, dynamo), in text order.
    std::vector<LivePole> limited;
    /// The poles of `strong` alone.
    std::vector<TerminalId> strong_sources;

    /// What can be live at all: shortest ways from all sources, those too that limit themselves, over everything that carries a fault
    /// (fault_current.hpp), protectors included.
    Reach live;
    std::vector<Lead> leads;            ///< wires that a strong source feeds too far without protection
    std::vector<Protection> protection; ///< of every wire, by wire id
    /// Found when the first rule asks: use behaviour_of (behaviour.hpp) and survey_of (survey.hpp).
    mutable std::shared_ptr<const Survey> survey;
    /// The same for Sides (sides.hpp).
    mutable std::shared_ptr<const SidesFound> sides;

    /// Does fault current flow from the live poles to the reference as it would from plus to minus? False for positive ground.
    bool from_plus() const { return now.ground_pole() == Role::minus; }
};

} // namespace loomproof::rules
