#pragma once
/// Where current can come from or go to, by structure alone, with switches and relays in positions that fit together.
///
/// A spread is a walk from some terminals over wires, joints, contacts, protectors and meters, over diodes in their direction; never
/// through a load, a coil or a resistor, and never over what takes up the kick of a coil inside a relay. Contacts that one way passes
/// must be able to conduct at the same time: a way never uses two positions of one switch section or relay.
///
/// Of the ways to one terminal up to six are kept, none of which asks for all that another asks for; with more than six different
/// demands on switches before one terminal a way may be missed, never invented.

#include "circuit/graph.hpp"
#include "circuit/view.hpp"

#include <cstdint>
#include <map>
#include <tuple>
#include <utility>
#include <vector>

namespace loomproof::rules {

struct SpreadWish {
    std::vector<TerminalId> starts{};
    bool over_contacts = true;
    bool over_protectors = true;
    bool over_diodes = true;
    /// Diodes: true where the walk follows the current (away from plus), false where it runs against it (away from minus).
    bool with_current = true;
    PartId without_part{};         ///< as if this part were taken out: its elements do not conduct
    TerminalId without_terminal{}; ///< as if nothing were fitted here: the walk does not enter it
    const std::vector<bool>* not_beyond =
        nullptr; ///< terminals that may be reached, but from which the walk does not go on
    const std::vector<bool>* not_into = nullptr;      ///< terminals that the walk does not enter; starts are exempt
    const std::vector<bool>* no_diode_into = nullptr; ///< terminals that the walk does not enter over a diode
};

/// Demands on controls: the positions in which each may be, as bit sets, by control; at most one entry for each.
using Demands = std::vector<std::pair<ControlId, std::uint64_t>>;
/// Can both be met at once?
bool fit_together(const Demands&, const Demands&);

class Spread {
  public:
    struct Way {
        TerminalId at;
        std::uint32_t before = none; ///< the way it goes on from
        EdgeRef edge;                ///< the last edge; none for a start
        std::uint32_t demands = 0;
        std::uint32_t next = none; ///< the next way to the same terminal
        static constexpr std::uint32_t none = 0xffffffff;
    };

    Spread(const View&, const SpreadWish&);

    bool reached(TerminalId t) const { return at_[t.index].first != Way::none; }
    /// Ways to `t`, those over fewest edges first; indices for the functions below.
    std::vector<std::uint32_t> ways_to(TerminalId t) const;
    const Demands& demands(std::uint32_t way) const { return demand_sets_[ways_[way].demands]; }
    std::vector<EdgeRef> edges(std::uint32_t way) const;    ///< from the start on
    std::vector<TerminalId> stops(std::uint32_t way) const; ///< start and end included
    TerminalId start(std::uint32_t way) const;

    /// Reached terminals as a set, for not_beyond and not_into.
    std::vector<bool> reached_set() const;

  private:
    void offer(const Way&);
    void step(const View&, const SpreadWish&, std::uint32_t way);
    bool covers(std::uint32_t wide, std::uint32_t narrow) const;
    std::uint32_t with_demand(std::uint32_t set, ControlId, std::uint64_t positions);

    std::vector<Way> ways_;
    /// The first and the last way to a terminal; they hang together by Way::next. Many spreads reach only a few terminals.
    struct At {
        std::uint32_t first = Way::none, last = Way::none;
    };
    std::vector<At> at_; ///< by terminal
    std::vector<Demands> demand_sets_;
    std::map<std::tuple<std::uint32_t, ControlId, std::uint64_t>, std::uint32_t> known_sets_;
};

} // namespace loomproof::rules
