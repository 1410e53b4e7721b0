#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "reference/short_time.hpp"
#include "rules/battery_returns.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
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

/// A return that a short inside a load spoils before the feed's fuse is through.
struct Thin {
    WireId wire;
    std::vector<PartId> loads; ///< the worst first
    PrimitiveId fuse;
    Amps rating, current;
    std::optional<Seconds> opens_by;
    Seconds stands;
    reference::Carrying carries;
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const Kind kind = c_.at(p.part).kind;
            if (!is_load(p) || c_.at(p.part).poisoned || kind == Kind::resistor || kind == Kind::beyond ||
                kind == Kind::starter)
                continue;
            if (p.purpose == Purpose::coil || p.purpose == Purpose::sensing || p.purpose == Purpose::leak)
                continue; // its own wire lets no short current through: it stays in a row with what else is there
            look_at(p, p.a, p.b);
            look_at(p, p.b, p.a);
        }
        for (const Thin& t : thin_) say(t);
    }

  private:
    void look_at(const Primitive& p, TerminalId fed, TerminalId grounded) {
        if (!sides_.live(fed) || sides_.ground(fed) || sides_.live(grounded)) return;
        const std::vector<EdgeRef> back = way_back(grounded);
        if (back.empty()) return;
        const std::uint32_t way = sides_.live().ways_to(fed).front();
        const std::vector<EdgeRef> feed = sides_.live().edges(way);
        // The smallest fuse on the way is the one that opens.
        PrimitiveId fuse;
        Amps rating{1e9};
        for (EdgeRef e : feed)
            if (!e.is_wire() && c_.at(e.primitive).element == Element::protector) {
                const Stated<Amps> r = rating_of(s_, e.primitive);
                if (!r.known()) return;
                if (r.nominal < rating) {
                    rating = r.nominal;
                    fuse = e.primitive;
                }
            }
        if (!fuse.exists() || c_.at(c_.at(fuse).part).kind == Kind::link) return;
        const TerminalId pole = sides_.live().start(way);
        const auto source = std::ranges::find(s_.strong, pole, &LivePole::pole);
        if (source == s_.strong.end()) return;
        const reference::Protector style = style_of(s_, fuse, rating);
        const Ohms ohms = resistance_along(c_, feed, Celsius{20}) + resistance_along(c_, back, Celsius{20});
        const std::optional<Amps> current = dead_short(c_, source->source, ohms);
        // Where the feed behind the fuse is no thicker, that one is too thin as well, and fuse-above-wire speaks of it.
        std::optional<Amps> feed_carries;
        bool behind_fuse = false;
        for (EdgeRef e : feed) {
            behind_fuse = behind_fuse || e == EdgeRef{{}, fuse};
            if (!behind_fuse || !e.is_wire()) continue;
            const auto carries = what_it_carries(c_, e.wire);
            if (!carries) return;
            if (!feed_carries || carries->amps < *feed_carries) feed_carries = carries->amps;
        }
        for (EdgeRef e : back) {
            if (!e.is_wire()) continue;
            const auto carries = what_it_carries(c_, e.wire);
            const auto stands_at = stands_once(c_, e.wire);
            if (carries && feed_carries && carries->amps >= *feed_carries) continue;
            if (!carries || !stands_at || carries->amps >= rating || c_.at(e.wire).starter_cable ||
                c_.at(e.wire).winch_cable)
                continue;
            const Amps amps = current.value_or(rating * 10);
            const auto band = reference::opening_time(style, rating, amps);
            if (!band) continue; // no curve: fuse-above-wire says so of the feed
            const Seconds stands =
                reference::time_to_reach(c_.at(e.wire).area.nominal, amps, carries->place, *stands_at);
            if (band->longest && *band->longest <= stands) continue;
            file({e.wire, {p.part}, fuse, rating, amps, band->longest, stands, *carries});
        }
    }

    /// The wires from a load's ground end to the reference, where nothing switches on the way.
    std::vector<EdgeRef> way_back(TerminalId from) const {
        const Reach reach = s_.graph.walk(
            std::vector{from},
            [&](EdgeRef e, TerminalId at) {
                return !(s_.reference[at.index] && c_.part_of(at).kind == Kind::metal) && carries_ground(c_, e);
            },
            &Edge::metres);
        for (TerminalId t : reach.in_order())
            if (s_.reference[t.index] && (c_.part_of(t).kind == Kind::metal || c_.part_of(t).kind == Kind::battery))
                return reach.path_to(t);
        return {};
    }

    void file(Thin t) {
        const auto same = std::ranges::find(thin_, t.wire, &Thin::wire);
        if (same == thin_.end()) return thin_.push_back(std::move(t));
        if (t.rating > same->rating) {
            t.loads.insert(t.loads.end(), same->loads.begin(), same->loads.end());
            *same = std::move(t);
        } else if (std::ranges::find(same->loads, t.loads.front()) == same->loads.end()) {
            same->loads.push_back(t.loads.front());
        }
    }

    void say(const Thin& t) {
        const std::string load = called(c_, t.loads.front());
        Finding f;
        f.rule = ground_undersized.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format(
            "{}{} is the return of {} and carries {}, but the feed is behind {}: a short inside {} goes through both.",
            described(c_, t.wire), c_.at(t.wire).named ? "," : "", load, text(t.carries.amps), text(t.rating),
            name_of(c_, t.loads.front())));
        f.place = place_of(c_, t.wire);
        f.cites.push_back(cite_size(c_, t.wire, "carries " + text(t.carries.amps)));
        f.cites.push_back(cite_rating(s_, t.fuse, "lets it through"));
        f.why = t.opens_by
                    ? fmt::format("It takes at most {} then: {} opens within {}, and the wire stands it for {}.",
                                  text(rounded(t.current, 2)), protector_words(c_, t.fuse),
                                  text(rounded(*t.opens_by, 2)), text(rounded(t.stands, 2)))
                    : fmt::format("It takes at most {} then, too little to be sure that {} opens at all; the wire "
                                  "stands it for {}.",
                                  text(rounded(t.current, 2)), protector_words(c_, t.fuse), text(rounded(t.stands, 2)));
        f.limit = reference::sentence(t.carries);
        if (const auto size = size_that_carries(c_, t.wire, t.rating))
            f.cures.push_back(thicker(c_, t.wire, *size,
                                      fmt::format("Use {} or thicker for {}: a return as thick as the feed.",
                                                  reference::spelled(*size), name_of(c_, t.wire))));
        f.subjects.push_back(subject_of(c_, t.wire));
        for (PartId p : t.loads) f.subjects.push_back(name_of(c_, p));
        const bool maker = s_.now.is_factory(t.wire) && s_.now.is_factory(c_.at(t.fuse).part) &&
                           std::ranges::all_of(t.loads, [&](PartId p) { return s_.now.is_factory(p); });
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const Sides sides_;
    std::vector<Thin> thin_;
};

void run(const Study& s, Report& report) {
    Judge(s, report).run();
    judge_battery_returns(s, report);
}

} // namespace

const Rule ground_undersized = {
    "ground-undersized",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a ground wire that a short spoils before the feed's fuse opens, or that is too thin for what an alternator sends "
    "through it",
    "a danger for the ground lead of a battery, over which every short behind its fuses goes; else a fault: a load's "
    "return carries only what went through the load; advice for a battery's lead where the fuse is in time for a "
    "short, "
    "but lets through more for long",
    {
        "The load's feed is thick and its fuse large, but its return is a thin wire. A short inside the load goes "
        "through both. Or the ground lead of a battery, or the strap between it and the alternator, is thinner than "
        "what flows over it.",
        "The return is then the weakest piece: it burns, and the fuse may still hold. It is judged milder than a feed "
        "of "
        "the same size, as a wire that is chafed through on the feed's side is shorted past it: the return carries a "
        "fault current only where the load itself is shorted or jams, and then the feed carries the same.",
        "A return as thick as the feed. A smaller fuse, where the load allows it.",
        "The current of a dead short by the battery's inner resistance and the wires alone; the fuse's latest time "
        "(ISO 8820-3, from memory) against the heat that the wire's insulation stands once. Where the "
        "fuse is through in time, a thinner return is left alone. Of what an alternator can give, half is taken to "
        "come "
        "back over the battery's lead (common practice, no source). Where the fuse is in time, a battery's ground lead "
        "that carries less than the fuse is named if the other lead is a fifth thicker.",
        R"(loom 1
battery, 60 Ah
fuse F1, 40 A, maxi
switch S1, 40 A
heater E1 "screen", 10 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to S1, 6 mm2 red, 1 m
wire from S1 to E1, 6 mm2 red, 1 m
wire from E1 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 40 A, maxi
switch S1, 40 A
heater E1 "screen", 10 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to S1, 6 mm2 red, 1 m
wire from S1 to E1, 6 mm2 red, 1 m
wire from E1 to ground, 6 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
