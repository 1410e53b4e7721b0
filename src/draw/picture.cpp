#include "draw/picture.hpp"

#include <algorithm>
#include <utility>

namespace loomproof::draw {
namespace {

bool is_ascii(const std::string& text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

} // namespace

double size_of(WordKind kind) {
    switch (kind) {
    case WordKind::name:
    case WordKind::sign: return paper::name_size;
    case WordKind::title:
    case WordKind::letter: return paper::title_size;
    case WordKind::heading: return paper::name_size;
    case WordKind::flag:
    case WordKind::mark: return 13.0;
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
    const bool hangs = word.text.find_first_of("gjpqyQ,;()[]{}|_@$") != std::string::npos || !is_ascii(word.text);
    const double rise = size * 0.74, fall = size * (hangs ? 0.22 : 0.03);
    if (word.upright) return {word.at.x - rise, word.at.y + before - width, word.at.x + fall, word.at.y + before};
    return {word.at.x - before, word.at.y - rise, word.at.x - before + width, word.at.y + fall};
}

double mark_width(const std::string& number) { return 14 + 10 * static_cast<double>(number.size()); }

Trace mark_sign(const Box& box) {
    return {{{Step::Type::move, {box.left, box.bottom}},
             {Step::Type::line, {(box.left + box.right) / 2, box.top}},
             {Step::Type::line, {box.right, box.bottom}},
             {Step::Type::close, {}}},
            Look::mark};
}

Word mark_number(const Box& box, const std::string& number) {
    return {number, {(box.left + box.right) / 2, box.bottom - 1.8}, Anchor::middle, WordKind::mark, false};
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
