#pragma once
/// What protects each wire.
///
/// Take the wire out; then the smallest cut of protective ratings between the sources and each of its ends; the larger of the two
/// ends counts. So two 15 A fuses that feed one end together protect it at 30 A, and parallel cables that each have their own fuse
/// are protected by that. Sources that limit their own current count with their limit. Contacts that can close count as closed, but
/// never two positions of one control at once, as far as there are few enough controls around the wire to try all.
///
/// How: whatever nothing limits is drawn together into zones; fuses, diodes and divided contacts join zones. Most zones are fed over
/// one protector, so their cut follows from the zone before them; only the others need a flow.

#include "circuit/circuit.hpp"

#include <optional>
#include <vector>

namespace loomproof::rules {

struct Study;

struct Protection {
    bool fed = false;         ///< some source can reach it at all
    bool unprotected = false; ///< a strong source reaches an end over nothing that limits
    Amps lets_through;        ///< where fed and not unprotected: the larger of the two ends
    /// What makes up that figure: protectors, and sources and outputs that limit themselves, in text order.
    std::vector<PrimitiveId> devices;
    TerminalId end; ///< the end that counts
    /// Protectors of unknown rating on which the figure depends; `lets_through` then counts them as zero.
    std::vector<PrimitiveId> of_unknown_rating;
    /// Protectors of unknown rating that may let less through than that: `lets_through` is then an upper bound, and a wire that carries
    /// more than `at_least` is only perhaps too thin.
    std::vector<PrimitiveId> perhaps_less;
    Amps at_least; ///< the larger of the two ends if all protectors of unknown rating let nothing through
    bool positions_tried =
        true; ///< false: more than one position of a control may have been counted together, so the figure is an upper bound
};

/// The protection of every wire that is alive, by wire id. Rules find it in Study::protection.
std::vector<Protection> protection_of_wires(const Study&);

/// The current that a copper wire of this area, used as a fusible link, carries for long before it melts: 80 d^1.5 A, d in mm
/// (W. H. Preece 1888, in open air; published constant 10244 for inches). A link is slower and less exact than any fuse.
Amps link_melts_at(SquareMetres);

/// What a protector is rated at now, or an output that limits itself lets through; for a link without a stated rating, what melts it. Unknown where nobody said.
Stated<Amps> rating_of(const Study&, PrimitiveId protector);

} // namespace loomproof::rules
