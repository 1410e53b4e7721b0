#pragma once
/// A circuit as its maker means it: what is typed, what it is electrically, and what is true of it.
///
/// A Plan is built by maker.hpp, made wrong by mistakes.hpp, and written out by text.hpp (circuit file), edges.hpp (flat list
/// for the python peers) and truth.hpp. It knows nothing of src/: it is the second opinion.

#include "support/scenario/trade.hpp"

#include <cstddef>
#include <limits>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::scenario {

inline constexpr double unlimited = std::numeric_limits<double>::infinity();

/// One statement of the circuit file, in pieces that noise may be put between.
struct Statement {
    int block = -1;                     ///< index into Plan::blocks; -1: outside any block
    std::string head{};                 ///< "wire W1 from battery:+ to F1"
    std::vector<std::string> clauses{}; ///< what stands between commas: "1 mm2 BU", "0.3 m"
    std::vector<std::string> rows{};    ///< lines of its own block
    bool gone = false;                  ///< not written
    int after = -1;                     ///< stands right behind that statement; -1: in its turn
    bool fixed = false;                 ///< must stay where it stands (head of the file, steps of a job)
};

/// `factory`, or a job.
struct Block {
    std::string head{};
};

/// Everything discrete: a switch section, a relay, an outside condition.
struct Control {
    std::string name{};                   ///< "S1", "S6.lights", "K1", "when ignition on"
    std::vector<std::string> positions{}; ///< the one at rest first
};

/// When something is live or on: any of several combinations, each a set of positions for some controls (index of the
/// control). No combination: never. One empty combination: always.
using Combination = std::map<int, std::set<std::string>>;
struct Condition {
    std::vector<Combination> any{{}};
    static Condition never() { return {{}}; }
};
Condition both(const Condition&, const Condition&);
Condition either(const Condition&, const Condition&);

enum class Element { wire, joint, contact, protector, diode, load, coil, source };
const char* word(Element);

/// A wire piece or something inside a part, between two terminals.
struct Edge {
    Element element{};
    int a = -1, b = -1;  ///< nodes; diodes conduct from a to b; sources: a = plus
    std::string name{};  ///< wires: their name; else the part's
    int piece = 0;       ///< wires that run over plugs: 1, 2, ...
    double length = 0;   ///< m
    double rating = 0;   ///< A: protectors, loads (what they draw)
    bool strong = false; ///< sources that can burn a wire
    int control = -1;    ///< contacts
    std::set<std::string> closed_in{};
    bool alive = true; ///< false: taken out by a job
    int wire = -1;     ///< index into Plan::wires
};

struct Part {
    std::string keyword{}; ///< "fuse"
    std::string name{};
    int statement = -1;
    std::map<std::string, int, std::less<>> nodes{}; ///< by stamp ("" for one-terminal parts); plug holes "1/0", "1/1"
    double rating = 0;                               ///< A: fuses, supplies, loads
    bool alive = true;
};

/// Where a wire ends. A part's terminal; or the loose end of a piece; or nothing.
struct End {
    int part = -1;
    std::string stamp{}; ///< "" for one-terminal parts; "1/0" for the first half of hole 1
    std::string text{};  ///< spells it otherwise: the piece's name, "nothing", "ground"
    int node = -1;       ///< filled in by Plan::end
};

/// What a wire is there for: which mistakes can be made on it.
enum class Purpose { lead, feed, trunk, trigger, back, strap, signal, screen };

struct Wire {
    std::string name{};
    bool named = true;
    int statement = -1;
    End a{}, b{};
    std::vector<End> through{}; ///< plug holes passed on the way, as half 0
    const Size* size = nullptr;
    std::vector<std::string> colours{}; ///< one, or one for each piece
    std::vector<double> lengths{};      ///< one for each piece
    std::vector<std::string> more{};    ///< "in engine-bay", "sleeved", "GXL"
    std::string how{};                  ///< before each length: "", "about ", "measured "
    std::string place{};
    Purpose purpose = Purpose::feed;
    double protection =
        0; ///< A: the smallest cut of protective ratings; unlimited where nothing protects; 0 where nothing feeds it
    bool behind_link = false; ///< a link alone protects it: chosen by its copper, not by a rating
    double carries = 0;       ///< A, with its place taken into account
    /// Unprotected way to its far end, by the node of the source; none where every way is protected.
    std::map<int, double> unprotected{};
    Condition live{};         ///< leads and feeds: when its near end is live
    std::vector<int> edges{}; ///< one for each piece
    bool alive = true;
};

struct Node {
    std::string name{}; ///< "K1:30"
    int part = -1;
};

/// A load, and when it is on.
struct Load {
    int part = -1;
    std::string filament{}; ///< of several
    double amps = 0;
    Condition on{};
};

/// A relay circuit, kept for mistakes: the wires at its four main terminals. A coil wire is -1 where a diode shares the terminal.
struct RelayPlan {
    int part = -1;
    int wire_30 = -1, wire_87 = -1, wire_86 = -1, wire_85 = -1;
};

struct Plan {
    std::vector<Statement> statements{};
    std::vector<Block> blocks{};
    std::vector<Part> parts{};
    std::vector<Wire> wires{};
    std::vector<Node> nodes{};
    std::vector<Edge> edges{};
    std::vector<Control> controls{};
    std::vector<Load> loads{};
    std::vector<RelayPlan> relays{};
    std::vector<int> sources{};                   ///< nodes: live terminals of strong sources
    std::vector<int> clamps{};                    ///< statements of diodes across a coil
    std::map<int, std::vector<int>> plug_wires{}; ///< by connector part: wires that pass it, in order of holes
    std::set<int> joins;                          ///< fuses at the two ends of a cable between batteries
    std::set<int> renewed;                        ///< fuses that a job states again
    std::set<int> touched_plugs{};                ///< connectors with a wire that a job cuts or moves
    std::vector<int> caps{}; ///< statements `cap ...` of pieces that are live with everything at rest
    std::set<std::string, std::less<>>
        features{};           ///< what of the language and of the trade occurs, for the coverage test
    Rule rule = Rule::metres; ///< in what lengths are typed
    bool positive_ground = false;
    bool partly = true;    ///< partly described: straps are assumed
    bool complete = false; ///< every open terminal is a fault
    bool finished = true;  ///< nothing is unknown or still to wire: claims of silence hold
    bool history = false;
    bool clean = true; ///< built to be silent; false for shapes that are wrong on purpose
    double volts = 12;
    int body = -1;                                           ///< node of the body metal
    std::map<std::string, int, std::less<>> control_index{}; ///< by name

    int statement(Statement s);
    int node(std::string name, int part);
    int control(std::string name, std::vector<std::string> positions);
    /// Adds a terminal of a part and its node.
    int terminal(int part, const std::string& stamp);
    /// The end with its node filled in. Precondition: the terminal exists.
    End end(int part, std::string stamp = {}) const;
    int edge(Edge e);
    Condition opposite(const Condition&) const;
    /// Takes the wire in: its statement, its pieces as edges. Returns its index.
    int add_wire(Wire w, int block);

    /// Writes the wire's statement anew from its fields.
    Statement written(const Wire&) const;
    std::string spelled(const End&, bool from) const;

    bool seen(std::string_view feature) const { return features.find(feature) != features.end(); }
};

} // namespace loomproof::scenario
