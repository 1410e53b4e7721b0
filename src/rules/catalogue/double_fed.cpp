#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule double_fed; // rule_list.hpp lists it

namespace {

/// Fuses behind which the same wiring lies, all the time, with no switch or diode between.
struct Group {
    LivePole from;
    std::vector<PrimitiveId> fuses; ///< in text order
    TerminalId behind;              ///< a terminal that stays live
    std::vector<TerminalId> stops;  ///< from the pole over the second fuse to behind the first
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        bridge_.resize(c_.primitives.size());
        for (EdgeRef e :
             s_.graph.bridges([&](EdgeRef e, TerminalId from) { return carries_fault_for_good(s_, e, from); }))
            if (!e.is_wire()) bridge_[e.primitive.index] = true;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            // Without a fuse that alone holds two pieces together one of its ends is dead: nothing else feeds it.
            if (bridge_[id.index] || p.element != Element::protector || c_.at(p.a).internal || c_.at(p.part).poisoned)
                continue;
            for (const LivePole& live : s_.strong)
                if (c_.at(c_.at(live.source).part).kind == Kind::battery) look_at(id, live);
        }
        for (const Group& g : groups_) say(g);
    }

  private:
    Reach walk(TerminalId pole, const std::vector<PrimitiveId>& without) const {
        return s_.graph.walk(
            std::vector{pole},
            [&](EdgeRef e, TerminalId from) {
                const bool out = !e.is_wire() && std::ranges::find(without, e.primitive) != without.end();
                return !out && carries_fault_for_good(s_, e, from);
            },
            &Edge::metres);
    }

    void look_at(PrimitiveId fuse, const LivePole& live) {
        const Primitive& p = c_.at(fuse);
        if (std::ranges::any_of(groups_, [&](const Group& g) {
                return g.from.pole == live.pole && std::ranges::find(g.fuses, fuse) != g.fuses.end();
            }))
            return;
        const auto [known, fresh] = from_pole_.try_emplace(live.pole);
        if (fresh) known->second = walk(live.pole, {});
        const Reach& all = known->second;
        if (!all.reached(p.a) || !all.reached(p.b)) return;
        const bool a_first = all.distance(p.a) <= all.distance(p.b);
        const TerminalId near = a_first ? p.a : p.b, far = a_first ? p.b : p.a;
        const Reach without = walk(live.pole, {fuse});
        if (!without.reached(near) || !without.reached(far)) return;
        Group g{live, {fuse}, far, without.stops_to(far)};
        // One way after the other is taken out, until nothing feeds it any more: three fuses on one joint are one mistake.
        for (Reach way = without; way.reached(far);) {
            const std::size_t before = g.fuses.size();
            for (EdgeRef e : way.path_to(far))
                if (!e.is_wire() && c_.at(e.primitive).element == Element::protector &&
                    beside(e.primitive, fuse, live.pole))
                    g.fuses.push_back(e.primitive);
            if (g.fuses.size() == before) break; // bridged by a wire
            way = walk(live.pole, g.fuses);
        }
        if (g.fuses.size() < 2) return; // bridged by a wire: not fed twice but not protected at all
        if (parallel_cables(g.fuses)) return;
        std::ranges::sort(g.fuses);
        groups_.push_back(std::move(g));
    }

    /// Does `other` stand beside the fuse, not before both?
    bool beside(PrimitiveId other, PrimitiveId fuse, TerminalId pole) const {
        if (bridge_[other.index]) return false;
        const Reach without = walk(pole, {other});
        return without.reached(c_.at(fuse).a) && without.reached(c_.at(fuse).b);
    }

    /// Two alike of more than a plug-in fuse stands carry one large load between them, on purpose (common practice).
    bool parallel_cables(const std::vector<PrimitiveId>& fuses) const {
        constexpr Amps plug_in{60};
        const Stated<Amps> first = rating_of(s_, fuses.front());
        return first.known() && first.nominal >= plug_in && std::ranges::all_of(fuses, [&](PrimitiveId f) {
                   return rating_of(s_, f).known() && rating_of(s_, f).nominal == first.nominal;
               });
    }

    void say(const Group& g) {
        std::vector<PartId> parts;
        for (PrimitiveId p : g.fuses) parts.push_back(c_.at(p).part);
        const std::vector<std::string> names = names_of(c_, parts);
        Finding f;
        f.rule = double_fed.id;
        f.severity = Severity::danger;
        f.headline =
            fmt::format("{} feed the same wiring: with one of them out, everything behind it stays live over {}.",
                        list_of(names), names.size() == 2 ? "the other" : "the others");
        f.place = where_it_lies(c_, parts.front());
        for (PartId p : parts) f.cites.push_back(cite_part(c_, p, "one of the feeds"));
        const bool two = names.size() == 2;
        f.why = fmt::format("Whoever pulls {} to work on what hangs there takes it for dead. And a short behind them "
                            "opens {} together are through.",
                            names.front(), two ? "neither before both" : "none before all");
        f.limit = "a fuse that is out makes dead what lies behind it (common practice)";
        f.cures.push_back({fmt::format("Feed it over one of them only, and take the other {} off at {}.",
                                       two ? "wire" : "wires", end_of(c_, g.behind))});
        f.cures.push_back({fmt::format("If {} are meant: write on the fuse box that {} have to come out together.",
                                       two ? "both" : "all", list_of(names))});
        f.path = stops_in_words(c_, g.stops);
        f.subjects = names;
        f.hangs_on = names_around(s_, g.stops);
        const bool maker = std::ranges::all_of(parts, [&](PartId p) { return s_.now.is_factory(p); });
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::vector<Group> groups_;
    std::vector<bool> bridge_;              ///< by primitive: its loss parts what stays closed
    std::map<TerminalId, Reach> from_pole_; ///< with every fuse in
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule double_fed = {
    "double-fed",
    Severity::danger,
    Quantifier::exists,
    Harm::other,
    "wiring that stays live when its fuse is out, because another fuse feeds it too",
    "always a danger, for whoever works on it",
    {
        "Two fuses of one battery feed the same wiring all the time, with no switch or diode between them.",
        "A fuse that was pulled is taken for proof that the wiring behind it is dead. And in a short the two share the "
        "current, so neither opens in its time.",
        "Take one of the two feeds off, or mark both fuses.",
        "None: it stays live or it does not. Two batteries joined over a fuse at each end are in order; so are feeds "
        "that a switch, a relay or a diode parts, and two large fuses alike (60 A and more) that carry one load over "
        "two cables.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
fuse F2, 15 A
lamp E1 "cabin lamp", 10 W
splice SP1, crimp
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from battery:+ to F2, 4 mm2 red, 0.1 m
wire from F1 to SP1, 4 mm2 red, 1 m
wire from F2 to SP1, 4 mm2 red, 1 m
wire from SP1 to E1, 4 mm2 red, 1 m
wire from E1 to ground, 4 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
fuse F2, 15 A
lamp E1 "cabin lamp", 10 W
lamp E2 "step lamp", 10 W
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from battery:+ to F2, 4 mm2 red, 0.1 m
wire from F1 to E1, 4 mm2 red, 1 m
wire from F2 to E2, 4 mm2 red, 1 m
wire from E1 to ground, 4 mm2 black, 0.3 m
wire from E2 to ground, 4 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
