#include "reference/outside.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

namespace loomproof::reference {

namespace {

/// In mm; 0 where nothing is listed.
struct Row {
    double mm2, thin_least, thin_most, thick_least, thick_most;
};
constexpr std::array rows{
    Row{0.35, 1.2, 1.4, 0, 0},    Row{0.5, 1.4, 1.6, 2.0, 2.3}, Row{0.75, 1.7, 1.9, 2.2, 2.5},
    Row{1, 1.9, 2.1, 2.4, 2.7},   Row{1.5, 2.2, 2.4, 2.7, 3.0}, Row{2, 2.5, 2.8, 3.0, 3.3},
    Row{2.5, 2.7, 3.0, 3.3, 3.6}, Row{3, 3.1, 3.4, 3.8, 4.1},   Row{4, 3.4, 3.7, 4.0, 4.4},
    Row{5, 3.9, 4.2, 4.5, 4.9},   Row{6, 4.0, 4.3, 4.6, 5.0},   Row{10, 5.3, 6.0, 5.9, 6.5},
};

constexpr double mm = 1e-3;

} // namespace

std::optional<Outside> outside_of(double nominal_mm2, std::string_view insulation) {
    const auto* row = std::ranges::find_if(rows, [&](const Row& r) { return std::abs(r.mm2 - nominal_mm2) < 1e-9; });
    if (row == rows.end()) return std::nullopt;
    const std::string wall = lower(insulation);
    if (wall.starts_with("flry")) return Outside{Metres{row->thin_least * mm}, Metres{row->thin_most * mm}};
    if (!wall.empty()) return std::nullopt;
    return Outside{Metres{row->thin_least * mm}, Metres{std::max(row->thin_most, row->thick_most) * mm}};
}

} // namespace loomproof::reference
