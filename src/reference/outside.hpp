#pragma once
/// How thick wires are over their insulation: what a plug's seal has to close on.
///
/// Metric vehicle wire only (ISO 6722-1: thin wall, as FLRY is; thick wall, as older FLY is). The standard prints only the largest diameter; the
/// least is what makers list. All of it from memory, none confirmed, and makers differ by a tenth of a millimetre: `maker_spread` says by how
/// much a finding has to be beyond. SAE walls (GXL, TXL, SXL) are not listed: published ones contradict each other.

#include "base/quantity.hpp"
#include "reference/source.hpp"

#include <optional>
#include <string_view>

namespace loomproof::reference {

/// Over the insulation.
struct Outside {
    Metres least, most;
};

inline constexpr Metres maker_spread{0.1e-3};
inline constexpr Source outside_source{"outside diameters of ISO 6722-1 and of makers' lists", Standing::from_memory};

/// A wire of this metric name ("1.5") with this insulation ("FLRY"; empty: not said, which may be either wall). Nothing where no row fits.
std::optional<Outside> outside_of(double nominal_mm2, std::string_view insulation);

} // namespace loomproof::reference
