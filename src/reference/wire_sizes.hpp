#pragma once
/// Wire sizes: what a number stamped on a reel means in copper.
///
/// A size is a name, not an area. AWG 14 holds 2.08 mm2, SAE 14 holds 1.88, and metric "1.5" may be built with 1.36.
/// Everything computed about a wire starts from its *effective copper area*: the area of a solid bar of standard copper
/// with the same resistance. So an area and a resistance per metre of this room always belong together:
/// resistance at 20 C = copper_resistivity / area.
///
/// - metric: ISO 6722-1 states no area, only the highest resistance allowed; the effective area is what follows from it. 0.85 and 15 mm2
///   are sizes of JIS C 3406 and are taken likewise.
/// - AWG: ASTM B258, d = 0.005 in * 92^((36-n)/39), a solid round wire (4/0 is n = -3). Stranding adds about 2 % to the
///   resistance; this is left out, as in the tables that rate wires by AWG number.
/// - SAE: J1128 (primary cable) and J1127 (battery cable), least area in circular mils.

#include "base/quantity.hpp"
#include "reference/source.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace loomproof::reference {

using OhmsPerMetre = decltype(Ohms{} / Metres{});
using OhmMetres = decltype(Ohms{} * Metres{});

/// Standard (100 % IACS) copper at 20 C: 1/58 ohm mm2/m. IEC 60028; NBS Handbook 100 (1966). Confirmed.
constexpr OhmMetres copper_resistivity{1e-6 / 58};

/// Rise of the resistance of copper per kelvin, referred to 20 C. IEC 60028; NBS Handbook 100. Confirmed.
constexpr double copper_alpha_20 = 0.00393;

/// Aluminium wire with a copper skin has about this many times the resistance of copper wire of the same size. From memory.
constexpr double copper_clad_aluminium_factor = 1.6;

/// Strands are longer than the wire that they make up: resistance of a stranded wire against a solid one of the same
/// metal area. Used in a published example (2.5 mm2, class 2: 7.10 ohm/km). Confirmed.
constexpr double strand_factor = 1.03;

enum class SizeSystem { metric, awg, sae, strands };

struct WireSize {
    SizeSystem system = SizeSystem::metric;
    std::string name;            ///< as the trade spells it: "1.5", "12", "1/0", "28/0.30"; no unit
    SquareMetres copper;         ///< effective copper area at 20 C
    OhmsPerMetre resistance_20c; ///< at 20 C; for metric sizes the highest that the standard allows
    Source source;
};

/// The size with its unit: "1.5 mm2", "12 AWG", "14 SAE", "28/0.30".
std::string spelled(const WireSize&);

/// Is it on every shelf? Metric: the sizes of IEC 60228; AWG: the gauges of FAA table 11-9, even ones up to 2, then 1 to 4/0, and thinner even
/// ones; SAE: all. Common practice.
bool is_sold(const WireSize&);

/// All sizes of a table, from the thinnest to the thickest by name. SAE names 22 and 20 are from memory and hold more
/// copper than AWG wire of the same number; every SAE size from 18 up holds less. Valid for ever. Empty for strands.
std::span<const WireSize> wire_sizes(SizeSystem);

/// A metric size by its nominal number in mm2: 1.5, 0.35. Sizes that no standard here lists give nothing.
std::optional<WireSize> find_metric(double nominal_mm2);

/// A gauge by name: "12", "1/0"; "0", "00", "000" and "0000" are read as 1/0 to 4/0. AWG 26 to 4/0; SAE 22 to 4/0
/// without the odd numbers above 1.
std::optional<WireSize> find_awg(std::string_view name);
std::optional<WireSize> find_sae(std::string_view name);

/// A wire by what it is made of: `count` strands of the given diameter, as in 28/0.30 (old British sizes, welding cable).
/// Effective area = count * pi/4 * d^2 / strand_factor. Requires count >= 1 and a diameter above zero.
WireSize stranded(int count, Metres strand_diameter);

/// The sizes of a system on either side of something that is not in its table, for "there is no 1.4 mm2; nearest are ...".
struct Neighbours {
    std::optional<WireSize> thinner;
    std::optional<WireSize> thicker;
};
Neighbours metric_neighbours(double nominal_mm2);
/// By gauge number, where 1/0 to 4/0 follow 1 (names as in find_awg). Nothing on either side for what is no gauge number.
Neighbours gauge_neighbours(SizeSystem, std::string_view name);

/// Resistance of copper that has `at_20c` at 20 C, at another temperature: linear, with copper_alpha_20.
/// Do not mix with tables that print 1/(1 + 0.004 (T - 20)), as those with IEC 60228 do (up to 0.3 % apart at 100 C).
template <class R> constexpr R at_temperature(R at_20c, Celsius t) {
    return at_20c * (1 + copper_alpha_20 * (t.degrees - 20));
}

/// Resistance of a length of wire at a temperature of its copper.
Ohms wire_resistance(OhmsPerMetre at_20c, Metres length, Celsius t);
/// The same for a bare area of copper.
constexpr OhmsPerMetre resistance_of(SquareMetres copper) { return copper_resistivity / copper; }

} // namespace loomproof::reference
