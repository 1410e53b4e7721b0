#include "draw/functions.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr std::size_t most_things = 3;

std::string what_of(const std::string& called) { return called.substr(0, called.find(", ")); }

// In heaps of so many different things; what is alike stays together.
std::vector<std::vector<int>> in_heaps(const Sketch& sketch, const std::vector<int>& loads) {
    std::vector<std::pair<std::string, std::vector<int>>> alike;
    for (const int s : loads) {
        const std::string what = what_of(called(sketch.symbols[index(s)]));
        const auto found = std::find_if(alike.begin(), alike.end(), [&](const auto& a) { return a.first == what; });
        (found == alike.end() ? alike.emplace_back(what, std::vector<int>{}) : *found).second.push_back(s);
    }
    std::vector<std::vector<int>> heaps;
    for (std::size_t i = 0; i < alike.size(); ++i) {
        if (i % most_things == 0) heaps.emplace_back();
        heaps.back().insert(heaps.back().end(), alike[i].second.begin(), alike[i].second.end());
    }
    return heaps;
}

// What relays' coils the fuse leads to, over wires, switches, plugs and joints.
std::vector<int> coils_behind(const Sketch& sketch, int fuse) {
    std::set<int> met{fuse}, coils;
    for (std::vector<int> open{fuse}; !open.empty();) {
        const int at = open.back();
        open.pop_back();
        for (const Wire& w : sketch.wires) {
            if (w.removed || w.a.symbol != at) continue;
            const SymbolKind kind = sketch.symbols[index(w.b.symbol)].kind;
            if (kind == SymbolKind::coil || (kind == SymbolKind::relay && w.b.terminal < 2)) coils.insert(w.b.symbol);
            const bool on_the_way = kind == SymbolKind::hole || kind == SymbolKind::joint ||
                                    kind == SymbolKind::splice || kind == SymbolKind::bus ||
                                    kind == SymbolKind::lever_switch || kind == SymbolKind::table_switch;
            if (on_the_way && met.insert(w.b.symbol).second) open.push_back(w.b.symbol);
        }
    }
    return {coils.begin(), coils.end()};
}

// A load that nobody named is what its fuse is for.
std::vector<int> spoken_of(const Sketch& sketch, const std::vector<int>& fuses, const std::vector<int>& loads) {
    const auto has_words = [&](int s) { return !sketch.symbols[index(s)].lines.empty(); };
    const bool fuse_says_it =
        fuses.size() == 1 && has_words(fuses.front()) && std::none_of(loads.begin(), loads.end(), has_words);
    return fuse_says_it ? fuses : loads;
}

} // namespace

std::string called(const Symbol& symbol) {
    if (!symbol.lines.empty()) return symbol.lines.front();
    if (symbol.title.empty()) return symbol.name;
    return symbol.title + (symbol.name.empty() ? "" : " ") + symbol.name;
}

std::string title_with(const Sketch& whole, const std::string& what) {
    const std::string& name = whole.title.empty() ? whole.vehicle : whole.title;
    return name.empty() ? with_capital(what) : name + ": " + what;
}

std::string with_capital(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string summed_up(const Sketch& sketch, const std::vector<int>& symbols, const std::string& between,
                      Detail detail) {
    struct Said {
        std::string what;
        std::vector<std::string> which;
    };
    std::vector<Said> all;
    for (const int s : symbols) {
        const std::string text = called(sketch.symbols[index(s)]), what = what_of(text);
        const std::string which = what.size() == text.size() ? "" : text.substr(what.size() + 2);
        auto found = std::find_if(all.begin(), all.end(), [&](const Said& said) { return said.what == what; });
        if (found == all.end()) found = all.insert(all.end(), {what, {}});
        if (!which.empty() && std::find(found->which.begin(), found->which.end(), which) == found->which.end())
            found->which.push_back(which);
    }
    std::string text;
    for (const Said& said : all) {
        text += (text.empty() ? "" : between) + said.what;
        if (!said.which.empty() && detail == Detail::all) text += ", " + list_of(said.which);
    }
    return text;
}

std::string said_of_fuse(const Sketch& sketch, int fuse) {
    std::vector<std::string> relays;
    for (const int coil : coils_behind(sketch, fuse)) {
        const Symbol& relay = sketch.symbols[index(coil)];
        if (relay.lines.empty() || relay.removed) continue;
        std::string words = relay.lines.front();
        if (words.find("relay") == std::string::npos) words += ", relay";
        if (std::find(relays.begin(), relays.end(), words) == relays.end()) relays.push_back(std::move(words));
    }
    return relays.empty() ? called(sketch.symbols[index(fuse)]) : list_of(relays);
}

std::vector<Heading> headings_of(const Sketch& sketch) {
    const std::vector<Feeds> feeds = feeds_of_loads(sketch);
    std::map<std::vector<int>, std::vector<int>> loads; // by what feeds them; what no fuse feeds by itself
    std::vector<bool> fuse_used(sketch.symbols.size(), false);
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s) {
        const Symbol& symbol = sketch.symbols[s];
        const int load = static_cast<int>(s);
        if (!is_for_something(symbol) || called(symbol).empty()) continue;
        std::vector<int> fuses = feeds[s].fuses;
        std::erase_if(fuses, [&](int f) { return !is_fuse(sketch.symbols[index(f)].kind); });
        for (const int f : fuses) fuse_used[index(f)] = true;
        loads[fuses.empty() ? std::vector<int>{load} : fuses].push_back(load);
    }
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (is_fuse(sketch.symbols[s].kind) && !fuse_used[s] && !sketch.symbols[s].lines.empty() &&
            !sketch.symbols[s].removed)
            loads.try_emplace({static_cast<int>(s)}, std::vector<int>{static_cast<int>(s)});
    std::vector<Heading> headings;
    for (const auto& [fuses, all] : loads)
        for (std::vector<int>& heap : in_heaps(sketch, all)) {
            const bool fuse_alone = heap.size() == 1 && is_fuse(sketch.symbols[index(heap.front())].kind);
            std::string text = with_capital(fuse_alone ? said_of_fuse(sketch, heap.front())
                                                       : summed_up(sketch, spoken_of(sketch, fuses, heap), "; "));
            headings.push_back({std::move(text), std::move(heap)});
        }
    return headings;
}

Heading heading_of_some(const Sketch& sketch, const Heading& whole, std::vector<int> symbols) {
    if (symbols.size() == whole.symbols.size()) return whole;
    std::string text = with_capital(summed_up(sketch, symbols, "; "));
    return {std::move(text), std::move(symbols)};
}

std::vector<std::string> purposes_of(const Sketch& sketch, const std::vector<Feeds>& feeds) {
    std::vector<std::vector<int>> loads(sketch.symbols.size());
    for (std::size_t s = 0; s < feeds.size(); ++s)
        for (const int f : feeds[s].fuses)
            if (is_fuse(sketch.symbols[index(f)].kind)) loads[index(f)].push_back(static_cast<int>(s));
    std::vector<std::string> out(sketch.symbols.size());
    for (std::size_t s = 0; s < out.size(); ++s) {
        if (!is_fuse(sketch.symbols[s].kind)) continue;
        const std::vector<int> fuse{static_cast<int>(s)};
        if (loads[s].empty() && sketch.symbols[s].lines.empty()) continue;
        out[s] = loads[s].empty() ? said_of_fuse(sketch, static_cast<int>(s))
                                  : summed_up(sketch, spoken_of(sketch, fuse, loads[s]), "; ");
    }
    return out;
}

} // namespace loomproof::draw
