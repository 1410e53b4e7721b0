#include "rules/leads.hpp"

#include "rules/fault_current.hpp"
#include "rules/study.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <utility>

namespace loomproof::rules {

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double hair = 1e-9; // what adding lengths up in another order may change

bool solid(const Circuit& c, EdgeRef e) { return e.is_wire() || c.at(e.primitive).element == Element::joint; }

/// Does a winch cable belong to a run that somebody can switch off by hand, near the battery and for good? A push button or a
/// contactor at the winch leaves the run live all the time.
bool has_isolator(const Study& s, WireId cable) {
    const Circuit& c = s.circuit;
    const Reach from_battery = s.graph.walk(
        s.strong_sources,
        [&](EdgeRef e, TerminalId) {
            return e.is_wire() ? c.at(e.wire).winch_cable : c.at(e.primitive).element == Element::joint;
        },
        &Edge::metres);
    const auto isolates = [&](const Primitive& p) {
        if (p.element != Element::contact || !p.control.exists()) return false;
        const Control& control = c.at(p.control);
        const auto near = [&](TerminalId t) {
            return from_battery.reached(t) && from_battery.distance(t) <= allowed_sleeved_lead.si + hair;
        };
        return control.type == Control::Type::hand && control.springs_back == 0 && (near(p.a) || near(p.b));
    };
    std::vector<bool> seen(c.terminals.size());
    for (TerminalId pole : s.strong_sources) seen[pole.index] = true; // the run ends at the battery
    std::vector<TerminalId> open;
    const auto enter = [&](TerminalId t) {
        if (seen[t.index]) return;
        seen[t.index] = true;
        open.push_back(t);
    };
    enter(c.at(cable).a);
    enter(c.at(cable).b);
    while (!open.empty()) {
        const TerminalId here = open.back();
        open.pop_back();
        for (WireId w : s.now.wires_at(here))
            if (c.at(w).winch_cable) enter(c.at(w).other(here));
        for (PrimitiveId id : s.now.primitives_at(here)) {
            const Primitive& p = c.at(id);
            if (p.element != Element::contact && p.element != Element::joint) continue;
            if (isolates(p)) return true;
            enter(p.a == here ? p.b : p.a);
        }
    }
    return false;
}

/// Wires that are part of the source (`extends`) or need no protection of their own (`spared`).
struct Exempt {
    std::vector<bool> extends, spared;

    explicit Exempt(const Study& s) : extends(s.circuit.wires.size()), spared(s.circuit.wires.size()) {
        const Circuit& c = s.circuit;
        for (WireId w : s.now.wires()) {
            const Wire& wire = c.at(w);
            extends[w.index] = wire.starter_cable || (wire.winch_cable && (wire.sleeved || has_isolator(s, w)));
        }
        add_series_links(s);
        add_solenoid_leads(s);
    }

    void add_series_links(const Study& s) {
        const Circuit& c = s.circuit;
        const Passes passes = [&](EdgeRef e, TerminalId) { return solid(c, e); };
        const Role ground_pole = s.now.ground_pole();
        for (const LivePole& lower : s.strong) {
            if (c.at(lower.pole).role != ground_pole)
                continue; // both poles of a series are live: this one is the ground side
            const Reach reach = s.graph.walk(std::vector{lower.pole}, passes, &Edge::metres);
            for (const LivePole& upper : s.strong) {
                if (upper.source == lower.source || c.at(upper.pole).role == ground_pole || !reach.reached(upper.pole))
                    continue;
                for (EdgeRef e : reach.path_to(upper.pole))
                    if (e.is_wire()) extends[e.wire.index] = true;
            }
        }
    }

    void add_solenoid_leads(const Study& s) {
        const Circuit& c = s.circuit;
        std::optional<std::vector<std::uint32_t>> net;
        for (PrimitiveId p : s.now.primitives()) {
            if (c.at(p).purpose != Purpose::starter_solenoid) continue;
            if (!net)
                net = s.graph.components([&](EdgeRef e, TerminalId from) {
                    return solid(c, e) && carries_fault(s, e, from, Protectors::stop);
                });
            for (WireId w : s.now.wires())
                if ((*net)[c.at(w).a.index] == (*net)[c.at(p).a.index]) spared[w.index] = true;
        }
    }
};

/// A wire that goes, or may go, beyond the allowed lead of one pole.
struct Long {
    Certainty certainty = Certainty::certain;
    Metres allowed;
    TerminalId near;
};

/// The unprotected wires around one pole.
class Around {
  public:
    Around(const Study& s, const Exempt& exempt, LivePole live)
        : s_(s),
          c_(s.circuit),
          exempt_(exempt),
          live_(live),
          least_(walk(false)),
          most_(walk(true)),
          long_(c_.wires.size()) {
        for (WireId w : s.now.wires()) look_at(w);
    }

    /// The leads of this pole, roots in text order.
    std::vector<Lead> leads() const {
        std::vector<Lead> found;
        std::vector<std::size_t> place(c_.wires.size()); // by root, its lead's in `found`, from 1
        for (WireId w : s_.now.wires()) {
            if (!long_[w.index]) continue;
            const WireId root = root_of(w);
            if (place[root.index] == 0) {
                found.push_back(lead_at(root));
                place[root.index] = found.size();
            }
            if (w != root) found[place[root.index] - 1].behind.push_back(w);
        }
        // A first wire that may be short enough says nothing of its own where what hangs behind it is too long for certain.
        std::erase_if(found, [&](const Lead& doubtful) {
            return doubtful.certainty != Certainty::certain && std::ranges::any_of(found, [&](const Lead& sure) {
                       return sure.certainty == Certainty::certain &&
                              std::ranges::find(sure.way, EdgeRef{doubtful.root, {}}) != sure.way.end();
                   });
        });
        std::ranges::sort(found, {}, &Lead::root);
        return found;
    }

  private:
    Reach walk(bool most) const {
        return s_.graph.walk(
            std::vector{live_.pole},
            [&](EdgeRef e, TerminalId from) {
                // What stands in a line that cannot be read may be the fuse.
                return c_.part_of(from).kind != Kind::not_known && carries_fault(s_, e, from, Protectors::stop);
            },
            [&](EdgeRef e) { return e.is_wire() ? metres(e.wire, most) : 0; }, Positions::one_per_control);
    }

    double metres(WireId w, bool most) const {
        if (exempt_.extends[w.index]) return 0;
        const Stated<Metres>& length = c_.at(w).length;
        if (!length.known()) return most ? infinity : 0;
        return most ? length.high.si : length.low.si;
    }

    bool counts(EdgeRef e) const { return e.is_wire() && !exempt_.extends[e.wire.index]; }

    void look_at(WireId w) {
        const Wire& wire = c_.at(w);
        if (wire.poisoned || exempt_.extends[w.index] || exempt_.spared[w.index]) return;
        if (!least_.reached(wire.a) || !least_.reached(wire.b)) return;
        // The point of the wire that is furthest from the pole, which may feed it from both ends.
        const double least = (least_.distance(wire.a) + least_.distance(wire.b) + metres(w, false)) / 2;
        const double most = (most_.distance(wire.a) + most_.distance(wire.b) + metres(w, true)) / 2;
        Long l;
        l.near = least_.distance(wire.b) < least_.distance(wire.a) ? wire.b : wire.a;
        bool sleeved = wire.sleeved, unknown = !wire.length.known();
        for (EdgeRef e : least_.path_to(l.near)) {
            if (!counts(e)) continue;
            sleeved = sleeved && c_.at(e.wire).sleeved;
            unknown = unknown || !c_.at(e.wire).length.known();
        }
        l.allowed = sleeved ? allowed_sleeved_lead : allowed_lead;
        if (most <= l.allowed.si + hair) return;
        l.certainty = least > l.allowed.si + hair ? Certainty::certain
                      : unknown                   ? Certainty::undecided
                                                  : Certainty::possible;
        long_[w.index] = l;
    }

    /// The first long wire on the way to `w`: where a fuse before it would protect `w` as well. Where a job's wire hangs on an unfused
    /// wire of the maker, the job's wire is judged by itself.
    WireId root_of(WireId w) const {
        const Long& own = *long_[w.index];
        for (EdgeRef e : least_.path_to(own.near)) {
            if (!e.is_wire() || !long_[e.wire.index]) continue;
            if (own.certainty == Certainty::certain && long_[e.wire.index]->certainty != Certainty::certain) continue;
            if (s_.now.is_factory(e.wire) && !s_.now.is_factory(w)) continue;
            return e.wire;
        }
        return w;
    }

    Lead lead_at(WireId root) const {
        const Long& l = *long_[root.index];
        Lead lead;
        lead.root = root;
        lead.near = l.near;
        lead.far = c_.at(root).other(l.near);
        lead.from = {live_};
        lead.certainty = l.certainty;
        lead.allowed = l.allowed;
        lead.way = least_.path_to(l.near);
        lead.origin = live_.pole;
        TerminalId at = live_.pole;
        for (EdgeRef e : lead.way) {
            at = other_end(c_, e, at);
            if (e.is_wire() && exempt_.extends[e.wire.index]) lead.origin = at;
        }
        lead.way.push_back({root, {}});
        for (EdgeRef e : lead.way) {
            if (!counts(e)) continue;
            lead.length += c_.at(e.wire).length.or_else(Metres{0});
            if (!c_.at(e.wire).length.known()) lead.of_unknown_length.push_back(e.wire);
        }
        return lead;
    }

    const Study& s_;
    const Circuit& c_;
    const Exempt& exempt_;
    LivePole live_;
    Reach least_, most_;
    std::vector<std::optional<Long>> long_;
};

/// Is there another battery behind a protector at the far end of the lead? Only ways that do not lead through what the lead's own source
/// feeds unprotected count.
void find_beyond(const Study& s, Lead& lead) {
    const Circuit& c = s.circuit;
    const auto length = &Edge::metres;
    const auto without_root = [&](EdgeRef e, TerminalId from, Protectors protectors) {
        return e.wire != lead.root && carries_fault(s, e, from, protectors);
    };
    std::vector<TerminalId> poles;
    for (const LivePole& l : lead.from) poles.push_back(l.pole);
    const Reach own = s.graph.walk(
        poles, [&](EdgeRef e, TerminalId from) { return without_root(e, from, Protectors::stop); }, length);
    for (const LivePole& other : s.strong) {
        const bool same_battery = std::ranges::any_of(
            lead.from, [&](const LivePole& l) { return c.at(l.source).part == c.at(other.source).part; });
        if (same_battery || c.at(other.pole).internal) continue;
        const Reach reach = s.graph.walk(
            std::vector{other.pole},
            [&](EdgeRef e, TerminalId from) { return !own.reached(from) && without_root(e, from, Protectors::pass); },
            length, Positions::one_per_control);
        if (!reach.reached(lead.far)) continue;
        const std::vector<EdgeRef> way = reach.path_to(lead.far);
        std::vector<PrimitiveId> protectors;
        for (EdgeRef e : way)
            if (!e.is_wire() && c.at(e.primitive).element == Element::protector) protectors.push_back(e.primitive);
        // Two protectors, one of them at the end of this lead: that one is meant for it and only sits too far away.
        if (protectors.empty() || (protectors.size() > 1 && way.back() == EdgeRef{{}, protectors.back()})) continue;
        lead.beyond = other;
        lead.beyond_protector = protectors.back();
        return;
    }
}

} // namespace

std::vector<Lead> unprotected_leads(const Study& s) {
    const Exempt exempt(s);
    std::vector<Lead> all;
    for (const LivePole& live : s.strong) {
        for (Lead& lead : Around(s, exempt, live).leads()) {
            const auto known = std::ranges::find(all, lead.root, &Lead::root);
            if (known == all.end()) {
                all.push_back(std::move(lead));
                continue;
            }
            std::vector<LivePole> from = known->from;
            from.push_back(live);
            const TerminalId other_pole =
                lead.near != known->near && !known->other_pole.exists() ? live.pole : known->other_pole;
            if (known->certainty != Certainty::certain && lead.certainty == Certainty::certain) {
                *known = std::move(lead);
            } else {
                std::vector<WireId> both;
                std::ranges::set_union(known->behind, lead.behind, std::back_inserter(both));
                known->behind = std::move(both);
            }
            known->from = std::move(from);
            known->other_pole = other_pole;
        }
    }
    std::ranges::sort(all, {}, &Lead::root);
    for (Lead& lead : all) find_beyond(s, lead);
    return all;
}

} // namespace loomproof::rules
