#include "reference/bundles.hpp"

#include <algorithm>
#include <array>

namespace loomproof::reference {

namespace {

// clang-format off
constexpr std::array<BundleRow, 17> rows{{
    {"24", 2.5, 28.4}, {"22", 3, 16.2}, {"20", 4, 9.88}, {"18", 6, 6.23}, {"16", 7, 4.81}, {"14", 10, 3.06}, {"12", 13, 2.02},
    {"10", 17, 1.26}, {"8", 38, 0.7}, {"6", 50, 0.44}, {"4", 68, 0.28}, {"2", 95, 0.18}, {"1", 113, 0.15}, {"1/0", 128, 0.12},
    {"2/0", 147, 0.09}, {"3/0", 172, 0.07}, {"4/0", 204, 0.06},
}};
// clang-format on

} // namespace

std::span<const BundleRow> bundle_rows() { return rows; }

Source bundle_source() { return {"FAA AC 43.13-1B table 11-9, written for aircraft", Standing::confirmed}; }

std::optional<BundleRow> find_bundle_row(std::string_view awg) {
    const auto at = std::ranges::find(rows, awg, &BundleRow::awg);
    return at == rows.end() ? std::nullopt : std::optional(*at);
}

std::optional<BundleRow> bundle_row_for(SquareMetres copper) {
    std::optional<BundleRow> best;
    for (const BundleRow& row : rows)
        if (const auto size = find_awg(row.awg); size && size->copper <= copper * (1 + 1e-9)) best = row;
    return best;
}

} // namespace loomproof::reference
