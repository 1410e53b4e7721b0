#pragma once
/// What is drawn, free of the circuit: symbols with terminals, wires between terminals, headings. Nothing here says where
/// anything stands: that is found by the layout. A sketch is plain data and is complete in itself.

#include <cstdint>
#include <string>
#include <vector>

namespace loomproof::draw {

/// One row each in the table of symbols (symbols.hpp). Behind each: the terminals it takes, in order. A terminal in brackets
/// may be left out. Where "any" stands, there are as many terminals as the part has.
enum class SymbolKind : std::uint8_t {
    battery,      ///< +, -
    alternator,   ///< B+, B-, [L, S, W ...]
    starter,      ///< 30, 50, [31]
    fuse,         ///< two ends
    breaker,      ///< two ends
    fusible_link, ///< two ends
    lever_switch, ///< common, first throw, [second throw]; at rest the lever lies on the last throw where there are two
    table_switch, ///< any; `positions` say which are joined
    relay,        ///< coil, coil, then contacts as `contacts` say
    coil,         ///< coil, coil: of a relay whose contacts stand elsewhere
    contact,      ///< as `contacts` say: of a relay whose coil stands elsewhere
    lamp,         ///< filament ends ..., common: two terminals, or one more than it has filaments
    led,          ///< +, -
    motor,        ///< the ends of its windings ..., [`contacts`], their common end
    horn,         ///< two ends
    load,         ///< two ends
    resistor,     ///< two ends
    diode,        ///< plain end, banded end
    capacitor,    ///< two ends
    unit,         ///< any: electronics, flashers and all that is a box with stamps
    hole,         ///< two sides of one hole of a plug
    joint,        ///< two ends: a crimp, soldered, tapped or twisted joint in a run
    splice,       ///< one terminal, any number of wires
    bus,          ///< one terminal, any number of wires
    metal,        ///< one terminal, any number of wires: body, engine, trailer
    foot,         ///< one: one wire's end at a ground stud
    beyond,       ///< one: what lies behind is not drawn here
    supply,       ///< one: a feed that comes from something not drawn
    existing,     ///< one: a wire that was there, known by its place and colour
    cap,          ///< one: a wire end capped off
    cut,          ///< one: a wire end where the wire was cut
    open_end,     ///< one: still to wire, or not traced
    gone,         ///< one: where the end of a wire was that a job took off
    off_sheet,    ///< one: goes on on another sheet
};
inline constexpr int symbol_kinds = static_cast<int>(SymbolKind::off_sheet) + 1;

struct Terminal {
    std::string stamp{};          ///< as moulded on the part, printed bold beside the terminal; may be empty
    std::string unwired = "free"; ///< the word at a terminal that no wire meets
    bool goes_on = false;         ///< such a terminal has wires all the same, which are not drawn: three dots
};

/// One moving contact of a relay: indexes into Symbol::terminals, -1 where there is none. Several contacts may share a common.
struct Contact {
    int common = -1, make = -1, rest = -1;
};

/// One row of a switch's table: the groups of terminals (indexes) that are joined in it.
struct Position {
    std::string name;
    bool at_rest = false;
    bool springs_back = false;
    std::vector<std::vector<int>> joined;
};

/// The other half of a part that is drawn in two: "contact: path 8".
struct OtherHalf {
    std::string what;    ///< what stands there: "contact"
    std::string key;     ///< of its symbol
    std::string sheet{}; ///< "sheet 3" where it is not on this one
};

enum class FuseStyle : std::uint8_t { blade, bolted };
enum class Operated : std::uint8_t { by_hand, by_push, by_temperature, by_pressure, by_level, by_itself };
enum class Suppression : std::uint8_t { none, resistor, diode };
/// The last two are a wire end at a part that a job took off: the wire on the first terminal, the part's ghost on the second.
enum class JointStyle : std::uint8_t { crimp, solder, tap, twisted, block, cut, capped, left_open };

/// What is printed of a thing and is no plain fact; the key of the sheet explains the marks that occur.
struct Doubts {
    bool about = false;     ///< "~2 m": about, or a default of the trade
    bool guessed = false;   ///< "15 A?"
    bool not_known = false; ///< "? A": somebody said that nobody knows it
};

struct Symbol {
    SymbolKind kind{};
    /// Unique in the sketch and the same from one drawing to the next, because it comes from the part's name and not from its
    /// number in a list: becomes the id in the drawing, by which findings, overlay and the next layout know the symbol.
    std::string key;
    std::string name; ///< as spelled in the file
    std::string
        title{}; ///< what such a part is called, for people ("fusible link"), for those that the file gives no words
    std::string rating;             ///< printed bold: "40 A orange"
    std::vector<std::string> lines; ///< what it is, each on a line of its own or broken to several
    std::string place;              ///< where it is
    std::vector<Terminal> terminals;
    /// Symbols with the same non-empty group are one thing drawn several times or one plug: feet of one stud refer to each other
    /// ("also paths 3, 5"), holes of one plug that stand in one row are linked by a dashed line.
    std::string group;
    std::string metal{};  ///< foot: what its stud is bolted to ("body"); empty = not known
    char job = 0;         ///< letter of the job that added it; 0 = was there
    bool planned = false; ///< that job is not carried out yet: its flag is dashed
    Doubts doubts{};      ///< of its rating and lines
    bool removed = false; ///< drawn as a ghost
    bool is_load = false; ///< what the path of a fuse is for: headings name it
    std::vector<OtherHalf> other_halves{};
    std::vector<std::string> remarks{}; ///< marks of what check found here: "D1"
    double stood_at =
        -1; ///< where its middle stood in an earlier drawing, sideways, in any unit; -1 = not known. What is known is kept to.
    bool left_side_wanted = false; ///< keeps to the left of the sheet where that costs nothing: battery and supply

    // What only some kinds use.
    FuseStyle fuse = FuseStyle::blade;
    Operated operated = Operated::by_hand;
    Suppression suppression = Suppression::none;
    int band = -1; ///< relay with a diode: index of the coil terminal at its band
    JointStyle joint = JointStyle::crimp;
    int pin_side =
        -1; ///< hole: index of the terminal on the pin's side; -1 = not said: the socket on the fed side then, as is common practice
    std::vector<Contact> contacts;
    std::vector<Position> positions;
    bool two_windings = false; ///< starter: pull-in and hold-in are drawn apart
    std::string letter;        ///< motor, unit: the letters inside ("M", "M~"); empty = the kind's own
};

/// Where a wire ends: a terminal of a symbol, by their indexes.
struct End {
    int symbol = 0;
    int terminal = 0;
};

/// IEC 60757 colour letters: "RD", "GN"; "GNYE" is green-yellow. Empty = not said, drawn as an outline.
struct Colour {
    std::string main, stripe;
};

struct Wire {
    std::string key; ///< unique in the sketch, stable; becomes the id
    /// Current flows from `a` to `b` when everything is on: the wire is drawn downwards in that direction. Where the directions
    /// run in a circle, some wires are led around in a bend.
    End a, b;
    std::string name{}; ///< "W31"; empty where the file gives none
    std::string label;  ///< "W31 4 RD/GN"
    std::string length; ///< "1.2 m"; empty = not known
    std::string piece;  ///< of a wire in several pieces, behind its length: which one it is, " to SP10"
    std::string hint;   ///< a sentence for the tooltip; may be empty
    double mm2 = 0;     ///< 0 = unknown
    Colour colour;
    char job = 0; ///< letter of the job that added it: a flag with it stands at both ends, of a very short run one
    bool planned = false;          ///< that job is not carried out yet: the flags are dashed
    Doubts doubts{};               ///< of its label and length
    bool added = false;            ///< drawn with a doubled edge, where a sheet shows what the jobs changed
    bool removed = false;          ///< no longer there: drawn as a dashed ghost
    bool mm2_without_unit = false; ///< its label says "2.5" and means mm2
    bool either_way =
        false;             ///< current has no one direction in it, or none is known: at a break both sides say "joins"
    bool mounting = false; ///< no wire but metal to metal: a part grounded by its mounting
    bool assumed = false;  ///< a strap that no line of the file names
    std::vector<std::string> remarks{}; ///< marks of what check found here: "D1"
};

/// "Fans": printed over the columns in which the symbols stand.
struct Heading {
    std::string text;
    std::vector<int> symbols; ///< indexes
    std::vector<int> fuses{}; ///< that feed them, indexes
};

/// A plug or a relay's base as one sees it, hole by hole.
struct FacePlace {
    std::string stamp;              ///< "3"; on a base the moulded number
    std::vector<std::string> lines; ///< "RD/GN", "W31"; on a base "W8 4 BK", "to M1:+"
    std::string twin;               ///< "a" where another hole has a wire of the same colour, called "a" too
};
struct Face {
    enum class Type : std::uint8_t { none, plug, mini_base, micro_base } type{};
    std::vector<FacePlace> places{};
    std::vector<std::vector<int>> rows{}; ///< plug: places as they are seen, top row first; -1 = nothing is there
    std::string latch{};                  ///< plug: "up", "down", "left", "right"; else nothing is drawn
};

/// What is easier to read as a table: what is in each hole of a plug, what goes to each blade of a relay's base. Stands below the circuit.
struct SideTable {
    std::string title;                ///< "X7 fan plug"
    std::vector<std::string> notes{}; ///< a line each: how it is seen, what nobody said
    Face face{};                      ///< drawn above the rows
    std::vector<std::string> head{};  ///< of the columns
    std::vector<std::vector<std::string>>
        rows{}; ///< as many cells each as `head`; the first is printed bold; none = no table, only the face
    std::vector<std::string> about{}; ///< keys of the symbols it speaks of: it stands on the sheet with most of them
};

/// A job whose letter stands on the sheet.
struct Job {
    char letter = 0;
    std::string title;  ///< "Driving lights"
    std::string status; ///< "planned, not fitted", "fitted 2026-05-02"
    bool planned = false;
};

/// What check found: its mark stands at what it is about, and each sheet with the mark says the words.
struct Remark {
    std::string mark;   ///< "D1": a letter for how bad it is (D danger, F fault, A advice), a number from 1
    std::string text;   ///< "Danger: nothing protects W80 ..."
    bool shown = false; ///< what it is about is drawn, and marked
};

struct Sketch {
    std::string title;       ///< what the sheet does
    std::string description; ///< a sentence for people who cannot see it
    std::vector<Symbol> symbols;
    std::vector<Wire> wires;
    std::vector<Heading> headings;
    std::vector<SideTable> tables{};
    bool shows_changes = false;       ///< the marks of change are drawn
    std::vector<std::string> removed; ///< a line each: what is there no longer
    std::string vehicle{};            ///< whose it is: on each sheet of several, since one may lie alone
    std::string as_of{};   ///< date of the last job that was fitted, as typed; empty = none was, or it has no date
    std::vector<Job> jobs; ///< in their order; each sheet explains the letters that stand on it
    std::string verdict{}; ///< what check says of all that is drawn, on every sheet; empty = it was not asked
    std::vector<Remark> remarks{};
    std::string caution{};                ///< printed bold below all else
    std::vector<std::string> footnotes{}; ///< a line each or more, below that: what dotted lines mean, what was assumed
    /// What the footnotes are where the same sheet is printed the other way, with or without colour: room is kept for either, so that both look
    /// alike, sheet by sheet.
    std::vector<std::string> footnotes_otherwise{};
};

} // namespace loomproof::draw
