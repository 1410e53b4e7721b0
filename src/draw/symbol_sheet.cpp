#include "draw/symbol_sheet.hpp"

#include "draw/body.hpp"
#include "draw/sheet.hpp"
#include "draw/svg.hpp"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <utility>

namespace loomproof::draw {
namespace {

class Samples {
  public:
    std::vector<Symbol> run() {
        sources();
        guards();
        switches();
        relays();
        loads();
        joints();
        ends();
        return std::move(all_);
    }

  private:
    Symbol& add(SymbolKind kind, std::string name, std::string what, std::initializer_list<const char*> stamps) {
        Symbol symbol;
        symbol.kind = kind;
        symbol.key = "sample-" + std::to_string(all_.size() + 1);
        symbol.name = std::move(name);
        if (!what.empty()) symbol.lines.push_back(std::move(what));
        for (const char* stamp : stamps) symbol.terminals.push_back({stamp});
        all_.push_back(std::move(symbol));
        return all_.back();
    }
    Symbol& pair(SymbolKind kind, std::string name, std::string what = {}) {
        return add(kind, std::move(name), std::move(what), {"", ""});
    }
    Symbol& point(SymbolKind kind, std::string name, std::string what) {
        return add(kind, std::move(name), std::move(what), {""});
    }

    void sources() {
        add(SymbolKind::battery, "battery", "", {"+", "-"});
        add(SymbolKind::alternator, "alternator", "", {"B+", "B-", "L", "S"});
        add(SymbolKind::starter, "starter", "solenoid and motor", {"30", "50", "31"});
        add(SymbolKind::starter, "starter", "both windings told apart", {"30", "50", "31"}).two_windings = true;
        point(SymbolKind::supply, "supply", "a feed from what is not drawn");
        point(SymbolKind::existing, "existing wire", "known by place and colour");
    }

    void guards() {
        pair(SymbolKind::fuse, "fuse", "blade").rating = "15 A blue";
        Symbol& bolted = pair(SymbolKind::fuse, "fuse", "bolted");
        bolted.rating = "150 A";
        bolted.fuse = FuseStyle::bolted;
        pair(SymbolKind::breaker, "breaker");
        pair(SymbolKind::fusible_link, "fusible link", "a piece of thinner wire");
    }

    void switches() {
        for (const auto& [by, what] : {std::pair{Operated::by_hand, "stays as set"},
                                       {Operated::by_push, "springs back"},
                                       {Operated::by_temperature, "by temperature"},
                                       {Operated::by_pressure, "by pressure"},
                                       {Operated::by_level, "by level"},
                                       {Operated::by_itself, "by itself"}})
            pair(SymbolKind::lever_switch, "switch", what).operated = by;
        add(SymbolKind::lever_switch, "switch", "change-over", {"56", "56a", "56b"});
        Symbol& table = add(SymbolKind::table_switch, "switch",
                            "each row a position: its bar joins terminals; bold: at rest; arrow: springs back",
                            {"30", "15R", "15", "50"});
        table.positions = {{"off", true, false, {}},
                           {"acc", false, false, {{0, 1}}},
                           {"run", false, false, {{0, 1, 2}}},
                           {"start", false, true, {{0, 2, 3}}}};
    }

    void relays() {
        add(SymbolKind::relay, "relay", "", {"86", "85", "30", "87"}).contacts = {{2, 3, -1}};
        Symbol& change_over =
            add(SymbolKind::relay, "relay", "change-over, resistor inside", {"86", "85", "30", "87", "87a"});
        change_over.contacts = {{2, 3, 4}};
        change_over.suppression = Suppression::resistor;
        for (const int band : {0, 1}) {
            Symbol& diode =
                add(SymbolKind::relay, "relay", std::string("diode inside, band at ") + (band == 0 ? "86" : "85"),
                    {"86", "85", "30", "87"});
            diode.contacts = {{2, 3, -1}};
            diode.suppression = Suppression::diode;
            diode.band = band;
        }
        add(SymbolKind::relay, "relay", "two makes", {"86", "85", "30", "87", "87b"}).contacts = {{2, 3, -1},
                                                                                                  {2, 4, -1}};
        add(SymbolKind::relay, "relay", "opens", {"86", "85", "30", "87a"}).contacts = {{2, -1, 3}};
        add(SymbolKind::coil, "coil", "of a relay: its contact stands elsewhere", {"86", "85"});
        add(SymbolKind::contact, "contact", "of a relay: its coil stands elsewhere", {"30", "87", "87a"}).contacts = {
            {0, 1, 2}};
    }

    void loads() {
        pair(SymbolKind::lamp, "lamp");
        add(SymbolKind::lamp, "lamp", "two filaments", {"dip", "main", "common"});
        add(SymbolKind::led, "LED", "", {"+", "-"});
        add(SymbolKind::motor, "motor", "", {"+", "-"});
        add(SymbolKind::motor, "motor", "two speeds", {"53", "53b", "31"});
        add(SymbolKind::motor, "motor", "three speeds", {"53", "53m", "53b", "31"});
        add(SymbolKind::motor, "motor", "its contact carries it on to where it rests", {"53", "53a", "31b", "31"})
            .contacts = {{2, 1, 3}};
        add(SymbolKind::motor, "motor", "two speeds, and rests by itself", {"53", "53b", "53a", "31b", "31"})
            .contacts = {{3, 2, 4}};
        pair(SymbolKind::horn, "horn");
        pair(SymbolKind::load, "other load");
        pair(SymbolKind::resistor, "resistor");
        add(SymbolKind::diode, "diode", "the bar is the band", {"", "band"});
        pair(SymbolKind::capacitor, "capacitor");
        add(SymbolKind::unit, "unit", "electronics, by its stamps", {"15", "31", "L"}).letter = "A";
    }

    void joints() {
        pair(SymbolKind::hole, "X1:1", "one hole of a plug: pin in socket");
        for (const auto& [style, what] : {std::pair{JointStyle::crimp, "crimped"},
                                          {JointStyle::solder, "soldered"},
                                          {JointStyle::tap, "tapped"},
                                          {JointStyle::twisted, "twisted"},
                                          {JointStyle::block, "screwed"},
                                          {JointStyle::cut, "cut, joined again"},
                                          {JointStyle::capped, "capped, where a part was"},
                                          {JointStyle::left_open, "left open, where a part was"}})
            pair(SymbolKind::joint, "joint", what).joint = style;
        point(SymbolKind::splice, "splice", "several wires joined");
        point(SymbolKind::bus, "bus bar", "in a fuse box");
        point(SymbolKind::metal, "metal", "engine, frame");
        point(SymbolKind::foot, "ground", "stud, place, metal");
    }

    void ends() {
        point(SymbolKind::beyond, "beyond", "goes on, not drawn here");
        point(SymbolKind::off_sheet, "sheet 2, path 4", "goes on there");
        point(SymbolKind::open_end, "open end", "not traced, or still to wire");
        point(SymbolKind::cut, "cut", "a wire was cut here");
        point(SymbolKind::gone, "taken off", "a job took away what was here");
        point(SymbolKind::cap, "cap", "a wire end capped off");
    }

    std::vector<Symbol> all_;
};

// How a terminal is drawn where no current says: fed at the top.
Edge usual_edge(const Symbol& symbol, std::size_t terminal) {
    switch (symbol.kind) {
    case SymbolKind::supply:
    case SymbolKind::existing: return Edge::bottom;
    case SymbolKind::relay: return terminal == 0 || terminal == 2 ? Edge::top : Edge::bottom;
    case SymbolKind::motor:
        if (!symbol.contacts.empty() && static_cast<int>(terminal) == symbol.contacts.front().common)
            return Edge::bottom;
        [[fallthrough]];
    case SymbolKind::lamp: return terminal + 1 < symbol.terminals.size() ? Edge::top : Edge::bottom;
    case SymbolKind::starter: return terminal < 2 ? Edge::top : Edge::bottom;
    default: return terminal == 0 ? Edge::top : Edge::bottom;
    }
}

// A bar with wires at both of its sides.
std::vector<Use> uses_of(const Symbol& symbol) {
    std::vector<Use> uses;
    for (std::size_t t = 0; t < symbol.terminals.size(); ++t) {
        const Edge edge = usual_edge(symbol, t);
        uses.push_back({static_cast<int>(t), edge == Edge::bottom, static_cast<int>(t), edge});
    }
    return uses;
}

constexpr double edge = 40, top_of_samples = 110, gap = 14;

class Layout {
  public:
    explicit Layout(std::vector<Symbol> samples) { sketch_.symbols = std::move(samples); }

    Drawing run(bool black_and_white) {
        sketch_.title = "The symbols of the drawings";
        sketch_.description = "Every symbol that a drawing may hold, with what it stands for.";
        place_all();
        const Pen pen(sheet_.notes, {0, 0}, 0, false);
        pen.word({edge, edge + 10}, sketch_.title, WordKind::title, Anchor::start);
        pen.word({edge, edge + 38},
                 "Current flows downwards. Shapes follow IEC 60617 where it has one, drawn from common knowledge of "
                 "it; what it has not has a shape of ours.",
                 WordKind::line, Anchor::start);
        const double u = paper::units_per_mm;
        sheet_.width = width_ + 2 * edge;
        sheet_.height = y_ + edge;
        Drawing drawing;
        drawing.svg = to_svg(sketch_, sheet_, {.black_and_white = black_and_white});
        drawing.width_mm = sheet_.width / u;
        drawing.height_mm = sheet_.height / u;
        return drawing;
    }

  private:
    struct Cell {
        int symbol;
        Body body;
        double x;
    };

    // Rows of four; what is wide takes two places.
    void place_all() {
        const double place = width_ / 4;
        double x = 0;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            Body body = make_body(sketch_.symbols[s], uses_of(sketch_.symbols[s]));
            const double wide = (body.left_reach + body.cells + body.right_reach) * column + gap +
                                (is_bar(sketch_.symbols[s]) ? bar_length : 0);
            const double takes = place * std::ceil(wide / place);
            if (x + takes > width_ + 1) {
                finish_row();
                x = 0;
            }
            row_.push_back({static_cast<int>(s), std::move(body), x + edge});
            x += takes;
        }
        finish_row();
    }

    static bool is_bar(const Symbol& symbol) { return row_of(symbol.kind).nature == SymbolRow::Nature::bar; }

    // Everything stands on the row's middle line.
    void finish_row() {
        double tallest = 0;
        for (const Cell& cell : row_) tallest = std::max(tallest, cell.body.height());
        for (const Cell& cell : row_) {
            const Symbol& symbol = sketch_.symbols[static_cast<std::size_t>(cell.symbol)];
            PaintedSymbol painted;
            painted.symbol = cell.symbol;
            const double top = std::round(y_ + (tallest - cell.body.height()) / 2);
            if (is_bar(symbol)) {
                const double y = std::round(y_ + tallest / 2);
                paint_bar(painted.picture, symbol, cell.body, {cell.x + column, y}, cell.x + bar_length,
                          {cell.x + column, cell.x + bar_length}, {cell.x + 2 * column});
            } else {
                paint_body(painted.picture, symbol, cell.body, {cell.x + cell.body.left_reach * column, top}, false);
            }
            sheet_.symbols.push_back(std::move(painted));
        }
        y_ += tallest + 2 * gap;
        row_.clear();
    }

    static constexpr double bar_length = 3 * column;
    Sketch sketch_;
    Sheet sheet_;
    std::vector<Cell> row_;
    double width_ = 1104, y_ = top_of_samples;
};

} // namespace

std::vector<Symbol> symbol_samples() { return Samples().run(); }

Drawing draw_symbols(bool black_and_white) { return Layout(symbol_samples()).run(black_and_white); }

} // namespace loomproof::draw
