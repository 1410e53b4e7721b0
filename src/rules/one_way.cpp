#include "rules/one_way.hpp"

#include "rules/called_so.hpp"
#include "rules/standing.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

using solve::StateId;

class Search {
  public:
    Search(const Study& s, const Survey& survey, const Sides& sides)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), sides_(sides) {}

    std::optional<OneWay> look_at(std::size_t l) const {
        const LoadSeen& load = survey_.loads[l];
        const Primitive& p = c_.at(load.load);
        if (c_.at(p.part).kind != Kind::motor || p.element != Element::machine || c_.at(p.part).poisoned ||
            load.forward == load.backward || s_.reference[p.a.index] || s_.reference[p.b.index] ||
            sides_.untraced(p.a) || sides_.untraced(p.b))
            return std::nullopt;
        // The live end and the other one while it runs; on the way back they stand the other way about.
        const bool a_live = load.forward == s_.from_plus();
        const TerminalId fed = a_live ? p.a : p.b, other = a_live ? p.b : p.a;
        std::optional<StateId> runs;
        for (StateId id = 0; id < b_.states.size() && !runs; ++id)
            if (seen(id) && survey_.on[id][l]) runs = id;
        if (!runs) return std::nullopt;
        if (!sides_.live(other) && !sides_.ground(fed)) return the_same_way(l, *runs);
        OneWay found{.motor = load.load, .runs = *runs, .back = *runs, .ready = {}, .hangs = {}, .bare = {}};
        std::optional<OneWay> without_bare;
        for (StateId id = 0; id < b_.states.size(); ++id) {
            if (!seen(id) || survey_.on[id][l]) continue;
            const solve::Positions& positions = b_.states[id].positions;
            const Standing now(s_, positions);
            found.back = id;
            const bool fed_hangs = !now.live(fed) && !now.ground(fed),
                       other_hangs = !now.live(other) && !now.ground(other);
            if (now.live(other) && fed_hangs) {
                found.ready = other;
                found.hangs = fed;
                found.wants_ground = true;
            } else if (now.ground(fed) && other_hangs) {
                found.ready = fed;
                found.hangs = other;
                found.wants_ground = false;
            } else {
                continue;
            }
            if (look_for_bare(found, now, positions)) return found;
            // All that is there has a wire, and yet nothing comes: only of what surely has to turn either way.
            if (found.wants_ground && turns_either_way(p.part) && !without_bare) without_bare = found;
        }
        if (without_bare) return without_bare;
        return the_same_way(l, *runs);
    }

  private:
    bool seen(StateId id) const {
        return b_.states[id].stable && !survey_.shorted[id] && id < survey_.on.size() && !survey_.on[id].empty();
    }
    bool turns_either_way(PartId motor) const {
        return s_.now.has(motor, Attr::reversible) || is_called_pulling(c_.at(motor));
    }

    /// A contact that is closed here and has no wire at its one end: at the end that hangs, or on what would have to come to it.
    bool look_for_bare(OneWay& found, const Standing& now, const solve::Positions& positions) const {
        const std::vector<TerminalId> joined = joined_to(found.hangs, positions);
        const std::vector<PartId> by = switches_at(c_.at(found.motor));
        for (const bool here : {true, false})
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& k = c_.at(id);
                if (k.element != Element::contact || !k.control.exists() || !solve::is_closed(k, positions) ||
                    std::ranges::find(by, k.part) == by.end())
                    continue;
                for (TerminalId end : {k.a, k.b}) {
                    const TerminalId far = end == k.a ? k.b : k.a;
                    if (!is_bare(end)) continue;
                    if (here ? std::ranges::find(joined, far) == joined.end()
                             : !(found.wants_ground ? now.ground(far) : now.live(far)))
                        continue;
                    found.bare = end;
                    found.to_motor = !here;
                    return true;
                }
            }
        return false;
    }
    bool is_bare(TerminalId t) const {
        return s_.now.wires_at(t).empty() && !c_.at(t).internal && !s_.reference[t.index] &&
               std::ranges::none_of(s_.now.primitives_at(t),
                                    [&](PrimitiveId p) { return c_.at(p).purpose == Purpose::mounting; });
    }
    /// Without a load in between, with the contacts as they are now.
    std::vector<TerminalId> joined_to(TerminalId from, const solve::Positions& positions) const {
        return s_.graph
            .walk(
                std::vector{from},
                [&](EdgeRef e, TerminalId at) {
                    if (s_.reference[at.index]) return false;
                    if (e.is_wire()) return !c_.at(e.wire).poisoned;
                    const Primitive& p = c_.at(e.primitive);
                    const bool metal = p.element == Element::joint || p.element == Element::protector ||
                                       p.element == Element::meter || p.element == Element::contact;
                    return metal && solve::is_closed(p, positions);
                },
                [](EdgeRef) { return 0.0; })
            .in_order();
    }
    /// Relays and switches by which either end hangs on anything, in whatever position.
    std::vector<PartId> switches_at(const Primitive& motor) const {
        std::vector<bool> known(c_.terminals.size(), false);
        std::vector<PartId> parts;
        for (TerminalId t : region(
                 s_.now, {motor.a, motor.b}, Through::what_conducts,
                 [&](TerminalId t) {
                     if (known[t.index] || s_.reference[t.index]) return false;
                     known[t.index] = true;
                     return !sides_.live_always(t);
                 },
                 motor.part)) {
            const PartId part = c_.at(t).part;
            const Kind kind = c_.at(part).kind;
            if ((kind == Kind::switching || kind == Kind::relay) && std::ranges::find(parts, part) == parts.end())
                parts.push_back(part);
        }
        return parts;
    }

    struct Passed {
        std::vector<PrimitiveId> before, behind; ///< contacts of one control that the current passes
    };
    Passed contacts_of(ControlId control, StateId id, PrimitiveId motor) const {
        Passed out;
        bool passed = false;
        for (EdgeRef e : current_through(s_, b_.point(id), motor).edges) {
            if (e.is_wire()) continue;
            passed = passed || e.primitive == motor;
            if (c_.at(e.primitive).element == Element::contact && c_.at(e.primitive).control == control)
                (passed ? out.behind : out.before).push_back(e.primitive);
        }
        return out;
    }

    /// One switch leads both its feed and its ground, over other contacts in its one position than in its other: it is there to turn it round.
    std::optional<OneWay> the_same_way(std::size_t l, StateId runs) const {
        const PrimitiveId motor = survey_.loads[l].load;
        if (!turns_either_way(c_.at(motor).part)) return std::nullopt;
        for (ControlId control : b_.model().controls()) {
            if (c_.at(control).type != Control::Type::hand) continue;
            const Passed first = contacts_of(control, runs, motor);
            if (first.before.empty() || first.behind.empty()) continue;
            for (StateId id = runs + 1; id < b_.states.size(); ++id) {
                if (!seen(id) || !survey_.on[id][l] ||
                    b_.states[id].positions[control.index] == b_.states[runs].positions[control.index])
                    continue;
                const Passed second = contacts_of(control, id, motor);
                const auto apart = [](const std::vector<PrimitiveId>& a, const std::vector<PrimitiveId>& b) {
                    return !b.empty() &&
                           std::ranges::none_of(a, [&](PrimitiveId x) { return std::ranges::find(b, x) != b.end(); });
                };
                if (!apart(first.before, second.before) || !apart(first.behind, second.behind)) continue;
                return OneWay{
                    .motor = motor, .runs = runs, .back = id, .ready = {}, .hangs = {}, .bare = {}, .same = true};
            }
        }
        return std::nullopt;
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    const Sides& sides_;
};

} // namespace

std::vector<OneWay> one_way_motors(const Study& s, const Survey& survey, const Sides& sides) {
    const Search search(s, survey, sides);
    std::vector<OneWay> all;
    for (std::size_t l = 0; l < survey.loads.size(); ++l)
        if (auto found = search.look_at(l)) all.push_back(*found);
    return all;
}

} // namespace loomproof::rules
