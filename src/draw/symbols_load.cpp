// What uses current, and small parts in a run.
#include "draw/symbols.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

using Nature = SymbolRow::Nature;

void paint_lamp_at(const Pen& pen, Point c, double r) {
    const double d = r * 0.7071;
    pen.disc(c, r, Look::lamp);
    pen.line({{c.x - d, c.y - d}, {c.x + d, c.y + d}});
    pen.line({{c.x + d, c.y - d}, {c.x - d, c.y + d}});
}

Shape lamp_shape(const Symbol& symbol, const Wishes& wishes) {
    const auto filaments = static_cast<int>(symbol.terminals.size()) - 1;
    if (filaments <= 1) return {.cells = 1, .height = 44, .ink_left = 0, .ink_right = 24, .seats = two_ends(wishes, 0)};
    Shape shape{.cells = 3 * filaments, .height = 64};
    const bool turned = wishes.back() == Edge::top;
    for (int f = 0; f < filaments; ++f) shape.seats.push_back({turned ? Edge::bottom : Edge::top, 1 + 3 * f});
    shape.seats.push_back({turned ? Edge::top : Edge::bottom, 1});
    shape.upside_down = turned;
    shape.ink_right = shape.cells * column;
    return shape;
}

void paint_lamp(const Pen& pen, const Symbol&, const Shape& shape) {
    if (shape.seats.size() <= 2) {
        pen.line({{12, 0}, {12, 10}});
        pen.line({{12, 34}, {12, shape.height}});
        return paint_lamp_at(pen, {12, 22}, 12);
    }
    pen.box({0, 0, shape.cells * column, shape.height}, Look::frame, 8);
    const double joined = 54;
    for (std::size_t f = 0; f + 1 < shape.seats.size(); ++f) {
        const double x = centre_of(shape.seats[f].cell);
        pen.line({{x, 0}, {x, 12}});
        pen.line({{x, 36}, {x, joined}});
        paint_lamp_at(pen, {x, 26}, 13);
    }
    const double common = centre_of(shape.seats.back().cell);
    pen.line({{common, joined}, {centre_of(shape.seats[shape.seats.size() - 2].cell), joined}});
    pen.line({{common, joined}, {common, shape.height}});
    pen.disc({common, joined}, 3, Look::solid);
}

Shape led_shape(const Symbol&, const Wishes& wishes) {
    Shape shape{.cells = 1, .height = 44, .ink_left = 0, .ink_right = 40, .seats = two_ends(wishes, 0)};
    shape.upside_down = shape.seats[0].edge == Edge::bottom;
    return shape;
}

void paint_junction(const Pen& pen, double height) {
    const double y = height / 2;
    pen.line({{12, 0}, {12, height}});
    pen.closed({{2, y - 9}, {22, y - 9}, {12, y + 8}}, Look::solid);
    pen.line({{1, y + 9}, {23, y + 9}}, Look::heavy);
}

void paint_led(const Pen& pen, const Symbol&, const Shape& shape) {
    paint_junction(pen, shape.height);
    for (const double drop : {0.0, 9.0}) {
        pen.line({{24, 16 + drop}, {36, 8 + drop}});
        pen.line({{30, 8 + drop}, {36, 8 + drop}, {34, 14 + drop}});
    }
}

Shape diode_shape(const Symbol&, const Wishes& wishes) {
    Shape shape{.cells = 1, .height = 48, .ink_left = 0, .ink_right = 24, .seats = two_ends(wishes, 0)};
    shape.upside_down = shape.seats[0].edge == Edge::bottom;
    return shape;
}

void paint_diode(const Pen& pen, const Symbol&, const Shape& shape) { paint_junction(pen, shape.height); }

Shape round_shape(const Symbol&, const Wishes& wishes) {
    return {.cells = 3, .height = 60, .ink_left = 14, .ink_right = 58, .seats = two_ends(wishes, 1)};
}

/// Two speeds: their ends above, the common one below.
Shape motor_shape(const Symbol& symbol, const Wishes& wishes) {
    if (symbol.terminals.size() != 3) return round_shape(symbol, wishes);
    const bool turned = wishes.back() == Edge::top;
    const Edge fed = turned ? Edge::bottom : Edge::top;
    Shape shape{.cells = 5, .height = 60, .ink_left = 0, .ink_right = 5 * column};
    shape.seats = {{fed, 0}, {fed, 4}, {opposite(fed), 2}};
    shape.upside_down = turned;
    return shape;
}

void paint_motor(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    if (shape.seats.size() == 3) {
        const double x = centre_of(2), y = shape.height / 2;
        pen.line({{centre_of(0), 0}, {centre_of(0), y}, {x - 22, y}});
        pen.line({{centre_of(4), 0}, {centre_of(4), y}, {x + 22, y}});
        pen.line({{x, y + 22}, {x, shape.height}});
        pen.disc({x, y}, 22, Look::lamp);
        pen.word({x, y}, symbol.letter.empty() ? "M" : symbol.letter, WordKind::letter);
        return;
    }
    const double x = centre_of(1), y = shape.height / 2;
    pen.line({{x, 0}, {x, y - 22}});
    pen.line({{x, y + 22}, {x, shape.height}});
    pen.disc({x, y}, 22, Look::lamp);
    pen.word({x, y}, symbol.letter.empty() ? "M" : symbol.letter, WordKind::letter);
}

// The bell of the horn opens to the left, a plain half round body as the standard draws it.
void paint_horn(const Pen& pen, const Symbol&, const Shape& shape) {
    const double x = centre_of(1), y = shape.height / 2;
    pen.line({{x, 0}, {x, y - 10}});
    pen.line({{x, y + 10}, {x, shape.height}});
    pen.box({x - 4, y - 10, x + 20, y + 10});
    pen.closed({{x - 4, y - 8}, {x - 22, y - 19}, {x - 22, y + 19}, {x - 4, y + 8}});
}

void paint_load(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double x = centre_of(1);
    pen.line({{x, 0}, {x, 10}});
    pen.line({{x, shape.height - 10}, {x, shape.height}});
    pen.box({x - 22, 10, x + 22, shape.height - 10});
    pen.word({x, shape.height / 2}, symbol.letter, WordKind::sign);
}

Shape resistor_shape(const Symbol&, const Wishes& wishes) {
    return {.cells = 1, .height = 48, .ink_left = 5, .ink_right = 19, .seats = two_ends(wishes, 0)};
}

void paint_resistor(const Pen& pen, const Symbol&, const Shape& shape) {
    pen.line({{12, 0}, {12, 6}});
    pen.line({{12, shape.height - 6}, {12, shape.height}});
    pen.box({5, 6, 19, shape.height - 6});
}

Shape capacitor_shape(const Symbol&, const Wishes& wishes) {
    return {.cells = 1, .height = 36, .ink_left = 0, .ink_right = 24, .seats = two_ends(wishes, 0)};
}

void paint_capacitor(const Pen& pen, const Symbol&, const Shape& shape) {
    pen.line({{12, 0}, {12, 14}});
    pen.line({{12, 22}, {12, shape.height}});
    for (const double y : {14.0, 22.0}) pen.line({{0, y}, {24, y}}, Look::heavy);
}

// ---- electronics and everything that is a box with stamps

Shape unit_shape(const Symbol& symbol, const Wishes& wishes) {
    double longest = 0;
    for (const Terminal& t : symbol.terminals)
        longest = std::max(longest, paper::text_width(t.stamp, paper::plain_size, paper::Weight::bold));
    const int step = std::max(2, static_cast<int>(std::ceil((longest + 10) / column)));
    Shape shape{.cells = 0, .height = 52};
    int used[2] = {1, 1};
    for (std::size_t t = 0; t < symbol.terminals.size(); ++t) {
        const Edge edge = wishes[t].value_or(used[0] <= used[1] ? Edge::top : Edge::bottom);
        int& next = used[edge == Edge::top ? 0 : 1];
        shape.seats.push_back({edge, next});
        next += step;
    }
    const double inside = paper::text_width(symbol.letter, paper::title_size, paper::Weight::bold) + 12;
    shape.cells = std::max({used[0] - step + 2, used[1] - step + 2, 3, static_cast<int>(std::ceil(inside / column))});
    shape.ink_right = shape.cells * column;
    return shape;
}

void paint_unit(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    pen.box({0, 0, shape.cells * column, shape.height});
    pen.word({shape.cells * column / 2, shape.height / 2}, symbol.letter, WordKind::letter);
}

constexpr SymbolRow rows[] = {
    {SymbolKind::lamp, "lamp", Nature::body, true, false, false, lamp_shape, paint_lamp},
    {SymbolKind::led, "led", Nature::body, false, false, false, led_shape, paint_led},
    {SymbolKind::motor, "motor", Nature::body, false, false, false, motor_shape, paint_motor},
    {SymbolKind::horn, "horn", Nature::body, false, false, false, round_shape, paint_horn},
    {SymbolKind::load, "load", Nature::body, false, false, false, round_shape, paint_load},
    {SymbolKind::resistor, "resistor", Nature::body, false, false, false, resistor_shape, paint_resistor},
    {SymbolKind::diode, "diode", Nature::body, false, false, false, diode_shape, paint_diode},
    {SymbolKind::capacitor, "capacitor", Nature::body, false, false, false, capacitor_shape, paint_capacitor},
    {SymbolKind::unit, "unit", Nature::body, true, false, false, unit_shape, paint_unit},
};

} // namespace

std::span<const SymbolRow> load_symbols() { return rows; }

} // namespace loomproof::draw
