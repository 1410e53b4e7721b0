// Switches and relays.
#include "draw/symbols.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

using Nature = SymbolRow::Nature;

// ---- lever switch: a make contact or a change-over contact, and what moves it

constexpr double lever_height = 60;

bool sensed(const Symbol& s) { return s.operated != Operated::by_hand && s.operated != Operated::by_push; }

Shape lever_shape(const Symbol& symbol, const Wishes& wishes) {
    const int at = sensed(symbol) ? 2 : 1;
    Shape shape{.cells = at + 1, .height = lever_height, .ink_left = 4, .ink_right = centre_of(at) + 6};
    if (symbol.terminals.size() < 3) {
        shape.seats = two_ends(wishes, at);
    } else {
        // The common on one edge, the throws on the other.
        const bool turned =
            wishes[0] == Edge::bottom || (!wishes[0] && (wishes[1] == Edge::top || wishes[2] == Edge::top));
        const Edge common = turned ? Edge::bottom : Edge::top;
        shape.cells = at + 3;
        shape.ink_right = centre_of(at + 2) + 4;
        shape.seats = {{common, at}, {opposite(common), at}, {opposite(common), at + 2}};
    }
    shape.upside_down = shape.seats[0].edge == Edge::bottom;
    return shape;
}

// What moves the contact, at the end of a dashed link that comes from the right.
void paint_operator(const Pen& pen, Operated by, double x, double y) {
    switch (by) {
    case Operated::by_hand:
        pen.line({{x + 8, y}, {x + 25, y}}, Look::dashed);
        pen.line({{x + 8, y - 8}, {x + 8, y + 8}});
        return;
    case Operated::by_push:
        pen.line({{x + 8, y}, {x + 25, y}}, Look::dashed);
        pen.line({{x + 14, y - 8}, {x + 8, y - 8}, {x + 8, y + 8}, {x + 14, y + 8}});
        return;
    default: break;
    }
    pen.line({{x + 31, y}, {x + 49, y}}, Look::dashed);
    pen.box({x + 7, y - 12, x + 31, y + 12});
    const double cx = x + 19;
    if (by == Operated::by_temperature) {
        // The standard's sign for temperature, a Greek theta, as strokes: no font is needed for it.
        pen.arc({cx, y - 8}, {cx, y + 8}, 9, Look::ink, true);
        pen.arc({cx, y + 8}, {cx, y - 8}, 9, Look::ink, true);
        pen.line({{cx - 5, y}, {cx + 5, y}});
    } else if (by == Operated::by_pressure) {
        pen.word({cx, y}, "p", WordKind::sign);
    } else if (by == Operated::by_level) {
        pen.disc({cx, y - 3}, 5, Look::lamp);
        pen.line({{cx - 9, y + 3}, {cx + 9, y + 3}});
        pen.line({{cx - 6, y + 7}, {cx + 6, y + 7}});
    } else {
        pen.word({cx, y}, "t", WordKind::sign);
    }
}

void paint_lever(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double x = centre_of(shape.seats[0].cell);
    const double operator_at = sensed(symbol) ? x - 60 : x - 36;
    pen.line({{x, 0}, {x, 16}});
    pen.disc({x, 16}, 2.6, Look::solid);
    if (symbol.terminals.size() < 3) {
        pen.line({{x, 16}, {x - 15, 44}});
        pen.line({{x, lever_height}, {x, 44}});
        // A sign in a box must stay upright: the box is drawn by a pen that is not turned over.
        paint_operator(pen, symbol.operated, operator_at, 30);
        return;
    }
    const double rest = centre_of(shape.seats[2].cell);
    pen.line({{x, lever_height}, {x, 46}});
    pen.line({{rest, lever_height}, {rest, 42}, {x + 17, 42}});
    pen.line({{x, 16}, {x + 21, 44}});
    paint_operator(pen, symbol.operated, operator_at - 7, 29);
    pen.line({{operator_at + (sensed(symbol) ? 42 : 18), 29}, {x + 7, 29}}, Look::dashed);
}

// ---- switch as a table: positions as rows, terminals as columns

constexpr double row_height = 20;

double longest_position(const Symbol& symbol) {
    double longest = 0;
    for (const Position& p : symbol.positions)
        longest = std::max(longest, paper::text_width(p.name, paper::plain_size, paper::Weight::bold) +
                                        (p.springs_back ? 16 : 0));
    return longest;
}

int wide_enough(double units) { return std::max(2, static_cast<int>(std::ceil(units / column))); }

double longest_stamp(const Symbol& symbol) {
    double longest = 0;
    for (const Terminal& t : symbol.terminals)
        longest = std::max(longest, paper::text_width(t.stamp, paper::plain_size, paper::Weight::bold));
    return longest;
}

/// Which track of its row each group stands on: two that reach past one another would read as one bar that joins them all.
std::vector<std::size_t> tracks_of(const Position& position) {
    std::vector<std::pair<int, int>> spans; // from terminal to terminal
    for (const std::vector<int>& group : position.joined) {
        const auto ends = std::minmax_element(group.begin(), group.end());
        spans.emplace_back(group.empty() ? -1 : *ends.first, group.empty() ? -2 : *ends.second);
    }
    std::vector<std::size_t> track(spans.size(), 0);
    for (std::size_t i = 0; i < spans.size(); ++i)
        for (std::size_t k = 0; k < i; ++k) // the tracks before are settled: one more look at them whenever it moves
            if (track[k] == track[i] && spans[k].first <= spans[i].second && spans[i].first <= spans[k].second) {
                ++track[i];
                k = static_cast<std::size_t>(-1);
            }
    return track;
}

constexpr double track_height = 12;

double height_of(const Position& position) {
    const std::vector<std::size_t> tracks = tracks_of(position);
    const std::size_t most = tracks.empty() ? 0 : *std::max_element(tracks.begin(), tracks.end());
    return row_height + track_height * static_cast<double>(most);
}

Shape table_shape(const Symbol& symbol, const Wishes& wishes) {
    const int names = static_cast<int>(std::ceil((longest_position(symbol) + 20) / column));
    const int step = wide_enough(longest_stamp(symbol) + 10);
    const auto terminals = static_cast<int>(symbol.terminals.size());
    double height = symbol.positions.empty() ? row_height : 0;
    for (const Position& p : symbol.positions) height += height_of(p);
    Shape shape{.cells = names + step * (terminals - 1) + 2, .height = height};
    for (int t = 0; t < terminals; ++t)
        shape.seats.push_back({wishes[static_cast<std::size_t>(t)].value_or(Edge::bottom), names + step * t});
    shape.ink_right = shape.cells * column;
    return shape;
}

void paint_table(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double right = shape.cells * column;
    pen.box({0, 0, right, shape.height});
    const double names = centre_of(shape.seats.empty() ? 1 : shape.seats.front().cell) - column / 2 - 2;
    pen.line({{names, 0}, {names, shape.height}}, Look::hair);
    for (const Seat& seat : shape.seats)
        pen.line({{centre_of(seat.cell), 0}, {centre_of(seat.cell), shape.height}}, Look::hair);
    double top = 0;
    for (const Position& position : symbol.positions) {
        const double height = height_of(position), y = top + height / 2;
        if (top > 0) pen.line({{0, top}, {right, top}}, Look::hair);
        pen.word({6, y}, position.name, position.at_rest ? WordKind::stamp : WordKind::line, Anchor::start);
        if (position.springs_back) {
            // An arrow back up: it does not stay.
            pen.line({{names - 9, y + 6}, {names - 9, y - 6}});
            pen.line({{names - 13, y - 1}, {names - 9, y - 6}, {names - 5, y - 1}});
        }
        const std::vector<std::size_t> tracks = tracks_of(position);
        for (std::size_t g = 0; g < position.joined.size(); ++g) {
            const std::vector<int>& group = position.joined[g];
            if (group.empty()) continue;
            const double at = top + row_height / 2 + track_height * static_cast<double>(tracks[g]);
            const auto x_of = [&](int t) { return centre_of(shape.seats[static_cast<std::size_t>(t)].cell); };
            const auto [first, last] = std::minmax_element(group.begin(), group.end());
            pen.line({{x_of(*first), at}, {x_of(*last), at}}, Look::heavy);
            for (const int t : group) pen.disc({x_of(t), at}, 4.2, Look::solid);
        }
        top += height;
    }
}

// ---- relay: the coil left, its contacts right

constexpr double relay_height = 72;
constexpr int coil_cell = 1;

int contact_width(const Contact& c) { return c.rest >= 0 ? 5 : 3; }

Shape relay_shape(const Symbol& symbol, const Wishes& wishes) {
    const bool has_coil = symbol.kind != SymbolKind::contact;
    Shape shape{.cells = has_coil ? 4 : 1, .height = relay_height};
    shape.seats.assign(symbol.terminals.size(), {Edge::top, coil_cell});
    if (has_coil) {
        const std::vector<Seat> coil = two_ends(wishes, coil_cell);
        shape.seats[0] = coil[0];
        shape.seats[1] = coil[1];
    }
    std::vector<bool> seated(symbol.terminals.size(), false);
    const auto wish = [&](int t) { return t < 0 ? std::nullopt : wishes[static_cast<std::size_t>(t)]; };
    for (const Contact& contact : symbol.contacts) {
        const bool turned =
            wish(contact.common) == Edge::bottom ||
            (!wish(contact.common) && (wish(contact.make) == Edge::top || wish(contact.rest) == Edge::top));
        const Edge common = turned ? Edge::bottom : Edge::top;
        const auto seat = [&](int t, Edge edge, int cell) {
            if (t < 0 || seated[static_cast<std::size_t>(t)]) return;
            seated[static_cast<std::size_t>(t)] = true;
            shape.seats[static_cast<std::size_t>(t)] = {edge, cell};
        };
        seat(contact.common, common, shape.cells);
        const Edge fixed = opposite(shape.seats[static_cast<std::size_t>(contact.common)].edge);
        seat(contact.make, fixed, shape.cells);
        seat(contact.rest, fixed, contact.make >= 0 ? shape.cells + 2 : shape.cells);
        shape.cells += contact_width(contact);
    }
    shape.cells -= 1;
    shape.ink_right = shape.cells * column;
    return shape;
}

void paint_contact(const Pen& upright, const Contact& contact, const Shape& shape, double link_from,
                   bool common_elsewhere) {
    const Seat common = shape.seats[static_cast<std::size_t>(contact.common)];
    const Pen pen = common.edge == Edge::bottom ? upright.upside_down(relay_height) : upright;
    const int fixed = contact.make >= 0 ? contact.make : contact.rest;
    const double x =
        centre_of(contact.make >= 0 || contact.rest < 0 ? shape.seats[static_cast<std::size_t>(fixed)].cell
                                                        : shape.seats[static_cast<std::size_t>(contact.rest)].cell);
    if (common_elsewhere) {
        pen.line({{centre_of(common.cell), 8}, {x, 8}, {x, 18}});
        pen.disc({centre_of(common.cell), 8}, 3, Look::solid);
    } else {
        pen.line({{x, 0}, {x, 18}});
    }
    pen.disc({x, 18}, 2.6, Look::solid);
    const double height = relay_height;
    if (contact.rest >= 0 && contact.make >= 0) {
        const double rest = centre_of(shape.seats[static_cast<std::size_t>(contact.rest)].cell);
        pen.line({{x, height}, {x, height - 18}});
        pen.line({{rest, height}, {rest, height - 24}, {x + 17, height - 24}});
        pen.line({{x, 18}, {x + 22, height - 22}});
        pen.line({{link_from, height / 2}, {x + 10, height / 2}}, Look::dashed);
    } else if (contact.rest >= 0) {
        pen.line({{x, height}, {x, height - 22}, {x + 12, height - 22}});
        pen.line({{x, 18}, {x + 13, height - 18}});
        pen.line({{link_from, height / 2}, {x + 5, height / 2}}, Look::dashed);
    } else {
        pen.line({{x, height}, {x, height - 18}});
        pen.line({{x, 18}, {x - 15, height - 20}});
        pen.line({{link_from, height / 2}, {x - 9, height / 2}}, Look::dashed);
    }
}

void paint_coil(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    const double coil = centre_of(coil_cell), middle = relay_height / 2;
    pen.line({{coil, 0}, {coil, middle - 10}});
    pen.line({{coil, middle + 10}, {coil, relay_height}});
    pen.box({coil - 17, middle - 10, coil + 17, middle + 10});
    if (symbol.suppression != Suppression::none) {
        const double x = coil - 26;
        pen.line({{coil, 8}, {x, 8}, {x, middle - 9}});
        pen.line({{coil, relay_height - 8}, {x, relay_height - 8}, {x, middle + 9}});
        pen.disc({coil, 8}, 2.6, Look::solid);
        pen.disc({coil, relay_height - 8}, 2.6, Look::solid);
        if (symbol.suppression == Suppression::resistor) {
            pen.box({x - 5, middle - 10, x + 5, middle + 10});
        } else {
            // The band lies at the coil's plus: the bar is on that side.
            const bool band_on_top =
                symbol.band < 0 || shape.seats[static_cast<std::size_t>(symbol.band)].edge == Edge::top;
            const Pen side = band_on_top ? pen : pen.upside_down(relay_height);
            side.line({{x, middle - 10}, {x, middle + 10}});
            side.closed({{x - 6, middle + 6}, {x + 6, middle + 6}, {x, middle - 6}}, Look::solid);
            side.line({{x - 6, middle - 6}, {x + 6, middle - 6}});
        }
    }
}

void paint_contacts(const Pen& pen, const Symbol& symbol, const Shape& shape, double link_from) {
    for (std::size_t i = 0; i < symbol.contacts.size(); ++i) {
        bool elsewhere = false;
        for (std::size_t j = 0; j < i; ++j)
            elsewhere = elsewhere || symbol.contacts[j].common == symbol.contacts[i].common;
        paint_contact(pen, symbol.contacts[i], shape, link_from, elsewhere);
    }
}

void paint_relay(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    pen.box({0, 0, shape.cells * column, relay_height});
    paint_coil(pen, symbol, shape);
    paint_contacts(pen, symbol, shape, centre_of(coil_cell) + 17);
}

// One half: its frame is dashed, because the part goes on elsewhere.
void paint_half_relay(const Pen& pen, const Symbol& symbol, const Shape& shape) {
    pen.box({0, 0, shape.cells * column, relay_height}, Look::dashed);
    if (symbol.kind == SymbolKind::coil) return paint_coil(pen, symbol, shape);
    paint_contacts(pen, symbol, shape, 4);
}

constexpr SymbolRow rows[] = {
    {SymbolKind::lever_switch, "switch", Nature::body, false, false, false, lever_shape, paint_lever},
    {SymbolKind::table_switch, "switch", Nature::body, true, false, false, table_shape, paint_table},
    {SymbolKind::relay, "relay", Nature::body, true, true, false, relay_shape, paint_relay},
    {SymbolKind::coil, "relay coil", Nature::body, false, false, false, relay_shape, paint_half_relay},
    {SymbolKind::contact, "relay contact", Nature::body, false, false, false, relay_shape, paint_half_relay},
};

} // namespace

std::span<const SymbolRow> switch_symbols() { return rows; }

} // namespace loomproof::draw
