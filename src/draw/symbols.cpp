#include "draw/symbols.hpp"

#include <array>

namespace loomproof::draw {
namespace {

std::array<SymbolRow, symbol_kinds> all_rows() {
    std::array<SymbolRow, symbol_kinds> rows{};
    for (const auto part : {supply_symbols(), switch_symbols(), load_symbols(), joint_symbols()})
        for (const SymbolRow& row : part) rows[static_cast<std::size_t>(row.kind)] = row;
    return rows;
}

} // namespace

const SymbolRow& row_of(SymbolKind kind) {
    static const std::array<SymbolRow, symbol_kinds> rows = all_rows();
    return rows[static_cast<std::size_t>(kind)];
}

std::vector<Seat> two_ends(const Wishes& wishes, int cell) {
    const bool turned =
        (wishes[0] == Edge::bottom && wishes[1] != Edge::bottom) || (!wishes[0] && wishes[1] == Edge::top);
    const Edge first = turned ? Edge::bottom : Edge::top;
    return {{first, cell}, {opposite(first), cell}};
}

} // namespace loomproof::draw
