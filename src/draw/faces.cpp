#include "draw/faces.hpp"

#include <algorithm>
#include <array>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr double pitch = 17; ///< of lines
constexpr double gap = 8;

double width_of(const std::string& text, WordKind kind) {
    return paper::text_width(text, size_of(kind), weight_of(kind));
}

// ---- plugs

constexpr double shell = 7; ///< around the holes
constexpr double latch_height = 20, latch_width = 62;
constexpr double diamond = 6;

struct Grid {
    double cell_width = 46, cell_height = 0;
    std::size_t columns = 0;
    bool latch_at_side = false, latch_above = false, latch_below = false;
    double left = 0, top = 0; ///< of the first cell
};

Grid grid_of(const Face& face) {
    Grid grid;
    std::size_t most = 0;
    for (const FacePlace& place : face.places) {
        double head = width_of(place.stamp, WordKind::stamp);
        if (!place.twin.empty()) head += gap + 2 * diamond + 4 + width_of(place.twin, WordKind::stamp);
        grid.cell_width = std::max(grid.cell_width, head + 2 * gap);
        for (const std::string& line : place.lines)
            grid.cell_width = std::max(grid.cell_width, width_of(line, WordKind::label) + 2 * gap);
        most = std::max(most, place.lines.size());
    }
    grid.cell_height = 24 + pitch * static_cast<double>(most);
    for (const std::vector<int>& row : face.rows) grid.columns = std::max(grid.columns, row.size());
    grid.latch_above = face.latch == "up";
    grid.latch_below = face.latch == "down";
    grid.latch_at_side = face.latch == "left" || face.latch == "right";
    grid.left = shell + (face.latch == "left" ? latch_width : 0);
    grid.top = shell + (grid.latch_above ? latch_height : 0);
    return grid;
}

FaceSize size_of_plug(const Face& face) {
    const Grid grid = grid_of(face);
    return {grid.cell_width * static_cast<double>(grid.columns) + 2 * shell + (grid.latch_at_side ? latch_width : 0),
            grid.cell_height * static_cast<double>(face.rows.size()) + 2 * shell +
                (grid.latch_above || grid.latch_below ? latch_height : 0)};
}

void paint_place(const Pen& pen, const FacePlace& place, const Box& cell) {
    pen.box(cell);
    double y = cell.top + 13;
    pen.word({cell.left + gap, y}, place.stamp, WordKind::stamp, Anchor::start);
    if (!place.twin.empty()) {
        const double letter = width_of(place.twin, WordKind::stamp);
        pen.word({cell.right - gap, y}, place.twin, WordKind::stamp, Anchor::end);
        const Point c{cell.right - gap - letter - 4 - diamond, y};
        pen.closed({{c.x - diamond, c.y}, {c.x, c.y - diamond}, {c.x + diamond, c.y}, {c.x, c.y + diamond}},
                   Look::solid);
    }
    for (const std::string& line : place.lines) {
        y += pitch;
        pen.word({cell.left + gap, y}, line, WordKind::label, Anchor::start);
    }
}

void paint_plug(const Pen& pen, const Face& face) {
    const Grid grid = grid_of(face);
    const double width = grid.cell_width * static_cast<double>(grid.columns),
                 height = grid.cell_height * static_cast<double>(face.rows.size());
    const Box body{grid.left - shell, grid.top - shell, grid.left + width + shell, grid.top + height + shell};
    const double middle = (body.left + body.right) / 2, half_way = (body.top + body.bottom) / 2;
    const auto latch = [&](const Box& tab) {
        pen.box(tab);
        pen.word({(tab.left + tab.right) / 2, (tab.top + tab.bottom) / 2}, "latch", WordKind::line);
    };
    if (grid.latch_above)
        latch({middle - latch_width / 2, body.top - latch_height, middle + latch_width / 2, body.top});
    if (grid.latch_below)
        latch({middle - latch_width / 2, body.bottom, middle + latch_width / 2, body.bottom + latch_height});
    if (face.latch == "left") latch({body.left - latch_width, half_way - 14, body.left, half_way + 14});
    if (face.latch == "right") latch({body.right, half_way - 14, body.right + latch_width, half_way + 14});
    pen.box(body, Look::frame, shell);
    for (std::size_t r = 0; r < face.rows.size(); ++r) {
        const double shift = grid.cell_width * static_cast<double>(grid.columns - face.rows[r].size()) /
                             2; // short rows stand in the middle
        for (std::size_t c = 0; c < face.rows[r].size(); ++c) {
            if (face.rows[r][c] < 0) continue;
            const double x = grid.left + shift + grid.cell_width * static_cast<double>(c),
                         y = grid.top + grid.cell_height * static_cast<double>(r);
            paint_place(pen, face.places[index(face.rows[r][c])], {x, y, x + grid.cell_width, y + grid.cell_height});
        }
    }
}

// ---- relay bases

// Where the blades of a relay stand as one looks at them (from below at the relay, from the side of the wires at its base), and which way
// they lie: the mini from memory of ISO 7588-1, the micro from memory of ISO 7588-3, neither confirmed. The picture says that the moulded
// numbers decide.
struct Blade {
    const char* stamp;
    double x, y;
    bool level;
    enum class Words : std::uint8_t { above, below, left, right, left_below } words;
};
struct Base {
    double width, height;
    std::array<Blade, 6> blades;
};
constexpr Base mini = {150,
                       150,
                       {{{"87", 75, 26, true, Blade::Words::above},
                         {"86", 26, 66, false, Blade::Words::left},
                         {"85", 124, 66, false, Blade::Words::right},
                         {"87a", 75, 66, true, Blade::Words::left_below},
                         {"87b", 75, 66, true, Blade::Words::left_below},
                         {"30", 75, 118, false, Blade::Words::below}}}};
// Longer than wide, all contact blades across, the coil's along the sides.
constexpr Base micro = {112,
                        150,
                        {{{"87", 56, 24, true, Blade::Words::above},
                          {"86", 18, 66, false, Blade::Words::left},
                          {"85", 94, 66, false, Blade::Words::right},
                          {"87a", 56, 66, true, Blade::Words::left_below},
                          {"87b", 56, 66, true, Blade::Words::left_below},
                          {"30", 56, 112, true, Blade::Words::below}}}};
constexpr double blade_long = 26, blade_thick = 6; // 6.3 mm is 25 units: about life size

const Base& base_of(Face::Type type) { return type == Face::Type::micro_base ? micro : mini; }

const Blade* blade_of(Face::Type type, const std::string& stamp) {
    const std::array<Blade, 6>& blades = base_of(type).blades;
    const auto found = std::find_if(blades.begin(), blades.end(), [&](const Blade& b) { return stamp == b.stamp; });
    return found == blades.end() ? nullptr : &*found;
}

struct Around {
    double left = 0, right = 0, above = 0, below = 0; ///< room for words
    double half_above = 0;                            ///< of the widest word above or below the square
};

Around around(const Face& face) {
    Around room;
    for (const FacePlace& place : face.places) {
        const Blade* const blade = blade_of(face.type, place.stamp);
        if (blade == nullptr) continue;
        double widest = 0;
        for (const std::string& line : place.lines) widest = std::max(widest, width_of(line, WordKind::label));
        const double high = pitch * static_cast<double>(place.lines.size()) + 6;
        switch (blade->words) {
        case Blade::Words::above:
            room.above = high;
            room.half_above = std::max(room.half_above, widest / 2);
            break;
        case Blade::Words::below:
            room.below = high;
            room.half_above = std::max(room.half_above, widest / 2);
            break;
        case Blade::Words::right: room.right = std::max(room.right, widest + gap); break;
        default: room.left = std::max(room.left, widest + gap);
        }
    }
    room.left = std::max(room.left, room.half_above - base_of(face.type).width / 2);
    room.right = std::max(room.right, room.half_above - base_of(face.type).width / 2);
    // Beside the lower left corner as well, where there is a centre blade.
    for (const FacePlace& place : face.places)
        if (const Blade* const blade = blade_of(face.type, place.stamp);
            blade != nullptr && blade->words == Blade::Words::left_below)
            room.below = std::max(room.below, pitch * static_cast<double>(place.lines.size()) - 24);
    return room;
}

void paint_base(const Pen& pen, const Face& face) {
    const Around room = around(face);
    const Base& base = base_of(face.type);
    const double left = room.left, top = room.above, right = left + base.width, bottom = top + base.height;
    pen.box({left, top, right, bottom}, Look::frame, 10);
    for (const FacePlace& place : face.places) {
        const Blade* const blade = blade_of(face.type, place.stamp);
        if (blade == nullptr) continue;
        const double x = left + blade->x, y = top + blade->y;
        const double across = (blade->level ? blade_long : blade_thick) / 2,
                     down = (blade->level ? blade_thick : blade_long) / 2;
        pen.closed({{x - across, y - down}, {x + across, y - down}, {x + across, y + down}, {x - across, y + down}},
                   Look::solid);
        if (blade->level)
            pen.word({x, y + 14}, place.stamp, WordKind::stamp);
        else if (blade->words == Blade::Words::below)
            pen.word({x + 9, y}, place.stamp, WordKind::stamp, Anchor::start);
        else
            pen.word({x, y - 22}, place.stamp, WordKind::stamp); // above: the line to the centre blade passes below
        const double high = pitch * static_cast<double>(place.lines.size());
        double at_x = x, at_y = 0;
        Anchor anchor = Anchor::middle;
        switch (blade->words) {
        case Blade::Words::above: at_y = top - high - 4; break;
        case Blade::Words::below: at_y = bottom + 4; break;
        case Blade::Words::left:
            at_x = left - gap;
            at_y = y - high / 2;
            anchor = Anchor::end;
            break;
        case Blade::Words::right:
            at_x = right + gap;
            at_y = y - high / 2;
            anchor = Anchor::start;
            break;
        case Blade::Words::left_below:
            at_x = left - gap;
            at_y = bottom - 32;
            anchor = Anchor::end;
            pen.line({{x - across, y + 3}, {left, at_y + pitch / 2}}, Look::hair);
            break;
        }
        for (std::size_t i = 0; i < place.lines.size(); ++i)
            pen.word({at_x, at_y + pitch * (static_cast<double>(i) + 0.5)}, place.lines[i], WordKind::label, anchor);
    }
}

FaceSize size_of_base(const Face& face) {
    const Around room = around(face);
    return {room.left + base_of(face.type).width + room.right, room.above + base_of(face.type).height + room.below};
}

} // namespace

FaceSize size_of(const Face& face) {
    switch (face.type) {
    case Face::Type::plug: return size_of_plug(face);
    case Face::Type::mini_base:
    case Face::Type::micro_base: return size_of_base(face);
    case Face::Type::none: break;
    }
    return {};
}

bool has_place_on_base(Face::Type base, const std::string& stamp) { return blade_of(base, stamp) != nullptr; }

void paint_face(const Pen& pen, const Face& face) {
    if (face.type == Face::Type::plug) paint_plug(pen, face);
    if (face.type == Face::Type::mini_base || face.type == Face::Type::micro_base) paint_base(pen, face);
}

} // namespace loomproof::draw
