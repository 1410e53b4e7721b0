#include "draw/supply_tree.hpp"

#include "draw/feeds.hpp"

#include <algorithm>
#include <cstddef>
#include <set>
#include <utility>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

class Tree {
  public:
    explicit Tree(const Sketch& sketch)
        : sketch_(sketch),
          down_(sketch.symbols.size()),
          leads_(sketch.symbols.size(), unknown),
          drawn_(sketch.symbols.size(), false) {
        for (std::size_t w = 0; w < sketch.wires.size(); ++w)
            if (!sketch.wires[w].removed) down_[index(sketch.wires[w].a.symbol)].push_back(static_cast<int>(w));
    }

    std::vector<Branch> run() {
        std::vector<int> roots;
        const auto collect = [&](auto wanted) {
            for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
                if (wanted(sketch_.symbols[s].kind)) roots.push_back(static_cast<int>(s));
        };
        collect([](SymbolKind k) { return k == SymbolKind::battery; });
        collect([](SymbolKind k) { return k == SymbolKind::supply || k == SymbolKind::existing; });
        for (const int root : roots)
            if (!drawn_[index(root)]) grow(root, 0, true);
        return std::move(branches_);
    }

  private:
    enum Leads : signed char { unknown, no, yes };

    const Symbol& at(int s) const { return sketch_.symbols[index(s)]; }

    // Plugs, joints and splices are only on the way.
    static bool passed_over(SymbolKind k) {
        return k == SymbolKind::hole || k == SymbolKind::joint || k == SymbolKind::splice;
    }
    static bool of_the_supply(SymbolKind k) {
        return protects(k) || k == SymbolKind::bus || k == SymbolKind::starter || k == SymbolKind::alternator;
    }

    // A coil leads nowhere; a contact does.
    bool leads_through(const End& into) const {
        const Symbol& symbol = at(into.symbol);
        if (symbol.kind == SymbolKind::relay) return into.terminal > 1;
        // A starter's stud serves as a joint; its other terminals lead nowhere.
        if (symbol.kind == SymbolKind::starter)
            return std::any_of(down_[index(into.symbol)].begin(), down_[index(into.symbol)].end(),
                               [&](int w) { return sketch_.wires[index(w)].a.terminal == into.terminal; });
        return protects(symbol.kind) || passed_over(symbol.kind) || symbol.kind == SymbolKind::bus ||
               symbol.kind == SymbolKind::lever_switch || symbol.kind == SymbolKind::table_switch;
    }

    // Does anything that protects come after it?
    bool fuse_behind(int s) {
        if (leads_[index(s)] != unknown) return leads_[index(s)] == yes;
        leads_[index(s)] = no; // where the wires run in a circle
        for (const int w : down_[index(s)]) {
            const End& into = sketch_.wires[index(w)].b;
            if (protects(at(into.symbol).kind) || (leads_through(into) && fuse_behind(into.symbol))) {
                leads_[index(s)] = yes;
                break;
            }
        }
        return leads_[index(s)] == yes;
    }

    void gather(int s, std::vector<int>& found, std::set<int>& met) {
        for (const int w : down_[index(s)]) {
            const End& into = sketch_.wires[index(w)].b;
            const int t = into.symbol;
            const SymbolKind kind = at(t).kind;
            if (passed_over(kind)) {
                if (met.insert(t).second) gather(t, found, met);
                continue;
            }
            const bool belongs = of_the_supply(kind) || (leads_through(into) && fuse_behind(t));
            if (!belongs || drawn_[index(t)] || !met.insert(t).second) continue;
            found.push_back(t);
        }
    }

    void grow(int s, int depth, bool last) {
        drawn_[index(s)] = true;
        branches_.push_back({s, depth, last});
        const SymbolKind kind = at(s).kind;
        const bool root = depth == 0;
        if (!root && kind != SymbolKind::bus && !fuse_behind(s)) return;
        std::vector<int> below;
        std::set<int> met{s};
        gather(s, below, met);
        for (const int t : below) drawn_[index(t)] = true; // what stands here stands nowhere deeper
        // Ends of branches first, so that they stand near what feeds them.
        std::stable_partition(below.begin(), below.end(),
                              [&](int t) { return at(t).kind != SymbolKind::bus && !fuse_behind(t); });
        for (std::size_t i = 0; i < below.size(); ++i) grow(below[i], depth + 1, i + 1 == below.size());
    }

    const Sketch& sketch_;
    std::vector<std::vector<int>> down_; // by symbol: wires that leave it
    std::vector<Leads> leads_;
    std::vector<bool> drawn_;
    std::vector<Branch> branches_;
};

} // namespace

std::vector<Branch> supply_tree(const Sketch& sketch) { return Tree(sketch).run(); }

} // namespace loomproof::draw
