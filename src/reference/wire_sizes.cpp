#include "reference/wire_sizes.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

namespace loomproof::reference {

namespace {

constexpr Source iso_6722{"ISO 6722-1:2011, highest resistance at 20 C", Standing::from_memory};
// The one value of that table which a copy read shows too.
constexpr Source iso_6722_seen{"ISO 6722-1:2011, highest resistance at 20 C", Standing::confirmed};
// Makers' sheets for thin-wall 0.35 print 52.0 instead.
constexpr Source iso_6722_uncertain{"ISO 6722-1:2011, highest resistance at 20 C (54.4 mohm/m; some makers print 52.0)",
                                    Standing::from_memory};
// Sizes of vehicles from Japan; the standard's other ones are named as ISO's are, or hold more copper than the name above them there.
constexpr Source jis_c_3406{"JIS C 3406 (AV, AVS, AVSS), highest resistance at 20 C", Standing::from_memory};
constexpr Source astm_b258{"ASTM B258 diameter, solid copper", Standing::confirmed};
constexpr Source sae{"SAE J1128/J1127, least area", Standing::confirmed};
constexpr Source sae_from_memory{"SAE J1128/J1127, least area", Standing::from_memory};
constexpr Source counted_strands{"count and diameter of the strands, with a published strand factor of 1.03",
                                 Standing::confirmed};

struct MetricRow {
    std::string_view name;
    double nominal_mm2;
    double max_mohm_per_m;
    Source source;
};

// clang-format off
constexpr MetricRow metric_rows[] = {
    {"0.13", 0.13, 136, iso_6722},
    {"0.22", 0.22, 84.8, iso_6722},
    {"0.35", 0.35, 54.4, iso_6722_uncertain},
    {"0.5", 0.5, 37.1, iso_6722_seen},
    {"0.75", 0.75, 24.7, iso_6722},
    {"0.85", 0.85, 20.8, jis_c_3406},
    {"1", 1, 18.5, iso_6722},
    {"1.25", 1.25, 14.9, iso_6722},
    {"1.5", 1.5, 12.7, iso_6722},
    {"2", 2, 9.42, iso_6722},
    {"2.5", 2.5, 7.6, iso_6722},
    {"3", 3, 6.15, iso_6722},
    {"4", 4, 4.71, iso_6722},
    {"5", 5, 3.94, iso_6722},
    {"6", 6, 3.14, iso_6722},
    {"8", 8, 2.38, iso_6722},
    {"10", 10, 1.82, iso_6722},
    {"12", 12, 1.52, iso_6722},
    {"15", 15, 1.38, jis_c_3406},
    {"16", 16, 1.16, iso_6722},
    {"20", 20, 0.955, iso_6722},
    {"25", 25, 0.743, iso_6722},
    {"30", 30, 0.647, iso_6722},
    {"35", 35, 0.527, iso_6722},
    {"40", 40, 0.473, iso_6722},
    {"50", 50, 0.368, iso_6722},
    {"60", 60, 0.315, iso_6722},
    {"70", 70, 0.259, iso_6722},
    {"95", 95, 0.196, iso_6722},
    {"120", 120, 0.153, iso_6722},
};
// clang-format on

struct SaeRow {
    int gauge; // 0 and below: 1/0, 2/0, ...
    double min_circular_mils;
    Source source;
};

// clang-format off
constexpr SaeRow sae_rows[] = {
    {22, 681, sae_from_memory},
    {20, 1072, sae_from_memory},
    {18, 1537, sae},
    {16, 2336, sae},
    {14, 3702, sae},
    {12, 5833, sae},
    {10, 9343, sae},
    {8, 14810, sae},
    {6, 24538, sae},
    {4, 37360, sae},
    {2, 62450, sae},
    {1, 77790, sae},
    {0, 98980, sae},
    {-1, 125100, sae},
    {-2, 158600, sae},
    {-3, 205500, sae},
};
// clang-format on

constexpr int thinnest_awg = 26;
constexpr int thickest_gauge = -3;

SquareMetres disc(Metres diameter) { return diameter * diameter * (std::numbers::pi / 4); }

std::string gauge_name(int gauge) { return gauge > 0 ? std::to_string(gauge) : std::to_string(1 - gauge) + "/0"; }

WireSize of_copper(SizeSystem system, std::string name, SquareMetres copper, Source source) {
    return {system, std::move(name), copper, resistance_of(copper), source};
}

std::vector<WireSize> make_metric() {
    std::vector<WireSize> out;
    for (const MetricRow& row : metric_rows) {
        const OhmsPerMetre highest{row.max_mohm_per_m * 1e-3};
        out.push_back({SizeSystem::metric, std::string(row.name), copper_resistivity / highest, highest, row.source});
    }
    return out;
}

std::vector<WireSize> make_awg() {
    constexpr Metres inch{0.0254};
    std::vector<WireSize> out;
    for (int gauge = thinnest_awg; gauge >= thickest_gauge; --gauge) {
        const Metres diameter = 0.005 * inch * std::pow(92.0, (36.0 - gauge) / 39.0);
        out.push_back(of_copper(SizeSystem::awg, gauge_name(gauge), disc(diameter), astm_b258));
    }
    return out;
}

std::vector<WireSize> make_sae() {
    const SquareMetres circular_mil = disc(Metres{0.0254e-3});
    std::vector<WireSize> out;
    for (const SaeRow& row : sae_rows)
        out.push_back(
            of_copper(SizeSystem::sae, gauge_name(row.gauge), row.min_circular_mils * circular_mil, row.source));
    return out;
}

/// "12" -> 12, "1/0" and "0" -> 0, "4/0" and "0000" -> -3; nothing for what is no gauge.
std::optional<int> gauge_number(std::string_view name) {
    if (name.empty()) return std::nullopt;
    if (name.size() <= 4 && name.find_first_not_of('0') == std::string_view::npos)
        return 1 - static_cast<int>(name.size());
    const bool aught = name.ends_with("/0");
    const std::string_view digits = aught ? name.substr(0, name.size() - 2) : name;
    int value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    if (error != std::errc{} || end != digits.data() + digits.size() || value < 1 || value > 99 ||
        digits.front() == '0')
        return std::nullopt;
    return aught ? 1 - value : value;
}

std::optional<WireSize> find_gauge(SizeSystem system, std::string_view name) {
    const auto wanted = gauge_number(name);
    if (!wanted) return std::nullopt;
    for (const WireSize& size : wire_sizes(system))
        if (gauge_number(size.name) == wanted) return size;
    return std::nullopt;
}

/// The last size that comes before and the first that comes after, in a table sorted from thin to thick.
template <class Thinner, class Thicker> Neighbours around(SizeSystem system, Thinner is_thinner, Thicker is_thicker) {
    Neighbours out;
    for (const WireSize& size : wire_sizes(system)) {
        if (is_thinner(size)) out.thinner = size;
        if (is_thicker(size) && !out.thicker) out.thicker = size;
    }
    return out;
}

} // namespace

std::string spelled(const WireSize& size) {
    switch (size.system) {
    case SizeSystem::metric: return size.name + " mm2";
    case SizeSystem::awg: return size.name + " AWG";
    case SizeSystem::sae: return size.name + " SAE";
    case SizeSystem::strands: break;
    }
    return size.name;
}

bool is_sold(const WireSize& size) {
    static constexpr std::array<std::string_view, 15> metric{"0.5", "0.75", "1",  "1.5", "2.5", "4",  "6",  "10",
                                                             "16",  "25",   "35", "50",  "70",  "95", "120"};
    if (size.system == SizeSystem::metric) return std::ranges::find(metric, size.name) != metric.end();
    if (size.system != SizeSystem::awg || size.name == "1" || size.name.find('/') != std::string::npos) return true;
    return (size.name.back() - '0') % 2 == 0;
}

std::span<const WireSize> wire_sizes(SizeSystem system) {
    static const std::vector<WireSize> metric = make_metric();
    static const std::vector<WireSize> awg = make_awg();
    static const std::vector<WireSize> sae_sizes = make_sae();
    switch (system) {
    case SizeSystem::metric: return metric;
    case SizeSystem::awg: return awg;
    case SizeSystem::sae: return sae_sizes;
    case SizeSystem::strands: break;
    }
    return {};
}

std::optional<WireSize> find_metric(double nominal_mm2) {
    const auto* row = std::ranges::find_if(
        metric_rows, [&](const MetricRow& r) { return std::abs(r.nominal_mm2 - nominal_mm2) < 1e-6; });
    if (row == std::end(metric_rows)) return std::nullopt;
    return wire_sizes(SizeSystem::metric)[static_cast<std::size_t>(row - metric_rows)];
}

std::optional<WireSize> find_awg(std::string_view name) { return find_gauge(SizeSystem::awg, name); }
std::optional<WireSize> find_sae(std::string_view name) { return find_gauge(SizeSystem::sae, name); }

Neighbours metric_neighbours(double nominal_mm2) {
    const auto nominal = [](const WireSize& size) {
        double value = 0;
        std::from_chars(size.name.data(), size.name.data() + size.name.size(), value);
        return value;
    };
    return around(
        SizeSystem::metric, [&](const WireSize& s) { return nominal(s) < nominal_mm2; },
        [&](const WireSize& s) { return nominal(s) > nominal_mm2; });
}

Neighbours gauge_neighbours(SizeSystem system, std::string_view name) {
    const auto wanted = gauge_number(name);
    if (!wanted) return {};
    return around(
        system, [&](const WireSize& s) { return *gauge_number(s.name) > *wanted; },
        [&](const WireSize& s) { return *gauge_number(s.name) < *wanted; });
}

WireSize stranded(int count, Metres strand_diameter) {
    // The trade spells strand diameters with two decimals, 28/0.30; a third only where there is one.
    const double mm = strand_diameter.si * 1e3;
    const bool two_decimals = std::abs(mm * 100 - std::round(mm * 100)) < 1e-6;
    std::string name = two_decimals ? fmt::format("{}/{:.2f}", count, mm) : fmt::format("{}/{:.3f}", count, mm);
    return of_copper(SizeSystem::strands, std::move(name),
                     static_cast<double>(count) * disc(strand_diameter) / strand_factor, counted_strands);
}

Ohms wire_resistance(OhmsPerMetre at_20c, Metres length, Celsius t) { return at_temperature(at_20c, t) * length; }

} // namespace loomproof::reference
