#include "draw/lookup.hpp"

#include "draw/feeds.hpp"

#include <algorithm>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

} // namespace

Lookup::Lookup(const Sketch& sketch)
    : about_(sketch.tables.size()),
      wires_at_(sketch.symbols.size()),
      group_of_(sketch.symbols.size(), -1),
      feeds_on_(sketch.symbols.size(), false) {
    std::map<std::string, std::vector<int>> by_group;
    std::vector<int> buses;
    for (std::size_t i = 0; i < sketch.symbols.size(); ++i) {
        const Symbol& s = sketch.symbols[i];
        by_key_.try_emplace(s.key, static_cast<int>(i));
        if (s.kind == SymbolKind::bus) buses.push_back(static_cast<int>(i));
        if (s.group.empty()) continue;
        by_group[s.group].push_back(static_cast<int>(i));
        if (s.kind == SymbolKind::hole && !s.place.empty()) plug_places_.try_emplace(s.group, s.place);
    }
    for (auto& [name, symbols] : by_group) {
        for (const int s : symbols) group_of_[index(s)] = static_cast<int>(groups_.size());
        groups_.push_back(std::move(symbols));
    }
    for (std::size_t t = 0; t < sketch.tables.size(); ++t)
        for (const std::string& key : sketch.tables[t].about)
            if (const int s = symbol(key); s >= 0) about_[t].push_back(s);
    for (std::size_t i = 0; i < sketch.wires.size(); ++i) {
        const Wire& w = sketch.wires[i];
        wires_at_[index(w.a.symbol)].push_back(static_cast<int>(i));
        if (w.b.symbol != w.a.symbol) wires_at_[index(w.b.symbol)].push_back(static_cast<int>(i));
    }
    const std::vector<Feeds> feeds = feeds_of(sketch, buses);
    for (std::size_t b = 0; b < buses.size(); ++b) {
        const std::vector<int>& wires = wires_at(buses[b]);
        feeds_on_[index(buses[b])] =
            !feeds[b].through_load &&
            std::any_of(wires.begin(), wires.end(), [&](int w) { return sketch.wires[index(w)].b.symbol == buses[b]; });
    }
}

int Lookup::symbol(const std::string& key) const {
    const auto found = by_key_.find(key);
    return found == by_key_.end() ? -1 : found->second;
}

const std::string* Lookup::place_of_plug(const std::string& group) const {
    const auto found = plug_places_.find(group);
    return found == plug_places_.end() ? nullptr : &found->second;
}

} // namespace loomproof::draw
