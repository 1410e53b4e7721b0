#include "draw/feeds.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

bool is_source(SymbolKind kind) {
    return kind == SymbolKind::battery || kind == SymbolKind::alternator || kind == SymbolKind::supply ||
           kind == SymbolKind::existing;
}

class Climber {
  public:
    explicit Climber(const Sketch& sketch)
        : sketch_(sketch), into_(sketch.symbols.size()), out_of_(sketch.symbols.size()) {
        for (const Wire& w : sketch.wires) {
            if (w.removed) continue;
            into_[index(w.b.symbol)].push_back(&w);
            out_of_[index(w.a.symbol)].push_back(&w);
        }
    }

    Feeds run(int symbol) const {
        Feeds feeds;
        std::set<int> fuses;
        std::set<std::pair<int, int>> seen;
        std::vector<End> open;
        const auto climb = [&](const std::vector<const Wire*>& wires, auto may) {
            for (const Wire* w : wires)
                if (may(w->b.terminal) && seen.insert({w->a.symbol, w->a.terminal}).second) open.push_back(w->a);
        };
        climb(into_[index(symbol)], [](int) { return true; });
        while (!open.empty()) {
            const End out = open.back();
            open.pop_back();
            const Symbol& at = sketch_.symbols[index(out.symbol)];
            if (protects(at.kind)) {
                fuses.insert(out.symbol);
                continue;
            }
            if (is_source(at.kind)) continue;
            feeds.through_load = feeds.through_load || is_for_something(at);
            climb(into_[index(out.symbol)], [&](int terminal) { return passes(at, terminal, out.terminal); });
        }
        feeds.fuses.assign(fuses.begin(), fuses.end());
        return feeds;
    }

    Way way(int symbol) const {
        Way way{std::vector<bool>(sketch_.symbols.size(), false), std::vector<bool>(sketch_.wires.size(), false)};
        std::set<std::pair<int, int>> seen;
        std::vector<End> open;
        const auto climb = [&](int from, auto may) {
            way.symbols[index(from)] = true;
            for (const Wire* w : into_[index(from)]) {
                const SymbolKind kind = sketch_.symbols[index(w->a.symbol)].kind;
                if (!may(w->b.terminal)) continue;
                way.wires[static_cast<std::size_t>(w - sketch_.wires.data())] = true;
                const bool ends = kind == SymbolKind::battery || kind == SymbolKind::alternator ||
                                  is_for_something(sketch_.symbols[index(w->a.symbol)]);
                if (!ends && seen.insert({w->a.symbol, w->a.terminal}).second) open.push_back(w->a);
            }
        };
        climb(symbol, [](int) { return true; });
        while (!open.empty()) {
            const End out = open.back();
            open.pop_back();
            const Symbol& at = sketch_.symbols[index(out.symbol)];
            climb(out.symbol, [&](int terminal) { return passes(at, terminal, out.terminal); });
        }
        return way;
    }

    std::vector<int> run_from_fuse_to_ground(int symbol) const {
        std::set<int> met{symbol};
        std::set<std::pair<int, int>> seen;
        // Up as far as a fuse, down as far as a ground; `back` is the terminal by which it was come upon.
        for (const bool up : {true, false}) {
            std::vector<End> open;
            const auto go = [&](int from, auto may) {
                for (const Wire* w : up ? into_[index(from)] : out_of_[index(from)]) {
                    const End &here = up ? w->b : w->a, &there = up ? w->a : w->b;
                    const Symbol& next = sketch_.symbols[index(there.symbol)];
                    if (!may(here.terminal) || is_source(next.kind)) continue;
                    met.insert(there.symbol);
                    if (protects(next.kind) || decides_itself(next)) continue;
                    if (seen.insert({there.symbol, there.terminal}).second) open.push_back(there);
                }
            };
            go(symbol, [](int) { return true; });
            while (!open.empty()) {
                const End end = open.back();
                open.pop_back();
                const Symbol& at = sketch_.symbols[index(end.symbol)];
                go(end.symbol, [&](int terminal) {
                    return up ? passes(at, terminal, end.terminal) : passes(at, end.terminal, terminal);
                });
            }
            seen.clear();
        }
        return {met.begin(), met.end()};
    }

  private:
    // What has a mind of its own ends a way: nobody can say which of its inputs works which of its outputs.
    static bool decides_itself(const Symbol& symbol) {
        return symbol.kind == SymbolKind::unit || symbol.kind == SymbolKind::beyond;
    }

    // Can current come in at one terminal of a symbol and leave at the other?
    static bool passes(const Symbol& symbol, int in, int out) {
        const auto one_contact = [&] {
            return std::any_of(symbol.contacts.begin(), symbol.contacts.end(), [&](const Contact& c) {
                const auto has = [&](int t) { return t == c.common || t == c.make || t == c.rest; };
                return has(in) && has(out);
            });
        };
        switch (symbol.kind) {
        case SymbolKind::relay: return in < 2 && out < 2 ? in != out : one_contact();
        case SymbolKind::contact: return one_contact();
        case SymbolKind::starter: return in == out; // its stud serves as a joint
        case SymbolKind::table_switch:
            return in == out || std::any_of(symbol.positions.begin(), symbol.positions.end(), [&](const Position& p) {
                       return std::any_of(p.joined.begin(), p.joined.end(), [&](const std::vector<int>& joined) {
                           return std::count(joined.begin(), joined.end(), in) > 0 &&
                                  std::count(joined.begin(), joined.end(), out) > 0;
                       });
                   });
        default: return true;
        }
    }

    const Sketch& sketch_;
    std::vector<std::vector<const Wire*>> into_, out_of_;
};

} // namespace

bool is_fuse(SymbolKind kind) { return kind == SymbolKind::fuse || kind == SymbolKind::breaker; }
bool protects(SymbolKind kind) { return is_fuse(kind) || kind == SymbolKind::fusible_link; }

bool is_for_something(const Symbol& symbol) {
    if (symbol.removed) return false;
    switch (symbol.kind) {
    case SymbolKind::alternator:
    case SymbolKind::starter: return false;
    case SymbolKind::lamp:
    case SymbolKind::led:
    case SymbolKind::motor:
    case SymbolKind::horn:
    case SymbolKind::load:
    case SymbolKind::beyond: return true;
    default: return symbol.is_load;
    }
}

Feeds feeds_of(const Sketch& sketch, int symbol) { return Climber(sketch).run(symbol); }

std::vector<Feeds> feeds_of(const Sketch& sketch, const std::vector<int>& symbols) {
    const Climber climber(sketch);
    std::vector<Feeds> all;
    for (const int s : symbols) all.push_back(climber.run(s));
    return all;
}

std::map<int, Way> ways_to(const Sketch& sketch, const std::vector<int>& symbols) {
    const Climber climber(sketch);
    std::map<int, Way> ways;
    for (const int s : symbols)
        if (!ways.contains(s)) ways.emplace(s, climber.way(s));
    return ways;
}

std::vector<int> from_fuse_to_ground(const Sketch& sketch, int symbol) {
    return Climber(sketch).run_from_fuse_to_ground(symbol);
}

std::vector<Feeds> feeds_of_loads(const Sketch& sketch) {
    const Climber climber(sketch);
    std::vector<Feeds> out(sketch.symbols.size());
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (is_for_something(sketch.symbols[s])) out[s] = climber.run(static_cast<int>(s));
    return out;
}

} // namespace loomproof::draw
