#include "rules/spread.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

constexpr std::size_t most_ways = 6;
constexpr std::uint32_t impossible = 0xffffffff;

std::uint64_t positions_in(const Demands& demands, ControlId control) {
    for (const auto& [c, positions] : demands)
        if (c == control) return positions;
    return ~std::uint64_t{0};
}

/// Where the walk comes out on the other side of a primitive, or nothing where it does not pass.
TerminalId beyond(const Primitive& p, TerminalId from, const SpreadWish& wish) {
    if (p.part == wish.without_part || p.purpose == Purpose::suppressor) return {};
    const TerminalId to = p.a == from ? p.b : p.a;
    switch (p.element) {
    case Element::joint:
    case Element::meter: return to;
    case Element::contact: return wish.over_contacts ? to : TerminalId{};
    case Element::protector: return wish.over_protectors ? to : TerminalId{};
    case Element::junction: return wish.over_diodes && from == (wish.with_current ? p.a : p.b) ? to : TerminalId{};
    case Element::resistance:
    case Element::filament:
    case Element::machine:
    case Element::constant_power:
    case Element::source: break;
    }
    return {};
}

} // namespace

bool fit_together(const Demands& one, const Demands& other) {
    return std::ranges::all_of(one, [&](const auto& d) { return (d.second & positions_in(other, d.first)) != 0; });
}

Spread::Spread(const View& view, const SpreadWish& wish) : at_(view.circuit().terminals.size()), demand_sets_(1) {
    for (TerminalId t : wish.starts)
        if (t != wish.without_terminal) offer({t, Way::none, {}, 0});
    for (std::uint32_t i = 0; i < ways_.size(); ++i) step(view, wish, i);
}

void Spread::step(const View& view, const SpreadWish& wish, std::uint32_t way) {
    const Way from = ways_[way];
    if (wish.not_beyond && (*wish.not_beyond)[from.at.index] && from.before != Way::none) return;
    const auto go = [&](TerminalId to, EdgeRef edge, std::uint32_t demands) {
        if (!to.exists() || to == wish.without_terminal || demands == impossible) return;
        if (wish.not_into && (*wish.not_into)[to.index]) return;
        offer({to, way, edge, demands});
    };
    for (WireId w : view.wires_at(from.at)) go(view.circuit().at(w).other(from.at), {w, {}}, from.demands);
    for (PrimitiveId id : view.primitives_at(from.at)) {
        const Primitive& p = view.circuit().at(id);
        const TerminalId to = beyond(p, from.at, wish);
        if (!to.exists()) continue;
        if (p.element == Element::junction && wish.no_diode_into && (*wish.no_diode_into)[to.index]) continue;
        const bool switched = p.element == Element::contact && p.control.exists();
        go(to, {{}, id}, switched ? with_demand(from.demands, p.control, p.closed_in) : from.demands);
    }
}

void Spread::offer(const Way& way) {
    At& here = at_[way.at.index];
    std::size_t ways = 0;
    for (std::uint32_t known = here.first; known != Way::none; known = ways_[known].next, ++ways)
        if (covers(ways_[known].demands, way.demands)) return;
    if (ways >= most_ways) return;
    const auto number = static_cast<std::uint32_t>(ways_.size());
    (here.first == Way::none ? here.first : ways_[here.last].next) = number;
    here.last = number;
    ways_.push_back(way);
}

std::vector<std::uint32_t> Spread::ways_to(TerminalId t) const {
    std::vector<std::uint32_t> ways;
    for (std::uint32_t way = at_[t.index].first; way != Way::none; way = ways_[way].next) ways.push_back(way);
    return ways;
}

/// Is everything that `wide` asks for also asked for by `narrow`?
bool Spread::covers(std::uint32_t wide, std::uint32_t narrow) const {
    if (wide == narrow || wide == 0) return true;
    return std::ranges::all_of(demand_sets_[wide], [&](const auto& d) {
        return (positions_in(demand_sets_[narrow], d.first) & ~d.second) == 0;
    });
}

std::uint32_t Spread::with_demand(std::uint32_t set, ControlId control, std::uint64_t positions) {
    const auto [place, fresh] = known_sets_.try_emplace({set, control, positions}, impossible);
    if (!fresh) return place->second;
    Demands demands = demand_sets_[set];
    const auto here = std::ranges::find(demands, control, &Demands::value_type::first);
    if (here == demands.end()) {
        demands.emplace_back(control, positions);
    } else {
        here->second &= positions;
        if (here->second == 0) return impossible;
    }
    if (demands == demand_sets_[set]) return place->second = set;
    demand_sets_.push_back(std::move(demands));
    return place->second = static_cast<std::uint32_t>(demand_sets_.size() - 1);
}

std::vector<EdgeRef> Spread::edges(std::uint32_t way) const {
    std::vector<EdgeRef> found;
    for (; ways_[way].before != Way::none; way = ways_[way].before) found.push_back(ways_[way].edge);
    std::ranges::reverse(found);
    return found;
}

std::vector<TerminalId> Spread::stops(std::uint32_t way) const {
    std::vector<TerminalId> found;
    for (; way != Way::none; way = ways_[way].before) found.push_back(ways_[way].at);
    std::ranges::reverse(found);
    return found;
}

TerminalId Spread::start(std::uint32_t way) const {
    while (ways_[way].before != Way::none) way = ways_[way].before;
    return ways_[way].at;
}

std::vector<bool> Spread::reached_set() const {
    std::vector<bool> set(at_.size());
    for (std::size_t i = 0; i < set.size(); ++i) set[i] = at_[i].first != Way::none;
    return set;
}

} // namespace loomproof::rules
