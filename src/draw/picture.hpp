#pragma once
/// Ink: the closed set of things a symbol may put on the sheet, and the pen that puts them there.
///
/// Symbols are drawn in one frame of their own (x rightwards from the left edge of their first column, y downwards from the
/// top of their body) and never look at where they stand or which way round: the pen mirrors and turns upside down.

#include "draw/geometry.hpp"
#include "paper/type.hpp"

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

namespace loomproof::draw {

/// How a line looks; each is one class of the drawing's style.
enum class Look : std::uint8_t {
    ink,     ///< a thin black line
    heavy,   ///< a thick black line: plates, pins, ground bars
    bar,     ///< the bar of a splice
    rail,    ///< the bar of a bus or of metal
    dashed,  ///< a mechanical link
    hair,    ///< a light line of a table
    frame,   ///< an outline with white inside
    solid,   ///< filled black
    flag,    ///< the outline of a flag, white inside
    mark,    ///< the mark of what check found: filled black, white words on it
    advice,  ///< the mark of mere advice: an outline with white inside, black words on it
    planned, ///< that of a flag for what is not fitted yet: short dashes
    lamp,    ///< an outline with white inside, round
};

/// A line of straight pieces and arcs. An arc's sweep is clockwise on the sheet.
struct Step {
    enum class Type : std::uint8_t { move, line, arc, close } type{};
    Point to;
    double radius = 0;
    bool clockwise = false;
};

struct Trace {
    std::vector<Step> steps;
    Look look{};
};

struct Disc {
    Point centre;
    double radius = 0;
    Look look{};
};

enum class Anchor : std::uint8_t { start, middle, end };

/// What a word is for; each is one class.
enum class WordKind : std::uint8_t {
    name,
    rating,
    line,
    stamp,
    letter,
    sign,
    label,
    heading,
    path,
    flag,
    mark,
    advice,
    title
};

struct Word {
    std::string text;
    Point at; ///< on the base line
    Anchor anchor = Anchor::start;
    WordKind kind{};
    bool upright = false; ///< read from below upwards (turned left by a right angle)
};

double size_of(WordKind);
paper::Weight weight_of(WordKind);
/// The room a word takes: its advance, from a capital's top to the base line, or below it where a letter hangs down.
Box box_of(const Word&);

/// Ink in the order in which it is laid down: what comes later covers what came before. Words lie on top.
struct Picture {
    std::vector<std::variant<Trace, Disc>> ink{};
    std::vector<Word> words{};
};

/// The room all of it takes; empty where there is nothing. Arcs count by their ends.
Box box_of(const Picture&);

/// The mark of what check found, "D1" on a black triangle, "F2" on a black square, "A3" in a white round: told apart without colour and without
/// reading. How wide it is, how high, and its ink and words in a box of that size.
double mark_width(const std::string& mark);
inline constexpr double mark_height = 20;
Trace mark_sign(const Box& box, const std::string& mark);
/// "2" of "F2": what is printed in the sign, whose shape says how bad it is. A letter would be read as the name of a part, "fuse F2".
std::string number_of_mark(const std::string& mark);
Word mark_words(const Box& box, const std::string& mark);
inline bool is_mark(WordKind kind) { return kind == WordKind::mark || kind == WordKind::advice; }

class Pen {
  public:
    /// Draws into `out`. `origin` is where the body's top left corner stands; a mirrored pen reflects in a body `width` wide.
    Pen(Picture& out, Point origin, double width, bool mirrored)
        : out_(out), origin_(origin), width_(width), mirrored_(mirrored) {}

    /// The same pen upside down within a body of that height.
    Pen upside_down(double height) const;

    /// The same pen from another origin on, `by` away from this one's on the sheet.
    Pen moved(Point by) const;

    void line(std::initializer_list<Point> points, Look look = Look::ink) const;
    void closed(std::initializer_list<Point> points, Look look = Look::frame) const;
    void box(Box, Look look = Look::frame, double corner = 0) const;
    /// An arc from one point to the other, clockwise as drawn in the body's own frame.
    void arc(Point from, Point to, double radius, Look look = Look::ink, bool clockwise = true) const;
    void disc(Point centre, double radius, Look look) const;
    /// Text is never mirrored or turned over: only its place is. `at` is the middle of its height.
    void word(Point at, std::string text, WordKind kind, Anchor anchor = Anchor::middle) const;

  private:
    Point place(Point) const;
    Picture& out_;
    Point origin_;
    double width_;
    bool mirrored_;
    double turned_height_ = -1;
};

} // namespace loomproof::draw
