#pragma once
/// Where current comes from and goes to with the switches in one position: by structure, and by the currents that flow.

#include "rules/study.hpp"
#include "solve/model.hpp"

#include <vector>

namespace loomproof::rules {

/// What is joined to a live pole, and what to ground, with no load between, in one position of all controls. Resistors and meters are
/// no loads here: they are there to be passed.
class Standing {
  public:
    /// `blocked`, by primitive: what is no way of feeding anything, though it conducts: a diode that is there to take up a kick.
    Standing(const Study&, const solve::Positions&, const std::vector<bool>& blocked = {});

    bool live(TerminalId t) const { return live_[t.index]; }
    bool ground(TerminalId t) const { return ground_[t.index]; }
    /// One end live, the other on ground.
    bool fed(const Primitive& p) const { return (live(p.a) && ground(p.b)) || (live(p.b) && ground(p.a)); }

  private:
    std::vector<bool> spread(const Study&, const solve::Positions&, const std::vector<TerminalId>& starts,
                             bool with_current, bool stop_at_reference, const std::vector<bool>& blocked) const;
    std::vector<bool> live_, ground_;
};

/// The way of the largest current from a source's pole through something and back to a pole, other loads included.
struct CurrentWay {
    std::vector<EdgeRef> edges;    ///< in the direction of the current
    std::vector<TerminalId> stops; ///< one more than edges
    bool found() const { return !edges.empty(); }
};
CurrentWay current_through(const Study&, const solve::Point&, PrimitiveId);

/// The current in an edge from its first to its second end; zero where nothing is known.
double amps_in(const solve::Point&, EdgeRef);
/// The current in an edge away from one of its ends.
double amps_away(const Circuit&, const solve::Point&, EdgeRef, TerminalId from);

} // namespace loomproof::rules
