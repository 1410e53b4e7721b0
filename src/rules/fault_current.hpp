#pragma once
/// Where a fault current can go, and how large it can get: the hot spread that rules of protection share.
///
/// From a live pole it goes over wires, joints, meters, contacts that can close and diodes in the direction of the current; never
/// through a load or a coil, and never into the solid reference (Study::reference). With Positions::one_per_control a walk never
/// uses two positions of one control.

#include "rules/study.hpp"

#include <optional>
#include <span>

namespace loomproof::rules {

/// `stop` stops at outputs that limit themselves too.
enum class Protectors { stop, pass };

/// The end of an edge that is not `t`.
TerminalId other_end(const Circuit&, EdgeRef, TerminalId t);

/// May a fault current that starts at a live pole pass this edge, coming from `from`?
bool carries_fault(const Study&, EdgeRef, TerminalId from, Protectors);

/// The same with every switch, relay and condition at rest: what is live with the key off.
bool carries_fault_at_rest(const Study&, EdgeRef, TerminalId from, Protectors);

/// May it pass whatever the switches do: over fuses, not over what can open (a contact) or blocks (a diode), which parts two feeds on
/// purpose?
bool carries_fault_for_good(const Study&, EdgeRef, TerminalId from);

/// Shortest ways from all sources, those too that limit themselves, over protectors: what can be live at all.
Reach live_walk(const Study&);

/// Resistance of the wires along a way, with the copper at a temperature. Wires of unknown size or length count as nothing, and so do
/// contacts and fuses: the true resistance is higher.
Ohms resistance_along(const Circuit&, std::span<const EdgeRef> way, Celsius copper);

/// The most that a source drives into a dead short at the end of a way. Nothing where its inner resistance is not known (a feed that
/// is not drawn).
std::optional<Amps> dead_short(const Circuit&, PrimitiveId source, Ohms way);

/// Rounded to so many significant digits, for figures that rest on an estimate.
double rounded(double, int digits);
template <class Q> Q rounded(Q q, int digits) { return Q{rounded(q.si, digits)}; }

} // namespace loomproof::rules
