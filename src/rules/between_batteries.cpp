#include "rules/between_batteries.hpp"

#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/closing_contact.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_above_part.hpp"
#include "rules/fuse_load.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule part_overloaded; // rule_list.hpp lists it

namespace {

/// A charging system at its upper end over a battery that is flat, of 12 V (common practice, from memory).
constexpr Volts charging{14.4}, flat{10.5};

/// What stands on one side of a contact.
struct Side {
    std::vector<PrimitiveId> fuses; ///< before its sources; empty: one is joined without
    Amps lets_through;
    std::vector<PartId> batteries;
    std::vector<EdgeRef> way; ///< to the first source
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        std::vector<PartId> said;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::contact || p.purpose == Purpose::feed_condition ||
                (p.rating.known() && !(p.rating.nominal.si > 0)) || c_.at(p.part).poisoned ||
                std::ranges::find(said, p.part) != said.end() || told_already(p.part))
                continue;
            if (look_at(id)) said.push_back(p.part);
        }
    }

  private:
    bool told_already(PartId part) const {
        return std::ranges::any_of(report_.findings, [&](const Finding& f) {
            return f.rule == part_overloaded.id && !f.subjects.empty() && f.subjects.front() == name_of(c_, part);
        });
    }

    /// Nothing where no source stands there, where it is joined to the other side past the contact, or where a rating is not known.
    std::optional<Side> side(TerminalId from, TerminalId other, EdgeRef contact) const {
        const auto walk = [&](TerminalId start, EdgeRef without) {
            return s_.graph.walk(
                std::vector{start},
                [&](EdgeRef e, TerminalId t) {
                    return e != contact && e != without && carries_fault(s_, e, t, Protectors::pass);
                },
                &Edge::metres);
        };
        const Reach all = walk(from, contact);
        if (all.reached(other)) return std::nullopt;
        Side side;
        for (const LivePole& pole : s_.strong) {
            if (!all.reached(pole.pole)) continue;
            const PartId part = c_.at(pole.source).part;
            if (side.way.empty()) side.way = all.path_to(pole.pole);
            if (c_.at(part).kind == Kind::battery) side.batteries.push_back(part);
        }
        const auto strong_in = [&](const Reach& reach) {
            return std::ranges::any_of(s_.strong, [&](const LivePole& p) { return reach.reached(p.pole); });
        };
        if (!strong_in(all)) return std::nullopt;
        const Reach near = up_to_the_next_fuses(s_, from, contact);
        if (strong_in(near)) return side;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::protector || near.reached(p.a) == near.reached(p.b)) continue;
            if (!strong_in(walk(near.reached(p.a) ? p.b : p.a, EdgeRef{{}, id}))) continue;
            const Stated<Amps> rating = rating_of(s_, id);
            if (!rating.known()) return std::nullopt;
            side.fuses.push_back(id);
            side.lets_through += rating.nominal;
        }
        if (side.fuses.empty()) return std::nullopt;
        return side;
    }

    bool look_at(PrimitiveId id) {
        const Primitive& p = c_.at(id);
        const EdgeRef self{{}, id};
        const auto a = side(p.a, p.b, self), b = side(p.b, p.a, self);
        if (!a || !b || (a->batteries.empty() && b->batteries.empty())) return false;
        if (a->fuses.empty() && b->fuses.empty()) return false;
        const Side& less = a->fuses.empty() || (!b->fuses.empty() && b->lets_through < a->lets_through) ? *b : *a;
        if (!p.rating.known()) return say_unrated(p, less);
        if (less.lets_through <= one_size_above(p.rating.nominal) * 1.005) return false;
        const Ohms wires = resistance_along(c_, a->way, Celsius{20}) + resistance_along(c_, b->way, Celsius{20});
        const double volts = (charging - flat).si * c_.vehicle.system.si / 12;
        if (wires.si * p.rating.nominal.si >= volts) return false;
        say(p, less, *a, *b);
        return true;
    }

    /// The maker's own, and a battery's main switch, which has such cables, are left alone.
    bool say_unrated(const Primitive& p, const Side& less) {
        const bool main_switch = c_.at(p.part).kind != Kind::relay && has_cable(s_, p.a) && has_cable(s_, p.b);
        // What lets through no more than that suits any contact that is sold for it.
        const bool suits = less.lets_through <= one_size_above(usual_relay_carries) * 1.005;
        if (s_.now.is_factory(p.part) || main_switch || suits) return false;
        const std::string fuses = protector_words(c_, less.fuses);
        report_.not_checked.push_back(
            {part_overloaded.id, fmt::format("whether {} stands what a flat battery takes over it", called(c_, p.part)),
             fmt::format("nobody said what it is made for, and {} {} {} through", fuses,
                         verb(less.fuses.size(), "lets", "let"), text(less.lets_through)),
             fmt::format(
                 "Read A on it, and write it behind its name. Less than {}: use a smaller fuse, or a contact made "
                 "for more.",
                 text(less.lets_through))});
        return true;
    }

    void say(const Primitive& p, const Side& less, const Side& a, const Side& b) {
        const Amps rating = p.rating.nominal;
        const bool relay = c_.at(p.part).kind == Kind::relay, one = less.fuses.size() == 1;
        std::vector<PartId> batteries = a.batteries;
        for (PartId part : b.batteries)
            if (std::ranges::find(batteries, part) == batteries.end()) batteries.push_back(part);
        std::ranges::sort(batteries);
        const std::string fuses = protector_words(c_, less.fuses);
        const std::string between = batteries.size() > 1 ? list_of(names_of(c_, batteries))
                                                         : name_of(c_, batteries.front()) + " and what charges it";
        Finding f;
        f.rule = part_overloaded.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, p.part);
        f.headline = sentence_start(fmt::format("{} {} {} through between {}, but {} is made for {}.", fuses,
                                                one ? "lets" : "together let", text(less.lets_through), between,
                                                called(c_, p.part), text(rating)));
        for (PrimitiveId d : less.fuses) f.cites.push_back(cite_rating(s_, d, "lets it through"));
        f.cites.push_back(cite_part(c_, p.part, "made for " + text(rating)));
        f.why = fmt::format("What a flat battery takes from a full one and the alternator is set by the fuse and the "
                            "cables alone. Between {} and {} no fuse opens, and the contacts weld together, so that "
                            "nothing parts the two any more.",
                            text(rating), text(less.lets_through));
        f.limit = fmt::format("{}, as the file says; {} of charging against {} of a flat battery over these wires "
                              "give more (common practice, from memory)",
                              text(rating), text(Volts{charging.si * c_.vehicle.system.si / 12}),
                              text(Volts{flat.si * c_.vehicle.system.si / 12}));
        f.cures.push_back(
            {fmt::format("Fit a {} for {} or more.", relay ? "relay" : "switch", text(less.lets_through))});
        if (const auto fuse = reference::largest_fuse_up_to(rating); fuse && one)
            f.cures.push_back({fmt::format("Put {} fuse in place of {}: it opens where a flat battery takes more.",
                                           with_article(text(fuse->rating)), protector_words(c_, less.fuses.front()))});
        f.subjects.push_back(name_of(c_, p.part));
        for (PrimitiveId d : less.fuses) f.subjects.push_back(name_of(c_, c_.at(d).part));
        for (PartId part : batteries) f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

} // namespace

void judge_contacts_between_batteries(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace loomproof::rules
