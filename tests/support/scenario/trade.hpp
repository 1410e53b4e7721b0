#pragma once
/// What the generator knows of the trade: wire sizes, fuses, colours. Its own small tables, apart from src/reference on
/// purpose: a wrong row there must not make a wrong circuit here.

#include <span>
#include <string>
#include <string_view>

namespace loomproof::scenario {

enum class Family { metric, awg, sae };

struct Size {
    Family family;
    const char* text; ///< as typed in a circuit file
    double area;      ///< mm2 of copper that it really holds
    double carries;   ///< A, 105 C class in 30 C air
};

/// All sizes of a family, thin to thick.
///
/// What they carry: 33 CFR 183.425 Table 5, 105 C column, by the largest AWG row whose copper is not above the real area;
/// thinner than 18 AWG from common practice, on the safe side. Real areas: metric by the greatest resistance of
/// ISO 6722-1:2011 (from memory), AWG by definition (ASTM B258), SAE by the least areas of SAE J1128.
std::span<const Size> sizes(Family);

/// The thinnest size that carries `amps` at a place which leaves `share` of the table's figure and holds at least `area`
/// (mm2). The thickest there is where none does.
const Size& size_for(Family, double amps, double share, double area = 0);

/// The standard rating at or above `amps`: blade fuses to 40 A (ISO 8820-3), then the usual large ones to 300 A.
double fuse_for(double amps);
/// The type that is made for this rating: "blade", "maxi" or "bolted".
const char* fuse_type(double rating);

struct Colour {
    const char* word;    ///< "blue"
    const char* iec;     ///< IEC 60757
    const char* british; ///< British car makers' letters (BS AU 7), common practice
    const char* german;  ///< DIN 47002
};
std::span<const Colour> colours();

/// Texts for people that are hostile to whoever prints them into XML, HTML, CSV, a shell or a fixed width.
std::span<const std::string_view> hostile_texts();
/// Names that a circuit file allows and a careless reader trips over.
std::span<const std::string_view> odd_names();

/// A figure as typed: shortest decimal form, at most four places.
std::string typed(double value);
/// 2.5 -> "2.5 m"
std::string metres(double value);
enum class Rule { metres, centimetres, inches };
/// A length as somebody with that rule in hand types it: "80 cm", "6 ft", "18 in".
std::string length_text(double metres, Rule);
/// The nearest length not above it that can be typed so; at least the smallest step.
double typeable(double metres, Rule);
std::string amps(double value);

} // namespace loomproof::scenario
