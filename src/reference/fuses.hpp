#pragma once
/// Fuses and other things that open: ratings, body colours, how fast they open, what they can break.
///
/// A blade fuse holds 110 % of its rating for a hundred hours and may take half an hour at 135 %; it protects against
/// shorts, not against small overloads. Ratings and currents here are at about 25 C unless said.

#include "base/quantity.hpp"
#include "reference/source.hpp"

#include <optional>
#include <span>
#include <string_view>

namespace loomproof::reference {

enum class Protector {
    blade,      ///< regular blade, ISO 8820-3 type C (SAE J1284)
    mini_blade, ///< ISO 8820-3 type F
    maxi_blade, ///< large blade, ISO 8820-3 type E
    glass,      ///< cartridge; old British ones are named by the current that blows them, twice what they carry
    bolted,     ///< strip or bolt-down fuse
    link,       ///< fusible link: a short piece of thinner wire
    breaker,    ///< thermal breaker of any reset type
};

/// "blade fuse", "mini blade fuse", "maxi blade fuse", "glass fuse", "bolted fuse", "fusible link", "breaker".
std::string_view word(Protector);

/// "blade", "mini", "maxi", "glass", "bolted", "link", "breaker": the one word by which a circuit file names it. Case ignored.
std::optional<Protector> find_protector(std::string_view);

/// One entry of a range of standard ratings. Cold resistance and drop are typical values of makers, not limits; absent
/// where no figure is at hand. The drop at rated current is 1.3 to 1.7 times rating * cold resistance: the element is hot.
struct FuseRating {
    Amps rating;
    std::string_view colour; ///< of the body, as the trade names it: "tan", "clear", "blue-green"
    Source colour_source;
    std::optional<Ohms> cold_resistance;
    std::optional<Volts> drop_at_rating;
    Source resistance_source; ///< of the two figures; meaningless where both are absent
};

/// The standard ratings of a style, ascending: blade and mini blade 1..40 A and 1..30 A, maxi 20..100 A. Empty for styles
/// whose ratings follow no common list. Valid for ever. Colours: SAE J1284 / ISO 8820-3.
std::span<const FuseRating> fuse_ratings(Protector);

/// The entry with exactly this rating; nothing where the range has none.
std::optional<FuseRating> find_fuse(Protector, Amps rating);
/// The smallest standard rating not below a current, and the largest not above one.
std::optional<FuseRating> smallest_fuse_from(Protector, Amps);
std::optional<FuseRating> largest_fuse_up_to(Protector, Amps);
/// The plug-in fuse that people have for such a rating: a blade up to 40 A, a maxi blade above (common practice, no source).
Protector usual_style(Amps);
/// The largest of the usual style.
std::optional<FuseRating> largest_fuse_up_to(Amps);

/// When a device opens at a steady current: not before `shortest`, not after `longest`.
struct TimeBand {
    Seconds shortest;
    std::optional<Seconds> longest; ///< absent where the standard never promises that it opens
    bool extended = false;          ///< the current lies beyond the last published row: same I^2 t as there
    Source source;
};

/// The band at a current, by the published rows of the style and rating, straight lines between rows on logarithmic
/// scales of current and time. Below the first row (110 %, or 100 % in makers' rows) the device holds: shortest is 100 h,
/// longest absent. Below 135 % no standard promises an opening. Beyond the last row I^2 t stays what it was there: the
/// melting metal keeps its heat, so both times fall with the square of the current; marked `extended`.
///
/// Rows: types C and F up to 30 A ISO 8820-3 class limits, from memory; regular blade 35 and 40 A and maxi 40 A a maker's,
/// confirmed; other maxi ratings borrow the 40 A rows (common practice). Nothing where no curve is at hand; then
/// why_no_curve says why. Requires rating above zero; the current's sign does not matter.
std::optional<TimeBand> opening_time(Protector, Amps rating, Amps current);

/// The middle of a band on the logarithmic scale (geometric mean); nothing where it has no end.
std::optional<Seconds> middle(const TimeBand&);

/// A sentence for the list of what was not checked; empty where opening_time gives a band.
std::string_view why_no_curve(Protector, Amps rating);

struct BreakingCapacity {
    Amps current;
    Volts up_to; ///< the lower of the voltage ratings on sale; a fuse may be marked higher
    Source source;
};

/// The largest current that a device is made to break. Blade styles up to 100 A: 1000 A, made in 32 V and 58 V
/// (scope of ISO 8820-3, confirmed). Nothing for the others: it is printed on the device or in its data sheet.
std::optional<BreakingCapacity> breaking_capacity(Protector, Amps rating);

struct AmbientShare {
    double share; ///< of the rating that may flow steadily, 0..1
    Source source;
};

/// What a warm place leaves of a blade fuse's rating: 1.0 up to 20 C, 0.85 at 65 C, 0.75 at 85 C, 0.625 at 110 C, 0.55 at
/// 125 C, straight between. A maker's table for the maxi size of 40 A (confirmed), borrowed for the other blade fuses
/// (common practice). This comes on top of the everyday habit of loading a fuse to 75..80 %. Nothing above 125 C and for
/// other styles.
std::optional<AmbientShare> ambient_share(Protector, Amps rating, Celsius place);

} // namespace loomproof::reference
