#pragma once
/// The table of symbols: one row for each kind, one grid for all.
///
/// The grid is made of columns `column` units wide; a wire meets a symbol in the middle of a column, on the top or the bottom
/// edge, nowhere else. Shapes follow IEC 60617 where it has one: fuse (line through a rectangle), lamp (cross in a circle),
/// relay coil (plain rectangle), make, break and change-over contacts, plug and socket, diode, ground. They are drawn from
/// common knowledge of the standard ("from memory"); what the standard does not know (a fusible link, a capped wire end, "not
/// drawn here") has a shape of our own that looks like nothing else on the sheet.

#include "draw/picture.hpp"
#include "draw/sketch.hpp"

#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace loomproof::draw {

inline constexpr double column = 24.0;
inline constexpr double centre_of(int cell) { return (cell + 0.5) * column; }

enum class Edge : std::uint8_t { top, bottom };
inline constexpr Edge opposite(Edge e) { return e == Edge::top ? Edge::bottom : Edge::top; }

/// Where a terminal sits on its symbol.
struct Seat {
    Edge edge = Edge::top;
    int cell = 0;
};

/// The bare body of a symbol, without stubs, stamps and caption.
struct Shape {
    int cells = 1;       ///< columns it takes
    double height = 0;   ///< of the body, units
    double ink_left = 0; ///< leftmost and rightmost ink, units from the left edge of column 0
    double ink_right = column;
    std::vector<Seat> seats{}; ///< one for each terminal
    bool upside_down = false;  ///< drawn turned over
};

/// Which edge each terminal would like: where current enters, the top; where it leaves, the bottom; nothing where no wire says.
using Wishes = std::vector<std::optional<Edge>>;

struct SymbolRow {
    SymbolKind kind{};
    std::string_view word; ///< the class of the symbol in the drawing
    /// How it meets the layout.
    enum class Nature : std::uint8_t {
        body, ///< a body with seats
        bar,  ///< splice, bus, metal: a bar over all its wires
        end,  ///< one terminal, on the edge where its wire comes from
        foot, ///< one terminal on top; text below
    } nature{};
    bool may_mirror = false;
    bool always_same_way = false; ///< mirrored only where that saves more than two crossings
    bool quiet = false;           ///< a terminal without a wire says nothing (the symbol itself says it)
    Shape (*shape)(const Symbol&, const Wishes&) = nullptr;
    void (*paint)(const Pen&, const Symbol&, const Shape&) = nullptr;
};

/// One row for each kind, in the order of the kinds.
const SymbolRow& row_of(SymbolKind kind);

/// The rows of the three files that draw them; each is the whole of one file's symbols.
std::span<const SymbolRow> supply_symbols();
std::span<const SymbolRow> switch_symbols();
std::span<const SymbolRow> load_symbols();
std::span<const SymbolRow> joint_symbols();

/// Seats of a thing with two ends in one column: the end where current enters on top.
std::vector<Seat> two_ends(const Wishes& wishes, int cell);

} // namespace loomproof::draw
