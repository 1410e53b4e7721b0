#include "draw/titles.hpp"

#include "base/number.hpp"
#include "draw/functions.hpp"
#include "draw/picture.hpp"
#include "paper/type.hpp"

#include <algorithm>
#include <map>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// What stands on a sheet, as far as its title speaks of it.
class Speaker {
  public:
    Speaker(const Sketch& whole, const std::vector<Feeds>& feeds, const std::vector<int>& symbols)
        : whole_(whole), feeds_(feeds), symbols_(symbols) {}

    std::string run(Detail detail, bool fuses) const {
        std::vector<std::string> said;
        if (std::string supply = the_supply(); !supply.empty()) said.push_back(std::move(supply));
        for (std::string& one : the_loads(detail, fuses)) said.push_back(std::move(one));
        const bool only_fuses = std::none_of(symbols_.begin(), symbols_.end(),
                                             [&](int s) { return is_for_something(at(s)) && !called(at(s)).empty(); });
        if (only_fuses && !said.empty() && !has(SymbolKind::battery))
            for (std::string& relay : the_relays()) said.push_back(std::move(relay));
        if (said.empty()) said.push_back(the_rest());
        std::string text;
        for (const std::string& one : said) text += (text.empty() ? "" : "; ") + one;
        return with_capital(text);
    }

  private:
    const Symbol& at(int s) const { return whole_.symbols[index(s)]; }

    bool has(SymbolKind kind) const {
        return std::any_of(symbols_.begin(), symbols_.end(),
                           [&](int s) { return at(s).kind == kind && !at(s).removed; });
    }

    // "supply with starter and alternator"
    std::string the_supply() const {
        std::vector<std::string> machines;
        if (has(SymbolKind::starter)) machines.emplace_back("starter");
        if (has(SymbolKind::alternator)) machines.emplace_back("alternator");
        if (has(SymbolKind::battery)) return "supply" + (machines.empty() ? "" : " with " + list_of(machines));
        return machines.empty() ? "" : list_of(machines);
    }

    std::string names_of(const std::vector<int>& fuses) const {
        std::string text;
        for (const int f : fuses)
            if (!at(f).name.empty()) text += (text.empty() ? "" : ", ") + at(f).name;
        return text.empty() ? "" : " (" + text + ")";
    }

    // In the order in which their first load stands in the file.
    std::vector<std::string> the_loads(Detail detail, bool with_fuses) const {
        struct Fed {
            std::vector<int> fuses, loads;
        };
        std::vector<Fed> all;
        std::vector<bool> named(whole_.symbols.size(), false);
        for (const int s : symbols_) {
            if (!is_for_something(at(s)) || called(at(s)).empty()) continue;
            const Feeds& feeds = feeds_[index(s)];
            for (const int f : feeds.fuses) named[index(f)] = true;
            auto found = std::find_if(all.begin(), all.end(), [&](const Fed& fed) { return fed.fuses == feeds.fuses; });
            if (found == all.end()) found = all.insert(all.end(), {feeds.fuses, {}});
            found->loads.push_back(s);
        }
        std::vector<std::string> said;
        for (const Fed& fed : all)
            said.push_back(words_for(fed.loads, fed.fuses, detail) + (with_fuses ? names_of(fed.fuses) : ""));
        for (const int s : symbols_)
            if (is_fuse(at(s).kind) && !named[index(s)] && !at(s).removed)
                said.push_back(said_of_fuse(whole_, s) == called(at(s)) && at(s).lines.empty()
                                   ? called(at(s)) // "fuse F8"
                                   : said_of_fuse(whole_, s) + (with_fuses ? names_of({s}) : ""));
        said.erase(std::unique(said.begin(), said.end()), said.end());
        return said;
    }

    // Loads that nobody named are what their only fuse is for.
    std::string words_for(const std::vector<int>& loads, const std::vector<int>& fuses, Detail detail) const {
        const auto has_words = [&](int s) { return !at(s).lines.empty(); };
        const bool fuse_says_it =
            fuses.size() == 1 && has_words(fuses.front()) && std::none_of(loads.begin(), loads.end(), has_words);
        if (fuse_says_it) return at(fuses.front()).lines.front();
        std::vector<std::string> all;
        for (const int s : loads) {
            std::string one = summed_up(whole_, alike(s, loads), "", detail);
            if (std::find(all.begin(), all.end(), one) == all.end()) all.push_back(std::move(one));
        }
        return list_of(all);
    }
    // Those of the loads that are called the same but for which of several they are.
    std::vector<int> alike(int load, const std::vector<int>& loads) const {
        const auto what = [&](int s) { return called(at(s)).substr(0, called(at(s)).find(", ")); };
        std::vector<int> found;
        for (const int s : loads)
            if (what(s) == what(load)) found.push_back(s);
        return found;
    }

    // "fan relay (K1)": what a sheet without loads is about.
    std::vector<std::string> the_relays() const {
        std::vector<std::string> names;
        for (const int s : symbols_) {
            const Symbol& symbol = at(s);
            const bool relay = symbol.kind == SymbolKind::relay || symbol.kind == SymbolKind::coil ||
                               symbol.kind == SymbolKind::contact;
            if (!relay || symbol.name.empty() || symbol.removed) continue;
            std::string name =
                symbol.lines.empty() ? "relay " + symbol.name : symbol.lines.front() + " (" + symbol.name + ")";
            if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(std::move(name));
        }
        return names;
    }

    // No load, no fuse, no supply: switches, relays, wires left over. "Ignition (S1), light switch (S2) and dip switch (S3)".
    std::string the_rest() const {
        constexpr std::size_t most = 4;
        std::vector<std::string> deciding, feeding, others;
        for (const int s : symbols_) {
            const Symbol& symbol = at(s);
            const SymbolKind kind = symbol.kind;
            if (kind == SymbolKind::hole || kind == SymbolKind::foot || symbol.name.empty() || symbol.removed) continue;
            const bool decides = kind == SymbolKind::table_switch || kind == SymbolKind::lever_switch ||
                                 kind == SymbolKind::relay || kind == SymbolKind::coil || kind == SymbolKind::contact;
            // What a joint does ("works the dip relays") says less than what feeds it, and of that the caption says where it is.
            const bool feeds = kind == SymbolKind::existing || kind == SymbolKind::supply;
            const std::string words = symbol.lines.empty() ? "" : symbol.lines.front();
            std::string name = words.empty()
                                   ? called(symbol)
                                   : (feeds ? words.substr(0, words.find(", ")) : words) + " (" + symbol.name + ")";
            std::vector<std::string>& names = decides ? deciding : feeds ? feeding : others;
            if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(std::move(name));
        }
        std::vector<std::string>& names = !deciding.empty() ? deciding : !feeding.empty() ? feeding : others;
        if (names.empty()) return symbols_.size() == whole_.symbols.size() ? "circuit" : "further parts";
        if (names.size() > most) {
            names.resize(most - 1);
            names.emplace_back("more");
        }
        return list_of(names);
    }

    const Sketch& whole_;
    const std::vector<Feeds>& feeds_;
    const std::vector<int>& symbols_;
};

} // namespace

std::string title_of(const Sketch& whole, const std::vector<Feeds>& feeds, const std::vector<int>& symbols) {
    return Speaker(whole, feeds, symbols).run(Detail::all, true);
}

std::string short_title_of(const Sketch& whole, const std::vector<Feeds>& feeds, const std::vector<int>& symbols,
                           const std::string& before, double width) {
    constexpr std::size_t most_lines = 2;
    const Speaker speaker(whole, feeds, symbols);
    std::string text;
    for (const auto& [detail, fuses] :
         {std::pair{Detail::all, true}, {Detail::without_which, true}, {Detail::without_which, false}}) {
        text = speaker.run(detail, fuses);
        if (paper::broken_into_lines(before + text, width, size_of(WordKind::title), paper::Weight::bold).size() <=
            most_lines)
            break;
    }
    return text;
}

} // namespace loomproof::draw
