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

// ---- motors

constexpr double motor_radius = 22;

// A circle with one winding in one column, else a frame with all there is in it.
bool is_framed(const Symbol& symbol) { return symbol.terminals.size() > 3 || !symbol.contacts.empty(); }

// Which terminals a framed motor has, by their indexes: the ends of its windings, the common end of all, and the change-over contact that
// carries it on to where it rests, if there is one: common, to the plus, to the common end.
struct MotorEnds {
    std::vector<int> windings;
    int common = 0;
    const Contact* park = nullptr;
};
MotorEnds ends_of(const Symbol& symbol) {
    MotorEnds ends;
    ends.common = static_cast<int>(symbol.terminals.size()) - 1;
    if (!symbol.contacts.empty()) ends.park = &symbol.contacts.front();
    for (int t = 0; t < ends.common; ++t)
        if (ends.park == nullptr || (t != ends.park->common && t != ends.park->make)) ends.windings.push_back(t);
    return ends;
}

Shape framed_motor_shape(const Symbol& symbol, const Wishes& wishes) {
    constexpr double plain = 92;
    constexpr int step = 2;
    const MotorEnds ends = ends_of(symbol);
    Shape shape{.cells = 1, .height = plain};
    shape.seats.assign(symbol.terminals.size(), {});
    const auto seat = [&](int t, Edge usual) {
        shape.seats[static_cast<std::size_t>(t)] = {wishes[static_cast<std::size_t>(t)].value_or(usual), shape.cells};
        shape.cells += step;
    };
    for (const int t : ends.windings) seat(t, Edge::top);
    if (ends.windings.size() == 2) { // the circle has its place between them
        shape.seats[static_cast<std::size_t>(ends.windings[1])].cell += step;
        shape.cells += step;
    }
    seat(ends.common, Edge::bottom);
    if (ends.park != nullptr) {
        shape.cells += 1;
        seat(ends.park->common, Edge::bottom);
        if (ends.park->make >= 0) seat(ends.park->make, Edge::top);
    }
    shape.ink_right = shape.cells * column;
    return shape;
}

/// A winding: one end in the middle of its column. Two speeds: their ends above, the common one below.
Shape motor_shape(const Symbol& symbol, const Wishes& wishes) {
    if (is_framed(symbol)) return framed_motor_shape(symbol, wishes);
    if (symbol.terminals.size() != 3) return round_shape(symbol, wishes);
    const bool turned = wishes.back() == Edge::top;
    const Edge fed = turned ? Edge::bottom : Edge::top;
    Shape shape{.cells = 5, .height = 60, .ink_left = 0, .ink_right = 5 * column};
    shape.seats = {{fed, 0}, {fed, 4}, {opposite(fed), 2}};
    shape.upside_down = turned;
    return shape;
}

void paint_motor_at(const Pen& pen, const Symbol& symbol, Point middle) {
    pen.disc(middle, motor_radius, Look::lamp);
    pen.word(middle, symbol.letter.empty() ? "M" : symbol.letter, WordKind::letter);
}

// Change-over contact (IEC 60617, from memory): the arm turns on the common end and lies at rest on the motor's own common end, which brakes
// it; moving, it lies on the plus.
void paint_park_contact(const Pen& pen, const Contact& park, const Shape& shape, double link_from, double rail) {
    const Seat common = shape.seats[static_cast<std::size_t>(park.common)];
    const double x = centre_of(common.cell), from_edge = common.edge == Edge::bottom ? shape.height : 0,
                 pivot = common.edge == Edge::bottom ? shape.height - 26 : 26,
                 fixed = common.edge == Edge::bottom ? 30 : shape.height - 30;
    pen.line({{x, from_edge}, {x, pivot}});
    pen.disc({x, pivot}, 2.6, Look::solid);
    pen.line({{x, pivot}, {x - 15, fixed + (pivot > fixed ? -3.0 : 3.0)}});
    const double rest = centre_of(shape.seats[static_cast<std::size_t>(park.rest)].cell);
    pen.line({{rest, rail}, {rest, fixed}, {x - 12, fixed}});
    if (park.make >= 0) {
        const Seat make = shape.seats[static_cast<std::size_t>(park.make)];
        const double at = centre_of(make.cell);
        pen.line({{at, make.edge == Edge::top ? 0 : shape.height}, {at, fixed}, {x + 6, fixed}});
    }
    const double y = shape.height / 2;
    pen.line({{link_from, y}, {x - 15 * (y - pivot) / (fixed - pivot), y}}, Look::dashed);
}

void paint_framed_motor(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const MotorEnds ends = ends_of(symbol);
    const auto seat_of = [&](int t) { return shape.seats[static_cast<std::size_t>(t)]; };
    const auto edge_of = [&](const Seat& seat) { return seat.edge == Edge::top ? 0 : shape.height; };
    pen.box({0, 0, shape.cells * column, shape.height});
    const double first = centre_of(seat_of(ends.windings.front()).cell),
                 last = centre_of(seat_of(ends.windings.back()).cell);
    const Point middle{(first + last) / 2, 40};
    for (const int t : ends.windings) {
        const Seat seat = seat_of(t);
        const double x = centre_of(seat.cell);
        if (x < middle.x)
            pen.line({{x, edge_of(seat)}, {x, middle.y}, {middle.x - motor_radius, middle.y}});
        else if (x > middle.x)
            pen.line({{x, edge_of(seat)}, {x, middle.y}, {middle.x + motor_radius, middle.y}});
        else // from below it comes around
            seat.edge == Edge::top ? pen.line({{x, 0}, {x, middle.y - motor_radius}})
                                   : pen.line({{x, shape.height},
                                               {x, shape.height - 6},
                                               {x - 30, shape.height - 6},
                                               {x - 30, 10},
                                               {x, 10},
                                               {x, middle.y - motor_radius}});
    }
    const Seat common = seat_of(ends.common);
    const double x = centre_of(common.cell), rail = shape.height - 18;
    pen.line({{middle.x, middle.y + motor_radius}, {middle.x, rail}, {x, rail}});
    pen.line({{x, rail}, {x, edge_of(common)}});
    if (ends.park != nullptr && ends.park->rest >= 0) {
        pen.disc({x, rail}, 3, Look::solid);
        paint_park_contact(pen, *ends.park, shape, middle.x + motor_radius, rail);
    }
    paint_motor_at(pen, symbol, middle);
}

void paint_motor(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    if (is_framed(symbol)) return paint_framed_motor(pen, symbol, shape);
    if (shape.seats.size() == 3) {
        const double x = centre_of(2), y = shape.height / 2;
        pen.line({{centre_of(0), 0}, {centre_of(0), y}, {x - motor_radius, y}});
        pen.line({{centre_of(4), 0}, {centre_of(4), y}, {x + motor_radius, y}});
        pen.line({{x, y + motor_radius}, {x, shape.height}});
        return paint_motor_at(pen, symbol, {x, y});
    }
    const double x = centre_of(1), y = shape.height / 2;
    pen.line({{x, 0}, {x, y - motor_radius}});
    pen.line({{x, y + motor_radius}, {x, shape.height}});
    paint_motor_at(pen, symbol, {x, y});
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
