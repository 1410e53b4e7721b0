#include "rules/battery_returns.hpp"

#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "reference/short_time.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule ground_undersized; // rule_list.hpp lists it

namespace {

/// A flat battery and what is switched on take at least that share of what an alternator can give (common practice, no source).
constexpr double taken_of_alternator = 0.5;

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), bridge_(c_.wires.size(), false) {
        for (EdgeRef e : s_.graph.bridges([&](EdgeRef edge, TerminalId) { return carries_ground(c_, edge); }))
            if (e.is_wire()) bridge_[e.wire.index] = true;
    }

    void run() {
        each_battery([&](PrimitiveId id, TerminalId live, TerminalId ground) {
            look_at_fuses(id, live, ground);
            look_at_alternators(id, live, ground);
        });
    }

    std::vector<FuseOverReturn> fuses() const {
        std::vector<FuseOverReturn> all;
        each_battery([&](PrimitiveId, TerminalId live, TerminalId ground) {
            if (const auto found = fused(live, ground))
                for (WireId w : found->wires) all.push_back({w, found->fuse});
        });
        return all;
    }

  private:
    template <class F> void each_battery(F&& f) const {
        for (const BatteryPoles& p : battery_poles(s_))
            if (s_.reference[p.ground.index]) f(p.source, p.live, p.ground);
    }
    /// Of a way, the wires that nothing lies beside, whose size is known and that are no cables for a starter.
    std::vector<WireId> alone(const std::vector<EdgeRef>& way) const {
        std::vector<WireId> wires;
        for (EdgeRef e : way)
            if (e.is_wire() && bridge_[e.wire.index] && !c_.at(e.wire).starter_cable && !c_.at(e.wire).winch_cable &&
                what_it_carries(c_, e.wire) && std::ranges::find(said_, e.wire) == said_.end())
                wires.push_back(e.wire);
        return wires;
    }

    std::string battery_words(PrimitiveId battery) const {
        const PartId part = c_.at(battery).part;
        return c_.at(part).named ? called(c_, part) : "the battery";
    }

    /// The way from a battery's ground pole to the metal, and the largest of its first fuses.
    struct Fused {
        std::vector<EdgeRef> way, feed;
        std::vector<WireId> wires; ///< of the way, those that are judged
        PrimitiveId fuse;
        Amps rating;
    };
    std::optional<Fused> fused(TerminalId live, TerminalId ground) const {
        const Reach reach = ground_walk(s_, ground);
        const std::vector<TerminalId> reached = reach.in_order();
        const auto end = std::ranges::find_if(
            reached, [&](TerminalId t) { return c_.part_of(t).kind == Kind::metal && s_.reference[t.index]; });
        if (end == reached.end()) return std::nullopt;
        const std::vector<EdgeRef> way = reach.path_to(*end);
        const std::vector<WireId> wires = alone(way);
        if (wires.empty()) return std::nullopt;
        // The first fuses behind the pole: the largest lets most through.
        const Reach near = up_to_the_next_fuses(s_, live, {});
        PrimitiveId fuse;
        Amps rating;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::protector || near.reached(p.a) == near.reached(p.b)) continue;
            const Stated<Amps> r = rating_of(s_, id);
            const Kind kind = c_.at(p.part).kind;
            if (!r.known() || kind == Kind::link || c_.at(p.part).poisoned || !(r.nominal > rating)) continue;
            fuse = id;
            rating = r.nominal;
        }
        if (!fuse.exists()) return std::nullopt;
        const Primitive& f = c_.at(fuse);
        return Fused{way, near.path_to(near.reached(f.a) ? f.a : f.b), wires, fuse, rating};
    }

    void look_at_fuses(PrimitiveId battery, TerminalId live, TerminalId ground) {
        const std::optional<Fused> found = fused(live, ground);
        if (!found) return;
        const auto& [way, feed, wires, fuse, rating] = *found;
        const std::optional<Amps> current =
            dead_short(c_, battery, resistance_along(c_, feed, Celsius{20}) + resistance_along(c_, way, Celsius{20}));
        if (!current) return;
        const auto band = reference::opening_time(style_of(s_, fuse, rating), rating, *current);
        if (!band) return;
        for (WireId w : wires) {
            const reference::Carrying carries = *what_it_carries(c_, w);
            const auto stands_at = stands_once(c_, w);
            if (!stands_at || carries.amps >= rating) continue;
            const Seconds stands = reference::time_to_reach(c_.at(w).area.nominal, *current, carries.place, *stands_at);
            if (band->longest && *band->longest <= stands) {
                if (const WireId other = lead_to(feed); other.exists() && c_.at(other).area.known() &&
                                                        c_.at(other).area.nominal > c_.at(w).area.nominal * 1.2 &&
                                                        !c_.at(other).size.empty())
                    say_thin(battery, live, w, fuse, rating, other, carries);
                continue;
            }
            say_short(battery, live, w, fuse, rating, *current, band->longest, stands, carries);
        }
    }

    void say_short(PrimitiveId battery, TerminalId live, WireId w, PrimitiveId fuse, Amps rating, Amps current,
                   const std::optional<Seconds>& opens_by, Seconds stands, const reference::Carrying& carries) {
        Finding f = begin(battery, w, carries);
        f.severity = Severity::danger;
        f.headline = sentence_start(fmt::format(
            "{}{} is the ground lead of {} and carries {}, but {} lets {} through: a short behind that fuse goes over "
            "both.",
            described(c_, w), c_.at(w).named ? "," : "", battery_words(battery), text(carries.amps),
            protector_words(c_, fuse), text(rating)));
        f.cites.push_back(cite_rating(s_, fuse, "lets it through"));
        f.why = opens_by ? fmt::format("It takes at most {} then: {} opens within {}, and the wire stands it for {}.",
                                       text(rounded(current, 2)), protector_words(c_, fuse),
                                       text(rounded(*opens_by, 2)), text(rounded(stands, 2)))
                         : fmt::format("It takes at most {} then, too little to be sure that {} opens at all; the wire "
                                       "stands it for {}.",
                                       text(rounded(current, 2)), protector_words(c_, fuse), text(rounded(stands, 2)));
        f.why += " It burns, and whatever touches it.";
        finish(std::move(f), w, rating, c_.at(fuse).part, live);
    }

    /// The fuse is through in time, but what it carries for long this lead does not.
    void say_thin(PrimitiveId battery, TerminalId live, WireId w, PrimitiveId fuse, Amps rating, WireId other,
                  const reference::Carrying& carries) {
        Finding f = begin(battery, w, carries);
        f.severity = Severity::advice;
        f.headline = sentence_start(
            fmt::format("{}{} is the ground lead of {} and carries {}, but its other lead is {} behind {} of {}.",
                        described(c_, w), c_.at(w).named ? "," : "", battery_words(battery), text(carries.amps),
                        c_.at(other).size, protector_words(c_, fuse), text(rating)));
        f.cites.push_back(cite_size(c_, other, "the other lead"));
        f.cites.push_back(cite_rating(s_, fuse, "lets it through"));
        f.why =
            fmt::format("All that goes over the one comes back over the other. What charges a flat battery, or a load "
                        "of {} and more for long, opens no fuse and makes this lead hotter than its insulation "
                        "stands; and what is lost over it is missing.",
                        text(carries.amps));
        finish(std::move(f), w, rating, c_.at(fuse).part, live);
    }
    /// The wire on the live pole that leads to the fuse.
    WireId lead_to(const std::vector<EdgeRef>& feed) const {
        for (EdgeRef e : feed)
            if (e.is_wire()) return e.wire;
        return {};
    }

    void look_at_alternators(PrimitiveId battery, TerminalId live, TerminalId ground) {
        const Reach feed = s_.graph.walk(
            std::vector{live}, [&](EdgeRef e, TerminalId t) { return carries_fault(s_, e, t, Protectors::pass); },
            &Edge::metres);
        const Reach back = ground_walk(s_, ground);
        for (const LivePole& pole : s_.limited) {
            const Primitive& source = c_.at(pole.source);
            const Stated<Amps> most = s_.now.amps(source.part, Attr::rating);
            const TerminalId returns = s_.from_plus() ? source.b : source.a;
            if (c_.at(source.part).kind != Kind::alternator || c_.at(source.part).poisoned || !most.known() ||
                most.how == Knowledge::assumed || !feed.reached(pole.pole) || !back.reached(returns))
                continue;
            Amps flows = most.nominal * taken_of_alternator;
            for (EdgeRef e : feed.path_to(pole.pole)) // a fuse between opens before
                if (!e.is_wire() && c_.at(e.primitive).element == Element::protector)
                    if (const Stated<Amps> r = rating_of(s_, e.primitive); r.known() && r.nominal < flows)
                        flows = r.nominal;
            for (WireId w : alone(back.path_to(returns))) {
                const reference::Carrying carries = *what_it_carries(c_, w);
                if (carries.amps >= flows * 0.995) continue;
                say_charging(battery, live, w, source.part, most, carries);
            }
        }
    }

    void say_charging(PrimitiveId battery, TerminalId live, WireId w, PartId alternator, const Stated<Amps>& most,
                      const reference::Carrying& carries) {
        Finding f = begin(battery, w, carries);
        f.severity = Severity::fault;
        f.headline =
            sentence_start(fmt::format("{}{} carries {}, but all that {} sends into {} comes back over it: up to {}.",
                                       described(c_, w), c_.at(w).named ? "," : "", text(carries.amps),
                                       called(c_, alternator), battery_words(battery), text(most.nominal)));
        f.cites.push_back({most.span.exists() ? most.span : c_.at(alternator).span, "delivers it"});
        f.why =
            "A flat battery takes half of that and more for the first hour: the lead gets hotter than its insulation "
            "stands, and what is lost over it is missing at the battery.";
        finish(std::move(f), w, most.nominal, alternator, live);
    }

    Finding begin(PrimitiveId battery, WireId w, const reference::Carrying& carries) const {
        Finding f;
        f.rule = ground_undersized.id;
        f.place = place_of(c_, w);
        f.cites.push_back(cite_size(c_, w, "carries " + text(carries.amps)));
        f.limit = reference::sentence(carries);
        f.subjects = {subject_of(c_, w), name_of(c_, c_.at(battery).part)};
        return f;
    }
    void finish(Finding f, WireId w, Amps wanted, PartId other, TerminalId live) {
        said_.push_back(w);
        SquareMetres thickest; // of the wires on the other pole
        for (WireId at : s_.now.wires_at(live))
            if (c_.at(at).area.known()) thickest = std::max(thickest, c_.at(at).area.nominal);
        const auto as_the_other = size_as_thick_as(c_, w, thickest);
        auto size = size_that_carries(c_, w, wanted);
        if (size && as_the_other && as_the_other->copper > size->copper) size = as_the_other;
        if (size)
            f.cures.push_back(thicker(c_, w, *size,
                                      fmt::format("Use {} or thicker for {}: the ground lead of a battery is as thick "
                                                  "as its other one.",
                                                  reference::spelled(*size), name_of(c_, w))));
        f.subjects.push_back(name_of(c_, other));
        const bool maker = s_.now.is_factory(w) && s_.now.is_factory(other);
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::vector<bool> bridge_; ///< by wire: the only way between what it joins, over what is solid
    std::vector<WireId> said_;
};

} // namespace

void judge_battery_returns(const Study& s, Report& report) { Judge(s, report).run(); }

std::vector<FuseOverReturn> fuses_over_battery_returns(const Study& s) {
    Report none;
    return Judge(s, none).fuses();
}

} // namespace loomproof::rules
