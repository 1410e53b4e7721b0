#include "rules/fuse_above_part.hpp"

#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule part_overloaded; // rule_list.hpp lists it

namespace {

/// What hangs on switches and plugs of trigger circuits (common practice, no source): such a load cannot grow into an overload.
constexpr Amps trigger{2};

struct Guarded {
    Amps lets_through;
    std::vector<PrimitiveId> devices;
};

struct TooLarge {
    Guarded before;
    LoadsBehind behind;
};

/// Is what stands before a contact or a hole too large for it?
class Judge {
  public:
    explicit Judge(const Study& s) : s_(s), c_(s.circuit) {}
    std::optional<TooLarge> judge(PrimitiveId) const;
    /// The same for an outlet, on which anything may hang.
    std::optional<Guarded> judge_outlet(const Primitive&) const;

  private:
    /// What the fuses before it let through: the smaller of what may come in at its ends. Nothing where some wire there is not protected,
    /// or where a rating is not known: other rules speak of that.
    std::optional<Guarded> guard(const Primitive& p) const {
        std::optional<Guarded> least;
        for (TerminalId t : {p.a, p.b}) {
            std::optional<Guarded> most;
            for (WireId w : s_.now.wires_at(t)) {
                const Protection& protection = s_.protection[w.index];
                if (!protection.fed) continue;
                if (protection.unprotected || !protection.of_unknown_rating.empty()) return std::nullopt;
                const Amps amps = protection.perhaps_less.empty() ? protection.lets_through : protection.at_least;
                if (!most || amps > most->lets_through) most = Guarded{amps, protection.devices};
            }
            if (most && (!least || most->lets_through < least->lets_through)) least = most;
        }
        if (!least || least->devices.empty() || std::ranges::any_of(least->devices, [&](PrimitiveId d) {
                return c_.at(d).element != Element::protector; // what limits itself gives no more by a short
            }))
            return std::nullopt;
        return least;
    }

    /// The largest fuse of those behind it, where every load there has one.
    std::optional<Amps> parted_by_fuses(TerminalId far, EdgeRef self) const {
        const Reach reach = up_to_the_next_fuses(s_, far, self);
        std::optional<Amps> largest;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!reach.reached(p.a) && !reach.reached(p.b)) continue;
            if (is_load(p) && p.purpose != Purpose::leak) return std::nullopt;
            if (p.element != Element::protector) continue;
            const Stated<Amps> rating = rating_of(s_, id);
            if (!rating.known()) return std::nullopt;
            largest = std::max(largest.value_or(Amps{0}), rating.nominal);
        }
        return largest;
    }

    const Study& s_;
    const Circuit& c_;
};

/// As the file says; a relay of which nobody said it is taken for a usual one.
std::optional<Amps> taken_rating(const Primitive& p) {
    if (p.rating.known()) return p.rating.nominal.si > 0 ? std::optional(p.rating.nominal) : std::nullopt;
    const bool relay = p.purpose == Purpose::make_contact || p.purpose == Purpose::rest_contact;
    return relay ? std::optional(usual_relay_carries) : std::nullopt;
}

std::optional<TooLarge> Judge::judge(PrimitiveId id) const {
    const Primitive& p = c_.at(id);
    const bool contact = p.element == Element::contact && p.purpose != Purpose::feed_condition;
    const Kind kind = c_.at(p.part).kind;
    const auto rating = taken_rating(p);
    if ((!contact && p.purpose != Purpose::hole) || !rating || c_.at(p.part).poisoned || kind == Kind::starter ||
        kind == Kind::electronics)
        return std::nullopt;
    const auto before = guard(p);
    if (!before || before->lets_through <= one_size_above(*rating) * 1.005) return std::nullopt;
    const EdgeRef self{{}, id};
    const TerminalId near = fed_end(s_, self);
    const LoadsBehind behind = loads_behind(s_, self, near);
    if (!behind.only_way || behind.parts.empty()) return std::nullopt;
    const bool triggers = behind.unknown.empty() && behind.sum <= trigger;
    if (kind != Kind::relay && triggers) return std::nullopt;
    if (kind == Kind::relay &&
        std::ranges::all_of(behind.parts, [&](PartId part) { return c_.at(part).kind == Kind::relay; }))
        return std::nullopt;
    if (const auto largest = parted_by_fuses(other_end(c_, self, near), self);
        largest && *largest <= one_size_above(*rating) * 1.005)
        return std::nullopt;
    return TooLarge{*before, behind};
}

std::optional<Guarded> Judge::judge_outlet(const Primitive& p) const {
    if (c_.at(p.part).kind != Kind::socket || c_.at(p.part).poisoned || !is_load(p) || !p.current.known())
        return std::nullopt;
    auto before = guard(p);
    if (!before || before->lets_through <= suits_outlet(p.current.nominal) * 1.005) return std::nullopt;
    return before;
}

/// Outlets behind the same fuses.
struct Outlets {
    Guarded before;
    std::vector<PrimitiveId> all; ///< the weakest first
};

class Speaker {
  public:
    Speaker(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        const Judge judge(s_);
        std::vector<PartId> said;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (std::ranges::find(said, p.part) != said.end() || told_already(p.part)) continue;
            const auto found = judge.judge(id);
            if (!found) continue;
            said.push_back(p.part);
            if (p.rating.known())
                say(p, found->before, found->behind);
            else
                say_unrated(p, found->before);
        }
        look_at_outlets(judge);
    }

  private:
    bool told_already(PartId part) const {
        return std::ranges::any_of(report_.findings, [&](const Finding& f) {
            return f.rule == part_overloaded.id && !f.subjects.empty() && f.subjects.front() == name_of(c_, part);
        });
    }

    void say_unrated(const Primitive& p, const Guarded& before) {
        if (s_.now.is_factory(p.part)) return;
        const std::string fuses = protector_words(c_, before.devices);
        report_.not_checked.push_back(
            {part_overloaded.id, fmt::format("whether {} protects {}", fuses, what_it_is(p)),
             fmt::format("nobody said what it is made for, and {} {} {} through", fuses,
                         verb(before.devices.size(), "lets", "let"), text(before.lets_through)),
             fmt::format("Read A on it, and write it behind the name: relay {}, 4-pin, 40 A. Less than {}: use a "
                         "smaller fuse or a stronger relay.",
                         name_of(c_, p.part), text(before.lets_through))});
    }

    void look_at_outlets(const Judge& judge) {
        std::vector<Outlets> groups;
        for (PrimitiveId id : s_.now.primitives()) {
            const auto before = judge.judge_outlet(c_.at(id));
            if (!before) continue;
            auto group = std::ranges::find(groups, before->devices, [](const Outlets& o) { return o.before.devices; });
            if (group == groups.end()) group = groups.insert(groups.end(), Outlets{*before, {}});
            const auto weaker = [&](PrimitiveId a, PrimitiveId b) {
                return c_.at(a).current.nominal < c_.at(b).current.nominal;
            };
            group->all.insert(std::ranges::upper_bound(group->all, id, weaker), id);
        }
        for (const Outlets& group : groups) say_outlets(group);
    }

    bool wires_carry(const std::vector<PartId>& parts, Amps amps) const {
        return std::ranges::all_of(parts, [&](PartId p) {
            return std::ranges::all_of(c_.at(p).terminals, [&](TerminalId t) {
                return std::ranges::all_of(s_.now.wires_at(t), [&](WireId w) {
                    const auto carries = what_it_carries(c_, w);
                    return !carries || carries->amps >= amps;
                });
            });
        });
    }

    /// Nothing but its fuse limits what is plugged in.
    void say_outlets(const Outlets& group) {
        std::vector<PartId> parts;
        for (PrimitiveId id : group.all) parts.push_back(c_.at(id).part);
        const bool one = parts.size() == 1;
        const Amps rating = c_.at(group.all.front()).current.nominal, through = group.before.lets_through;
        const PrimitiveId device = group.before.devices.front();
        Finding f;
        f.rule = part_overloaded.id;
        f.severity = through >= rating * 1.99 ? Severity::fault : Severity::advice;
        f.place = where_it_lies(c_, parts.front());
        const bool unlike = c_.at(group.all.back()).current.nominal > rating;
        f.headline = sentence_start(fmt::format(
            "{} {} {} through, but {} {} made for {}{}: what is plugged in may burn {}.",
            protector_words(c_, group.before.devices), group.before.devices.size() == 1 ? "lets" : "together let",
            text(through), one ? called(c_, parts.front()) : list_of(names_of(c_, parts)), one ? "is" : "are",
            text(rating), unlike ? " and more" : "", one ? "it" : "them"));
        for (PrimitiveId d : group.before.devices) f.cites.push_back(cite_rating(s_, d, "lets it through"));
        for (PrimitiveId id : group.all)
            f.cites.push_back(cite_part(c_, c_.at(id).part, "made for " + text(c_.at(id).current.nominal)));
        f.why = fmt::format("Who plugs in a compressor or a kettle does not read what an outlet is made for. Anything "
                            "between {} and {} opens no fuse: the springs of the outlet go soft, and it melts.",
                            text(rating), text(through));
        f.limit = fmt::format("{}, as the file says; a fuse up to {} is let pass (common practice, no source)",
                              text(rating), text(suits_outlet(rating)));
        const auto fuse = reference::largest_fuse_up_to(rating);
        const EdgeRef edge{{}, device};
        const bool drawn = !c_.at(c_.at(device).a).internal && !c_.at(c_.at(device).b).internal;
        const LoadsBehind all = loads_behind(s_, edge, fed_end(s_, edge));
        const bool alone = all.only_way && all.parts == parts;
        if (fuse && one && drawn && group.before.devices.size() == 1 && alone)
            f.cures.push_back(
                {fmt::format("Put {} fuse in {}.", with_article(text(fuse->rating)), name_of(c_, c_.at(device).part))});
        else if (fuse)
            f.cures.push_back({fmt::format("Give {} a fuse of its own before it, {} or less.",
                                           one ? "it" : "each of them", text(fuse->rating))});
        if (alone || !fuse) // what others take beside it, the fuse would not leave it
            f.cures.push_back(
                {fmt::format("Fit {} made for {} or more{}.", one ? "an outlet" : "outlets", text(through),
                             wires_carry(parts, through) ? "" : ", and wire that carries as much")});
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        for (PrimitiveId d : group.before.devices) f.subjects.push_back(name_of(c_, c_.at(d).part));
        const bool maker =
            std::ranges::all_of(parts, [&](PartId p) { return s_.now.is_factory(p); }) &&
            std::ranges::all_of(group.before.devices, [&](PrimitiveId d) { return as_the_maker_fused(c_.at(d).part); });
        report_.add(std::move(f), maker);
    }

    /// The maker's, and of no higher rating than his.
    bool as_the_maker_fused(PartId part) const {
        const Stated<Amps> then = s_.factory.amps(part, Attr::rating), now = s_.now.amps(part, Attr::rating);
        return s_.now.is_factory(part) && (!then.known() || !now.known() || now.nominal <= then.nominal);
    }

    /// What the thinnest wire carries of those that this fuse alone stands before and lets too much through.
    std::optional<Amps> least_wire_behind(PrimitiveId fuse) const {
        std::optional<Amps> least;
        for (WireId w : s_.now.wires()) {
            const Protection& p = s_.protection[w.index];
            if (!p.fed || p.unprotected || p.devices != std::vector{fuse} || c_.at(w).poisoned) continue;
            const auto carries = what_it_carries(c_, w);
            if (carries && carries->amps < p.lets_through && (!least || carries->amps < *least)) least = carries->amps;
        }
        return least;
    }

    std::string what_it_is(const Primitive& p) const {
        return p.purpose == Purpose::hole ? hole_words(c_, p) : called(c_, p.part);
    }

    /// The most that flows at once over the contacts of a switch that meet in one of its ends.
    Amps most_over_one_end(PartId part) const {
        Amps most;
        const Survey* survey = survey_of(s_);
        if (!survey) return most;
        for (solve::StateId at = 0; at < survey->behaviour.states.size(); ++at) {
            if (!survey->behaviour.states[at].stable || survey->shorted[at]) continue;
            const solve::Point point = survey->behaviour.point(at);
            for (TerminalId t : c_.at(part).terminals) {
                double sum = 0;
                for (PrimitiveId id : s_.now.primitives_at(t))
                    if (c_.at(id).part == part && c_.at(id).element == Element::contact)
                        sum += amps_away(c_, point, {{}, id}, t);
                most = std::max(most, Amps{std::abs(sum)});
            }
        }
        return most;
    }

    /// One contact may stand what goes over it while the switch as a whole does not.
    std::string what_hangs_on(const Primitive& p, Amps over_it, Amps rating) const {
        if (c_.at(p.part).kind == Kind::switching && p.element == Element::contact)
            if (const Amps all = most_over_one_end(p.part); all > rating * 1.02 && all > over_it * 1.02)
                return fmt::format(
                    "Over one contact go {}, over all that are closed at once {}: read on it whether its "
                    "{} hold for each contact or for the whole switch. But a",
                    text(rounded(over_it, 3)), text(rounded(all, 2)), text(rating));
        // What takes more than that all at once, and never is on all at once, is no load that it stands.
        if (over_it > rating * 1.005)
            return fmt::format("What hangs on it takes {} if all of it is on at once, more than it stands; and a",
                               text(rounded(over_it, 3)));
        return fmt::format("What hangs on it takes {}, which it stands. But a", text(rounded(over_it, 3)));
    }

    void say(const Primitive& p, const Guarded& before, const LoadsBehind& behind) {
        const bool plug = p.purpose == Purpose::hole, relay = c_.at(p.part).kind == Kind::relay;
        const PrimitiveId device = before.devices.front();
        const bool one = before.devices.size() == 1;
        const Amps rating = p.rating.nominal;
        const std::string fuses = protector_words(c_, before.devices);
        Finding f;
        f.rule = part_overloaded.id;
        f.severity = Severity::advice;
        f.place = where_it_lies(c_, p.part);
        f.headline =
            sentence_start(fmt::format("{} {} {} through, but {} is made for {}.", fuses, one ? "lets" : "together let",
                                       text(before.lets_through), what_it_is(p), text(rating)));
        for (PrimitiveId d : before.devices) f.cites.push_back(cite_rating(s_, d, "lets it through"));
        f.cites.push_back(cite_part(c_, p.part, "made for " + text(rating)));
        const std::string load = behind.unknown.empty() ? what_hangs_on(p, behind.sum, rating) : "But a";
        f.why = load + fmt::format(" motor that jams, or a poor short, may take anything between {} and {}: no "
                                   "fuse opens, and {}.",
                                   text(rating), text(before.lets_through),
                                   plug ? "the hole gets hot, its spring goes soft, and the plug burns"
                                        : "the contacts weld together, so that nothing switches it off any more");
        f.limit = fmt::format("{}, as the file says; a fuse of the next size above that, {}, is let pass (common "
                              "practice, no source)",
                              text(rating), text(one_size_above(rating)));
        say_cures(p, device, one, behind, f);
        f.cures.push_back(
            {plug    ? fmt::format("Fit a plug whose holes are made for {} or more.", text(before.lets_through))
             : relay ? fmt::format("Fit a relay for {} or more.", text(before.lets_through))
                     : fmt::format("Fit a switch for {} or more, or let a relay switch the load.",
                                   text(before.lets_through))});
        f.subjects.push_back(name_of(c_, p.part));
        for (PrimitiveId d : before.devices) f.subjects.push_back(name_of(c_, c_.at(d).part));
        const bool factory = s_.now.is_factory(p.part) && std::ranges::all_of(before.devices, [&](PrimitiveId d) {
                                 return as_the_maker_fused(c_.at(d).part);
                             });
        report_.add(std::move(f), factory);
    }

    void say_cures(const Primitive& p, PrimitiveId device, bool one, const LoadsBehind& behind, Finding& f) const {
        const Amps rating = p.rating.nominal;
        auto fuse = reference::largest_fuse_up_to(rating);
        if (!fuse) return;
        const EdgeRef edge{{}, device};
        const bool drawn = !c_.at(c_.at(device).a).internal && !c_.at(c_.at(device).b).internal;
        const LoadsBehind all = loads_behind(s_, edge, fed_end(s_, edge));
        // One fuse, one figure: fuse-above-wire speaks of the same one.
        if (const auto wire = least_wire_behind(device); one && wire && *wire < rating)
            if (const auto smaller = reference::largest_fuse_up_to(*wire); smaller && all.sum <= smaller->rating * 0.8)
                fuse = smaller;
        if (one && drawn && all.only_way && all.unknown.empty() && all.sum <= fuse->rating * 0.8)
            f.cures.push_back({c_.at(c_.at(device).part).kind == Kind::fuse
                                   ? fmt::format("Put {} fuse in {}.", with_article(text(fuse->rating)),
                                                 name_of(c_, c_.at(device).part))
                                   : fmt::format("Fit {} fuse or breaker in place of {}.",
                                                 with_article(text(fuse->rating)), name_of(c_, c_.at(device).part))});
        else if (behind.unknown.empty() && behind.sum <= fuse->rating)
            f.cures.push_back({fmt::format("Give it a fuse of its own before it, {} or less.", text(fuse->rating))});
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

} // namespace

/// The springs of the smallest stand 10 A, and phones' chargers limit themselves (common practice, no source).
Amps suits_outlet(Amps rating) { return std::max(one_size_above(rating), Amps{10}); }

Amps one_size_above(Amps made_for) {
    constexpr std::array<double, 15> in_use = {1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100};
    const auto next = std::ranges::upper_bound(in_use, made_for.si * 1.005);
    return next == in_use.end() ? made_for * 1.25 : Amps{*next};
}

void judge_fuses_above_parts(const Study& s, Report& report) { Speaker(s, report).run(); }

std::optional<Amps> least_part_behind(const Study& s, PrimitiveId fuse) {
    const Judge judge(s);
    std::optional<Amps> least;
    for (PrimitiveId id : s.now.primitives()) {
        const Amps rating = s.circuit.at(id).rating.nominal;
        if (const auto before = judge.judge_outlet(s.circuit.at(id));
            before && before->devices == std::vector{fuse} && (!least || s.circuit.at(id).current.nominal < *least))
            least = s.circuit.at(id).current.nominal;
        const auto found = s.circuit.at(id).rating.known() ? judge.judge(id) : std::nullopt;
        if (found && found->before.devices == std::vector{fuse} && (!least || rating < *least)) least = rating;
    }
    return least;
}

} // namespace loomproof::rules
