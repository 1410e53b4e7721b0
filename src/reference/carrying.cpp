#include "reference/carrying.hpp"

#include "base/number.hpp"
#include "reference/wire_sizes.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <vector>

namespace loomproof::reference {

namespace {

constexpr Source table_5{"33 CFR 183.425 Table 5, written for boats", Standing::confirmed};
constexpr Source small_wires{"common practice for wires below 18 AWG, no published table", Standing::common_practice};

constexpr std::array<double, 7> columns{60, 75, 80, 90, 105, 125, 200};

/// Areas of one row's size are looked up by name once, so that a size always reaches its own row to the last digit.
struct PrintedRow {
    std::string_view awg;
    std::string_view spelled;
    std::array<double, columns.size()> amps;
};

// clang-format off
constexpr PrintedRow printed_rows[] = {
    {"18", "18 AWG", {10, 10, 15, 20, 20, 25, 25}},
    {"16", "16 AWG", {15, 15, 20, 25, 25, 30, 35}},
    {"14", "14 AWG", {20, 20, 25, 30, 35, 40, 45}},
    {"12", "12 AWG", {25, 25, 35, 40, 45, 50, 55}},
    {"10", "10 AWG", {40, 40, 50, 55, 60, 70, 70}},
    {"8", "8 AWG", {55, 65, 70, 70, 80, 90, 100}},
    {"6", "6 AWG", {80, 95, 100, 100, 120, 125, 135}},
    {"4", "4 AWG", {105, 125, 130, 135, 160, 170, 180}},
    {"3", "3 AWG", {120, 145, 150, 155, 180, 195, 210}},
    {"2", "2 AWG", {140, 170, 175, 180, 210, 225, 240}},
    {"1", "1 AWG", {165, 195, 210, 210, 245, 265, 280}},
    {"1/0", "1/0 AWG", {195, 230, 245, 245, 285, 305, 325}},
    {"2/0", "2/0 AWG", {225, 265, 285, 285, 330, 355, 370}},
    {"3/0", "3/0 AWG", {260, 310, 330, 330, 385, 410, 430}},
    {"4/0", "4/0 AWG", {300, 360, 385, 385, 445, 475, 510}},
};
// clang-format on

/// Amps in free air, 105 C insulation, 30 C.
struct SmallRow {
    std::string_view spelled;
    double nominal_mm2; // zero for the SAE row
    std::string_view sae;
    double amps;
};

// clang-format off
constexpr SmallRow small_rows[] = {
    {"0.22 mm2", 0.22, "", 5},
    {"0.35 mm2", 0.35, "", 9},
    {"0.5 mm2", 0.5, "", 12},
    {"0.75 mm2", 0.75, "", 15},
    {"18 SAE", 0, "18", 17},
};
// clang-format on
constexpr Celsius small_rows_class{105};

struct Row {
    SquareMetres copper;
    std::string_view spelled;
    const PrintedRow* printed; // null for small wires
    double small_amps;
};

std::vector<Row> make_rows() {
    std::vector<Row> rows;
    for (const SmallRow& small : small_rows) {
        const auto size = small.sae.empty() ? find_metric(small.nominal_mm2) : find_sae(small.sae);
        rows.push_back({size.value().copper, small.spelled, nullptr, small.amps});
    }
    for (const PrintedRow& printed : printed_rows)
        rows.push_back({find_awg(printed.awg).value().copper, printed.spelled, &printed, 0});
    return rows;
}

/// A size that holds up to so much less copper than a row is that row's size all the same: 70 mm2 beside 2/0 AWG, 35 mm2 beside 2 AWG (the
/// resistances of ISO 6722 beside the table of AWG: 1 and 3 %). It carries as much less as its copper is less, which is a little more than
/// needed: heat goes with I^2 R.
constexpr double sold_as = 0.04;

/// The largest row not above `copper`, or one of Table 5 that is above by no more than sold_as; a part in a thousand million is rounding
/// between units, not copper.
const Row* row_for(SquareMetres copper) {
    static const std::vector<Row> rows = make_rows();
    const auto above = std::ranges::upper_bound(rows, copper * (1 + 1e-9), {}, &Row::copper);
    if (above != rows.end() && above->printed != nullptr && copper >= above->copper * (1 - sold_as)) return &*above;
    return above == rows.begin() ? nullptr : &*std::prev(above);
}

/// Share of a printed current that gives the allowed rise instead of the printed one: the rise goes with I^2.
double by_rise(double allowed_rise, double printed_rise) {
    return std::sqrt(std::max(0.0, allowed_rise) / printed_rise);
}

} // namespace

std::optional<Carrying> what_a_wire_can_carry(SquareMetres copper, Celsius insulation_class, Celsius place) {
    if (!std::isfinite(copper.si) || !std::isfinite(insulation_class.degrees) || !std::isfinite(place.degrees))
        return std::nullopt;
    const auto next_column = std::ranges::upper_bound(columns, insulation_class.degrees);
    const Row* row = row_for(copper);
    if (next_column == columns.begin() || row == nullptr) return std::nullopt;
    const auto column = static_cast<std::size_t>(std::prev(next_column) - columns.begin());

    Carrying out;
    out.row = row->spelled;
    out.insulation_class = insulation_class;
    out.place = place;
    const double class_rise = (insulation_class - table_ambient).si;
    if (row->printed != nullptr) {
        out.source = table_5;
        out.column = Celsius{columns[column]};
        if (copper * (1 + 1e-9) < row->copper) out.copper_factor = copper / row->copper;
        out.at_table_ambient = Amps{row->printed->amps[column]} * out.copper_factor;
    } else {
        const auto& awg_18 = printed_rows[0].amps;
        const auto column_105 =
            static_cast<std::size_t>(std::ranges::find(columns, small_rows_class.degrees) - columns.begin());
        const double by_table = awg_18[column] / awg_18[column_105];
        out.source = small_wires;
        out.column = small_rows_class;
        out.at_table_ambient = Amps{
            row->small_amps * std::min({1.0, by_table, by_rise(class_rise, (small_rows_class - table_ambient).si)})};
    }
    out.place_factor = std::min(1.0, by_rise((insulation_class - place).si, class_rise));
    out.amps = out.at_table_ambient * out.place_factor;
    return out;
}

Celsius copper_temperature(const Carrying& carrying, Amps current) {
    const double share = current / carrying.at_table_ambient;
    return carrying.place + (carrying.insulation_class - table_ambient) * (share * share);
}

std::string sentence(const Carrying& c) {
    const bool lower_column = c.source.standing == Standing::confirmed && c.column < c.insulation_class;
    const std::string column = lower_column ? fmt::format(", column for {}", text(c.column)) : "";
    std::string out = "Carries ";
    if (c.place_factor < 1 || c.copper_factor < 1) out += text(c.amps) + ": ";
    out += fmt::format("{}, as {} does at {} in {} insulation ({}{})", text(c.at_table_ambient / c.copper_factor),
                       c.row, text(table_ambient), text(c.insulation_class), cite(c.source), column);
    if (c.copper_factor < 1) out += fmt::format(", times {} for its copper", figure(c.copper_factor));
    if (c.place_factor < 1) out += fmt::format(", times {} for a place at {}", figure(c.place_factor), text(c.place));
    return out + ".";
}

} // namespace loomproof::reference
