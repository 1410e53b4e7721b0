#pragma once
/// How long a wire stands a short.
///
/// In the first seconds no heat leaves the copper: it warms by I^2 R alone, and its resistance rises as it does. So a
/// wire of S mm2 reaches the temperature Tf from Ti after t = (k S / I)^2 with
///     k = 226 * sqrt(ln((Tf + 234.5) / (Ti + 234.5)))        A s^0.5 / mm2
/// IEC 60949, IEC 60364-5-54. Confirmed. The law is meant for up to about 5 s; beyond, a real wire lasts longer, so the
/// time stays on the safe side. S is the effective copper area, since the heat is made by the resistance.
///
/// Final temperatures that insulation stands once, after a short (IEC 60364-5-54, confirmed): 160 C thermoplastic (PVC),
/// 250 C cross-linked polyethylene, 200 or 220 C rubber, 350 C silicone. insulation.hpp says which applies.

#include "base/quantity.hpp"

namespace loomproof::reference {

/// Longest time for which the law is published.
constexpr Seconds adiabatic_validity{5};

/// Copper melts. Common tables (1084.6 C today); the value that published fusing examples use.
constexpr Celsius copper_melting_point{1083};

/// k in A s^0.5 / mm2, as the standards print it. Zero where the end is not above the start.
/// Requires both above -234.5 C.
double adiabatic_k(Celsius start, Celsius end);

/// The time after which a current has brought the copper from `start` to `end`. Zero where the end is not above the
/// start; unlimited (infinity) at zero current.
Seconds time_to_reach(SquareMetres copper, Amps current, Celsius start, Celsius end);

/// The current that does so in the given time (above zero).
Amps current_to_reach(SquareMetres copper, Seconds time, Celsius start, Celsius end);

} // namespace loomproof::reference
