// Sources, and what guards a wire: battery, alternator, starter, feeds; fuses, links, breakers.
#include "draw/symbols.hpp"

#include <cmath>

namespace loomproof::draw {
namespace {

using Nature = SymbolRow::Nature;

// ---- battery: lying, so that both poles leave downwards

Shape battery_shape(const Symbol&, const Wishes&) {
    return {.cells = 7,
            .height = 44,
            .ink_left = centre_of(1),
            .ink_right = centre_of(5),
            .seats = {{Edge::bottom, 5}, {Edge::bottom, 1}}};
}

void paint_battery(const Pen& pen, const Symbol&, const Shape& shape) {
    const double middle = centre_of(3), y = 18;
    pen.line({{centre_of(1), shape.height}, {centre_of(1), y}, {middle - 20, y}});
    pen.line({{middle - 20, y - 8}, {middle - 20, y + 8}}, Look::heavy);
    pen.line({{middle - 12, y - 16}, {middle - 12, y + 16}});
    pen.line({{middle - 10, y}, {middle + 10, y}}, Look::dashed);
    pen.line({{middle + 12, y - 8}, {middle + 12, y + 8}}, Look::heavy);
    pen.line({{middle + 20, y - 16}, {middle + 20, y + 16}});
    pen.line({{middle + 20, y}, {centre_of(5), y}, {centre_of(5), shape.height}});
}

// ---- alternator: a circle between B+ and B-, its signal terminals come in from the side

Shape alternator_shape(const Symbol& symbol, const Wishes&) {
    const int signals = static_cast<int>(symbol.terminals.size()) - 2;
    Shape shape{.cells = 3 + (signals > 0 ? 2 * signals : 0), .height = 64, .ink_left = centre_of(1) - 24};
    shape.ink_right = signals > 0 ? centre_of(1 + 2 * signals) : centre_of(1) + 24;
    shape.seats = {{Edge::top, 1}, {Edge::bottom, 1}};
    for (int i = 0; i < signals; ++i) shape.seats.push_back({Edge::top, 3 + 2 * i});
    return shape;
}

void paint_alternator(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    constexpr double r = 24;
    const double x = centre_of(1), y = shape.height / 2;
    pen.line({{x, 0}, {x, y - r}});
    if (symbol.terminals.size() > 1) pen.line({{x, y + r}, {x, shape.height}});
    const double signals = static_cast<double>(shape.seats.size()) - 2;
    for (std::size_t i = 2; i < shape.seats.size(); ++i) {
        const double drop = signals > 1 ? 12 - 24 * (static_cast<double>(i) - 2) / (signals - 1) : 0;
        const double from = centre_of(shape.seats[i].cell);
        pen.line({{from, 0}, {from, y - drop}, {x + std::sqrt(r * r - drop * drop), y - drop}});
    }
    pen.disc({x, y}, r, Look::lamp);
    pen.word({x, y - 6}, "G", WordKind::letter);
    pen.arc({x - 10, y + 11}, {x, y + 11}, 5.5, Look::ink, true);
    pen.arc({x, y + 11}, {x + 10, y + 11}, 5.5, Look::ink, false);
}

// ---- starter: the solenoid's contact above the motor, its winding beside it

Shape starter_shape(const Symbol& symbol, const Wishes&) {
    Shape shape{.cells = 7, .height = 116, .ink_left = 0, .ink_right = 7 * column};
    shape.seats = {{Edge::top, 1}, {Edge::top, 5}};
    if (symbol.terminals.size() > 2) shape.seats.push_back({Edge::bottom, 1});
    return shape;
}

void paint_starter(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double motor = centre_of(1), coil = centre_of(5);
    pen.box({4, 0, 7 * column - 4, shape.height}, Look::frame);
    pen.line({{motor, 0}, {motor, 14}});
    pen.line({{motor - 13, 18}, {motor, 38}, {motor, 50}});
    pen.line({{coil, 0}, {coil, 19}});
    if (symbol.two_windings) { // pull-in over the motor, hold-in to the case, on one core
        const double pull_in = centre_of(3);
        pen.line({{motor - 4, 28}, {pull_in - 15, 28}}, Look::dashed);
        pen.line({{pull_in + 15, 28}, {coil - 15, 28}}, Look::dashed);
        pen.line({{coil, 10}, {pull_in, 10}, {pull_in, 19}});
        pen.disc({coil, 10}, 3.2, Look::solid);
        pen.box({pull_in - 15, 19, pull_in + 15, 37}, Look::frame);
        pen.line({{pull_in, 37}, {pull_in, 44}, {motor, 44}});
        pen.disc({motor, 44}, 3.2, Look::solid);
        pen.box({coil - 15, 19, coil + 15, 37}, Look::frame);
    } else {
        pen.line({{motor - 4, 28}, {coil - 17, 28}}, Look::dashed);
        pen.box({coil - 17, 19, coil + 17, 37}, Look::frame);
    }
    pen.line({{coil, 37}, {coil, 104}, {motor, 104}});
    pen.disc({motor, 72}, 22, Look::lamp);
    pen.word({motor, 72}, "M", WordKind::letter);
    pen.line({{motor, 94}, {motor, symbol.terminals.size() > 2 ? shape.height : 104.0}});
    pen.disc({motor, 104}, 3.2, Look::solid);
}

// ---- a feed that comes from something not drawn: a short piece of the bus it hangs on

Shape end_shape(double height, double half_width, const Wishes& wishes) {
    Shape shape{
        .cells = 1, .height = height, .ink_left = column / 2 - half_width, .ink_right = column / 2 + half_width};
    const bool turned = wishes[0] == Edge::bottom;
    shape.seats = {{turned ? Edge::bottom : Edge::top, 0}};
    shape.upside_down = turned;
    return shape;
}

Shape supply_shape(const Symbol&, const Wishes& wishes) { return end_shape(22, 16, wishes); }

void paint_supply(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 14}});
    pen.line({{-4, 14}, {28, 14}}, Look::rail);
}

// ---- fuse, fusible link, breaker

Shape fuse_shape(const Symbol& symbol, const Wishes& wishes) {
    return {.cells = 1,
            .height = symbol.fuse == FuseStyle::bolted ? 62.0 : 48.0,
            .ink_left = 5,
            .ink_right = 19,
            .seats = two_ends(wishes, 0)};
}

void paint_fuse(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double rim = symbol.fuse == FuseStyle::bolted ? 13.0 : 6.0;
    pen.box({5, rim, 19, shape.height - rim}, Look::frame);
    pen.line({{12, 0}, {12, shape.height}});
    if (symbol.fuse == FuseStyle::bolted)
        for (const double y : {7.0, shape.height - 7}) pen.disc({12, y}, 4.2, Look::lamp);
}

Shape link_shape(const Symbol&, const Wishes& wishes) {
    return {.cells = 1, .height = 52, .ink_left = 4, .ink_right = 20, .seats = two_ends(wishes, 0)};
}

// A wavy piece of wire between two joints: it is a wire, and must not be taken for a fuse that can be pulled.
void paint_link(const Pen& pen, const Symbol&, const Shape& shape) {
    pen.line({{12, 0}, {12, 6}});
    for (int i = 0; i < 4; ++i) {
        const double y = 6 + 10.0 * i;
        pen.arc({12, y}, {12, y + 10}, 6, Look::heavy, i % 2 == 0);
    }
    pen.line({{12, 46}, {12, shape.height}});
    for (const double y : {6.0, 46.0}) pen.disc({12, y}, 3.2, Look::solid);
}

Shape breaker_shape(const Symbol&, const Wishes& wishes) {
    return {.cells = 2, .height = 56, .ink_left = 8, .ink_right = centre_of(1) + 8, .seats = two_ends(wishes, 1)};
}

void paint_breaker(const Pen& pen, const Symbol&, const Shape& shape) {
    const double x = centre_of(1);
    pen.line({{x, 0}, {x, 12}});
    pen.line({{x - 5, 7}, {x + 5, 17}});
    pen.line({{x + 5, 7}, {x - 5, 17}});
    pen.line({{x, shape.height}, {x, 40}, {x - 14, 14}});
    // The heated strip that opens it.
    pen.line({{x - 8, 27}, {x - 16, 27}}, Look::dashed);
    pen.line({{x - 22, 20}, {x - 22, 24}, {x - 16, 24}, {x - 16, 31}, {x - 22, 31}, {x - 22, 35}});
}

constexpr SymbolRow rows[] = {
    {SymbolKind::battery, "battery", Nature::body, true, false, false, battery_shape, paint_battery},
    {SymbolKind::alternator, "alternator", Nature::body, true, false, false, alternator_shape, paint_alternator},
    {SymbolKind::starter, "starter", Nature::body, true, false, false, starter_shape, paint_starter},
    {SymbolKind::supply, "supply", Nature::end, false, false, false, supply_shape, paint_supply},
    {SymbolKind::fuse, "fuse", Nature::body, false, false, false, fuse_shape, paint_fuse},
    {SymbolKind::fusible_link, "fusible-link", Nature::body, false, false, false, link_shape, paint_link},
    {SymbolKind::breaker, "breaker", Nature::body, false, false, false, breaker_shape, paint_breaker},
};

} // namespace

std::span<const SymbolRow> supply_symbols() { return rows; }

} // namespace loomproof::draw
