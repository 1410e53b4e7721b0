#include "draw/split.hpp"

#include "base/words.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

bool protects(SymbolKind kind) { return kind == SymbolKind::fuse || kind == SymbolKind::breaker; }
bool is_bar(SymbolKind kind) { return row_of(kind).nature == SymbolRow::Nature::bar; }

bool is_bus(const Sketch& sketch, int s) { return sketch.symbols[index(s)].kind == SymbolKind::bus; }

struct Group {
    std::vector<int> symbols;
    std::size_t size = 0;
    int first = 0; ///< the owner that decides the order
};

class Splitter {
  public:
    Splitter(const Sketch& sketch, std::size_t limit) : sketch_(sketch), limit_(limit) {}

    Grouping group() {
        group_by(owners(sketch_, false));
        const std::size_t most = limit_ > 0 ? 2 * limit_ : 24;
        if (!groups_.empty() && groups_.front().first < 0 && groups_.front().size > most)
            group_by(owners(sketch_, true));
        merge_relatives();
        Grouping grouping;
        for (Group& g : groups_) grouping.push_back(std::move(g.symbols));
        return grouping;
    }

  private:
    std::size_t size_of_symbol(int s) const {
        // A bus is drawn again on each sheet that it feeds, so its wires go elsewhere.
        if (!is_bar(sketch_.symbols[index(s)].kind) || is_bus(sketch_, s)) return 1;
        std::size_t wires = 0;
        for (const Wire& w : sketch_.wires) wires += (w.a.symbol == s ? 1u : 0u) + (w.b.symbol == s ? 1u : 0u);
        return std::max<std::size_t>(1, wires / 2);
    }

    void group_by(const std::vector<int>& owner) {
        std::map<int, Group> by_owner;
        const std::vector<bool> stray = strays(sketch_);
        for (std::size_t s = 0; s < owner.size(); ++s) {
            const int key = owner[s] < 0 && stray[s] ? static_cast<int>(owner.size()) : owner[s]; // the last of all
            Group& group = by_owner[key];
            group.first = key;
            group.symbols.push_back(static_cast<int>(s));
            group.size += size_of_symbol(static_cast<int>(s));
        }
        groups_.clear();
        for (auto& [first, group] : by_owner) groups_.push_back(std::move(group));
    }

    void join(std::size_t a, std::size_t b) {
        groups_[a].symbols.insert(groups_[a].symbols.end(), groups_[b].symbols.begin(), groups_[b].symbols.end());
        groups_[a].size += groups_[b].size;
        groups_.erase(groups_.begin() + static_cast<std::ptrdiff_t>(b));
    }

    // Groups with the most wires between them come together while they fit; the supply stays by itself.
    void merge_relatives() {
        for (;;) {
            std::vector<std::size_t> group_of(sketch_.symbols.size(), 0);
            for (std::size_t g = 0; g < groups_.size(); ++g)
                for (const int s : groups_[g].symbols) group_of[index(s)] = g;
            std::map<std::pair<std::size_t, std::size_t>, int> shared;
            for (const Wire& w : sketch_.wires) {
                const std::size_t a = group_of[index(w.a.symbol)], b = group_of[index(w.b.symbol)];
                if (a != b && !is_bus(sketch_, w.a.symbol)) ++shared[{std::min(a, b), std::max(a, b)}];
            }
            std::pair<std::size_t, std::size_t> best{0, 0};
            int most = 0;
            for (const auto& [pair, count] : shared) {
                if (groups_[pair.first].first < 0 || groups_[pair.first].size + groups_[pair.second].size > limit_)
                    continue;
                if (count > most) {
                    most = count;
                    best = pair;
                }
            }
            if (most == 0) return;
            join(best.first, best.second);
        }
    }

    const Sketch& sketch_;
    std::size_t limit_;
    std::vector<Group> groups_;
};

// Makes the parts of a grouping.
class Cutter {
  public:
    // With `only`, the other parts are left empty.
    Cutter(const Sketch& sketch, const Grouping& grouping, std::optional<std::size_t> only = std::nullopt)
        : sketch_(sketch), groups_(grouping), only_(only) {}

    std::string name_of_end(const End& end) const {
        const Symbol& symbol = sketch_.symbols[index(end.symbol)];
        const std::string& stamp = symbol.terminals[index(end.terminal)].stamp;
        if (symbol.name.empty()) return nameless(end.symbol);
        return stamp.empty() ? symbol.name : symbol.name + ":" + stamp;
    }

    // A joint has no name: "joint with W14f".
    std::string nameless(int s) const {
        const Symbol& symbol = sketch_.symbols[index(s)];
        const bool joint = symbol.kind == SymbolKind::joint || symbol.kind == SymbolKind::splice;
        if (!joint) return symbol.lines.empty() ? "" : symbol.lines.front();
        for (const Wire& w : sketch_.wires)
            if ((w.a.symbol == s || w.b.symbol == s) && w.job == 0 && !w.label.empty())
                return "joint with " + w.label.substr(0, w.label.find(' '));
        return "joint";
    }

    int add_mark(SketchPart& part, const Wire& wire, bool upper, std::size_t other, const End& far) {
        Symbol mark;
        mark.kind = SymbolKind::off_sheet;
        mark.key = wire.key + (upper ? "/on" : "/from");
        mark.rating = std::string(upper || wire.either_way ? "goes on: sheet " : "comes from: sheet ") +
                      std::to_string(other + 1);
        const std::string name = name_of_end(far);
        mark.lines.push_back(path_blank + (name.empty() ? "" : ", " + name));
        mark.terminals = {Terminal{}};
        part.sketch.symbols.push_back(std::move(mark));
        part.from.push_back(-1);
        return static_cast<int>(part.sketch.symbols.size()) - 1;
    }

    // The bus bar drawn again on another sheet, once for all its wires there: the trade's way with the bars at the top of each sheet.
    int bus_again(std::vector<SketchPart>& parts, int bus, std::size_t home, std::size_t part) {
        const auto [at, fresh] = buses_.try_emplace({bus, part}, static_cast<int>(parts[part].sketch.symbols.size()));
        if (!fresh || !wanted(part)) return at->second;
        Symbol copy = sketch_.symbols[index(bus)];
        copy.key += "/sheet-" + std::to_string(part + 1);
        copy.lines.push_back("fed on sheet " + std::to_string(home + 1));
        parts[part].sketch.symbols.push_back(std::move(copy));
        parts[part].from.push_back(-1);
        return at->second;
    }

    // At home a bus says where else it stands.
    void note_buses(std::vector<SketchPart>& parts, const std::vector<std::size_t>& part_of,
                    const std::vector<int>& moved) const {
        std::map<int, std::vector<std::size_t>> elsewhere;
        for (const auto& [key, symbol] : buses_) elsewhere[key.first].push_back(key.second);
        for (const auto& [bus, sheets] : elsewhere)
            if (wanted(part_of[index(bus)]))
                parts[part_of[index(bus)]].sketch.symbols[index(moved[index(bus)])].lines.push_back("also " +
                                                                                                    sheet_list(sheets));
    }

    // "sheet 2", "sheets 2, 3", "12 other sheets".
    static std::string sheet_list(const std::vector<std::size_t>& sheets) {
        constexpr std::size_t most = 5;
        if (sheets.size() > most) return std::to_string(sheets.size()) + " other sheets";
        // Two or three numbers stay on one line with the word.
        const char* space = sheets.size() > 3 ? " " : "\u00A0";
        std::string text = std::string(sheets.size() > 1 ? "sheets" : "sheet") + space;
        for (std::size_t i = 0; i < sheets.size(); ++i)
            text += (i > 0 ? std::string(",") + space : "") + std::to_string(sheets[i] + 1);
        return text;
    }

    bool wanted(std::size_t part) const { return !only_ || *only_ == part; }

    std::vector<SketchPart> run() {
        std::vector<SketchPart> parts(groups_.size());
        std::vector<std::size_t> part_of(sketch_.symbols.size());
        std::vector<int> moved(sketch_.symbols.size());
        for (std::size_t g = 0; g < groups_.size(); ++g) {
            // In the order of the whole sketch, whichever way the groups came together.
            std::sort(groups_[g].begin(), groups_[g].end());
            for (std::size_t i = 0; i < groups_[g].size(); ++i) {
                const int s = groups_[g][i];
                part_of[index(s)] = g;
                moved[index(s)] = static_cast<int>(i);
                if (!wanted(g)) continue;
                parts[g].sketch.symbols.push_back(sketch_.symbols[index(s)]);
                parts[g].from.push_back(s);
            }
        }
        for (const Wire& wire : sketch_.wires) {
            const std::size_t a = part_of[index(wire.a.symbol)], b = part_of[index(wire.b.symbol)];
            const bool again = a != b && is_bus(sketch_, wire.a.symbol);
            const int bus = again ? bus_again(parts, wire.a.symbol, a, b) : -1;
            if (!wanted(a) && !wanted(b)) continue;
            Wire upper = wire, lower = wire;
            if (again) {
                lower.a = {bus, 0};
                lower.b.symbol = moved[index(wire.b.symbol)];
                if (wanted(b)) parts[b].sketch.wires.push_back(std::move(lower));
                continue;
            }
            upper.a.symbol = moved[index(wire.a.symbol)];
            lower.b.symbol = moved[index(wire.b.symbol)];
            if (a == b) {
                upper.b.symbol = moved[index(wire.b.symbol)];
                parts[a].sketch.wires.push_back(std::move(upper));
                continue;
            }
            if (wanted(a)) upper.b = {add_mark(parts[a], wire, true, b, wire.b), 0};
            if (wanted(b)) lower.a = {add_mark(parts[b], wire, false, a, wire.a), 0};
            if (!only_) {
                parts[a].marks.push_back({upper.b.symbol, static_cast<int>(b), lower.a.symbol});
                parts[b].marks.push_back({lower.a.symbol, static_cast<int>(a), upper.b.symbol});
            }
            if (wanted(a)) parts[a].sketch.wires.push_back(std::move(upper));
            if (wanted(b)) parts[b].sketch.wires.push_back(std::move(lower));
        }
        for (const Heading& heading : sketch_.headings)
            for (std::size_t g = only_.value_or(0); g <= only_.value_or(parts.size() - 1); ++g) {
                Heading here{heading.text, {}};
                for (const int s : heading.symbols)
                    if (part_of[index(s)] == g) here.symbols.push_back(moved[index(s)]);
                if (wanted(g) && !here.symbols.empty()) parts[g].sketch.headings.push_back(std::move(here));
            }
        note_buses(parts, part_of, moved);
        note_groups_elsewhere(parts, part_of, SymbolKind::foot);
        note_groups_elsewhere(parts, part_of, SymbolKind::hole);
        note_other_halves(parts, part_of, moved);
        share_out_tables(parts, part_of);
        for (SketchPart& part : parts) {
            part.sketch.jobs = sketch_.jobs;
            part.sketch.shows_changes = sketch_.shows_changes && shows_a_change(part.sketch);
        }
        return parts;
    }

    static bool shows_a_change(const Sketch& sketch) {
        return std::any_of(sketch.symbols.begin(), sketch.symbols.end(), [](const Symbol& s) { return s.job != 0; }) ||
               std::any_of(sketch.wires.begin(), sketch.wires.end(), [](const Wire& w) { return w.job != 0; });
    }

    int find(const std::string& key) const {
        if (by_key_.empty())
            for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
                by_key_.try_emplace(sketch_.symbols[s].key, static_cast<int>(s));
        const auto found = by_key_.find(key);
        return found == by_key_.end() ? -1 : found->second;
    }

    void note_other_halves(std::vector<SketchPart>& parts, const std::vector<std::size_t>& part_of,
                           const std::vector<int>& moved) const {
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            for (std::size_t h = 0; h < sketch_.symbols[s].other_halves.size(); ++h) {
                const int other = wanted(part_of[s]) ? find(sketch_.symbols[s].other_halves[h].key) : -1;
                if (other < 0 || part_of[index(other)] == part_of[s]) continue;
                SketchPart& here = parts[part_of[s]];
                here.sketch.symbols[index(moved[s])].other_halves[h].sheet =
                    "sheet " + std::to_string(part_of[index(other)] + 1);
                here.halves.push_back({moved[s], static_cast<int>(part_of[index(other)]), moved[index(other)]});
            }
    }

    void share_out_tables(std::vector<SketchPart>& parts, const std::vector<std::size_t>& part_of) const {
        for (const SideTable& table : sketch_.tables) {
            std::vector<int> shown(parts.size(), 0);
            for (const std::string& key : table.about)
                if (const int s = find(key); s >= 0) ++shown[part_of[index(s)]];
            const auto most = std::max_element(shown.begin(), shown.end());
            if (most != shown.end() && *most > 0 && wanted(static_cast<std::size_t>(most - shown.begin())))
                parts[static_cast<std::size_t>(most - shown.begin())].sketch.tables.push_back(table);
        }
    }

    // A stud or a plug that is drawn on other sheets too says on which: each foot, because one looks at one path; of a plug's holes the first.
    void note_groups_elsewhere(std::vector<SketchPart>& parts, const std::vector<std::size_t>& part_of,
                               SymbolKind kind) const {
        std::map<std::string, std::set<std::size_t>> sheets;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            if (sketch_.symbols[s].kind == kind && !sketch_.symbols[s].group.empty())
                sheets[sketch_.symbols[s].group].insert(part_of[s]);
        for (std::size_t g = 0; g < parts.size(); ++g) {
            std::set<std::string> said;
            for (Symbol& s : parts[g].sketch.symbols) {
                if (s.kind != kind || s.group.empty()) continue;
                if (kind == SymbolKind::hole && !said.insert(s.group).second) continue;
                std::vector<std::size_t> others;
                for (const std::size_t sheet : sheets[s.group])
                    if (sheet != g) others.push_back(sheet);
                // A plug that is spread over many sheets would say so everywhere: the contents list them.
                constexpr std::size_t spread = 2;
                if (others.empty() || (kind == SymbolKind::hole && others.size() > spread)) continue;
                s.lines.push_back("also " + sheet_list(others));
            }
        }
    }

    const Sketch& sketch_;
    Grouping groups_;
    std::optional<std::size_t> only_;
    mutable std::map<std::string, int> by_key_;        // filled when first asked
    std::map<std::pair<int, std::size_t>, int> buses_; // bus and part: its copy there
};

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
            if (protects(kind) || (buses && kind == SymbolKind::bus)) {
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
        const bool feeds = protects(kind) || kind == SymbolKind::battery || kind == SymbolKind::alternator ||
                           kind == SymbolKind::supply || kind == SymbolKind::existing || kind == SymbolKind::bus;
        if (feeds) fed[index(find(static_cast<int>(s)))] = true;
    }
    for (std::size_t s = 0; s < root.size(); ++s) stray[s] = !fed[index(find(static_cast<int>(s)))];
    return stray;
}

Grouping group(const Sketch& sketch, std::size_t limit) { return Splitter(sketch, limit).group(); }

std::vector<std::string> functions_of(const Sketch& sketch, const std::vector<int>& symbols) {
    std::set<std::string> found;
    for (const int s : symbols) {
        const Symbol& symbol = sketch.symbols[index(s)];
        switch (symbol.kind) {
        case SymbolKind::lamp:
        case SymbolKind::led:
        case SymbolKind::motor:
        case SymbolKind::horn:
        case SymbolKind::load:
        case SymbolKind::unit:
            if (!symbol.lines.empty())
                found.insert(lower(symbol.lines.front().substr(0, symbol.lines.front().find(','))));
            break;
        default: break;
        }
    }
    return {found.begin(), found.end()};
}

char job_of(const Sketch& sketch, const std::vector<int>& symbols) {
    const std::set<int> here(symbols.begin(), symbols.end());
    char first = 0;
    const auto note = [&](char letter) {
        if (letter != 0 && (first == 0 || letter < first)) first = letter;
    };
    for (const int s : symbols) note(sketch.symbols[index(s)].job);
    for (const Wire& w : sketch.wires)
        if (here.contains(w.b.symbol)) note(w.job);
    return first;
}

SketchPart cut_one(const Sketch& sketch, const Grouping& grouping, std::size_t g) {
    return std::move(Cutter(sketch, grouping, g).run()[g]);
}

std::vector<SketchPart> cut(const Sketch& sketch, const Grouping& grouping) { return Cutter(sketch, grouping).run(); }

} // namespace loomproof::draw
