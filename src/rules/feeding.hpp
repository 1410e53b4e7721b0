#pragma once
/// Can current get through something that has two ends: a load, a coil? By structure alone, and if not, why not.

#include "rules/ends.hpp"
#include "rules/sides.hpp"

#include <string>
#include <vector>

namespace loomproof::rules {

struct Feeding {
    enum class How {
        can,        ///< one end can be live while the other is on ground; `demands` says with what, one way of it
        never_both, ///< each end can, but no position of the switches does both at once
        both_live, ///< both ends are fed, and neither can be on ground; `open` are bare outputs of relays at either end that may be why
        both_ground, ///< both ends are on ground in every position, and neither can be live
        not_fed,     ///< neither end can be live; `open` are the bare ends due to be wired that may be why
        no_ground,   ///< an end is fed, the other leads nowhere: ground-missing
        not_known,   ///< an end that nobody traced, or a bare end that is not due yet, may be why
    };
    How how = How::not_known;
    Demands demands;
    std::vector<TerminalId> open;
    std::vector<PartId>
        joined; ///< not_fed: relays and switches on what is joined to its ends, as far as current could come from them
    TerminalId wrong;      ///< both_live: the end that belongs on ground
    bool untraced = false; ///< not_known: because of an end that nobody traced
};

/// `polar`: it works only with plus on `a`.
Feeding feeding_of(const Study&, const Sides&, const Ends&, TerminalId a, TerminalId b, bool polar);

/// By structure it is not fed, but something that is fed may hang before it: current may come through that, a resistor for instance, in some
/// position. Where not every position was seen, nobody can say that it never does.
bool perhaps_through_others(const Study&, const Sides&, const Primitive&);

/// A battery or a piece of metal hangs on no ground, so that what can be fed by structure may get nothing: ground-missing speaks of it.
bool a_source_floats(const Study&, const Sides&, const Ends&);

/// Relays among the demands that are asked for a position which no state has; states are those of the study's behaviour.
std::vector<PartId> relays_that_never(const Study&, const Demands&);

} // namespace loomproof::rules
