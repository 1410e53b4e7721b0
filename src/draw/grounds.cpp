#include "draw/grounds.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// Feet on metal that is everywhere: no stud that can be pointed at.
bool is_on_metal(const Symbol& symbol) { return symbol.kind == SymbolKind::foot && symbol.group.empty(); }

// "battery:- is on it", "B1:- and B2:- are on it".
std::string minuses_on(const Sketch& whole, const std::string& metal) {
    std::vector<std::string> all;
    for (std::size_t s = 0; s < whole.symbols.size(); ++s) {
        if (whole.symbols[s].kind != SymbolKind::battery) continue;
        const int foot = minus_foot(whole, static_cast<int>(s));
        if (foot >= 0 && metal_of(whole.symbols[index(foot)]) == metal) all.push_back(whole.symbols[s].name + ":-");
    }
    return list_of(all) + (all.size() == 1 ? " is on it" : " are on it");
}

} // namespace

int minus_foot(const Sketch& whole, int battery) {
    // Over a minus bar, an isolating switch, a shunt too, but through nothing that uses current.
    const auto passed = [](SymbolKind k) {
        return k == SymbolKind::bus || k == SymbolKind::splice || k == SymbolKind::joint || k == SymbolKind::hole ||
               k == SymbolKind::metal || k == SymbolKind::lever_switch || k == SymbolKind::resistor;
    };
    std::vector<End> open;
    for (std::size_t s = 0; s < whole.symbols.size(); ++s)
        for (std::size_t t = 0; t < whole.symbols[s].terminals.size(); ++t)
            if (whole.symbols[s].kind == SymbolKind::battery && whole.symbols[s].terminals[t].stamp == "-" &&
                (battery < 0 || battery == static_cast<int>(s)))
                open.push_back({static_cast<int>(s), static_cast<int>(t)});
    std::set<int> met;
    for (std::size_t i = 0; i < open.size(); ++i) {
        const End from = open[i];
        const bool any_terminal = passed(whole.symbols[index(from.symbol)].kind);
        for (const Wire& w : whole.wires) {
            if (w.removed) continue;
            for (const auto& [here, there] : {std::pair{w.a, w.b}, {w.b, w.a}}) {
                if (here.symbol != from.symbol || (!any_terminal && here.terminal != from.terminal)) continue;
                const SymbolKind kind = whole.symbols[index(there.symbol)].kind;
                if (kind == SymbolKind::foot) return there.symbol;
                if (passed(kind) && met.insert(there.symbol).second) open.push_back(there);
            }
        }
    }
    return -1;
}

std::string metal_of(const Symbol& symbol) {
    if (symbol.kind != SymbolKind::foot) return "";
    return symbol.metal.empty() && is_on_metal(symbol) ? symbol.name : symbol.metal;
}

Grounds::Grounds(const Sketch& whole) : minus(minus_foot(whole)) {
    for (const Symbol& s : whole.symbols) {
        const std::string name = metal_of(s);
        if (name.empty() || s.name.empty()) continue;
        Metal& metal = metals[name];
        ++metal.feet;
        if (!is_on_metal(s) && std::find(metal.studs.begin(), metal.studs.end(), s.name) == metal.studs.end())
            metal.studs.push_back(s.name);
    }
    if (minus < 0) return;
    minus_on = metal_of(whole.symbols[index(minus)]);
    minuses = minuses_on(whole, minus_on);
}

} // namespace loomproof::draw
