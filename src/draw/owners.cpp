#include "draw/feeds.hpp"
#include "draw/split.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

bool is_bar(SymbolKind kind) { return row_of(kind).nature == SymbolRow::Nature::bar; }

} // namespace

std::vector<int> owners(const Sketch& sketch, bool buses) {
    std::vector<std::vector<std::size_t>> into(sketch.symbols.size());
    for (std::size_t w = 0; w < sketch.wires.size(); ++w) into[index(sketch.wires[w].b.symbol)].push_back(w);
    for (std::vector<std::size_t>& wires : into)
        std::stable_sort(wires.begin(), wires.end(),
                         [&](std::size_t a, std::size_t b) { return sketch.wires[a].mm2 > sketch.wires[b].mm2; });
    std::vector<int> owner(sketch.symbols.size(), -2);
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s) {
        // Up the thickest wire, until a fuse, something already known, the top or a circle.
        std::vector<int> way;
        int at = static_cast<int>(s), found = -1;
        std::set<int> seen;
        for (;;) {
            const SymbolKind kind = sketch.symbols[index(at)].kind;
            if (is_fuse(kind) || (buses && kind == SymbolKind::bus)) {
                found = at;
                owner[index(at)] = at;
                break;
            }
            if (owner[index(at)] != -2) {
                found = owner[index(at)];
                break;
            }
            const bool top =
                kind == SymbolKind::battery || kind == SymbolKind::alternator || kind == SymbolKind::starter;
            if (top || !seen.insert(at).second || into[index(at)].empty()) {
                if (top || into[index(at)].empty()) way.push_back(at);
                break;
            }
            way.push_back(at);
            at = sketch.wires[into[index(at)].front()].a.symbol;
        }
        for (const int w : way) owner[index(w)] = found;
    }
    // What the supply feeds for one fuse's circuit only stands with that circuit: the switch of a relay's coil, a feed from elsewhere.
    std::vector<std::vector<int>> onwards(sketch.symbols.size());
    for (const Wire& w : sketch.wires) onwards[index(w.a.symbol)].push_back(w.b.symbol);
    for (bool changed = true; changed;) {
        changed = false;
        for (std::size_t s = 0; s < owner.size(); ++s) {
            const SymbolKind kind = sketch.symbols[s].kind;
            if (owner[s] != -1 || onwards[s].empty() || kind == SymbolKind::battery || kind == SymbolKind::alternator ||
                is_bar(kind))
                continue;
            const int first = owner[index(onwards[s].front())];
            const bool same =
                std::all_of(onwards[s].begin(), onwards[s].end(), [&](int t) { return owner[index(t)] == first; });
            if (!same || first == -1) continue;
            owner[s] = first;
            changed = true;
        }
    }
    return owner;
}

std::vector<bool> strays(const Sketch& sketch) {
    std::vector<int> root(sketch.symbols.size());
    for (std::size_t s = 0; s < root.size(); ++s) root[s] = static_cast<int>(s);
    const auto find = [&](int s) {
        while (root[index(s)] != s) s = root[index(s)] = root[index(root[index(s)])];
        return s;
    };
    for (const Wire& w : sketch.wires) root[index(find(w.a.symbol))] = find(w.b.symbol);
    std::vector<bool> fed(root.size(), false), stray(root.size(), false);
    for (std::size_t s = 0; s < root.size(); ++s) {
        const SymbolKind kind = sketch.symbols[s].kind;
        const bool feeds = is_fuse(kind) || kind == SymbolKind::battery || kind == SymbolKind::alternator ||
                           kind == SymbolKind::supply || kind == SymbolKind::existing || kind == SymbolKind::bus;
        if (feeds) fed[index(find(static_cast<int>(s)))] = true;
    }
    for (std::size_t s = 0; s < root.size(); ++s) stray[s] = !fed[index(find(static_cast<int>(s)))];
    return stray;
}

} // namespace loomproof::draw
