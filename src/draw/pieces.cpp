#include "draw/pieces.hpp"

#include <algorithm>
#include <map>
#include <vector>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// What parts the pieces of a wire, in words; empty where it is none of them.
std::string what_parts(const Sketch& sketch, int symbol, const std::vector<int>& pieces) {
    const Symbol& at = sketch.symbols[index(symbol)];
    if (at.kind == SymbolKind::cut || at.kind == SymbolKind::cap) return "the cut";
    const auto ends_here = std::count_if(pieces.begin(), pieces.end(), [&](int w) {
        const Wire& wire = sketch.wires[index(w)];
        return wire.a.symbol == symbol || wire.b.symbol == symbol;
    });
    if (ends_here < 2) return "";
    return at.name.empty() ? "the joint" : at.name;
}

std::string called(const Sketch& sketch, const End& end) {
    const Symbol& at = sketch.symbols[index(end.symbol)];
    const std::string& stamp = at.terminals[index(end.terminal)].stamp;
    return at.name.empty() ? "the joint" : stamp.empty() ? at.name : at.name + ":" + stamp;
}

// " from X1:1", " to SP10", ", X1:1 to X2:3"
std::string which(const Sketch& sketch, const Wire& wire, const std::vector<int>& pieces) {
    const std::string from = what_parts(sketch, wire.a.symbol, pieces);
    std::string to = what_parts(sketch, wire.b.symbol, pieces);
    // Where the pieces do not meet, by what it leads to.
    if (from.empty() && to.empty()) to = called(sketch, wire.b);
    if (!from.empty() && !to.empty()) return ", " + from + " to " + to;
    return from.empty() ? " to " + to : " from " + from;
}

} // namespace

void say_which_pieces(Sketch& sketch) {
    std::map<std::string, std::vector<int>> by_name;
    for (std::size_t w = 0; w < sketch.wires.size(); ++w)
        if (const Wire& wire = sketch.wires[w]; !wire.name.empty() && !wire.removed && !wire.mounting)
            by_name[wire.name].push_back(static_cast<int>(w));
    for (const auto& [name, pieces] : by_name) {
        if (pieces.size() < 2) continue;
        std::vector<std::string> said;
        for (const int w : pieces) said.push_back(which(sketch, sketch.wires[index(w)], pieces));
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            Wire& wire = sketch.wires[index(pieces[i])];
            if (wire.length.empty()) continue;
            // Two pieces that begin in one place are told apart by where each leads.
            const bool twice = std::count(said.begin(), said.end(), said[i]) > 1;
            wire.piece = twice ? ", " + called(sketch, wire.a) + " to " + called(sketch, wire.b) : said[i];
        }
    }
}

} // namespace loomproof::draw
