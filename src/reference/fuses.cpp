#include "reference/fuses.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <limits>
#include <utility>

namespace loomproof::reference {

namespace {

constexpr Source colours{"body colours of SAE J1284 / ISO 8820-3", Standing::confirmed};
constexpr Source typical_from_memory{"makers' typical values", Standing::from_memory};
constexpr Source typical_confirmed{"a maker's data sheet, typical value", Standing::confirmed};
constexpr Source iso_8820_limits{"ISO 8820-3 limits for types C and F", Standing::from_memory};
constexpr Source maker_blade_curve{"a maker's time limits for blade fuses of 35 and 40 A", Standing::confirmed};
constexpr Source maker_maxi_curve{"a maker's time limits for the maxi blade fuse of 40 A", Standing::confirmed};
constexpr Source borrowed_maxi_curve{
    "a maker's time limits for the maxi blade fuse of 40 A, taken for this rating too by common practice",
    Standing::common_practice};
constexpr Source iso_8820_scope{"ISO 8820-3, scope", Standing::confirmed};
constexpr Source maxi_derating{"a maker's table for the maxi blade fuse of 40 A", Standing::confirmed};
constexpr Source borrowed_derating{
    "a maker's table for the maxi blade fuse of 40 A, taken for this fuse too by common practice",
    Standing::common_practice};

constexpr FuseRating blade(double amps, std::string_view colour, double mohm, double mv,
                           Source source = typical_from_memory) {
    return {Amps{amps}, colour, colours, Ohms{mohm * 1e-3}, Volts{mv * 1e-3}, source};
}
constexpr FuseRating maxi(double amps, std::string_view colour) { return {Amps{amps}, colour, colours, {}, {}, {}}; }
constexpr FuseRating maxi(double amps, std::string_view colour, double mohm) {
    return {Amps{amps}, colour, colours, Ohms{mohm * 1e-3}, {}, typical_confirmed};
}

// clang-format off
constexpr FuseRating blade_ratings[] = {
    blade(1, "black", 123, 176),
    blade(2, "grey", 53.5, 141),
    blade(3, "violet", 31.1, 137),
    blade(4, "pink", 22.8, 136),
    blade(5, "tan", 17.85, 128),
    blade(7.5, "brown", 10.91, 116),
    blade(10, "red", 7.7, 109),
    blade(15, "blue", 4.8, 102),
    blade(20, "yellow", 3.38, 98),
    blade(25, "clear", 2.52, 92),
    blade(30, "green", 1.97, 84),
    blade(35, "blue-green", 1.61, 87),
    blade(40, "orange", 1.44, 96, typical_confirmed),
};
// clang-format on
constexpr std::size_t mini_count = 11; // up to 30 A

// clang-format off
constexpr FuseRating maxi_ratings[] = {
    maxi(20, "yellow"),
    maxi(25, "grey"),
    maxi(30, "green", 1.9),
    maxi(35, "brown", 1.7),
    maxi(40, "orange", 1.4),
    maxi(50, "red"),
    maxi(60, "blue"),
    maxi(70, "tan"),
    maxi(80, "clear"),
    maxi(100, "violet"),
};
// clang-format on

/// A published row: at this multiple of the rating the device opens within these seconds.
struct CurveRow {
    double multiple;
    double shortest; // zero: no lower limit printed
    double longest;  // `never`: no upper limit printed
};
constexpr double never = std::numeric_limits<double>::infinity();
constexpr double hundred_hours = 360000;

// clang-format off
constexpr CurveRow iso_rows[] = {
    {1.10, hundred_hours, never},
    {1.35, 0.75, 1800},
    {1.60, 0.25, 50},
    {2.00, 0.15, 5},
    {3.50, 0.04, 0.5},
    {6.00, 0.02, 0.1},
};
constexpr CurveRow maker_blade_rows[] = {
    {1.00, hundred_hours, never},
    {1.35, 0.75, 600},
    {2.00, 0.15, 5},
    {3.50, 0.08, 0.5},
    {6.00, 0, 0.15},
};
constexpr CurveRow maker_maxi_rows[] = {
    {1.00, hundred_hours, never},
    {1.35, 60, 1800},
    {2.00, 2, 50},
    {3.50, 0.2, 7},
    {6.00, 0.04, 1},
};
// clang-format on

struct Curve {
    std::span<const CurveRow> rows;
    Source source;
};

bool is_blade(Protector p) { return p == Protector::blade || p == Protector::mini_blade || p == Protector::maxi_blade; }

std::optional<Curve> curve_of(Protector style, double rating) {
    if (style == Protector::blade || style == Protector::mini_blade) {
        if (rating <= 30) return Curve{iso_rows, iso_8820_limits};
        if (style == Protector::blade && rating <= 40) return Curve{maker_blade_rows, maker_blade_curve};
    }
    if (style == Protector::maxi_blade && rating <= 100)
        return Curve{maker_maxi_rows, rating == 40 ? maker_maxi_curve : borrowed_maxi_curve};
    return std::nullopt;
}

/// One edge of the band: published points, straight between them on logarithmic scales.
struct Edge {
    double seconds;
    bool extended;
};

template <class Column>
Edge edge_at(std::span<const CurveRow> rows, double multiple, Column column, double before_first) {
    const CurveRow* lower = nullptr;
    for (const CurveRow& row : rows) {
        const double printed = row.*column;
        if (printed <= 0 || printed == never) continue; // nothing printed here
        if (multiple < row.multiple) {
            if (lower == nullptr) return {before_first, false};
            const double along = std::log(multiple / lower->multiple) / std::log(row.multiple / lower->multiple);
            const double from = lower->*column;
            return {from * std::pow(printed / from, along), false};
        }
        lower = &row;
    }
    if (lower == nullptr) return {before_first, false};
    const double ratio = lower->multiple / multiple;
    return {lower->*column * ratio * ratio, ratio < 1};
}

} // namespace

std::string_view word(Protector style) {
    switch (style) {
    case Protector::blade: return "blade fuse";
    case Protector::mini_blade: return "mini blade fuse";
    case Protector::maxi_blade: return "maxi blade fuse";
    case Protector::glass: return "glass fuse";
    case Protector::bolted: return "bolted fuse";
    case Protector::link: return "fusible link";
    case Protector::breaker: return "breaker";
    }
    return "";
}

std::optional<Protector> find_protector(std::string_view name) {
    constexpr std::pair<std::string_view, Protector> names[] = {
        {"blade", Protector::blade},     {"mini", Protector::mini_blade}, {"maxi", Protector::maxi_blade},
        {"glass", Protector::glass},     {"bolted", Protector::bolted},   {"link", Protector::link},
        {"breaker", Protector::breaker},
    };
    for (const auto& [known, style] : names)
        if (equal_ignoring_case(known, name)) return style;
    return std::nullopt;
}

std::span<const FuseRating> fuse_ratings(Protector style) {
    switch (style) {
    case Protector::blade: return blade_ratings;
    case Protector::mini_blade: return std::span(blade_ratings).first(mini_count);
    case Protector::maxi_blade: return maxi_ratings;
    case Protector::glass:
    case Protector::bolted:
    case Protector::link:
    case Protector::breaker: break;
    }
    return {};
}

std::optional<FuseRating> find_fuse(Protector style, Amps rating) {
    const auto found = smallest_fuse_from(style, rating);
    return found && found->rating == rating ? found : std::nullopt;
}

std::optional<FuseRating> smallest_fuse_from(Protector style, Amps current) {
    const auto ratings = fuse_ratings(style);
    const auto at = std::ranges::lower_bound(ratings, current, {}, &FuseRating::rating);
    if (at == ratings.end()) return std::nullopt;
    return *at;
}

std::optional<FuseRating> largest_fuse_up_to(Protector style, Amps current) {
    const auto ratings = fuse_ratings(style);
    const auto above = std::ranges::upper_bound(ratings, current, {}, &FuseRating::rating);
    if (above == ratings.begin()) return std::nullopt;
    return *std::prev(above);
}

Protector usual_style(Amps rating) { return rating > Amps{40} ? Protector::maxi_blade : Protector::blade; }

std::optional<FuseRating> largest_fuse_up_to(Amps current) { return largest_fuse_up_to(usual_style(current), current); }

std::optional<TimeBand> opening_time(Protector style, Amps rating, Amps current) {
    const auto curve = curve_of(style, rating.si);
    if (!curve) return std::nullopt;
    const double multiple = std::abs(current.si) / rating.si;
    const Edge shortest = edge_at(curve->rows, multiple, &CurveRow::shortest, hundred_hours);
    const Edge longest = edge_at(curve->rows, multiple, &CurveRow::longest, never);
    TimeBand band{Seconds{shortest.seconds}, std::nullopt, shortest.extended || longest.extended, curve->source};
    if (longest.seconds != never) band.longest = Seconds{longest.seconds};
    return band;
}

std::optional<Seconds> middle(const TimeBand& band) {
    if (!band.longest) return std::nullopt;
    return Seconds{std::sqrt(band.shortest.si * band.longest->si)};
}

std::string_view why_no_curve(Protector style, Amps rating) {
    if (curve_of(style, rating.si)) return {};
    switch (style) {
    case Protector::blade:
    case Protector::mini_blade:
    case Protector::maxi_blade:
        return "No time curve is published for a blade fuse of this rating; its maker's data sheet has one.";
    case Protector::glass:
        return "Glass fuses of one rating differ too much in time to state a curve; the maker's data sheet has one.";
    case Protector::bolted: return "Bolted fuses differ from maker to maker; the data sheet has the time curve.";
    case Protector::link:
        return "A fusible link has no published time curve; it opens on a dead short and never protects against "
               "overload.";
    case Protector::breaker: return "Breakers differ from maker to maker; the data sheet has the time curve.";
    }
    return {};
}

std::optional<BreakingCapacity> breaking_capacity(Protector style, Amps rating) {
    if (!is_blade(style) || rating.si > 100) return std::nullopt;
    return BreakingCapacity{Amps{1000}, Volts{32}, iso_8820_scope};
}

std::optional<AmbientShare> ambient_share(Protector style, Amps rating, Celsius place) {
    struct Row {
        double degrees, share;
    };
    static constexpr std::array<Row, 5> rows{{{20, 1.0}, {65, 0.85}, {85, 0.75}, {110, 0.625}, {125, 0.55}}};
    if (!is_blade(style) || !(place.degrees <= rows.back().degrees)) return std::nullopt;
    const Source& source = style == Protector::maxi_blade && rating.si == 40 ? maxi_derating : borrowed_derating;
    if (place.degrees <= rows.front().degrees) return AmbientShare{1.0, source};
    const auto* above = std::ranges::lower_bound(rows, place.degrees, {}, &Row::degrees);
    const Row &a = *std::prev(above), &b = *above;
    return AmbientShare{a.share + (b.share - a.share) * (place.degrees - a.degrees) / (b.degrees - a.degrees), source};
}

} // namespace loomproof::reference
