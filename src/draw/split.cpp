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
    Cutter(const Sketch& sketch, const Lookup& lookup, const Grouping& grouping,
           std::optional<std::size_t> only = std::nullopt)
        : sketch_(sketch), lookup_(lookup), groups_(grouping), only_(only) {}

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
        for (const int at : lookup_.wires_at(s))
            if (const Wire& w = sketch_.wires[index(at)]; w.job == 0 && !w.label.empty())
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
        say_elsewhere(parts, part, at->second, lookup_.feeds_on(bus) ? "fed on" : "also",
                      {{home, moved_[index(bus)], 0}});
        return at->second;
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
            for (const int s : groups_[g]) part_of_[index(s)] = g;
            if (!wanted(g)) continue;
            // In the order of the whole sketch, whichever way the groups came together.
            std::vector<int> symbols = groups_[g];
            std::sort(symbols.begin(), symbols.end());
            for (const int s : symbols) {
                moved_[index(s)] = static_cast<int>(parts[g].from.size());
                parts[g].sketch.symbols.push_back(sketch_.symbols[index(s)]);
                parts[g].from.push_back(s);
            }
            here_.insert(here_.end(), symbols.begin(), symbols.end());
        }
        std::sort(here_.begin(), here_.end());
        for (const int at : wires_here()) {
            const Wire& wire = sketch_.wires[index(at)];
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
        for (std::size_t p = 0; p < parts.size(); ++p) {
            if (!wanted(p)) continue;
            parts[p].sketch.jobs = sketch_.jobs;
            parts[p].sketch.shows_changes = sketch_.shows_changes && shows_a_change(parts[p].sketch);
        }
        return parts;
    }

    // Of the sketch, rising: those with an end on a wanted sheet.
    std::vector<int> wires_here() const {
        std::vector<int> wires;
        for (const int s : here_) {
            const std::vector<int>& at = lookup_.wires_at(s);
            wires.insert(wires.end(), at.begin(), at.end());
        }
        std::sort(wires.begin(), wires.end());
        wires.erase(std::unique(wires.begin(), wires.end()), wires.end());
        return wires;
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
                if (wanted(part_of_[index(s)]))
                    for (const int f : heading.fuses) headed.insert({part_of_[index(s)], f});
        for (const int fuse : here_) {
            const Symbol& symbol = sketch_.symbols[index(fuse)];
            const std::size_t g = part_of_[index(fuse)];
            if (!is_fuse(symbol.kind) || symbol.removed || symbol.lines.empty() || headed.contains({g, fuse})) continue;
            parts[g].sketch.headings.push_back(
                {with_capital(said_of_fuse(sketch_, fuse)), {moved_[index(fuse)]}, {fuse}});
        }
    }

    void note_other_halves(std::vector<SketchPart>& parts) const {
        for (const int s : here_) {
            const std::size_t home = part_of_[index(s)];
            const std::vector<OtherHalf>& halves = sketch_.symbols[index(s)].other_halves;
            for (std::size_t h = 0; h < halves.size(); ++h) {
                const int other = lookup_.symbol(halves[h].key);
                if (other < 0 || part_of_[index(other)] == home) continue;
                parts[home].sketch.symbols[index(moved_[index(s)])].other_halves[h].sheet =
                    "sheet " + std::to_string(part_of_[index(other)] + 1);
                parts[home].elsewhere.push_back(
                    {moved_[index(s)], static_cast<int>(part_of_[index(other)]), moved_[index(other)], 0});
            }
        }
    }

    // What and where a plug is stands at its first hole: on every sheet that shows any of them.
    void name_plugs(std::vector<SketchPart>& parts) const {
        for (SketchPart& part : parts) {
            std::set<std::string> named;
            for (const Symbol& s : part.sketch.symbols)
                if (s.kind == SymbolKind::hole && !s.place.empty()) named.insert(s.group);
            for (Symbol& s : part.sketch.symbols)
                if (const std::string* place = s.kind == SymbolKind::hole ? lookup_.place_of_plug(s.group) : nullptr;
                    place != nullptr && named.insert(s.group).second)
                    s.place = *place;
        }
    }

    void share_out_tables(std::vector<SketchPart>& parts) const {
        for (std::size_t t = 0; t < sketch_.tables.size(); ++t) {
            const SideTable& table = sketch_.tables[t];
            if (std::none_of(lookup_.about(t).begin(), lookup_.about(t).end(),
                             [&](int s) { return wanted(part_of_[index(s)]); }))
                continue;
            std::vector<int> shown(parts.size(), 0);
            for (const int s : lookup_.about(t)) ++shown[part_of_[index(s)]];
            const auto most = std::max_element(shown.begin(), shown.end());
            if (most != shown.end() && *most > 0 && wanted(static_cast<std::size_t>(most - shown.begin())))
                parts[static_cast<std::size_t>(most - shown.begin())].sketch.tables.push_back(table);
        }
    }

    // A stud or a plug that is drawn on other sheets too says where: its first foot or hole on each sheet, to which the others lead.
    void note_groups_elsewhere(std::vector<SketchPart>& parts, SymbolKind kind) const {
        std::set<int> groups; // in the order of their names
        for (const int s : here_)
            if (const int g = lookup_.group_of(s); g >= 0 && sketch_.symbols[index(s)].kind == kind) groups.insert(g);
        // A plug that is spread over many sheets would say so everywhere: the contents list them.
        constexpr std::size_t spread = 3;
        for (const int group : groups) {
            std::vector<Place> places;
            for (const int s : lookup_.of_group(group)) {
                if (sketch_.symbols[index(s)].kind != kind) continue;
                const auto same_sheet = [&](const Place& place) { return place.part == part_of_[index(s)]; };
                if (std::none_of(places.begin(), places.end(), same_sheet))
                    places.push_back({part_of_[index(s)], moved_[index(s)], 0});
            }
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
    const Lookup& lookup_;
    const Grouping& groups_;
    std::optional<std::size_t> only_;
    std::vector<int> here_; // symbols of the wanted parts, rising
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

SketchPart cut_one(const Sketch& sketch, const Lookup& lookup, const Grouping& grouping, std::size_t g) {
    return std::move(Cutter(sketch, lookup, grouping, g).run()[g]);
}

std::vector<SketchPart> cut(const Sketch& sketch, const Grouping& grouping) {
    return Cutter(sketch, Lookup(sketch), grouping).run();
}

} // namespace loomproof::draw
