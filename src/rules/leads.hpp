#pragma once
/// Unprotected leads: wires that a strong source can feed over no fuse, link or breaker further than the allowed lead.
///
/// The way is measured from the pole of each source by itself, along the shortest unprotected way, to the furthest point of the wire.
/// Starter cables, winch cables with an isolator or sleeved end to end, and the links between batteries in series count as part of
/// the source: they are no leads, and have no length. The starter's own solenoid lead is no lead either.

#include "circuit/graph.hpp"
#include "findings/finding.hpp"
#include "rules/live_pole.hpp"

#include <vector>

namespace loomproof::rules {

struct Study;

/// 7 in, as people measure it (33 CFR 183.455(b)(1): 17.8 cm).
inline constexpr Metres allowed_lead{0.18};
/// 40 in, where the whole lead is in a sheath or enclosure (33 CFR 183.455(b)(2)).
inline constexpr Metres allowed_sleeved_lead{1.016};

/// One lead that is too long: the first wire that goes beyond what is allowed, and what hangs behind it.
struct Lead {
    WireId root;
    TerminalId near, far; ///< the root's ends: towards the source, away from it
    /// The poles from which it is unprotected, in text order; never empty. The figures hold for the first.
    std::vector<LivePole> from;
    TerminalId origin; ///< where the lead begins: the pole, or the far end of a starter cable or series link from it
    TerminalId other_pole;                    ///< a pole that feeds it unprotected from its far end, if one does
    Certainty certainty = Certainty::certain; ///< possible: the lengths may just do; undecided: a length is not known
    Metres length;                            ///< from the origin to the root's far end, as stated
    Metres allowed;                           ///< what is allowed: sleeved all the way or not
    std::vector<EdgeRef> way;                 ///< from the pole to the root's far end, the root last
    std::vector<WireId> of_unknown_length;    ///< on that way
    std::vector<WireId> behind;               ///< further wires that nothing protects, in text order
    /// A source of another battery that feeds the root's far end over its own protection, with the root taken out; else none. A lead that
    /// ends at a fuse of its own, with another fuse further on, has none: that fuse only sits too far away.
    LivePole beyond;
    PrimitiveId beyond_protector; ///< the last protector on that source's way
};

/// All of them, one for each root, in text order. Rules find them in Study::leads.
std::vector<Lead> unprotected_leads(const Study&);

} // namespace loomproof::rules
