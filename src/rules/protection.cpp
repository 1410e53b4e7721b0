#include "rules/protection.hpp"

#include "rules/fault_current.hpp"
#include "rules/study.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <optional>
#include <utility>

namespace loomproof::rules {

namespace {

using Zone = std::uint32_t;
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double any_rating = 1e6;     // stands for a rating that nobody stated: above all others, below infinity
constexpr double least_rating = 0.001; // stands for the same where the least is asked that gets through
constexpr std::size_t most_positions = 256;

/// Joins two zones, or the sources (node `sources`) and a zone.
struct ZoneEdge {
    Zone a = 0, b = 0;
    TerminalId at_a, at_b; ///< at_a does not exist for the sources
    double forward = 0, backward = 0;
    PrimitiveId device; ///< what limits it, else none
    ControlId control;  ///< divided contacts
    std::uint64_t closed_in = 0;
};

struct Value {
    double amps = 0;
    std::vector<PrimitiveId> devices;
    bool positions_tried = true;
};

class Zones {
  public:
    /// `unrated`: what protectors of unknown rating count as.
    explicit Zones(const Study& s, double unrated = any_rating) : s_(s), c_(s.circuit), unrated_(unrated) {
        find_divided();
        zone_ = s.graph.components([&](EdgeRef e, TerminalId from) { return inside(e, from); });
        for (Zone z : zone_) sources_ = std::max(sources_, z + 1);
        at_.resize(sources_ + 1);
        for (PrimitiveId p : s.now.primitives()) add_primitive(p);
        for (const LivePole& l : s.strong) add_source(l, infinity);
        for (const LivePole& l : s.limited) {
            const Stated<Amps>& most = c_.at(l.source).current;
            add_source(l, most.known() ? most.nominal.si : any_rating);
        }
        ways_.emplace(sources_ + 1, plain(edges_), sources_);
        values_.resize(sources_ + 1);
        entries_.resize(sources_ + 1);
        find_values();
    }

    /// Do fault currents pass this edge without anything that limits, divides or directs them?
    bool inside(EdgeRef e, TerminalId from) const {
        if (!carries_fault(s_, e, from, Protectors::stop)) return false;
        if (e.is_wire()) return true;
        const Primitive& p = c_.at(e.primitive);
        return p.element != Element::junction && !is_divided(p);
    }
    Zone of(TerminalId t) const { return zone_[t.index]; }
    const Value& value(Zone z) const { return values_[z]; }

    /// The two ends of a wire whose loss parts its zone; the second is its other side.
    std::pair<Value, Value> sides_of(WireId w) const {
        const Zone z = of(c_.at(w).a);
        const std::vector<bool> first = side(w);
        if (entries_[z].size() == 1) { // both sides hang on the one entry, so only the side that has it is fed
            const ZoneEdge& e = edges_[entries_[z].front()];
            const TerminalId at = e.b == z ? e.at_b : e.at_a;
            return first[at.index] ? std::pair(values_[z], Value{}) : std::pair(Value{}, values_[z]);
        }
        const Zone other = sources_ + 1;
        std::vector<ZoneEdge> parted = chosen(ways_->around(z));
        for (ZoneEdge& e : parted) {
            if (e.a == z && e.at_a.exists() && !first[e.at_a.index]) e.a = other;
            if (e.b == z && !first[e.at_b.index]) e.b = other;
        }
        return {flow(parted, z), flow(parted, other)};
    }

  private:
    void find_divided() {
        std::vector<std::uint64_t> together(c_.controls.size(), ~std::uint64_t{0});
        for (PrimitiveId p : s_.now.primitives())
            if (c_.at(p).element == Element::contact && c_.at(p).control.exists())
                together[c_.at(p).control.index] &= c_.at(p).closed_in;
        for (std::uint64_t t : together) divided_.push_back(t == 0);
    }

    bool is_divided(const Primitive& p) const {
        return p.element == Element::contact && p.control.exists() && divided_[p.control.index];
    }

    void add(ZoneEdge e) {
        const auto number = static_cast<std::uint32_t>(edges_.size());
        at_[e.a].push_back(number);
        if (e.b != e.a) at_[e.b].push_back(number);
        edges_.push_back(e);
    }

    void add_source(const LivePole& l, double most) {
        ZoneEdge e;
        e.a = sources_;
        e.b = of(l.pole);
        e.at_b = l.pole;
        e.forward = most;
        if (most != infinity) e.device = l.source;
        add(e);
    }

    void add_primitive(PrimitiveId id) {
        const Primitive& p = c_.at(id);
        const EdgeRef ref{{}, id};
        const bool forward = carries_fault(s_, ref, p.a, Protectors::pass),
                   backward = carries_fault(s_, ref, p.b, Protectors::pass);
        if (inside(ref, p.a) || !(forward || backward)) return;
        ZoneEdge e;
        e.a = of(p.a);
        e.b = of(p.b);
        e.at_a = p.a;
        e.at_b = p.b;
        double most = infinity;
        if (p.element == Element::protector) {
            most = rating_of(s_, id).or_else(Amps{unrated_}).si;
            e.device = id;
        } else if (p.limit.known()) { // an output that limits itself
            most = p.limit.nominal.si;
            e.device = id;
        }
        if (is_divided(p)) {
            e.control = p.control;
            e.closed_in = p.closed_in;
        }
        e.forward = forward ? most : 0;
        e.backward = backward ? most : 0;
        add(e);
    }

    /// Zones that the sources reach, nearest first.
    std::vector<Zone> reached() const {
        std::vector<bool> seen(sources_ + 1);
        std::vector<Zone> queue{sources_};
        seen[sources_] = true;
        for (std::size_t next = 0; next < queue.size(); ++next) {
            const Zone here = queue[next];
            for (std::uint32_t n : at_[here]) {
                const ZoneEdge& e = edges_[n];
                const Zone to = e.a == here ? e.b : e.a;
                if (seen[to] || (e.a == here ? e.forward : e.backward) <= 0) continue;
                seen[to] = true;
                queue.push_back(to);
            }
        }
        return queue;
    }

    /// For each zone in `order`, nearest first, the last one before it through which every way from the sources leads: its immediate
    /// dominator (K. D. Cooper, T. J. Harvey, K. Kennedy: A Simple, Fast Dominance Algorithm, 2001). It is nearer than the zone itself.
    void find_necks(const std::vector<Zone>& order) {
        place_.assign(sources_ + 1, unfed);
        for (std::uint32_t k = 0; k < order.size(); ++k) place_[order[k]] = k;
        neck_.assign(sources_ + 1, unfed);
        neck_[sources_] = sources_;
        for (bool changed = true; changed;) {
            changed = false;
            for (Zone z : order) {
                if (z == sources_) continue;
                Zone neck = unfed;
                for (std::uint32_t n : at_[z]) {
                    const ZoneEdge& e = edges_[n];
                    Zone before = e.b == z ? e.a : e.b;
                    if ((e.b == z ? e.forward : e.backward) <= 0 || before == z || neck_[before] == unfed) continue;
                    if (neck == unfed) neck = before;
                    while (neck != before) {
                        Zone& farther = place_[neck] > place_[before] ? neck : before;
                        farther = neck_[farther];
                    }
                }
                changed = changed || neck != neck_[z];
                neck_[z] = neck;
            }
        }
    }

    /// Do the sources reach `t` without `without`?
    bool fed_past(Zone without, Zone t) const {
        if (place_[t] == unfed) return false;
        while (place_[t] > place_[without]) t = neck_[t];
        return t != without;
    }

    /// Edges over which the zone can be fed without going through it first.
    void find_entries(Zone z) {
        for (std::uint32_t n : at_[z]) {
            const ZoneEdge& e = edges_[n];
            if (e.a != e.b && (e.b == z ? e.forward : e.backward) > 0) entries_[z].push_back(n);
        }
        if (entries_[z].size() < 2) return;
        std::erase_if(entries_[z],
                      [&](std::uint32_t n) { return !fed_past(z, edges_[n].a == z ? edges_[n].b : edges_[n].a); });
    }

    void find_values() {
        const std::vector<Zone> order = reached();
        find_necks(order);
        values_[sources_].amps = infinity;
        for (Zone z : order) {
            if (z == sources_) continue;
            find_entries(z);
            // Over a divided contact the positions that feed the zone before it best may be others than those that close it.
            if (entries_[z].size() != 1 || edges_[entries_[z].front()].control.exists()) {
                values_[z] = flow(chosen(ways_->to(z)), z);
                continue;
            }
            const ZoneEdge& e = edges_[entries_[z].front()];
            const double most = e.b == z ? e.forward : e.backward;
            const Value& before = values_[e.b == z ? e.a : e.b];
            if (most == infinity || before.amps < most) // of two equal fuses in a row the nearer one is named
                values_[z] = before;
            else
                values_[z] = {most, {e.device}, before.positions_tried};
        }
    }

    /// Terminals of the wire's zone that hang on its end a once it is taken out.
    std::vector<bool> side(WireId w) const {
        std::vector<bool> seen(c_.terminals.size());
        std::vector<TerminalId> open{c_.at(w).a};
        seen[open.front().index] = true;
        while (!open.empty()) {
            const TerminalId here = open.back();
            open.pop_back();
            const auto enter = [&](EdgeRef e, TerminalId to) {
                if (seen[to.index] || !inside(e, here)) return;
                seen[to.index] = true;
                open.push_back(to);
            };
            for (WireId other : s_.now.wires_at(here))
                if (other != w) enter({other, {}}, c_.at(other).other(here));
            for (PrimitiveId p : s_.now.primitives_at(here))
                enter({{}, p}, c_.at(p).a == here ? c_.at(p).b : c_.at(p).a);
        }
        return seen;
    }

    /// The sets of edges that each divided control can close at once, without those that another position outdoes.
    static std::vector<std::vector<std::vector<bool>>> choices(const std::vector<ZoneEdge>& edges) {
        std::map<ControlId, std::vector<std::uint32_t>> of_control;
        for (std::uint32_t n = 0; n < edges.size(); ++n)
            if (edges[n].control.exists()) of_control[edges[n].control].push_back(n);
        std::vector<std::vector<std::vector<bool>>> all;
        for (const auto& [control, contacts] : of_control) {
            std::vector<std::vector<bool>> sets;
            for (int position = 0; position < 64; ++position) {
                std::vector<bool> set(edges.size());
                for (std::uint32_t n : contacts) set[n] = (edges[n].closed_in >> position & 1) != 0;
                const auto within = [&](const std::vector<bool>& small, const std::vector<bool>& large) {
                    return std::ranges::all_of(contacts, [&](std::uint32_t n) { return !small[n] || large[n]; });
                };
                if (std::ranges::any_of(sets, [&](const auto& known) { return within(set, known); })) continue;
                std::erase_if(sets, [&](const auto& known) { return within(known, set); });
                sets.push_back(std::move(set));
            }
            if (sets.size() > 1) all.push_back(std::move(sets));
        }
        return all;
    }

    std::vector<ZoneEdge> chosen(const std::vector<std::uint32_t>& numbers) const {
        std::vector<ZoneEdge> some;
        for (std::uint32_t n : numbers) some.push_back(edges_[n]);
        return some;
    }

    static std::vector<NetEdge> plain(const std::vector<ZoneEdge>& edges) {
        std::vector<NetEdge> net;
        for (const ZoneEdge& e : edges) net.push_back({e.a, e.b, e.forward, e.backward});
        return net;
    }

    /// The smallest cut before a zone that is fed over several edges: the largest over all positions of the controls around.
    Value flow(const std::vector<ZoneEdge>& edges, Zone sink) const {
        std::vector<ZoneEdge> near = edges;
        Zone source = sources_; // of fresh numbers: only a few zones lie near
        const Zone zones = number_anew(near, source, sink);
        near = between(zones, near, source, sink);
        const auto sets = choices(near);
        std::size_t positions = 1;
        for (const auto& s : sets) positions = std::min(positions * s.size(), most_positions + 1);
        Value largest;
        const bool try_all = positions <= most_positions;
        for (std::size_t p = 0; p < (try_all ? positions : 1); ++p) {
            std::vector<bool> closed(near.size(), true);
            std::size_t rest = p;
            for (const auto& s : sets) {
                if (!try_all) break;
                const std::vector<bool>& chosen = s[rest % s.size()];
                rest /= s.size();
                for (std::size_t n = 0; n < near.size(); ++n)
                    if (near[n].control.exists() && belongs(s, n)) closed[n] = chosen[n];
            }
            Value v = cut(zones, near, closed, source, sink);
            if (p == 0 || v.amps > largest.amps) largest = std::move(v);
        }
        largest.positions_tried = try_all;
        return largest;
    }

    static bool belongs(const std::vector<std::vector<bool>>& sets, std::size_t edge) {
        return std::ranges::any_of(sets, [&](const auto& set) { return set[edge]; });
    }

    /// Numbers the zones of these edges and the two without gaps, in their order; how many there are.
    static Zone number_anew(std::vector<ZoneEdge>& edges, Zone& source, Zone& sink) {
        std::vector<Zone> known{source, sink};
        for (const ZoneEdge& e : edges) known.insert(known.end(), {e.a, e.b});
        std::ranges::sort(known);
        known.erase(std::ranges::unique(known).begin(), known.end());
        const auto anew = [&](Zone& z) { z = static_cast<Zone>(std::ranges::lower_bound(known, z) - known.begin()); };
        for (ZoneEdge& e : edges) anew(e.a), anew(e.b);
        anew(source), anew(sink);
        return static_cast<Zone>(known.size());
    }

    /// Only what lies on some way from the sources to the sink.
    static std::vector<ZoneEdge> between(Zone zones, const std::vector<ZoneEdge>& edges, Zone source, Zone sink) {
        const std::vector<bool> on = on_some_way(zones, plain(edges), source, sink);
        std::vector<ZoneEdge> kept;
        for (std::size_t n = 0; n < edges.size(); ++n)
            if (on[n]) kept.push_back(edges[n]);
        return kept;
    }

    static Value cut(Zone zones, const std::vector<ZoneEdge>& edges, const std::vector<bool>& closed, Zone source,
                     Zone sink) {
        std::vector<NetEdge> net;
        for (std::size_t n = 0; n < edges.size(); ++n)
            net.push_back(
                {edges[n].a, edges[n].b, closed[n] ? edges[n].forward : 0, closed[n] ? edges[n].backward : 0});
        const NetCut found = smallest_cut(zones, net, source, sink);
        Value v;
        v.amps = found.capacity;
        for (std::uint32_t n : found.edges) v.devices.push_back(edges[n].device);
        std::ranges::sort(v.devices);
        return v;
    }

    const Study& s_;
    const Circuit& c_;
    double unrated_;
    std::vector<bool> divided_; ///< by control: its contacts are never all closed at once
    std::vector<Zone> zone_;    ///< by terminal
    Zone sources_ = 0;          ///< the node of all sources together: one past the last zone
    static constexpr std::uint32_t unfed = 0xffffffff;
    std::vector<std::uint32_t> place_; ///< by zone, how many are nearer to the sources; or unfed
    std::vector<Zone> neck_;           ///< by zone, where every way from the sources to it last leads through
    std::vector<ZoneEdge> edges_;
    std::vector<std::vector<std::uint32_t>> at_, entries_;
    std::vector<Value> values_;
    std::optional<WaysFrom> ways_;
};

} // namespace

Amps link_melts_at(SquareMetres area) {
    const double diameter = std::sqrt(4 / std::numbers::pi * in_square_millimetres(area));
    return Amps{80 * std::pow(diameter, 1.5)};
}

Stated<Amps> rating_of(const Study& s, PrimitiveId protector) {
    const Primitive& p = s.circuit.at(protector);
    if (p.element == Element::contact) return p.limit;
    if (p.rating.known()) return p.rating;
    const Attribute* area = s.now.find(p.part, Attr::area);
    if (s.circuit.at(p.part).kind != Kind::link || !area || !area->value.known()) return {};
    return Stated<Amps>::assume(link_melts_at(SquareMetres{area->value.nominal}),
                                "what melts a wire of its size in open air (W. H. Preece 1888)");
}

namespace {

bool is_unrated_protector(const Study& s, PrimitiveId d) {
    return s.circuit.at(d).element == Element::protector && !rating_of(s, d).known();
}

/// What protectors of unknown rating may do to the figures of `all`.
void find_perhaps_less(const Study& s, const std::vector<bool>& parts_its_zone, std::vector<Protection>& all) {
    const Zones least(s, least_rating);
    for (WireId w : s.now.wires()) {
        Protection& p = all[w.index];
        if (!p.fed || p.unprotected) continue;
        Value value = least.value(least.of(p.end));
        p.at_least = Amps{value.amps};
        if (parts_its_zone[w.index]) {
            auto [first, second] = least.sides_of(w);
            p.at_least = Amps{std::max(first.amps, second.amps)};
            value = p.end == s.circuit.at(w).b ? std::move(second) : std::move(first);
        }
        for (PrimitiveId d : value.devices)
            if (is_unrated_protector(s, d) && !std::ranges::binary_search(p.of_unknown_rating, d))
                p.perhaps_less.push_back(d);
    }
}

} // namespace

std::vector<Protection> protection_of_wires(const Study& s) {
    const Circuit& c = s.circuit;
    const Reach& live = s.live;
    const Zones zones(s);
    std::vector<bool> parts_its_zone(c.wires.size());
    for (EdgeRef e : s.graph.bridges([&](EdgeRef e, TerminalId from) { return zones.inside(e, from); }))
        if (e.is_wire()) parts_its_zone[e.wire.index] = true;

    std::vector<Protection> all(c.wires.size());
    for (WireId w : s.now.wires()) {
        const Wire& wire = c.at(w);
        const bool at_a = live.reached(wire.a), at_b = live.reached(wire.b);
        if (!at_a && !at_b) continue;
        Protection& p = all[w.index];
        p.fed = true;
        p.end = !at_b || (at_a && live.distance(wire.a) <= live.distance(wire.b)) ? wire.a : wire.b;
        Value value = zones.value(zones.of(p.end));
        if (parts_its_zone[w.index]) {
            auto [first, second] = zones.sides_of(w);
            // What charges lies nearer than the battery does, and may give less.
            if (second.amps != first.amps) p.end = second.amps > first.amps ? wire.b : wire.a;
            value = second.amps > first.amps ? std::move(second) : std::move(first);
        }
        p.unprotected = value.amps == infinity;
        p.positions_tried = value.positions_tried;
        for (PrimitiveId d : value.devices) {
            const bool unknown = c.at(d).element == Element::protector ? is_unrated_protector(s, d)
                                 : c.at(d).element == Element::source  ? !c.at(d).current.known()
                                                                       : false; // an output's limit is said
            if (unknown) p.of_unknown_rating.push_back(d);
        }
        if (!p.unprotected)
            p.lets_through = Amps{value.amps - any_rating * static_cast<double>(p.of_unknown_rating.size())};
        p.at_least = p.lets_through;
        p.devices = std::move(value.devices);
    }
    if (std::ranges::any_of(s.now.primitives(), [&](PrimitiveId p) { return is_unrated_protector(s, p); }))
        find_perhaps_less(s, parts_its_zone, all);
    return all;
}

} // namespace loomproof::rules
