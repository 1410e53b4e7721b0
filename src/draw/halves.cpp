#include "draw/halves.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <string>

namespace loomproof::draw {
namespace {

// What hangs together once the plug is pulled. Body and studs tie nothing together: both sides of most plugs are grounded.
class Pulled {
  public:
    Pulled(const View& view, PartId plug, bool all_plugs) : parent_(view.circuit().terminals.size()) {
        std::iota(parent_.begin(), parent_.end(), 0U);
        const Circuit& c = view.circuit();
        for (const WireId w : view.wires())
            if (!grounded(c, c.at(w).a) && !grounded(c, c.at(w).b)) join(c.at(w).a.index, c.at(w).b.index);
        for (const PartId id : view.parts()) {
            const Part& part = c.at(id);
            if (part.kind == Kind::ground || part.kind == Kind::metal || part.kind == Kind::engine) continue;
            if (part.kind == Kind::connector) {
                for (std::size_t i = 0; !all_plugs && id != plug && i + 1 < part.terminals.size(); i += 2)
                    join(part.terminals[i].index, part.terminals[i + 1].index);
                continue;
            }
            for (const TerminalId t : part.terminals) join(part.terminals.front().index, t.index);
        }
        for (const PartId id : view.parts())
            if (const Kind kind = c.at(id).kind;
                kind == Kind::battery || kind == Kind::alternator || kind == Kind::supply ||
                (kind == Kind::existing_wire && view.word(id, Attr::ground_side).empty()))
                for (const TerminalId t : c.at(id).terminals) supplies_.insert(piece(t));
        for (const WireId w : view.wires())
            for (const TerminalId t : {c.at(w).a, c.at(w).b})
                if (const TerminalId there = c.at(w).other(t); grounded(c, there))
                    metals_[piece(t)].insert(metal_of(view, there));
    }

    std::uint32_t piece(TerminalId t) const {
        std::uint32_t at = t.index;
        while (parent_[at] != at) at = parent_[at];
        return at;
    }
    bool has_supply(std::uint32_t piece) const { return supplies_.contains(piece); }
    /// The pieces of metal on which its wires end: body, trailer.
    const std::set<std::string>& metals(std::uint32_t piece) const {
        static const std::set<std::string> none;
        const auto found = metals_.find(piece);
        return found == metals_.end() ? none : found->second;
    }

  private:
    static bool grounded(const Circuit& c, TerminalId t) {
        const Kind kind = c.part_of(t).kind;
        return kind == Kind::ground || kind == Kind::metal;
    }
    static std::string metal_of(const View& view, TerminalId t) {
        const Part& part = view.circuit().part_of(t);
        if (part.kind == Kind::metal) return lower(part.name);
        const std::string said = lower(view.word(view.circuit().at(t).part, Attr::case_grounded));
        return said.empty() || said == "*" || said == "on" ? "body" : said;
    }
    void join(std::uint32_t a, std::uint32_t b) {
        while (parent_[a] != a) a = parent_[a] = parent_[parent_[a]];
        while (parent_[b] != b) b = parent_[b] = parent_[parent_[b]];
        parent_[std::max(a, b)] = std::min(a, b);
    }
    std::vector<std::uint32_t> parent_;
    std::set<std::uint32_t> supplies_;
    std::map<std::uint32_t, std::set<std::string>> metals_; // by piece
};

// Both ends of a hole are on opposite halves, all ends of one piece on the same: two colours.
Halves coloured(const View& view, PartId plug, const Pulled& pulled) {
    const std::vector<TerminalId>& terminals = view.circuit().at(plug).terminals;
    const auto wired = [&](std::size_t t) { return !view.wires_at(terminals[t]).empty(); };
    std::map<std::uint32_t, std::vector<std::uint32_t>> opposite;
    for (std::size_t i = 0; i + 1 < terminals.size(); i += 2) {
        for (const std::size_t t : {i, i + 1})
            if (wired(t)) opposite[pulled.piece(terminals[t])];
        if (!wired(i) || !wired(i + 1)) continue;
        opposite[pulled.piece(terminals[i])].push_back(pulled.piece(terminals[i + 1]));
        opposite[pulled.piece(terminals[i + 1])].push_back(pulled.piece(terminals[i]));
    }
    std::map<std::uint32_t, int> half;
    struct Group {
        std::vector<std::uint32_t> pieces;
        bool supply[2] = {false, false};
    };
    std::vector<Group> groups;
    // In the order of the holes, so that the first wire of the text is on the first half where nothing else tells.
    for (std::size_t t = 0; t < terminals.size(); ++t) {
        if (!wired(t) || half.contains(pulled.piece(terminals[t]))) continue;
        Group group;
        std::vector<std::uint32_t> open{pulled.piece(terminals[t])};
        half[open.front()] = static_cast<int>(t % 2);
        while (!open.empty()) {
            const std::uint32_t piece = open.back();
            open.pop_back();
            group.pieces.push_back(piece);
            if (pulled.has_supply(piece)) group.supply[half[piece]] = true;
            for (const std::uint32_t other : opposite[piece]) {
                const auto [known, fresh] = half.try_emplace(other, 1 - half[piece]);
                if (fresh)
                    open.push_back(other);
                else if (known->second == half[piece])
                    return {};
            }
        }
        groups.push_back(std::move(group));
    }
    Halves out;
    out.supply_known = true;
    const auto turn = [&](const Group& group) {
        for (const std::uint32_t piece : group.pieces) half[piece] = 1 - half[piece];
    };
    std::set<std::string> metals[2]; // on which only that half's wires end
    for (const Group& group : groups) {
        if (group.supply[0] == group.supply[1]) continue;
        if (group.supply[1]) turn(group);
        for (const std::uint32_t piece : group.pieces)
            metals[half[piece]].insert(pulled.metals(piece).begin(), pulled.metals(piece).end());
    }
    for (const std::string& both : std::set<std::string>(metals[0]))
        if (metals[1].erase(both) > 0) metals[0].erase(both);
    // What no supply tells, the metal may: a trailer's ground wire goes from the trailer to the car's body.
    for (const Group& group : groups) {
        if (group.supply[0] != group.supply[1]) continue;
        int right = 0;
        for (const std::uint32_t piece : group.pieces)
            for (const std::string& metal : pulled.metals(piece))
                for (const int side : {0, 1})
                    if (metals[side].contains(metal)) right += side == half[piece] ? 1 : -1;
        if (right < 0) turn(group);
        out.supply_known = out.supply_known && right != 0;
    }
    out.decided = groups.size() == 1 || out.supply_known;
    if (!out.decided) return {};
    for (std::size_t i = 0; i + 1 < terminals.size(); i += 2) {
        const bool first = wired(i);
        out.swapped.push_back((first || wired(i + 1)) &&
                              half[pulled.piece(terminals[first ? i : i + 1])] != (first ? 0 : 1));
    }
    return out;
}

} // namespace

Halves halves_of(const View& view, PartId connector) {
    Halves out = coloured(view, connector, Pulled(view, connector, false));
    // Where the sides meet again in another plug: with all of them pulled.
    if (!out.decided) out = coloured(view, connector, Pulled(view, connector, true));
    if (!out.decided) out.swapped.assign(view.circuit().at(connector).terminals.size() / 2, false);
    return out;
}

} // namespace loomproof::draw
