#pragma once
/// A symbol with everything that belongs to it on the sheet: stubs to the edge, one pin for each wire end, stamps, the marks of
/// terminals that have no wire, the caption.

#include "draw/symbols.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

/// Where one wire end meets a symbol. Several wires at one terminal get pins in free columns beside it, joined by a short bar
/// with a dot inside the symbol's own room: they may change places with each other, so the ordering finds who gets which.
struct Pin {
    int wire = 0;
    bool at_start = false; ///< the wire's `a` end
    int terminal = 0;
    Edge edge = Edge::top;
    int cell = 0; ///< column within the body, unmirrored
};

struct CaptionLine {
    std::string text;
    WordKind kind{};
};

struct Caption {
    std::vector<CaptionLine> lines;
    double width = 0, height = 0;
    double flag_at = -1;            ///< where the flag with the job's letter stands on the first line; -1 = none
    std::vector<double> marks_at{}; ///< where the marks of what check found stand, behind it
    double first_width = 0;         ///< of the first line with flag and marks
    double aside = 0;               ///< under a foot: how far right of it the words' middle stands
};

struct Body {
    Shape shape;
    Caption caption;
    std::vector<Pin> pins;
    std::vector<Seat> seats; ///< the shape's seats as columns of the body
    int shift = 0;           ///< columns by which the shape stands right of the body's left edge
    int cells = 1;           ///< columns of stubs and ink
    int left_reach = 0;      ///< further columns that text or ink takes on either side
    int right_reach = 0;
    bool is_end = false; ///< one terminal, text beside it: mirrored, the text stands on the left
    double top_zone = 0, bottom_zone = 0, room = 0; ///< heights of the stubs' zones and of what lies between
    double height() const { return top_zone + room + bottom_zone; }
};

/// A wire end at a symbol, and the edge that the wire would like (where current leaves: bottom).
struct Use {
    int wire = 0;
    bool at_start = false;
    int terminal = 0;
    Edge wish = Edge::top;
    bool to_ground = false; ///< the wire is a leg to a ground foot
};

/// Stands where a path number goes that is not known yet, as wide as most of them.
inline constexpr const char* path_blank = "path\xC2\xA0"
                                          "88";

/// The blank for several paths: "paths 88, 88"; one of them, or none, is path_blank.
std::string paths_blank(std::size_t paths);

/// "contact: path 88", "coil: sheet 3, path 88".
std::string other_half_line(const OtherHalf& half);

/// Lays out one symbol for the wires that meet it. Bars get pins on the edges the wires wish, all in cell 0.
Body make_body(const Symbol& symbol, const std::vector<Use>& uses);

/// Room that is kept for the words under every ground foot.
inline constexpr double widest_foot_caption = 70;

/// Says under a ground foot where its stud is drawn again (nothing where `note` is empty). `left` and `right` are how far the words may
/// reach on either side of the foot; they stand under its middle where there they have room enough. A new note takes the old one's place.
void set_foot_note(Body& body, const Symbol& foot, const std::string& note, double left, double right);

/// The column of a pin from the body's left, as it stands.
int cell_of(const Body& body, const Pin& pin, bool mirrored);

/// Draws a body (no bars) whose left top corner stands at `at`.
void paint_body(Picture& out, const Symbol& symbol, const Body& body, Point at, bool mirrored);

/// Draws a bar (splice, bus, metal) from its left end to `right`, a tap upwards at each x of `above` and downwards at each of `below`.
void paint_bar(Picture& out, const Symbol& symbol, const Body& body, Point left, double right,
               const std::vector<double>& above, const std::vector<double>& below);

/// Text on several lines, the first one's top at `top`. Centred where anchor is middle.
void paint_caption(Picture& out, const Caption& caption, Point at, Anchor anchor, const Symbol& symbol);

} // namespace loomproof::draw
