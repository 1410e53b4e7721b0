#include "draw/functions.hpp"

#include "base/number.hpp"
#include "draw/split.hpp"

#include <algorithm>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

class Namer {
  public:
    Namer(const Sketch& sketch, const std::map<int, std::string>& titles) : sketch_(sketch), titles_(titles) {}

    // By the same owners by which sheets are cut, so that a title never names what hangs on another fuse. A fuse that feeds only a coil or a
    // switch is headed by what the file calls the fuse.
    std::vector<Heading> run() const {
        std::vector<Heading> headings;
        const std::vector<int> owner = owners(sketch_, false);
        std::map<int, std::vector<int>> loads;
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const Symbol& symbol = sketch_.symbols[s];
            const int load = static_cast<int>(s);
            if (is_for_something(symbol) && !called(load).empty())
                loads[owner[s] >= 0 ? owner[s] : load].push_back(load);
        }
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            if (owner[s] == static_cast<int>(s) && !sketch_.symbols[s].lines.empty())
                loads.try_emplace(owner[s], std::vector<int>{static_cast<int>(s)});
        for (const auto& [fuse, symbols] : loads) {
            Heading heading;
            heading.symbols = symbols;
            heading.text = summed_up(spoken_of(fuse, symbols));
            if (!heading.text.empty() && heading.text[0] >= 'a' && heading.text[0] <= 'z')
                heading.text[0] = static_cast<char>(heading.text[0] - 'a' + 'A');
            headings.push_back(std::move(heading));
        }
        return headings;
    }

  private:
    // "brake lamp, left" and "brake lamp, right" are "brake lamp, left and right".
    std::string summed_up(const std::vector<int>& symbols) const {
        struct Said {
            std::string what;
            std::vector<std::string> which;
        };
        std::vector<Said> all;
        for (const int s : symbols) {
            const std::string line = called(s);
            const std::size_t comma = line.find(", ");
            const std::string what = line.substr(0, comma),
                              which = comma == std::string::npos ? "" : line.substr(comma + 2);
            auto found = std::find_if(all.begin(), all.end(), [&](const Said& said) { return said.what == what; });
            if (found == all.end()) found = all.insert(all.end(), {what, {}});
            if (!which.empty() && std::find(found->which.begin(), found->which.end(), which) == found->which.end())
                found->which.push_back(which);
        }
        constexpr std::size_t most = 3;
        const std::size_t left_out = all.size() > most ? all.size() - most + 1 : 0;
        if (left_out > 0) all.resize(most - 1);
        std::string text;
        for (const Said& said : all) {
            text += (text.empty() ? "" : "; ") + said.what;
            if (!said.which.empty()) text += ", " + list_of(said.which);
        }
        if (left_out > 0) text += " and " + std::to_string(left_out) + " more";
        return text;
    }

    // What a load is called over its path: what the file calls it, else what it is.
    std::string called(int s) const {
        const Symbol& symbol = sketch_.symbols[index(s)];
        if (!symbol.lines.empty()) return symbol.lines.front();
        const auto title = titles_.find(s);
        return title == titles_.end() ? symbol.name : title->second + (symbol.name.empty() ? "" : " ") + symbol.name;
    }
    static bool is_for_something(const Symbol& symbol) {
        if (symbol.kind == SymbolKind::alternator || symbol.kind == SymbolKind::starter)
            return false; // they belong to the supply
        return symbol.is_load || symbol.kind == SymbolKind::beyond;
    }
    // A load that nobody named is what its fuse is for.
    std::vector<int> spoken_of(int fuse, const std::vector<int>& loads) const {
        const auto has_label = [&](int s) { return !sketch_.symbols[index(s)].lines.empty(); };
        const bool fuse_says_it =
            fuse >= 0 && !protector_label(fuse).empty() && std::none_of(loads.begin(), loads.end(), has_label);
        return fuse_says_it ? std::vector<int>{fuse} : loads;
    }
    std::string protector_label(int s) const {
        const Symbol& symbol = sketch_.symbols[index(s)];
        const bool protects = symbol.kind == SymbolKind::fuse || symbol.kind == SymbolKind::breaker;
        return !protects || symbol.lines.empty() ? "" : symbol.lines.front();
    }

    const Sketch& sketch_;
    const std::map<int, std::string>& titles_;
};

} // namespace

std::vector<Heading> headings_of(const Sketch& sketch, const std::map<int, std::string>& titles) {
    return Namer(sketch, titles).run();
}

} // namespace loomproof::draw
