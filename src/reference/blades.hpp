#pragma once
/// What goes onto the blades of a plug-in relay. One place, so that forms and rules say the same.

#include "base/quantity.hpp"

namespace loomproof::reference {

/// The thickest copper that goes into a terminal for a blade 6.3 mm wide: 6 mm2 (the usual range of such terminals ends at 4 to 6 mm2, 12 to
/// 10 AWG: common practice, no source), with a little for sizes that are a name.
inline constexpr SquareMetres blade_terminal_takes{6.3e-6};
/// The same in words.
inline constexpr const char* blade_terminal_takes_words = "6 mm2 (10 AWG; common practice, no source)";
/// Relays for more than that have wider blades or studs (common practice, no source).
inline constexpr Amps on_usual_blades{40};

} // namespace loomproof::reference
