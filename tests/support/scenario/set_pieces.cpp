#include "support/scenario/set_pieces.hpp"

#include <algorithm>
#include <utility>

namespace loomproof::scenario {

namespace {

using Words = std::vector<std::string>;

struct Line {
    std::string head{};
    Words clauses{};
    Words rows{};
};

struct Piece {
    MistakeKind kind{};
    const char* rule = "";
    Words follows{};
    std::vector<Line> lines{};
};

Line wire(const std::string& ends, const char* size, const char* length) {
    return {"wire from " + ends, {size, length}};
}

/// Left and right have a switch in common, and a fuse.
Piece both_beams(const std::string& plus) {
    return {MistakeKind::all_on_one_fuse,
            "one-fault-all-dark",
            {"source-overloaded", "fuse-near-limit"},
            {{"fuse F900", {"20 A"}},
             {"switch S900 \"dip\"", {"20 A"}},
             {"splice SP900", {"crimp"}},
             {"lamp E900 \"left dipped beam\"", {"55 W"}},
             {"lamp E901 \"right dipped beam\"", {"55 W"}},
             wire(plus + " to F900", "2.5 mm2 white", "0.1 m"),
             wire("F900 to S900", "2.5 mm2 white", "1 m"),
             wire("S900 to SP900", "2.5 mm2 white", "1 m"),
             wire("SP900 to E900", "2.5 mm2 white", "0.5 m"),
             wire("SP900 to E901", "2.5 mm2 white", "0.5 m"),
             wire("E900 to ground", "2.5 mm2 white", "0.3 m"),
             wire("E901 to ground", "2.5 mm2 white", "0.3 m")}};
}

/// Each carries its half; one alone does not carry it all.
Piece two_wires(const std::string& plus) {
    return {MistakeKind::two_thin_wires,
            "shared-protection",
            {"source-overloaded", "fuse-above-wire", "voltage-drop"},
            {{"fuse F900", {"50 A", "maxi"}},
             {"switch S900", {"60 A"}},
             {"heater E900 \"screen\"", {"38 A"}},
             wire(plus + " to F900", "10 mm2 red", "0.1 m"),
             wire("F900 to S900", "10 mm2 red", "1 m"),
             wire("S900:2 to E900:1", "2.5 mm2 red", "1 m"),
             wire("S900:2 to E900:1", "2.5 mm2 red", "1 m"),
             wire("E900 to ground", "10 mm2 black", "0.3 m")}};
}

/// What a blower loses in the last piece of wire stands between a sensor and the unit that reads it.
Piece one_ground(const std::string& plus) {
    return {MistakeKind::ground_shared,
            "shared-ground-offset",
            {"source-overloaded", "voltage-drop"},
            {{"fuse F900", {"5 A"}},
             {"fuse F901", {"25 A"}},
             {"switch S900 \"blower\"", {"30 A"}},
             {"electronics A900 \"engine computer\"", {}, {"supply 1, 0.5 A", "ground 2", "input 49"}},
             {"sensor B900 \"coolant\"", {"20 mA"}},
             {"motor M900 \"blower\"", {"15 A"}},
             {"splice SP900", {"crimp"}},
             wire(plus + " to F900", "1 mm2 red", "0.1 m"),
             wire("F900 to A900:1", "1 mm2 red", "1 m"),
             wire("A900:2 to ground", "1 mm2 brown", "0.3 m"),
             wire("B900:1 to A900:49", "0.75 mm2 green", "1 m"),
             wire("B900:2 to SP900", "0.75 mm2 brown", "0.5 m"),
             wire(plus + " to F901", "4 mm2 red", "0.1 m"),
             wire("F901 to S900", "4 mm2 red", "1 m"),
             wire("S900 to M900:+", "4 mm2 red", "1 m"),
             wire("M900:- to SP900", "2.5 mm2 black", "0.5 m"),
             wire("SP900 to ground", "2.5 mm2 black", "1.5 m")}};
}

/// Switched off, the fan turns on and holds the relay.
Piece fan_holds(const std::string& plus) {
    return {MistakeKind::fan_on_the_coil,
            "motor-generates",
            {"source-overloaded"},
            {{"fuse F900", {"20 A"}},
             {"fuse F901", {"10 A"}},
             {"switch S900", {"30 A"}},
             {"relay K900", {"4-pin", "30 A", "resistor 680 ohm"}},
             {"motor M900 \"cooling fan\"", {"9 A", "starts at 27 A", "generates when driven"}},
             {"load E900", {"5 A"}},
             {"splice SP900", {"crimp"}},
             wire(plus + " to F900", "4 mm2 red", "0.1 m"),
             wire("F900 to S900", "4 mm2 red", "1 m"),
             wire("S900 to SP900", "2.5 mm2 green", "1 m"),
             wire("SP900 to M900:+", "2.5 mm2 green", "1 m"),
             wire("SP900 to K900:86", "1 mm2 green", "0.5 m"),
             wire("K900:85 to ground", "1 mm2 black", "0.3 m"),
             wire("M900:- to ground", "2.5 mm2 black", "0.3 m"),
             wire(plus + " to F901", "1.5 mm2 red", "0.1 m"),
             wire("F901 to K900:30", "1.5 mm2 red", "0.5 m"),
             wire("K900:87 to E900", "1.5 mm2 red", "2 m"),
             wire("E900 to ground", "1.5 mm2 black", "0.3 m")}};
}

/// A unit that waits for a bulb gets next to nothing.
Piece watched(const std::string& plus) {
    return {MistakeKind::led_on_a_watched_output,
            "monitored-output",
            {"source-overloaded"},
            {{"fuse F900", {"20 A"}},
             {"electronics A900 \"body computer\"",
              {},
              {"supply 1, 0.5 A", "ground 2", "output 7 plus side, 5 A, watches the lamp 15 W to 30 W"}},
             {"led E900 \"tail lamp\"", {"2 W"}},
             wire(plus + " to F900", "2.5 mm2 red", "0.1 m"),
             wire("F900 to A900:1", "2.5 mm2 red", "1 m"),
             wire("A900:2 to ground", "2.5 mm2 black", "0.5 m"),
             wire("A900:7 to E900:+", "1 mm2 yellow", "2 m"),
             wire("E900:- to ground", "1 mm2 black", "0.3 m")}};
}

/// Main beam that still goes counts as light.
bool has_main_beam(const Plan& plan) {
    return std::any_of(plan.statements.begin(), plan.statements.end(), [](const Statement& s) {
        return std::find(s.clauses.begin(), s.clauses.end(), "filaments main and dip") != s.clauses.end();
    });
}

/// The last statement of the last job, else the battery's: what the maker built is left alone by some rules.
int where_to_add(const Plan& plan, int battery) {
    int at = battery, last = -1;
    for (std::size_t i = 0; i < plan.statements.size(); ++i) {
        const Statement& s = plan.statements[i];
        if (s.gone || s.after >= 0 || s.block < last || s.block < 0) { continue; }
        if (!plan.blocks[static_cast<std::size_t>(s.block)].head.starts_with("job")) { continue; }
        last = s.block;
        at = static_cast<int>(i);
    }
    return at;
}

} // namespace

std::vector<Mistake> set_pieces(const Plan& plan) {
    const auto battery = std::find_if(plan.parts.begin(), plan.parts.end(),
                                      [](const Part& p) { return p.keyword == "battery" && p.alive; });
    if (plan.positive_ground || plan.volts < 12 || plan.seen("series batteries") || battery == plan.parts.end()) {
        return {};
    }
    const int at = where_to_add(plan, battery->statement);
    std::vector<Mistake> all;
    for (const auto& make : {both_beams, two_wires, one_ground, fan_holds, watched}) {
        Piece piece = make(battery->name + ":+");
        if (piece.kind == MistakeKind::all_on_one_fuse && has_main_beam(plan)) { continue; }
        Mistake m;
        m.kind = piece.kind;
        m.rule = piece.rule;
        m.follows = std::move(piece.follows);
        for (Line& line : piece.lines) {
            Statement s;
            s.block = plan.statements[static_cast<std::size_t>(at)].block;
            s.head = std::move(line.head);
            s.clauses = std::move(line.clauses);
            s.rows = std::move(line.rows);
            s.after = at;
            m.edits.push_back({Edit::What::insert, at, std::move(s)});
        }
        all.push_back(std::move(m));
    }
    return all;
}

} // namespace loomproof::scenario
