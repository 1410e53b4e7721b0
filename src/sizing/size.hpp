#pragma once
/// Which wire and which fuse a load needs: the fuse for what flows, a wire that carries the fuse, and copper enough that few volts are lost.
///
/// - Fuse: the smallest standard plug-in rating of which the load takes at most 80 % for long (common practice), less where the place is
///   warm (reference::ambient_share). Above 100 A there is no common list.
/// - Wire: carries at least the fuse's rating where it lies (reference::what_a_wire_can_carry), so that the fuse opens before it is too hot.
/// - Loss: amps times the resistance of all the wire on the way, out and back, at the temperature that the current gives the copper.

#include "base/quantity.hpp"
#include "reference/carrying.hpp"
#include "reference/fuses.hpp"
#include "reference/wire_sizes.hpp"

#include <optional>
#include <string>

namespace loomproof::sizing {

/// Of a plug-in fuse's rating, for long. Common practice.
inline constexpr double fuse_habit = 0.8;

/// Volts that may be lost between a source of 12 V and a load, out and back, everything included (0.5 V in the feed and 0.2 V in the ground,
/// trade practice; voltage-drop holds circuits against it); more at 24 V by proportion.
inline constexpr Volts allowed_at_12_v{0.7};

/// Of that, what the wires alone may lose where nothing else about the circuit is known, go and return together: 0.5 V at 12 V, 1 V at 24 V (FAA
/// AC 43.13-1B table 11-6, continuous load at 14 V and 28 V; confirmed); fuse, switch, relay and plugs lose the rest. 6 V: half as much as 12 V.
Volts usual_loss(Volts system);

/// Volts lost over a run of wire: amps * ohms per metre * metres of copper.
constexpr Volts lost_over(reference::OhmsPerMetre r, Metres copper, Amps amps) { return amps * (r * copper); }

struct Fuse {
    reference::FuseRating rating;
    reference::Protector style;
    double share; ///< of the rating that may flow for long: the habit times what the place leaves
};
/// The smallest that a steady current suits; nothing above what plug-in fuses are made for, or in a place too hot for them.
std::optional<Fuse> fuse_for(Amps steady, Celsius place);

struct Need {
    Amps amps;     ///< steady
    Amps carries;  ///< the least that the wire must carry: the fuse's rating, or `amps` where there is no fuse
    Metres copper; ///< all the wire that the current passes, out and back
    Volts allowed; ///< may be lost over it
    Celsius place;
    Celsius insulation = reference::default_insulation_class;
    SquareMetres least{}; ///< copper below which no wire is proposed
};

/// The thinnest wire that stands being handled, 0.5 mm2: thinner ones tear in a loom that is worked on (common practice, no source).
SquareMetres thinnest_to_handle();

struct Wire {
    reference::WireSize size;
    reference::Carrying carrying;
    Celsius warm; ///< its copper, with that current
    Volts lost;
    bool for_loss = false; ///< a thinner one would carry it, but lose too much
};

/// One size against the need; nothing where no table reaches it.
std::optional<Wire> weighed(const reference::WireSize&, const Need&);
bool does(const Wire&, const Need&);
/// The thinnest sold that does; nothing where not even the thickest does.
std::optional<Wire> thinnest(reference::SizeSystem, const Need&);

} // namespace loomproof::sizing
