// Plug holes, joints, bars, ground feet, and the ways in which a wire may end.
#include "draw/symbols.hpp"

namespace loomproof::draw {
namespace {

using Nature = SymbolRow::Nature;

// ---- one hole of a plug: a pin in a socket, on the sides where they really are

Shape hole_shape(const Symbol& symbol, const Wishes& wishes) {
    Shape shape{.cells = 1, .height = 28, .ink_left = 2, .ink_right = 22, .seats = two_ends(wishes, 0)};
    shape.upside_down =
        symbol.pin_side < 0 || shape.seats[static_cast<std::size_t>(symbol.pin_side)].edge == Edge::bottom;
    return shape;
}

void paint_hole(const Pen& pen, const Symbol&, const Shape& shape) {
    pen.box({9.5, 0, 14.5, 15}, Look::solid);
    pen.arc({2, 20}, {22, 20}, 10.5, Look::heavy, true);
    pen.line({{12, 10}, {12, shape.height}});
}

// ---- joints in a run

Shape joint_shape(const Symbol& symbol, const Wishes& wishes) {
    Shape shape{.cells = 1, .height = 32, .ink_left = 4, .ink_right = 20, .seats = two_ends(wishes, 0)};
    const bool has_direction = symbol.joint == JointStyle::capped || symbol.joint == JointStyle::left_open;
    shape.upside_down = has_direction && shape.seats[0].edge == Edge::bottom;
    return shape;
}

void paint_capped_end(const Pen& pen);

void paint_joint(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double y = shape.height / 2;
    switch (symbol.joint) {
    case JointStyle::crimp: // a sleeve with two nips
        pen.line({{12, 0}, {12, shape.height}});
        pen.box({6, 3, 18, shape.height - 3});
        for (const double nip : {11.0, shape.height - 11}) pen.line({{6, nip}, {18, nip}}, Look::heavy);
        return;
    case JointStyle::solder:
        pen.line({{12, 0}, {12, shape.height}});
        pen.disc({12, y}, 6.5, Look::solid);
        return;
    case JointStyle::tap: // a clip around the wire, open on one side
        pen.line({{12, 0}, {12, shape.height}});
        pen.line({{20, y - 9}, {4, y - 9}, {4, y + 9}, {20, y + 9}}, Look::heavy);
        pen.line({{12, y}, {20, y}});
        return;
    case JointStyle::twisted: // two wires around each other
        for (const double side : {-1.0, 1.0})
            pen.line({{12, 0},
                      {12 + 6 * side, 8},
                      {12 - 6 * side, y},
                      {12 + 6 * side, shape.height - 8},
                      {12, shape.height}});
        return;
    case JointStyle::cut: // joined again: the double bar of a cut, a sleeve over it
        pen.line({{12, 0}, {12, shape.height}});
        pen.box({7, 3, 17, shape.height - 3});
        for (const double bar : {y - 3.5, y + 3.5}) pen.line({{0, bar}, {24, bar}}, Look::heavy);
        return;
    // The ghost's side is left blank: nothing is joined there.
    case JointStyle::capped: return paint_capped_end(pen);
    case JointStyle::left_open: // bare strands
        pen.line({{12, 0}, {12, 9}});
        for (const double x : {4.0, 12.0, 20.0}) pen.line({{12, 9}, {x, 17}}, Look::heavy);
        return;
    case JointStyle::block: // a screw
        pen.line({{12, 0}, {12, shape.height}});
        pen.disc({12, y}, 8, Look::lamp);
        pen.line({{7, y + 5}, {17, y - 5}});
        return;
    }
}

// ---- bars: drawn by the sheet, because their ends are known only when everything has its place

Shape bar_shape(const Symbol&, const Wishes&) {
    return {.cells = 1, .height = 0, .ink_left = 0, .ink_right = 0, .seats = {{Edge::top, 0}}};
}

// ---- ends

Shape end_of(double height, double left, double right, const Wishes& wishes) {
    Shape shape{.cells = 1, .height = height, .ink_left = left, .ink_right = right};
    shape.upside_down = wishes[0] == Edge::bottom;
    shape.seats = {{shape.upside_down ? Edge::bottom : Edge::top, 0}};
    return shape;
}

Shape foot_shape(const Symbol&, const Wishes&) {
    return {.cells = 1, .height = 20, .ink_left = -4, .ink_right = 28, .seats = {{Edge::top, 0}}};
}

void paint_foot(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 6}});
    pen.line({{-3, 6}, {27, 6}}, Look::heavy);
    pen.line({{3, 12}, {21, 12}}, Look::heavy);
    pen.line({{8, 18}, {16, 18}}, Look::heavy);
}

Shape beyond_shape(const Symbol&, const Wishes& wishes) { return end_of(30, 8, 16, wishes); }

// Three dots in the line of the wire: it goes on, and nobody drew where.
void paint_beyond(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 6}});
    for (const double y : {12.0, 20.0, 28.0}) pen.disc({12, y}, 2.2, Look::solid);
}

Shape existing_shape(const Symbol&, const Wishes& wishes) { return end_of(20, 2, 22, wishes); }

// A diamond on the wire: the place where one may put the meter.
void paint_existing(const Pen& pen, const Symbol&, const Shape&) { pen.closed({{12, 0}, {21, 9}, {12, 18}, {3, 9}}); }

Shape cap_shape(const Symbol&, const Wishes& wishes) { return end_of(18, 3, 21, wishes); }

// A sleeve with a round closed end over the wire.
void paint_capped_end(const Pen& pen) {
    pen.line({{12, 0}, {12, 10}});
    pen.line({{4, 2}, {4, 10}}, Look::heavy);
    pen.arc({20, 10}, {4, 10}, 8, Look::heavy, true);
    pen.line({{20, 10}, {20, 2}}, Look::heavy);
}

void paint_cap(const Pen& pen, const Symbol&, const Shape&) { paint_capped_end(pen); }

Shape cut_shape(const Symbol&, const Wishes& wishes) { return end_of(18, 0, 24, wishes); }

void paint_cut(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 7}});
    pen.line({{2, 10}, {22, 4}}, Look::heavy);
    pen.line({{2, 16}, {22, 10}}, Look::heavy);
}

Shape open_shape(const Symbol&, const Wishes& wishes) { return end_of(26, 2, 22, wishes); }

void paint_open(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 8}}, Look::dashed);
    pen.disc({12, 17}, 8.5, Look::lamp);
    pen.word({12, 17}, "?", WordKind::stamp);
}

Shape gone_shape(const Symbol&, const Wishes& wishes) { return end_of(14, 0, 24, wishes); }

// A broken line across: here the wire was.
void paint_gone(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 5}});
    for (const double x : {0.0, 10.0, 20.0}) pen.line({{x, 9}, {x + 4, 9}}, Look::heavy);
}

Shape off_sheet_shape(const Symbol&, const Wishes& wishes) { return end_of(18, 0, 24, wishes); }

// Two short waves, as technical drawing marks a part broken off.
void paint_off_sheet(const Pen& pen, const Symbol&, const Shape&) {
    pen.line({{12, 0}, {12, 6}});
    for (const double y : {8.0, 14.0}) {
        pen.arc({0, y}, {12, y}, 7.5, Look::ink, true);
        pen.arc({12, y}, {24, y}, 7.5, Look::ink, false);
    }
}

constexpr SymbolRow rows[] = {
    {SymbolKind::hole, "hole", Nature::body, false, false, false, hole_shape, paint_hole},
    {SymbolKind::joint, "joint", Nature::body, false, false, false, joint_shape, paint_joint},
    {SymbolKind::splice, "splice", Nature::bar, false, false, true, bar_shape, nullptr},
    {SymbolKind::bus, "bus", Nature::bar, false, false, true, bar_shape, nullptr},
    {SymbolKind::metal, "metal", Nature::bar, false, false, true, bar_shape, nullptr},
    {SymbolKind::foot, "ground", Nature::foot, false, false, true, foot_shape, paint_foot},
    {SymbolKind::beyond, "beyond", Nature::end, false, false, true, beyond_shape, paint_beyond},
    {SymbolKind::existing, "existing-wire", Nature::end, false, false, true, existing_shape, paint_existing},
    {SymbolKind::cap, "cap", Nature::end, false, false, true, cap_shape, paint_cap},
    {SymbolKind::cut, "cut", Nature::end, false, false, true, cut_shape, paint_cut},
    {SymbolKind::open_end, "open-end", Nature::end, false, false, true, open_shape, paint_open},
    {SymbolKind::gone, "taken-off", Nature::end, false, false, true, gone_shape, paint_gone},
    {SymbolKind::off_sheet, "off-sheet", Nature::end, false, false, true, off_sheet_shape, paint_off_sheet},
};

} // namespace

std::span<const SymbolRow> joint_symbols() { return rows; }

} // namespace loomproof::draw
