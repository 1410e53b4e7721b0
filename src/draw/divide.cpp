#include "draw/divide.hpp"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <set>
#include <tuple>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

class Divider {
  public:
    Divider(const Sketch& sketch, const std::vector<int>& group)
        : sketch_(sketch), group_(group), inside_(sketch.symbols.size(), false) {
        for (const int s : group) inside_[index(s)] = true;
        for (const Wire& w : sketch.wires) {
            if (!inside_[index(w.a.symbol)] || !inside_[index(w.b.symbol)]) continue;
            wires_.push_back(&w);
            below_[w.a.symbol].push_back(w.b.symbol);
            above_[w.b.symbol].push_back(w.a.symbol);
        }
    }

    std::vector<std::vector<int>> run(std::size_t most) const {
        std::set<std::vector<int>> found;
        for (const int s : group_) {
            note(found, with_all_below({s}));
            const auto children = below_.find(s);
            if (children == below_.end()) continue;
            std::vector<int> row = children->second;
            std::sort(row.begin(), row.end());
            row.erase(std::unique(row.begin(), row.end()), row.end());
            for (std::size_t from = 0; from < row.size(); ++from)
                for (std::size_t to = from + 2; to <= row.size(); ++to)
                    note(found, with_all_below({row.begin() + static_cast<std::ptrdiff_t>(from),
                                                row.begin() + static_cast<std::ptrdiff_t>(to)}));
        }
        std::vector<std::tuple<int, std::vector<int>>> ranked;
        for (const std::vector<int>& part : found) ranked.emplace_back(cost(part), part);
        std::sort(ranked.begin(), ranked.end());
        std::vector<std::vector<int>> best;
        for (auto& [worth, part] : ranked)
            if (best.size() < most) best.push_back(std::move(part));
        return best;
    }

  private:
    // The symbols and whatever is fed by nothing else.
    std::vector<int> with_all_below(const std::vector<int>& tops) const {
        std::set<int> part(tops.begin(), tops.end());
        std::vector<int> open = tops;
        while (!open.empty()) {
            const int at = open.back();
            open.pop_back();
            const auto children = below_.find(at);
            if (children == below_.end()) continue;
            for (const int child : children->second) {
                const std::vector<int>& parents = above_.at(child);
                const bool only_here =
                    std::all_of(parents.begin(), parents.end(), [&](int p) { return part.contains(p); });
                if (only_here && part.insert(child).second) open.push_back(child);
            }
        }
        return {part.begin(), part.end()};
    }

    bool counts(int s) const {
        const SymbolKind kind = sketch_.symbols[index(s)].kind;
        return kind != SymbolKind::foot && kind != SymbolKind::hole;
    }
    int size_of(const std::vector<int>& part) const {
        return static_cast<int>(std::count_if(part.begin(), part.end(), [&](int s) { return counts(s); }));
    }

    void note(std::set<std::vector<int>>& found, std::vector<int> part) const {
        constexpr int least = 2; // parts: less is no sheet of its own
        const int size = size_of(part);
        const bool battery = std::any_of(part.begin(), part.end(),
                                         [&](int s) { return sketch_.symbols[index(s)].kind == SymbolKind::battery; });
        // A foot stays with its wire.
        const bool torn = std::any_of(part.begin(), part.end(), [&](int s) {
            const auto parents = above_.find(s);
            return sketch_.symbols[index(s)].kind == SymbolKind::foot && parents != above_.end() &&
                   !std::binary_search(part.begin(), part.end(), parents->second.front());
        });
        if (!battery && !torn && size >= least && size_of(group_) - size >= least) found.insert(std::move(part));
    }

    int cost(const std::vector<int>& part) const {
        constexpr int of_a_wire = 3;
        const std::set<int> here(part.begin(), part.end());
        int cut = 0;
        for (const Wire* w : wires_)
            if (here.contains(w->a.symbol) != here.contains(w->b.symbol) &&
                sketch_.symbols[index(w->a.symbol)].kind != SymbolKind::bus)
                ++cut;
        constexpr int of_a_sheet = 14; // parts
        return of_a_wire * cut + std::abs(std::min(size_of(group_), 2 * of_a_sheet) - 2 * size_of(part));
    }

    const Sketch& sketch_;
    const std::vector<int>& group_;
    std::vector<bool> inside_;
    std::vector<const Wire*> wires_;
    std::map<int, std::vector<int>> below_, above_;
};

} // namespace

std::vector<std::vector<int>> branches_of(const Sketch& sketch, const std::vector<int>& group, std::size_t most) {
    return Divider(sketch, group).run(most);
}

} // namespace loomproof::draw
