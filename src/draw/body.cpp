#include "draw/body.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace loomproof::draw {
namespace {

constexpr double bar_stub = 10;
constexpr double stub = 7;        // from the edge to the ink where nothing is written beside it
constexpr double stamp_room = 18; // a stamp beside the stub
constexpr double tap_room = 11;   // the bar that joins several wires at one terminal
constexpr double free_room = 20;  // the ring and the word of a terminal without a wire
constexpr double stamp_gap = 4;
constexpr double caption_gap = 7;
constexpr double widest_caption = 122;
constexpr double widest_break_caption = 90; // many stand side by side at a supply, and each moves its wire's column
constexpr double flag_width = 15;

double line_height(WordKind kind) { return kind == WordKind::name ? 20 : 17; }

struct EdgeFacts {
    bool stamps = false, taps = false, free = false;
    double room() const { return (stamps ? stamp_room : stub) + (taps ? tap_room : 0) + (free ? free_room : 0); }
};

std::vector<int> wires_at(const std::vector<Pin>& pins, std::size_t terminals) {
    std::vector<int> count(terminals, 0);
    for (const Pin& pin : pins) ++count[static_cast<std::size_t>(pin.terminal)];
    return count;
}

EdgeFacts facts_of(const Symbol& symbol, const Body& body, Edge edge) {
    const bool quiet = row_of(symbol.kind).quiet;
    const std::vector<int> wires = wires_at(body.pins, symbol.terminals.size());
    EdgeFacts facts;
    for (std::size_t t = 0; t < symbol.terminals.size(); ++t) {
        if (body.seats[t].edge != edge) continue;
        facts.stamps = facts.stamps || !symbol.terminals[t].stamp.empty();
        facts.taps = facts.taps || wires[t] > 1;
        facts.free = facts.free || (wires[t] == 0 && !quiet);
    }
    return facts;
}

// One pin a wire: the first in the terminal's own column, the next ones in the nearest columns that nobody sits in and that can
// be reached without passing somebody.
void seat_pins(Body& body, const std::vector<Use>& uses) {
    std::map<int, std::vector<Use>> by_terminal;
    for (const Use& use : uses) by_terminal[use.terminal].push_back(use);
    body.seats = body.shape.seats;
    std::vector<Seat> taken = body.seats;
    const auto is_taken = [&](Edge edge, int cell) {
        return std::any_of(taken.begin(), taken.end(), [&](const Seat& s) { return s.edge == edge && s.cell == cell; });
    };
    int lowest = 0;
    for (const auto& [terminal, ends] : by_terminal) {
        const Seat seat = body.seats[static_cast<std::size_t>(terminal)];
        int right = seat.cell, left = seat.cell;
        for (std::size_t i = 0; i < ends.size(); ++i) {
            int cell = seat.cell;
            if (i > 0) {
                const bool right_free = !is_taken(seat.edge, right + 1), left_free = !is_taken(seat.edge, left - 1);
                const bool prefer_right = (right + 1 < body.cells) || left - 1 < 0;
                if (right_free && (prefer_right || !left_free) && !(i % 2 == 0 && left_free && left - 1 >= 0))
                    cell = ++right;
                else if (left_free)
                    cell = --left;
                else
                    cell = std::max(body.cells, right + 1);
                right = std::max(right, cell);
                taken.push_back({seat.edge, cell});
            }
            body.pins.push_back({ends[i].wire, ends[i].at_start, terminal, seat.edge, cell});
            lowest = std::min(lowest, cell);
            body.cells = std::max(body.cells, cell + 1);
        }
    }
    // What came to stand left of the shape moves all to the right; the shape goes on drawing in its own frame.
    body.shift = -lowest;
    for (Pin& pin : body.pins) pin.cell += body.shift;
    for (Seat& seat : body.seats) seat.cell += body.shift;
    body.cells += body.shift;
}

double stamp_width(const std::string& stamp) {
    return stamp.empty() ? 0 : paper::text_width(stamp, size_of(WordKind::stamp), paper::Weight::bold);
}

// A stamp stands right of its stub unless the next stub there is too near.
bool stamp_goes_left(const Symbol& symbol, const Body& body, std::size_t terminal, bool mirrored) {
    const Seat seat = body.seats[terminal];
    const auto place = [&](int cell) { return centre_of(mirrored ? body.cells - 1 - cell : cell); };
    const double x = place(seat.cell), width = stamp_width(symbol.terminals[terminal].stamp) + 2 * stamp_gap;
    return std::any_of(body.seats.begin(), body.seats.end(), [&](const Seat& other) {
        return other.edge == seat.edge && place(other.cell) > x && place(other.cell) < x + width;
    });
}

void measure_reach(const Symbol& symbol, Body& body, bool foot) {
    const double width = body.cells * column;
    const double ink_left = body.shape.ink_left + body.shift * column,
                 ink_right = body.shape.ink_right + body.shift * column;
    double left = std::min(0.0, ink_left), right = std::max(width, ink_right);
    if (foot) {
        // Room for "also paths 3, 5", which is known only later.
        const double caption_width =
            symbol.group.empty() ? body.caption.width : std::max(body.caption.width, widest_foot_caption);
        left = std::min(left, centre_of(body.seats[0].cell) - caption_width / 2);
        right = std::max(right, centre_of(body.seats[0].cell) + caption_width / 2);
    } else if (body.caption.width > 0) {
        const double ink = row_of(symbol.kind).may_mirror ? std::max(ink_right, width - ink_left) : ink_right;
        right = std::max(right, ink + caption_gap + body.caption.width);
    }
    for (std::size_t t = 0; t < symbol.terminals.size(); ++t) {
        const double w = stamp_width(symbol.terminals[t].stamp) + stamp_gap;
        if (w <= stamp_gap) continue;
        for (const bool mirrored : {false, true}) {
            if (mirrored && !row_of(symbol.kind).may_mirror) continue;
            const int cell = body.seats[t].cell;
            const double x = centre_of(mirrored ? body.cells - 1 - cell : cell);
            if (stamp_goes_left(symbol, body, t, mirrored))
                left = std::min(left, x - w);
            else
                right = std::max(right, x + w);
        }
    }
    // A hair of ink beyond the column's edge does not need a column of its own: wires keep to the columns' middles.
    constexpr double slack = 5;
    body.left_reach = std::max(0, static_cast<int>(std::ceil((-left - slack) / column)));
    body.right_reach = std::max(0, static_cast<int>(std::ceil((right - width - slack) / column)));
}

Wishes wishes_of(const Symbol& symbol, const std::vector<Use>& uses) {
    std::vector<int> lean(symbol.terminals.size(), 0);
    std::vector<bool> used(symbol.terminals.size(), false);
    for (const Use& use : uses) {
        // As many wires that arrive as leave: one of them a leg to ground, and the terminal is the part's own way to ground.
        constexpr int a_wire = 64;
        lean[static_cast<std::size_t>(use.terminal)] +=
            (use.wish == Edge::bottom ? a_wire : -a_wire) + (use.to_ground ? 1 : 0);
        used[static_cast<std::size_t>(use.terminal)] = true;
    }
    Wishes wishes(symbol.terminals.size());
    for (std::size_t t = 0; t < wishes.size(); ++t)
        if (used[t]) wishes[t] = lean[t] > 0 ? Edge::bottom : Edge::top;
    return wishes;
}

// Broken behind commas where that is enough, so that "left inner wing" stays together.
std::vector<std::string> sense_lines(const std::string& text, double widest, WordKind kind) {
    const auto width = [&](const std::string& line) { return paper::text_width(line, size_of(kind), weight_of(kind)); };
    std::vector<std::string> lines;
    std::string line;
    const auto finish = [&] {
        for (std::string& piece : paper::broken_into_lines(line, widest, size_of(kind), weight_of(kind)))
            lines.push_back(std::move(piece));
    };
    for (std::size_t at = 0; at < text.size();) {
        std::size_t comma = text.find(", ", at);
        while (comma != std::string::npos && comma + 2 < text.size() && text[comma + 2] >= '0' &&
               text[comma + 2] <= '9')
            comma = text.find(", ", comma + 1); // "also paths 3, 5" is one thing
        const std::size_t end = comma == std::string::npos ? text.size() : comma + 1;
        const std::string unit = text.substr(at, end - at);
        if (!line.empty() && width(line + " " + unit) > widest) {
            finish();
            line.clear();
        }
        line += (line.empty() ? "" : " ") + unit;
        at = end + (comma == std::string::npos ? 0 : 1);
    }
    finish();
    return lines;
}

// A letter in a circle or an empty box is no word for who cannot read symbols.
bool says_too_little(SymbolKind kind) {
    return kind == SymbolKind::starter || kind == SymbolKind::alternator || kind == SymbolKind::motor ||
           kind == SymbolKind::horn || kind == SymbolKind::load || kind == SymbolKind::unit;
}

Caption caption_of(const Symbol& symbol, double widest) {
    Caption caption;
    const auto add = [&](const std::string& text, WordKind kind) {
        for (std::string& line : sense_lines(text, widest, kind)) {
            const double width = paper::text_width(line, size_of(kind), weight_of(kind));
            caption.width = std::max(caption.width, width);
            caption.height += line_height(kind);
            caption.lines.push_back({std::move(line), kind});
        }
    };
    add(symbol.name, WordKind::name);
    if (symbol.job != 0 || !symbol.remarks.empty()) {
        if (caption.lines.empty()) {
            caption.lines.push_back({"", WordKind::name});
            caption.height = line_height(WordKind::name);
        }
        const CaptionLine& first = caption.lines.front();
        double end = paper::text_width(first.text, size_of(first.kind), weight_of(first.kind));
        const auto next = [&](double width) {
            const double at = end + (end > 0 ? 6 : 0);
            end = at + width;
            return at;
        };
        if (symbol.job != 0) caption.flag_at = next(flag_width);
        for (const std::string& mark : symbol.remarks) caption.marks_at.push_back(next(mark_width(mark)));
        caption.first_width = end;
        caption.width = std::max(caption.width, end + 2);
    }
    add(symbol.rating, WordKind::rating);
    if (symbol.lines.empty() && symbol.title != symbol.name && says_too_little(symbol.kind))
        add(symbol.title, WordKind::line);
    for (const std::string& line : symbol.lines) add(line, WordKind::line);
    add(symbol.place, WordKind::line);
    for (const OtherHalf& half : symbol.other_halves) add(other_half_line(half), WordKind::line);
    return caption;
}

} // namespace

std::string paths_blank(std::size_t paths) {
    if (paths < 2) return path_blank;
    std::string text = "paths\u00A088";
    for (std::size_t i = 1; i < paths; ++i) text += ",\u00A088";
    return text;
}

std::string other_half_line(const OtherHalf& half) {
    return half.what + ": " + (half.sheet.empty() ? "" : half.sheet + ", ") + path_blank;
}

Body make_body(const Symbol& symbol, const std::vector<Use>& uses) {
    const SymbolRow& row = row_of(symbol.kind);
    Body body;
    body.shape = row.shape(symbol, wishes_of(symbol, uses));
    body.cells = body.shape.cells;
    if (row.nature == SymbolRow::Nature::bar) {
        body.caption = caption_of(symbol, widest_caption);
        for (const Use& use : uses) body.pins.push_back({use.wire, use.at_start, use.terminal, use.wish, 0});
        body.right_reach = static_cast<int>(std::ceil((body.caption.width + caption_gap) / column));
        body.top_zone = body.bottom_zone = 12;
        body.room = body.caption.height > 24 ? body.caption.height - 24 : 0;
        return body;
    }
    const bool foot = row.nature == SymbolRow::Nature::foot;
    body.is_end = row.nature == SymbolRow::Nature::end;
    body.caption = caption_of(symbol, foot                                   ? widest_foot_caption
                                      : symbol.kind == SymbolKind::off_sheet ? widest_break_caption
                                                                             : widest_caption);
    seat_pins(body, uses);
    body.top_zone = facts_of(symbol, body, Edge::top).room();
    body.bottom_zone = facts_of(symbol, body, Edge::bottom).room();
    const bool pinned_on_one_side = row.nature != SymbolRow::Nature::body;
    if (pinned_on_one_side) (body.seats[0].edge == Edge::top ? body.bottom_zone : body.top_zone) = 2;
    body.room = foot ? body.shape.height + 4 + body.caption.height : std::max(body.shape.height, body.caption.height);
    measure_reach(symbol, body, foot);
    return body;
}

void set_foot_note(Body& body, const Symbol& foot, const std::string& note, double left, double right) {
    constexpr double enough = 110; // for "left inner wing"
    Symbol noted = foot;
    std::string place;
    std::swap(place, noted.place);
    if (!place.empty()) noted.lines.push_back(place);
    if (!note.empty()) noted.lines.push_back(note);
    const double centred = 2 * std::min(left, right);
    body.caption = caption_of(noted, centred);
    if (centred < enough && left + right > centred) {
        body.caption = caption_of(noted, std::min(enough, left + right));
        const double half = body.caption.width / 2;
        if (half > std::min(left, right)) body.caption.aside = left > right ? right - half : half - left;
    }
    body.room = body.shape.height + 4 + body.caption.height;
}

int cell_of(const Body& body, const Pin& pin, bool mirrored) { return mirrored ? body.cells - 1 - pin.cell : pin.cell; }

void paint_caption(Picture& out, const Caption& caption, Point at, Anchor anchor, const Symbol& symbol) {
    double y = at.y;
    for (std::size_t i = 0; i < caption.lines.size(); ++i) {
        const CaptionLine& line = caption.lines[i];
        const double base = y + line_height(line.kind) * 0.76;
        if (i == 0 && caption.first_width > 0) {
            // The flag stands after the name: a small pennant with the job's letter. Behind it what check found.
            const double whole = caption.first_width;
            const double shift = anchor == Anchor::middle ? -whole / 2 : anchor == Anchor::end ? -whole : 0;
            const double begin = at.x + shift;
            out.words.push_back({line.text, {begin, base}, Anchor::start, line.kind, false});
            if (caption.flag_at >= 0) {
                const double x = begin + caption.flag_at, end = x + flag_width;
                out.ink.emplace_back(Trace{{{Step::Type::move, {x, base - 13}},
                                            {Step::Type::line, {end, base - 13}},
                                            {Step::Type::line, {end, base + 3}},
                                            {Step::Type::line, {x, base + 3}},
                                            {Step::Type::close, {}}},
                                           symbol.planned ? Look::planned : Look::flag});
                out.words.push_back(
                    {std::string(1, symbol.job), {x + 7.5, base - 0.5}, Anchor::middle, WordKind::flag, false});
            }
            for (std::size_t m = 0; m < caption.marks_at.size(); ++m) {
                const std::string& mark = symbol.remarks[m];
                const double x = begin + caption.marks_at[m];
                const Box box{x, base - 15.5, x + mark_width(mark), base - 15.5 + mark_height};
                out.ink.emplace_back(mark_sign(box, mark));
                out.words.push_back(mark_words(box, mark));
            }
        } else {
            out.words.push_back({line.text, {at.x, base}, anchor, line.kind, false});
        }
        y += line_height(line.kind);
    }
    std::erase_if(out.words, [](const Word& w) { return w.text.empty(); });
}

void paint_bar(Picture& out, const Symbol& symbol, const Body& body, Point left, double right,
               const std::vector<double>& above, const std::vector<double>& below) {
    const double y = left.y;
    const bool splice = symbol.kind == SymbolKind::splice, metal = symbol.kind == SymbolKind::metal;
    const Pen pen(out, {0, 0}, 0, false);
    const double overhang = splice ? 0 : metal ? 14 : 8;
    if (right > left.x || overhang > 0)
        pen.line({{left.x - overhang, y}, {right + overhang, y}}, splice ? Look::bar : Look::rail);
    if (metal)
        for (double x = left.x - overhang + 4; x <= right + overhang; x += 8) pen.line({{x, y + 3}, {x - 5, y + 9}});
    const auto tap = [&](double x, double to) {
        pen.line({{x, y}, {x, to}});
        pen.disc({x, y}, splice ? 4.6 : 4.2, Look::solid);
    };
    for (const double x : above) tap(x, y - bar_stub);
    for (const double x : below) tap(x, y + bar_stub);
    paint_caption(out, body.caption, {right + overhang + 9, y - body.caption.height / 2}, Anchor::start, symbol);
}

void paint_body(Picture& out, const Symbol& symbol, const Body& body, Point at, bool mirrored) {
    const SymbolRow& row = row_of(symbol.kind);
    const Shape& shape = body.shape;
    const double width = body.cells * column;
    const double pad = row.nature == SymbolRow::Nature::foot ? 0 : (body.room - shape.height) / 2;
    const double shape_top =
        row.nature == SymbolRow::Nature::body || row.nature == SymbolRow::Nature::foot
            ? body.top_zone + pad
            : (body.seats[0].edge == Edge::top ? body.top_zone : body.top_zone + body.room - shape.height);
    const Pen sheet(out, at, width, mirrored);

    // Stubs, from the edge to the ink.
    const std::vector<int> wires = wires_at(body.pins, symbol.terminals.size());
    for (std::size_t t = 0; t < symbol.terminals.size(); ++t) {
        const Seat seat = body.seats[t];
        const bool top = seat.edge == Edge::top;
        const EdgeFacts facts = facts_of(symbol, body, seat.edge);
        const double x = centre_of(seat.cell);
        const double edge = top ? 0 : body.height();
        const double inward = top ? 1 : -1;
        const double ink = top ? shape_top : shape_top + shape.height;
        const bool is_free = wires[t] == 0 && !row.quiet;
        const bool dots = is_free && symbol.terminals[t].goes_on;
        const double open = edge + inward * (is_free ? free_room - 4 : 0), begin = open + (dots ? inward * 14 : 0);
        if (std::abs(ink - begin) > 0.01) sheet.line({{x, begin}, {x, ink}});
        if (is_free) {
            if (dots)
                for (const double on : {0.0, 5.0, 10.0}) sheet.disc({x, open + inward * on}, 1.8, Look::solid);
            else
                sheet.disc({x, open}, 3.4, Look::lamp);
            sheet.word({x, edge + inward * 5.5}, symbol.terminals[t].unwired, WordKind::line);
        }
        if (wires[t] > 1) {
            const double y = edge + inward * ((facts.free ? free_room : 0) + tap_room - 3);
            int first = seat.cell, last = seat.cell;
            for (const Pin& pin : body.pins) {
                if (pin.terminal != static_cast<int>(t)) continue;
                first = std::min(first, pin.cell);
                last = std::max(last, pin.cell);
                if (pin.cell != seat.cell) sheet.line({{centre_of(pin.cell), edge}, {centre_of(pin.cell), y}});
            }
            sheet.line({{centre_of(first), y}, {centre_of(last), y}}, Look::heavy);
            sheet.disc({x, y}, 3.4, Look::solid);
        }
        const std::string& stamp = symbol.terminals[t].stamp;
        if (!stamp.empty()) {
            const double zone = top ? body.top_zone : body.bottom_zone;
            const double y = edge + inward * (zone - stamp_room / 2) - 1;
            const bool left = stamp_goes_left(symbol, body, t, mirrored);
            const Pen upright(out, at, width, false);
            const double at_x = mirrored ? width - x : x;
            // A hyphen is too short to be seen beside a plus.
            const std::string shown = stamp == "-" ? "\u2212" : stamp;
            const WordKind kind = stamp == "-" || stamp == "+" ? WordKind::sign : WordKind::stamp;
            upright.word({at_x + (left ? -stamp_gap : stamp_gap), y}, shown, kind, left ? Anchor::end : Anchor::start);
        }
    }

    if (row.paint != nullptr) {
        const double shift = body.shift * column;
        const Pen pen(out, {mirrored ? at.x : at.x + shift, at.y + shape_top}, width - shift, mirrored);
        row.paint(shape.upside_down ? pen.upside_down(shape.height) : pen, symbol, shape);
    }
    if (body.caption.lines.empty()) return;
    if (row.nature == SymbolRow::Nature::foot) {
        paint_caption(out, body.caption,
                      {at.x + centre_of(body.seats[0].cell) + body.caption.aside, at.y + shape_top + shape.height + 4},
                      Anchor::middle, symbol);
    } else {
        const double shift = body.shift * column;
        const double ink = mirrored ? width - shape.ink_left - shift : shape.ink_right + shift;
        const double y = at.y + body.top_zone + (body.room - body.caption.height) / 2;
        if (mirrored && body.is_end)
            paint_caption(out, body.caption, {at.x + width - ink - caption_gap, y}, Anchor::end, symbol);
        else
            paint_caption(out, body.caption, {at.x + ink + caption_gap, y}, Anchor::start, symbol);
    }
}

} // namespace loomproof::draw
