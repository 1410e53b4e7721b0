#include "draw/picture.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <utility>

namespace loomproof::draw {
namespace {

// By byte: does it reach below the line on which letters stand? What is not ASCII may.
constexpr std::array<bool, 256> hanging = [] {
    std::array<bool, 256> table{};
    for (const char c : std::string_view("gjpqyQ,;()[]{}|_@$")) table[static_cast<unsigned char>(c)] = true;
    for (std::size_t c = 0x80; c < table.size(); ++c) table[c] = true;
    return table;
}();

} // namespace

double size_of(WordKind kind) {
    switch (kind) {
    case WordKind::name:
    case WordKind::sign: return paper::name_size;
    case WordKind::title:
    case WordKind::letter: return paper::title_size;
    case WordKind::heading: return paper::name_size;
    case WordKind::flag:
    case WordKind::mark:
    case WordKind::advice: return 13.0;
    default: return paper::plain_size;
    }
}

paper::Weight weight_of(WordKind kind) {
    return kind == WordKind::line || kind == WordKind::label ? paper::Weight::normal : paper::Weight::bold;
}

Box box_of(const Word& word) {
    const double size = size_of(word.kind);
    const double width = paper::text_width(word.text, size, weight_of(word.kind));
    const double before = word.anchor == Anchor::start ? 0 : word.anchor == Anchor::middle ? width / 2 : width;
    const bool hangs =
        std::any_of(word.text.begin(), word.text.end(), [](char c) { return hanging[static_cast<unsigned char>(c)]; });
    const double rise = size * 0.74, fall = size * (hangs ? 0.22 : 0.03);
    if (word.upright) return {word.at.x - rise, word.at.y + before - width, word.at.x + fall, word.at.y + before};
    return {word.at.x - before, word.at.y - rise, word.at.x - before + width, word.at.y + fall};
}

Box box_of(const Picture& picture) {
    std::optional<Box> box;
    const auto include = [&](const Box& b) {
        if (box)
            box->include(b);
        else
            box = b;
    };
    for (const auto& mark : picture.ink) {
        if (const Disc* d = std::get_if<Disc>(&mark)) {
            include(Box{d->centre.x, d->centre.y, d->centre.x, d->centre.y}.grown(d->radius));
            continue;
        }
        for (const Step& s : std::get<Trace>(mark).steps)
            if (s.type != Step::Type::close) include({s.to.x, s.to.y, s.to.x, s.to.y});
    }
    for (const Word& w : picture.words) include(box_of(w));
    return box.value_or(Box{});
}

double mark_width(const std::string& mark) {
    const auto letters = static_cast<double>(mark.size());
    if (mark.starts_with('D')) return 15 + 13 * letters; // up there the triangle is narrow
    return (mark.starts_with('A') ? 12 : 9) + 8.6 * letters;
}

Trace mark_sign(const Box& box, const std::string& mark) {
    Trace trace{{}, mark.starts_with('A') ? Look::advice : Look::mark};
    const auto add = [&](Step::Type type, double x, double y, double radius = 0) {
        trace.steps.push_back({type, {x, y}, radius, true});
    };
    if (mark.starts_with('D')) {
        add(Step::Type::move, box.left, box.bottom);
        add(Step::Type::line, (box.left + box.right) / 2, box.top);
        add(Step::Type::line, box.right, box.bottom);
    } else if (mark.starts_with('A')) {
        constexpr double inside = 1; // half the outline
        const double top = box.top + inside, bottom = box.bottom - inside, round = (bottom - top) / 2;
        const double left = box.left + inside + round, right = box.right - inside - round;
        add(Step::Type::move, left, top);
        add(Step::Type::line, right, top);
        add(Step::Type::arc, right, bottom, round);
        add(Step::Type::line, left, bottom);
        add(Step::Type::arc, left, top, round);
    } else {
        add(Step::Type::move, box.left, box.top + 1);
        add(Step::Type::line, box.right, box.top + 1);
        add(Step::Type::line, box.right, box.bottom - 1);
        add(Step::Type::line, box.left, box.bottom - 1);
    }
    add(Step::Type::close, 0, 0);
    return trace;
}

std::string number_of_mark(const std::string& mark) { return mark.substr(1); }

Word mark_words(const Box& box, const std::string& mark) {
    const double up = mark.starts_with('D') ? 1.8 : 5.4; // in the middle, but where a triangle is wide
    return {number_of_mark(mark),
            {(box.left + box.right) / 2, box.bottom - up},
            Anchor::middle,
            mark.starts_with('A') ? WordKind::advice : WordKind::mark,
            false};
}

Pen Pen::upside_down(double height) const {
    Pen turned = *this;
    turned.turned_height_ = turned_height_ < 0 ? height : -1;
    return turned;
}

Pen Pen::moved(Point by) const {
    Pen pen = *this;
    pen.origin_ = {origin_.x + by.x, origin_.y + by.y};
    return pen;
}

Point Pen::place(Point p) const {
    return {origin_.x + (mirrored_ ? width_ - p.x : p.x),
            origin_.y + (turned_height_ >= 0 ? turned_height_ - p.y : p.y)};
}

void Pen::line(std::initializer_list<Point> points, Look look) const {
    Trace trace{{}, look};
    for (const Point& p : points)
        trace.steps.push_back({trace.steps.empty() ? Step::Type::move : Step::Type::line, place(p)});
    out_.ink.emplace_back(std::move(trace));
}

void Pen::closed(std::initializer_list<Point> points, Look look) const {
    line(points, look);
    std::get<Trace>(out_.ink.back()).steps.push_back({Step::Type::close, {}});
}

void Pen::box(Box b, Look look, double corner) const {
    if (corner <= 0) return closed({{b.left, b.top}, {b.right, b.top}, {b.right, b.bottom}, {b.left, b.bottom}}, look);
    const bool clockwise = mirrored_ == (turned_height_ >= 0);
    const double c = corner;
    Trace trace{{}, look};
    const auto add = [&](Step::Type type, double x, double y) {
        trace.steps.push_back({type, place({x, y}), c, clockwise});
    };
    add(Step::Type::move, b.left + c, b.top);
    add(Step::Type::line, b.right - c, b.top);
    add(Step::Type::arc, b.right, b.top + c);
    add(Step::Type::line, b.right, b.bottom - c);
    add(Step::Type::arc, b.right - c, b.bottom);
    add(Step::Type::line, b.left + c, b.bottom);
    add(Step::Type::arc, b.left, b.bottom - c);
    add(Step::Type::line, b.left, b.top + c);
    add(Step::Type::arc, b.left + c, b.top);
    trace.steps.push_back({Step::Type::close, {}});
    out_.ink.emplace_back(std::move(trace));
}

void Pen::arc(Point from, Point to, double radius, Look look, bool clockwise) const {
    if (mirrored_ != (turned_height_ >= 0)) clockwise = !clockwise;
    out_.ink.emplace_back(
        Trace{{{Step::Type::move, place(from)}, {Step::Type::arc, place(to), radius, clockwise}}, look});
}

void Pen::disc(Point centre, double radius, Look look) const {
    out_.ink.emplace_back(Disc{place(centre), radius, look});
}

void Pen::word(Point at, std::string text, WordKind kind, Anchor anchor) const {
    if (text.empty()) return;
    if (mirrored_ && anchor != Anchor::middle) anchor = anchor == Anchor::start ? Anchor::end : Anchor::start;
    Point base = place(at);
    base.y += size_of(kind) * paper::capital_height / 2;
    out_.words.push_back({std::move(text), base, anchor, kind, false});
}

} // namespace loomproof::draw
