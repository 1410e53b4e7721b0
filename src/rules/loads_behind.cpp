#include "rules/loads_behind.hpp"

#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/seat.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

/// What is behind a resistor that lies in the run of a wire shares its volts with it: the one does not take what it takes at full volts, nor
/// does the other.
class Collector {
  public:
    explicit Collector(const Study& s) : s_(s), c_(s.circuit), sides_(s) {}

    LoadsBehind behind(EdgeRef edge, TerminalId near) {
        const TerminalId far = other_end(c_, edge, near);
        const Reach reach = s_.graph.walk(
            std::vector{far},
            [&](EdgeRef e, TerminalId from) { return e != edge && carries_fault(s_, e, from, Protectors::pass); },
            [](EdgeRef) { return 0.0; });
        LoadsBehind all;
        all.only_way = !reach.reached(near);
        if (!all.only_way) return all;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!is_load(p) || EdgeRef{{}, id} == edge || !is_fed(p, reach)) continue;
            if (const auto shared = behind_resistor(id, reach.reached(p.a) ? p.a : p.b)) {
                add(all, *shared);
                continue;
            }
            LoadsBehind one;
            one.parts.push_back(p.part);
            if (p.current.known())
                one.sum = one.largest = p.current.nominal;
            else
                one.unknown.push_back(p.part);
            add(all, one);
        }
        return all;
    }

  private:
    /// Reached at one end; or at both, where one of them is on ground in another position of the switches: a motor that is reversed.
    bool is_fed(const Primitive& p, const Reach& reach) const {
        const bool a = reach.reached(p.a), b = reach.reached(p.b);
        return a != b || (a && (sides_.ground(p.a) || sides_.ground(p.b)));
    }
    static void add(LoadsBehind& all, const LoadsBehind& more) {
        for (PartId part : more.parts)
            if (std::ranges::find(all.parts, part) == all.parts.end()) all.parts.push_back(part);
        all.unknown.insert(all.unknown.end(), more.unknown.begin(), more.unknown.end());
        all.sum += more.sum;
        all.largest = std::max(all.largest, more.largest);
    }

    /// Nothing where it is no resistor, or a load of its own with its other end on ground.
    std::optional<LoadsBehind> behind_resistor(PrimitiveId id, TerminalId near) {
        const Primitive& p = c_.at(id);
        const TerminalId far = p.a == near ? p.b : p.a;
        if (c_.at(p.part).kind != Kind::resistor || p.element != Element::resistance || s_.reference[far.index] ||
            std::ranges::find(entered_, id) != entered_.end())
            return std::nullopt;
        entered_.push_back(id);
        LoadsBehind behind = this->behind({{}, id}, near);
        entered_.pop_back();
        if (!behind.only_way || behind.parts.empty()) return std::nullopt;
        if (p.resistance.known() && behind.sum.si > 0) {
            const double share = 1 / (1 + p.resistance.nominal.si * behind.sum.si / c_.vehicle.system.si);
            behind.sum = behind.sum * share;
            behind.largest = behind.largest * share;
        }
        return behind;
    }

    const Study& s_;
    const Circuit& c_;
    const Sides sides_;
    std::vector<PrimitiveId> entered_;
};

} // namespace

LoadsBehind loads_behind(const Study& s, EdgeRef edge, TerminalId near) { return Collector(s).behind(edge, near); }

TerminalId fed_end(const Study& s, EdgeRef edge) {
    const Circuit& c = s.circuit;
    const TerminalId a = edge.is_wire() ? c.at(edge.wire).a : c.at(edge.primitive).a;
    const TerminalId b = edge.is_wire() ? c.at(edge.wire).b : c.at(edge.primitive).b;
    if (!s.live.reached(a)) return b;
    if (!s.live.reached(b) || s.live.distance(a) < s.live.distance(b)) return a;
    if (s.live.distance(b) < s.live.distance(a)) return b;
    const std::vector<EdgeRef> way = s.live.path_to(a);
    return !way.empty() && way.back() == edge ? b : a;
}

Reach up_to_the_next_fuses(const Study& s, TerminalId from, EdgeRef without) {
    return s.graph.walk(
        std::vector{from},
        [&](EdgeRef e, TerminalId t) { return e != without && carries_fault(s, e, t, Protectors::stop); },
        [](EdgeRef) { return 0.0; });
}

std::optional<Thinnest> thinnest_behind(const Study& s, TerminalId from, EdgeRef without) {
    const Reach reach = up_to_the_next_fuses(s, from, without);
    std::optional<Thinnest> thinnest;
    for (WireId w : s.now.wires()) {
        const Wire& wire = s.circuit.at(w);
        if (wire.poisoned || EdgeRef{w, {}} == without || !reach.reached(wire.a) || !reach.reached(wire.b) ||
            s.reference[wire.a.index] || s.reference[wire.b.index])
            continue;
        const auto carries = what_it_carries(s.circuit, w);
        if (carries && (!thinnest || carries->amps < thinnest->carries)) thinnest = Thinnest{w, carries->amps};
    }
    return thinnest;
}

std::optional<Weakest> weakest_behind(const Study& s, TerminalId from, EdgeRef without, PartId seat_of_fuse) {
    const Circuit& c = s.circuit;
    const Reach reach = up_to_the_next_fuses(s, from, without);
    std::optional<Weakest> weakest;
    const auto offer = [&](Amps made_for, PartId part, std::string words) {
        if (made_for.si > 0 && (!weakest || made_for < weakest->made_for))
            weakest = Weakest{made_for, part, std::move(words)};
    };
    for (PrimitiveId id : s.now.primitives()) {
        const Primitive& p = c.at(id);
        if (c.at(p.part).kind == Kind::socket && p.current.known() && reach.reached(p.a) != reach.reached(p.b))
            offer(p.current.nominal, p.part, called(c, p.part)); // nothing else limits what is plugged in
        const bool contact = p.element == Element::contact && p.purpose != Purpose::feed_condition;
        if (!(contact || p.purpose == Purpose::hole || p.element == Element::meter) || !p.rating.known() ||
            EdgeRef{{}, id} == without || c.at(p.part).poisoned || c.at(p.part).kind == Kind::starter ||
            !reach.reached(p.a) || !reach.reached(p.b))
            continue;
        offer(p.rating.nominal, p.part, p.purpose == Purpose::hole ? hole_words(c, p) : called(c, p.part));
    }
    if (seat_of_fuse.exists()) {
        if (const auto seat = seat_of(s.now, seat_of_fuse); seat && seat->carries.known())
            offer(seat->carries.nominal, seat_of_fuse, seat->words);
        if (const auto tails = tails_of(s.now, seat_of_fuse))
            offer(tails->carries.amps, seat_of_fuse, "the tails of " + name_of(c, seat_of_fuse));
    }
    return weakest;
}

} // namespace loomproof::rules
