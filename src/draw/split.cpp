#include "draw/split.hpp"

#include "base/words.hpp"
#include "draw/feeds.hpp"
#include "draw/functions.hpp"
#include "draw/symbols.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

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
    Cutter(const Sketch& sketch, const Keys& keys, const Grouping& grouping,
           std::optional<std::size_t> only = std::nullopt)
        : sketch_(sketch), keys_(keys), groups_(grouping), only_(only) {}

    // A symbol of a sheet.
    struct Place {
        std::size_t part = 0;
        int symbol = 0;
        int taps = 0; ///< of a bus: wires that leave it there, where they are few enough to be named
    };

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

    // A wire is cut in pieces by the plugs that it passes, and each has its own length.
    std::string length_of_what(const Wire& wire) const {
        if (!wire.piece.empty()) return "";
        for (const End& end : {wire.a, wire.b})
            if (sketch_.symbols[index(end.symbol)].kind == SymbolKind::hole)
                return " from " + sketch_.symbols[index(end.symbol)].name;
        return " in all";
    }

    int add_mark(SketchPart& part, const Wire& wire, bool upper, std::size_t other, const End& far) {
        Symbol mark;
        mark.kind = SymbolKind::off_sheet;
        mark.key = wire.key + (upper ? "/on" : "/from");
        mark.rating = std::string(wire.either_way ? "joins: sheet "
                                  : upper         ? "goes on: sheet "
                                                  : "comes from: sheet ") +
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
        parts[part].sketch.symbols.push_back(std::move(copy));
        parts[part].from.push_back(-1);
        say_elsewhere(parts, part, at->second, fed_from_above(bus) ? "fed on" : "also",
                      {{home, moved_[index(bus)], 0}});
        return at->second;
    }

    // Does it share out what comes from a battery? A bus on the ground side gathers what loads have let through.
    bool fed_from_above(int bus) const {
        return !feeds_of(sketch_, bus).through_load && std::any_of(sketch_.wires.begin(), sketch_.wires.end(),
                                                                   [&](const Wire& w) { return w.b.symbol == bus; });
    }

    // At home a bus says where else it stands.
    void note_buses(std::vector<SketchPart>& parts) const {
        constexpr int most_named = 4;
        std::map<int, std::vector<Place>> elsewhere;
        for (const auto& [key, symbol] : buses_) {
            const int taps = taps_.at(key);
            elsewhere[key.first].push_back({key.second, symbol, taps > 1 && taps <= most_named ? taps : 0});
        }
        for (const auto& [bus, places] : elsewhere)
            if (wanted(part_of_[index(bus)]))
                say_elsewhere(parts, part_of_[index(bus)], moved_[index(bus)], "also", places);
    }

    // "also sheet 2, path 4", a line for each sheet; of many the first so, of the others the sheets; of very many only how
    // many more there are: the contents name them all.
    static void say_elsewhere(std::vector<SketchPart>& parts, std::size_t part, int symbol, const std::string& before,
                              const std::vector<Place>& places) {
        // Nobody reads more sheets, and more words push parts off their own.
        constexpr std::size_t most = 3, most_sheets = 8;
        std::vector<std::string>& lines = parts[part].sketch.symbols[index(symbol)].lines;
        // Under a foot there is no room for the paths on several sheets: its name leads to it there.
        const bool foot = parts[part].sketch.symbols[index(symbol)].kind == SymbolKind::foot;
        if (foot && places.size() > most_sheets) {
            lines.push_back(before + " on " + std::to_string(places.size()) + " other sheets");
            return;
        }
        const auto sheets_from = [&](std::size_t first) {
            std::string sheets;
            for (std::size_t i = first; i < places.size(); ++i)
                sheets += (sheets.empty() ? "" : ", ") + std::to_string(places[i].part + 1);
            return sheets;
        };
        if (foot && places.size() > 1) {
            lines.push_back(before + " sheets " + sheets_from(0));
            return;
        }
        const std::size_t said = places.size() > most ? 1 : places.size();
        for (std::size_t i = 0; i < said; ++i) {
            // "fed on sheet 2," and the path below it; under a foot there is hardly ever room for one line.
            const bool one_line =
                before.size() < 5 && parts[part].sketch.symbols[index(symbol)].kind != SymbolKind::foot;
            lines.push_back(before + "\u00A0sheet\u00A0" + std::to_string(places[i].part + 1) +
                            (one_line && places[i].taps < 2 ? ",\u00A0" : ", ") +
                            paths_blank(static_cast<std::size_t>(places[i].taps)));
            parts[part].elsewhere.push_back(
                {symbol, static_cast<int>(places[i].part), places[i].symbol, places[i].taps});
        }
        if (said < places.size())
            lines.push_back(places.size() <= most_sheets
                                ? "and sheets " + sheets_from(said)
                                : "and on " + std::to_string(places.size() - said) + " more sheets");
    }

    bool wanted(std::size_t part) const { return !only_ || *only_ == part; }

    std::vector<SketchPart> run() {
        std::vector<SketchPart> parts(groups_.size());
        part_of_.assign(sketch_.symbols.size(), 0);
        moved_.assign(sketch_.symbols.size(), 0);
        for (std::size_t g = 0; g < groups_.size(); ++g) {
            // In the order of the whole sketch, whichever way the groups came together.
            std::sort(groups_[g].begin(), groups_[g].end());
            for (std::size_t i = 0; i < groups_[g].size(); ++i) {
                const int s = groups_[g][i];
                part_of_[index(s)] = g;
                moved_[index(s)] = static_cast<int>(i);
                if (!wanted(g)) continue;
                parts[g].sketch.symbols.push_back(sketch_.symbols[index(s)]);
                parts[g].from.push_back(s);
            }
        }
        for (const Wire& wire : sketch_.wires) {
            const std::size_t a = part_of_[index(wire.a.symbol)], b = part_of_[index(wire.b.symbol)];
            const bool again = a != b && is_bus(sketch_, wire.a.symbol);
            const int bus = again ? bus_again(parts, wire.a.symbol, a, b) : -1;
            if (again) ++taps_[{wire.a.symbol, b}];
            if (!wanted(a) && !wanted(b)) continue;
            Wire upper = wire, lower = wire;
            if (again) {
                lower.a = {bus, 0};
                lower.b.symbol = moved_[index(wire.b.symbol)];
                if (wanted(b)) parts[b].sketch.wires.push_back(std::move(lower));
                continue;
            }
            upper.a.symbol = moved_[index(wire.a.symbol)];
            lower.b.symbol = moved_[index(wire.b.symbol)];
            // On both sheets it is the same wire: its length is not that of what is seen of it.
            if (a != b && !wire.length.empty()) upper.length = lower.length = wire.length + length_of_what(wire);
            if (a == b) {
                upper.b.symbol = moved_[index(wire.b.symbol)];
                parts[a].sketch.wires.push_back(std::move(upper));
                continue;
            }
            if (wanted(a)) upper.b = {add_mark(parts[a], wire, true, b, wire.b), 0};
            if (wanted(b)) lower.a = {add_mark(parts[b], wire, false, a, wire.a), 0};
            if (!only_) {
                parts[a].marks.push_back({upper.b.symbol, static_cast<int>(b), lower.a.symbol, 0});
                parts[b].marks.push_back({lower.a.symbol, static_cast<int>(a), upper.b.symbol, 0});
            }
            if (wanted(a)) parts[a].sketch.wires.push_back(std::move(upper));
            if (wanted(b)) parts[b].sketch.wires.push_back(std::move(lower));
        }
        for (const Heading& heading : sketch_.headings)
            for (std::size_t g = only_.value_or(0); g <= only_.value_or(parts.size() - 1); ++g) {
                if (!wanted(g)) continue;
                std::vector<int> those;
                for (const int s : heading.symbols)
                    if (part_of_[index(s)] == g) those.push_back(s);
                if (those.empty()) continue;
                Heading here = heading_of_some(sketch_, heading, std::move(those));
                for (int& s : here.symbols) s = moved_[index(s)];
                parts[g].sketch.headings.push_back(std::move(here));
            }
        head_fuses(parts);
        name_plugs(parts);
        note_buses(parts);
        note_groups_elsewhere(parts, SymbolKind::foot);
        note_groups_elsewhere(parts, SymbolKind::hole);
        note_other_halves(parts);
        share_out_tables(parts);
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

    // A fuse whose loads all stand elsewhere says itself what it is for.
    void head_fuses(std::vector<SketchPart>& parts) const {
        std::set<std::pair<std::size_t, int>> headed; // sheet, fuse
        for (const Heading& heading : sketch_.headings)
            for (const int s : heading.symbols)
                for (const int f : heading.fuses) headed.insert({part_of_[index(s)], f});
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const int fuse = static_cast<int>(s);
            const std::size_t g = part_of_[s];
            if (!wanted(g) || !is_fuse(sketch_.symbols[s].kind) || sketch_.symbols[s].removed ||
                sketch_.symbols[s].lines.empty() || headed.contains({g, fuse}))
                continue;
            parts[g].sketch.headings.push_back({with_capital(said_of_fuse(sketch_, fuse)), {moved_[s]}, {fuse}});
        }
    }

    void note_other_halves(std::vector<SketchPart>& parts) const {
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            for (std::size_t h = 0; h < sketch_.symbols[s].other_halves.size(); ++h) {
                const int other = wanted(part_of_[s]) ? keys_.symbol(sketch_.symbols[s].other_halves[h].key) : -1;
                if (other < 0 || part_of_[index(other)] == part_of_[s]) continue;
                SketchPart& here = parts[part_of_[s]];
                here.sketch.symbols[index(moved_[s])].other_halves[h].sheet =
                    "sheet " + std::to_string(part_of_[index(other)] + 1);
                here.elsewhere.push_back(
                    {moved_[s], static_cast<int>(part_of_[index(other)]), moved_[index(other)], 0});
            }
    }

    // What and where a plug is stands at its first hole: on every sheet that shows any of them.
    void name_plugs(std::vector<SketchPart>& parts) const {
        std::map<std::string, std::string> places;
        for (const Symbol& s : sketch_.symbols)
            if (s.kind == SymbolKind::hole && !s.group.empty() && !s.place.empty())
                places.try_emplace(s.group, s.place);
        for (SketchPart& part : parts) {
            std::set<std::string> named;
            for (const Symbol& s : part.sketch.symbols)
                if (s.kind == SymbolKind::hole && !s.place.empty()) named.insert(s.group);
            for (Symbol& s : part.sketch.symbols)
                if (const auto at = places.find(s.group);
                    s.kind == SymbolKind::hole && at != places.end() && named.insert(s.group).second)
                    s.place = at->second;
        }
    }

    void share_out_tables(std::vector<SketchPart>& parts) const {
        for (std::size_t t = 0; t < sketch_.tables.size(); ++t) {
            const SideTable& table = sketch_.tables[t];
            std::vector<int> shown(parts.size(), 0);
            for (const int s : keys_.about(t)) ++shown[part_of_[index(s)]];
            const auto most = std::max_element(shown.begin(), shown.end());
            if (most != shown.end() && *most > 0 && wanted(static_cast<std::size_t>(most - shown.begin())))
                parts[static_cast<std::size_t>(most - shown.begin())].sketch.tables.push_back(table);
        }
    }

    // A stud or a plug that is drawn on other sheets too says where: its first foot or hole on each sheet, to which the others lead.
    void note_groups_elsewhere(std::vector<SketchPart>& parts, SymbolKind kind) const {
        std::map<std::string, std::vector<Place>> by_group;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const Symbol& symbol = sketch_.symbols[s];
            if (symbol.kind != kind || symbol.group.empty()) continue;
            std::vector<Place>& places = by_group[symbol.group];
            const auto same_sheet = [&](const Place& place) { return place.part == part_of_[s]; };
            if (std::none_of(places.begin(), places.end(), same_sheet)) places.push_back({part_of_[s], moved_[s], 0});
        }
        // A plug that is spread over many sheets would say so everywhere: the contents list them.
        constexpr std::size_t spread = 3;
        for (auto& [group, places] : by_group) {
            if (kind == SymbolKind::hole && places.size() > spread) continue;
            std::sort(places.begin(), places.end(), [](const Place& a, const Place& b) { return a.part < b.part; });
            for (const Place& here : places) {
                if (!wanted(here.part)) continue;
                std::vector<Place> others;
                for (const Place& place : places)
                    if (place.part != here.part) others.push_back(place);
                say_elsewhere(parts, here.part, here.symbol, "also", others);
            }
        }
    }

    const Sketch& sketch_;
    const Keys& keys_;
    Grouping groups_;
    std::optional<std::size_t> only_;
    std::vector<std::size_t> part_of_;                 // by symbol
    std::vector<int> moved_;                           // by symbol: its index in its part
    std::map<std::pair<int, std::size_t>, int> buses_; // bus and part: its copy there
    std::map<std::pair<int, std::size_t>, int> taps_;  // the same: how many wires leave it there
};

} // namespace

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

Keys::Keys(const Sketch& sketch) : about_(sketch.tables.size()) {
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        by_key_.try_emplace(sketch.symbols[s].key, static_cast<int>(s));
    for (std::size_t t = 0; t < sketch.tables.size(); ++t)
        for (const std::string& key : sketch.tables[t].about)
            if (const int s = symbol(key); s >= 0) about_[t].push_back(s);
}

int Keys::symbol(const std::string& key) const {
    const auto found = by_key_.find(key);
    return found == by_key_.end() ? -1 : found->second;
}

SketchPart cut_one(const Sketch& sketch, const Keys& keys, const Grouping& grouping, std::size_t g) {
    return std::move(Cutter(sketch, keys, grouping, g).run()[g]);
}

std::vector<SketchPart> cut(const Sketch& sketch, const Grouping& grouping) {
    return Cutter(sketch, Keys(sketch), grouping).run();
}

} // namespace loomproof::draw
