#include "draw/functions.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <sstream>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr std::size_t most_things = 3;

std::string what_of(const std::string& called) { return called.substr(0, called.find(", ")); }

// "left", "rear right": of what?
bool only_says_which(const std::string& words) {
    static const std::set<std::string> sides{"left",      "right",    "front",       "rear",   "back",   "upper",
                                             "lower",     "inner",    "outer",       "middle", "main",   "dip",
                                             "nearside",  "offside",  "near",        "off",    "driver", "side",
                                             "passenger", "driver's", "passenger's", "one",    "other",  "and"};
    std::istringstream in(lower(words));
    std::string word;
    bool any = false;
    while (in >> word) {
        while (!word.empty() && (word.back() == ',' || word.back() == ';')) word.pop_back();
        if (!sides.contains(word)) return false;
        any = true;
    }
    return any;
}

// One with a main and a dip filament is a headlamp, whatever the file calls it; else what the kind of part is called.
std::string what_such_a_lamp_is(const Symbol& symbol) {
    const auto has = [&](const char* stamp) {
        return std::any_of(symbol.terminals.begin(), symbol.terminals.end(),
                           [&](const Terminal& t) { return t.stamp == stamp; });
    };
    return symbol.kind == SymbolKind::lamp && has("main") && has("dip") ? "headlamp" : symbol.title;
}

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

// "at the battery" says where it is, not what it is for.
std::string what_a_fuse_is_for(const Symbol& fuse) {
    const std::string words = called(fuse), small = lower(words);
    for (const char* place : {"at ", "in ", "on ", "near ", "next to ", "by ", "behind ", "under ", "beside "})
        if (small.starts_with(place)) return "fuse " + words;
    return words;
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
    if (!symbol.lines.empty()) {
        const std::string& words = symbol.lines.front();
        if (is_for_something(symbol) && only_says_which(words) && !symbol.title.empty())
            return what_such_a_lamp_is(symbol) + ", " + words;
        return words;
    }
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
    std::string words;
    for (const int coil : coils_behind(sketch, fuse)) {
        const Symbol& relay = sketch.symbols[index(coil)];
        if (relay.removed || relay.name.empty()) continue;
        if (std::find(relays.begin(), relays.end(), relay.name) != relays.end()) continue;
        relays.push_back(relay.name);
        words = relay.lines.empty() ? "" : relay.lines.front();
    }
    // Words that name several things at once ("low", "high, grounds fan A") only make sense at the relay.
    if (relays.size() > 1) return "coils of relays " + list_of(relays);
    if (relays.empty()) return what_a_fuse_is_for(sketch.symbols[index(fuse)]);
    const bool says_relay = lower(words).find("relay") != std::string::npos;
    if (says_relay) return "coil of the " + words;
    return "coil of relay " + relays.front() + (words.empty() ? "" : " \"" + words + "\"");
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
    // A main fuse has other fuses behind it, and they are headed: "Main" over the battery would be read as the main beam.
    std::vector<int> protectors;
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (is_fuse(sketch.symbols[s].kind)) protectors.push_back(static_cast<int>(s));
    for (const Feeds& before : feeds_of(sketch, protectors))
        for (const int f : before.fuses) fuse_used[index(f)] = true;
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
            std::vector<int> feeding;
            for (const int f : fuses)
                if (is_fuse(sketch.symbols[index(f)].kind)) feeding.push_back(f);
            headings.push_back({std::move(text), std::move(heap), std::move(feeding)});
        }
    return headings;
}

Heading heading_of_some(const Sketch& sketch, const Heading& whole, std::vector<int> symbols) {
    if (symbols.size() == whole.symbols.size()) return whole;
    std::string text = with_capital(summed_up(sketch, symbols, "; "));
    return {std::move(text), std::move(symbols), whole.fuses};
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
