#include "base/number.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule back_feed; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// A diode for less than that is still a usual one.
constexpr double least_diode = 1;
/// Positions with everything fed as it should be, of which currents are compared.
constexpr std::size_t most_compared = 24;

/// Something that works though nothing feeds it straight.
struct Victim {
    PrimitiveId load;
    StateId at = 0;
    CurrentWay way;
    std::vector<PrimitiveId> through; ///< the other loads on that way
    bool perhaps = false;             ///< a relay stays in for it that may just as well let go
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s),
          c_(s.circuit),
          survey_(survey),
          states_(survey.behaviour.states),
          report_(report),
          sides_(s),
          ends_(s) {}

    void run() {
        standing_.resize(states_.size());
        clamps_.resize(c_.primitives.size());
        for (PrimitiveId id : s_.now.primitives()) clamps_[id.index] = clamps(c_.at(id));
        // What a relay so held switches is worse than the lamp that lights beside it.
        for (const CoilSeen& coil : survey_.coils) look_at(coil.coil, [&](StateId s) { return pulled_in(s, coil); });
        for (std::size_t i = 0; i < survey_.loads.size(); ++i)
            look_at(survey_.loads[i].load, [&](StateId s) { return survey_.on[s].size() > i && survey_.on[s][i]; });
        // Several that get it over the same thing are one finding: the first.
        for (std::size_t i = 0; i < victims_.size(); ++i) {
            const auto with = [&](const Victim& v) {
                return same_through(v, victims_[i]) && doing_words(v) == doing_words(victims_[i]);
            };
            const auto end = victims_.begin() + static_cast<std::ptrdiff_t>(i);
            if (std::any_of(victims_.begin(), end, with)) continue;
            std::vector<std::string> others;
            for (const Victim& v : victims_)
                if (const std::string name = name_of(c_, c_.at(v.load).part);
                    with(v) && name != name_of(c_, c_.at(victims_[i].load).part) &&
                    std::ranges::find(others, name) == others.end())
                    others.push_back(name);
            say(victims_[i], others);
        }
    }

  private:
    /// Is this a diode that takes up the kick of a coil, in a relay or beside it? What gets its current through that is fed by mistake.
    bool clamps(const Primitive& p) const {
        if (p.element != Element::junction) return false;
        if (p.purpose == Purpose::suppressor) return true;
        if (c_.at(p.part).kind != Kind::diode) return false;
        const std::string duty = s_.now.word(p.part, Attr::duty);
        if (!duty.empty() && duty != "clamps") return false;
        const auto load = load_across(s_, p);
        return load && (c_.at(*load).kind == Kind::relay || c_.at(*load).kind == Kind::solenoid);
    }
    bool counts(StateId s) const { return states_[s].stable && s < survey_.shorted.size() && !survey_.shorted[s]; }
    const Standing& standing(StateId s) {
        if (!standing_[s]) standing_[s].emplace(s_, states_[s].positions, clamps_);
        return *standing_[s];
    }

    template <class On> void look_at(PrimitiveId id, On on) {
        const Primitive& p = c_.at(id);
        const Kind kind = c_.at(p.part).kind;
        if (c_.at(p.part).poisoned || kind == Kind::beyond || sides_.untraced(p.a) || sides_.untraced(p.b)) return;
        // What is fed through something else in every position is made so: tell-tales between two sides, charge lamps, senders.
        if (feeding_of(s_, sides_, ends_, p.a, p.b, false).how != Feeding::How::can) return;
        std::optional<Victim> perhaps;
        for (StateId s = 0; s < states_.size(); ++s) {
            if (!counts(s) || !on(s) || standing(s).fed(p)) continue;
            Victim v{id, s, current_through(s_, survey_.behaviour.point(s), id), {}};
            if (!v.way.found()) continue;
            for (EdgeRef e : v.way.edges)
                if (!e.is_wire() && e.primitive != id &&
                    (clamps_[e.primitive.index] ||
                     (is_load(c_.at(e.primitive)) && c_.at(c_.at(e.primitive).part).kind != Kind::resistor)))
                    v.through.push_back(e.primitive);
            if (v.through.empty() || made_so(v)) continue;
            v.perhaps = hangs_on_a_doubtful_relay(v);
            if (std::ranges::none_of(victims_, [&](const Victim& other) { return same_way(other, v); })) {
                // Where it does so for certain in another position, that one is told.
                if (v.perhaps) {
                    if (!perhaps) perhaps = std::move(v);
                    continue;
                }
                victims_.push_back(std::move(v));
            }
            return;
        }
        if (perhaps) victims_.push_back(std::move(*perhaps));
    }

    bool hangs_on_a_doubtful_relay(const Victim& v) const {
        return std::ranges::any_of(survey_.perhaps_held[v.at], [&](ControlId relay) {
            return std::ranges::any_of(survey_.coils,
                                       [&](const CoilSeen& c) { return c.coil == v.load && c.control == relay; }) ||
                   std::ranges::any_of(v.way.edges, [&](EdgeRef e) {
                       return !e.is_wire() && c_.at(e.primitive).element == Element::contact &&
                              c_.at(e.primitive).control == relay;
                   });
        });
    }

    /// Parts that feed through themselves by nature; and two alike in a row, as slow fans and dimmed lamps are wired.
    bool made_so(const Victim& v) const {
        const auto passes = [&](PrimitiveId id) {
            const Kind kind = c_.at(c_.at(id).part).kind;
            return kind == Kind::flasher || kind == Kind::sensor || kind == Kind::sender || kind == Kind::gauge ||
                   kind == Kind::alternator || kind == Kind::dynamo || kind == Kind::regulator ||
                   c_.at(id).purpose == Purpose::charge_lamp_terminal;
        };
        if (std::ranges::any_of(v.through, passes)) return true;
        if (v.through.size() != 1) return false;
        const Primitive &a = c_.at(v.load), &b = c_.at(v.through.front());
        return a.element == b.element && a.purpose == b.purpose && c_.at(a.part).kind == c_.at(b.part).kind &&
               a.current.known() && b.current.known() &&
               std::abs(a.current.nominal.si - b.current.nominal.si) < 0.2 * a.current.nominal.si;
    }

    static bool same_way(const Victim& a, const Victim& b) {
        const auto on_it = [](const Victim& v, PrimitiveId id) {
            return v.load == id || std::ranges::find(v.through, id) != v.through.end();
        };
        return on_it(a, b.load) && std::ranges::all_of(b.through, [&](PrimitiveId id) { return on_it(a, id); });
    }

    bool leaks(const Victim& v) const {
        return std::ranges::any_of(v.through, [&](PrimitiveId id) { return c_.at(id).purpose == Purpose::leak; });
    }
    /// Through the same things; several outputs of one unit that leak into the same pin are one thing.
    bool same_through(const Victim& a, const Victim& b) const {
        const auto alike = [&](PrimitiveId x, PrimitiveId y) {
            return x == y ||
                   (c_.at(x).purpose == Purpose::leak && c_.at(y).purpose == Purpose::leak && c_.at(x).b == c_.at(y).b);
        };
        return std::ranges::equal(a.through, b.through, alike);
    }

    /// Is everything that works in this position, and that can be fed straight, fed so?
    bool clean(StateId s) {
        if (!counts(s)) return false;
        for (std::size_t i = 0; i < survey_.loads.size(); ++i)
            if (survey_.on[s][i] && wrong(s, survey_.loads[i].load)) return false;
        return std::ranges::none_of(survey_.coils,
                                    [&](const CoilSeen& coil) { return pulled_in(s, coil) && wrong(s, coil.coil); });
    }
    bool wrong(StateId s, PrimitiveId id) {
        return !standing(s).fed(c_.at(id)) &&
               feeding_of(s_, sides_, ends_, c_.at(id).a, c_.at(id).b, false).how == Feeding::How::can;
    }
    /// Does the victim get its current the wrong way in this position too?
    bool is_wrong_in(StateId s, const Victim& v) {
        for (std::size_t i = 0; i < survey_.loads.size(); ++i)
            if (survey_.loads[i].load == v.load && survey_.on[s][i] && wrong(s, v.load)) return true;
        return std::ranges::any_of(survey_.coils, [&](const CoilSeen& coil) {
            return coil.coil == v.load && pulled_in(s, coil) && wrong(s, coil.coil);
        });
    }
    bool pulled_in(StateId s, const CoilSeen& coil) const {
        return states_[s].positions[coil.control.index] + 1U == c_.at(coil.control).positions.size();
    }

    /// A wire on the way that never carries current this way when all is as it should be; the largest that it then carries the other way.
    struct Cut {
        WireId wire;
        TerminalId from, to; ///< in the direction of the wrong current
        double other_way = 0;
    };
    std::optional<Cut> where_to_cut(const Victim& v) {
        std::vector<Cut> cuts;
        std::size_t victim_at = 0;
        for (std::size_t i = 0; i < v.way.edges.size(); ++i) {
            const EdgeRef e = v.way.edges[i];
            if (e == EdgeRef{{}, v.load}) victim_at = cuts.size();
            if (e.is_wire() && !s_.reference[v.way.stops[i].index] && !s_.reference[v.way.stops[i + 1].index])
                cuts.push_back({e.wire, v.way.stops[i], v.way.stops[i + 1], 0});
        }
        const double wrong_amps = std::abs(survey_.behaviour.amps_through(v.at, v.load)->si);
        const double leak = std::max(1e-3, 0.1 * wrong_amps); // less than that is no reason to leave the wire as it is
        std::vector<bool> good(cuts.size(), true);
        // A wire that at the same time rightly feeds others, and one that does so in a position in which something else goes wrong: the
        // other side of a tell-tale between left and right.
        const solve::Point wrong_point = survey_.behaviour.point(v.at);
        const double passing =
            std::abs(wrong_point.primitive_amps[v.through.front().index].value_or(Amps{wrong_amps}).si);
        for (std::size_t i = 0; i < cuts.size(); ++i)
            good[i] =
                amps_away(c_, wrong_point, {cuts[i].wire, {}}, cuts[i].from) <= 1.1 * std::max(passing, wrong_amps);
        std::size_t looked = 0;
        for (StateId s = 0; s < states_.size() && looked < most_compared; ++s) {
            if (!counts(s) || clean(s) || is_wrong_in(s, v)) continue;
            ++looked;
            const solve::Point& point = survey_.behaviour.point(s);
            for (std::size_t i = 0; i < cuts.size(); ++i)
                if (std::abs(amps_away(c_, point, {cuts[i].wire, {}}, cuts[i].from)) > leak) good[i] = false;
        }
        // Each load once while it works as it should.
        std::vector<bool> seen(survey_.loads.size(), false);
        std::size_t compared = 0;
        for (StateId s = 0; s < states_.size() && compared < most_compared; ++s) {
            if (!clean(s)) continue;
            bool fresh = false;
            for (std::size_t i = 0; i < seen.size(); ++i)
                if (survey_.on[s][i] && !seen[i]) fresh = seen[i] = true;
            for (const CoilSeen& coil : survey_.coils) fresh = fresh || (compared < 4 && pulled_in(s, coil));
            if (!fresh) continue;
            ++compared;
            const solve::Point& point = survey_.behaviour.point(s);
            for (std::size_t i = 0; i < cuts.size(); ++i) {
                const double away = amps_away(c_, point, {cuts[i].wire, {}}, cuts[i].from);
                if (away > leak) good[i] = false;
                cuts[i].other_way = std::max(cuts[i].other_way, -away);
            }
        }
        for (std::size_t i = 0; i < victim_at; ++i) good[i] = good[i] && !goes_round(v, cuts[i]);
        // Nearest to the victim, behind it first: towards the load that lets the current through.
        for (std::size_t i = victim_at; i < cuts.size(); ++i)
            if (good[i]) return cuts[i];
        for (std::size_t i = victim_at; i-- > 0;)
            if (good[i]) return cuts[i];
        return std::nullopt;
    }

    /// With that wire before the victim parted, does current still get there, over something beside what lets it through?
    bool goes_round(const Victim& v, const Cut& cut) const {
        if (!s_.from_plus()) return false;
        const auto victim = std::ranges::find(v.way.edges, EdgeRef{{}, v.load}) - v.way.edges.begin();
        const Reach back = s_.graph.walk( // against the way that current comes
            std::vector{v.way.stops[static_cast<std::size_t>(victim)]},
            [&](EdgeRef e, TerminalId at) {
                if (e == EdgeRef{cut.wire, {}} || e == EdgeRef{{}, v.load}) return false;
                if (s_.reference[other_end(c_, e, at).index]) return false;
                if (e.is_wire()) return true;
                const Primitive& p = c_.at(e.primitive);
                if (p.element == Element::contact)
                    return !p.control.exists() || solve::is_closed(p, states_[v.at].positions);
                return p.element != Element::source && (p.element != Element::junction || at == p.b);
            },
            [](EdgeRef) { return 0.0; });
        const auto reached = [&](TerminalId pole) { return back.reached(pole); };
        return std::ranges::any_of(s_.strong_sources, reached) ||
               std::ranges::any_of(s_.limited, reached, &LivePole::pole);
    }

    std::string doing_words(const Victim& v) const {
        const Primitive& p = c_.at(v.load);
        if (p.purpose == Purpose::coil || p.purpose == Purpose::starter_solenoid)
            return v.perhaps ? "may stay pulled in" : "is pulled in";
        if (v.perhaps) return p.element == Element::machine ? "may turn" : "may stay on";
        switch (p.element) {
        case Element::filament: return "lights";
        case Element::machine: return "turns";
        default: return c_.at(p.part).kind == Kind::led ? "lights" : "is on";
        }
    }

    void say(const Victim& v, const std::vector<std::string>& others) {
        const Primitive& p = c_.at(v.load);
        const solve::Point& point = survey_.behaviour.point(v.at);
        std::vector<PartId> through;
        for (PrimitiveId id : v.through)
            if (const PartId part = c_.at(id).part; part != p.part && std::ranges::find(through, part) == through.end())
                through.push_back(part);
        Finding f;
        f.rule = back_feed.id;
        f.severity = p.element == Element::machine || p.purpose == Purpose::starter_solenoid ? Severity::danger
                                                                                             : Severity::fault;
        f.certainty =
            !v.perhaps && sure_share(s_, survey_, std::nullopt) > 0.5 ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(fmt::format(
            "{} {} {} though nothing feeds it straight: its current comes through {}.{}", called(c_, p.part),
            doing_words(v), when(s_, survey_.behaviour, v.at), through_words(v, through),
            others.empty() ? "" : fmt::format(" So {} {}.", verb(others.size(), "does", "do"), list_of(others))));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part, doing_words(v) + " by mistake"));
        for (std::size_t i = 0; i < through.size() && i < 2; ++i)
            f.cites.push_back(cite_part(c_, through[i], "lets the current through"));
        f.why = fmt::format("It gets {} and {} that way.",
                            text(rounded(Volts{std::abs(point.primitive_volts[v.load.index]->si)}, 3)),
                            text(rounded(Amps{std::abs(point.primitive_amps[v.load.index]->si)}, 2)));
        f.limit = p.purpose == Purpose::coil ? "a relay may be held by anything above 10 % of its volts and pulled in "
                                               "from about half (makers' sheets)"
                                             : "a lamp that takes more than a tenth of its power is seen to glow, a "
                                               "motor moves from a quarter of its volts (common practice)";
        if (v.perhaps)
            f.measure = what_decides(v);
        else if (f.certainty != Certainty::certain)
            f.measure = what_it_takes(v);
        if (leaks(v))
            say_where_it_leaks(v, others, f);
        else
            say_cures(v, f);
        f.path = stops_in_words(c_, v.way.stops);
        f.subjects.push_back(name_of(c_, p.part));
        for (const std::string& name : others) f.subjects.push_back(name);
        for (PartId part : through) f.subjects.push_back(name_of(c_, part));
        for (EdgeRef e : v.way.edges)
            if (e.is_wire()) f.subjects.push_back(subject_of(c_, e.wire));
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        for (PartId part : through)
            for (std::string& name : what_it_hangs_on(s_, sides_, ends_, part).names)
                f.hangs_on.push_back(std::move(name));
        report_.findings.push_back(std::move(f));
    }

    /// "K1", "the diode in K1"; "its own filament E1:stop" where nothing but the part itself is on the way.
    std::string through_words(const Victim& v, const std::vector<PartId>& through) const {
        if (through.empty()) {
            const Primitive& own = c_.at(v.through.front());
            if (own.element == Element::filament || own.element == Element::machine)
                return fmt::format("its own {} {}", own.element == Element::filament ? "filament" : "winding",
                                   name_of(c_, own.a));
            return own.purpose == Purpose::suppressor ? "its own diode" : "another part of it";
        }
        std::vector<std::string> names;
        for (PartId part : through) {
            const bool diode = std::ranges::any_of(v.through, [&](PrimitiveId id) {
                return c_.at(id).part == part && c_.at(id).purpose == Purpose::suppressor;
            });
            names.push_back((diode ? "the diode in " : "") + name_of(c_, part));
        }
        return list_of(names);
    }

    /// For a relay that may or may not stay in.
    std::string what_decides(const Victim& v) const {
        const ControlId relay = survey_.perhaps_held[v.at].front();
        const Primitive& coil =
            c_.at(std::ranges::find(survey_.coils, relay, [](const CoilSeen& seen) { return seen.control; })->coil);
        return measure_of_release(c_, coil);
    }

    /// Where loads on the way are not known exactly.
    std::string what_it_takes(const Victim& v) const {
        std::vector<PartId> parts{c_.at(v.load).part};
        for (PrimitiveId id : v.through)
            if (std::ranges::find(parts, c_.at(id).part) == parts.end()) parts.push_back(c_.at(id).part);
        const std::vector<PartId> unknown = of_unknown_current(s_, parts);
        if (unknown.empty()) return {};
        return fmt::format("Look for A or W on {}. Or meter on volts across {}, {}: less than a tenth of the battery's "
                           "volts does nothing there, more than that does.",
                           list_of(names_of(c_, unknown)), name_of(c_, c_.at(v.load).part),
                           when(s_, survey_.behaviour, v.at));
    }

    void say_where_it_leaks(const Victim& v, const std::vector<std::string>& others, Finding& f) const {
        const Primitive& leak =
            c_.at(*std::ranges::find_if(v.through, [&](PrimitiveId id) { return c_.at(id).purpose == Purpose::leak; }));
        std::vector<std::string> fed{name_of(c_, c_.at(v.load).part)};
        fed.insert(fed.end(), others.begin(), others.end());
        f.cures.push_back(
            {fmt::format("Feed {} from the same switched wire as pin {} of {}: then nothing is left that "
                         "could leak once that is off. A diode at the output mends nothing: one way round it "
                         "lets the leak through, the other way it blocks what the output is for.",
                         list_of(fed), c_.at(leak.b).stamp, name_of(c_, leak.part))});
    }

    /// While what the current comes through has no ground, no wire on the way is the wrong one: each is the feed of something.
    bool say_ground(const Victim& v, Finding& f) const {
        const PartId through = c_.at(v.through.front()).part;
        for (const MissingGround& m : missing_grounds(s_, sides_, ends_)) {
            if (m.source || std::ranges::find(m.users, through) == m.users.end()) continue;
            TerminalId at = m.at;
            for (TerminalId t : m.floating)
                if (c_.at(t).role == Role::joint) at = t;
            f.cures.push_back({fmt::format("Run a wire from {} to ground: without it {} no ground, so the current "
                                           "looks for another way.",
                                           m.metal.exists() ? name_of(c_, m.metal) : name_of(c_, at),
                                           list_of(names_of(c_, m.users)) + verb(m.users.size(), " has", " have"))});
            return true;
        }
        return false;
    }

    void say_cures(const Victim& v, Finding& f) {
        if (say_ground(v, f)) return;
        const auto cut = where_to_cut(v);
        if (!cut) {
            f.cures.push_back(
                {fmt::format("Part the two: let {} have a ground of its own, and a diode from each wire that is to "
                             "work it, with the band towards {}; or give {} a feed and a ground of its own.",
                             name_of(c_, c_.at(v.through.front()).part), name_of(c_, c_.at(v.through.front()).part),
                             name_of(c_, c_.at(v.load).part))});
            return;
        }
        f.cites.push_back(cite_wire_end(c_, cut->wire, cut->from, "wrong way here"));
        const std::string wire = called(c_, cut->wire);
        if (cut->other_way < 2e-3) {
            f.cures.push_back({fmt::format("Take {} off at {}: when all is as it should be, it carries nothing.", wire,
                                           end_of(c_, cut->from))});
            return;
        }
        const bool heavy = cut->other_way > 5;
        f.cures.push_back({fmt::format("Put a diode for {} or more into {}, with its band towards {}: it lets through "
                                       "what belongs there and stops this.",
                                       text(Amps{std::max(least_diode, std::ceil(cut->other_way * 1.5))}), wire,
                                       end_of(c_, cut->from))});
        if (heavy) f.cures.back().text += " At that current it gets hot: bolt it to metal.";
        const Primitive &load = c_.at(v.load), &other = c_.at(v.through.front());
        const bool of_one = load.part == other.part; // two filaments of one lamp
        f.cures.push_back({fmt::format("Work it by a relay with a contact of its own, so that {} and {} share no wire.",
                                       of_one ? name_of(c_, load.a) : name_of(c_, load.part),
                                       of_one ? name_of(c_, other.a) : name_of(c_, other.part))});
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const std::vector<solve::State>& states_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
    std::vector<std::optional<Standing>> standing_; ///< by state
    std::vector<bool> clamps_;                      ///< by primitive
    std::vector<Victim> victims_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, back_feed.id, "what works through something else");
    if (!survey) return;
    if (s.circuit.has_mistakes)
        return report.not_checked.push_back(open_until_mended(back_feed.id, "what works through something else"));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule back_feed = {
    "back-feed",
    Severity::danger,
    Quantifier::exists,
    Harm::other,
    "a load or relay that works through another load, where nothing feeds it straight",
    "a danger where a motor turns or a starter pulls in so; else a fault",
    {
        "In the named switch position this lamp lights, motor turns or relay is in, although either its feed or its "
        "ground is switched off: the current finds another way, "
        "through a lamp or a coil that was never meant as a wire.",
        "Things come on by themselves, stay on with the key off, or dim each other; a relay so held wears and empties "
        "the battery.",
        "A diode in the named wire, the named way round; or a relay contact between the two circuits. The path is "
        "printed stop by stop.",
        "A lamp shows from a tenth of its power, a motor moves from a quarter of its volts, an LED lamp lights from "
        "half of them (common practice); relays by their own limits. What is "
        "fed through another load in every position is made so and is left alone: a tell-tale between left and right, "
        "a charge lamp, a sender. So are two alike in a row, "
        "such as fans that turn slowly, and everything behind a resistor.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 30 A
switch S1 "bar switch, to ground", 5 A
switch S2 "parking lamps", 16 A
relay K1 "light bar", 4-pin, 40 A, resistor 680 ohm
lamp H1 "tell-tale", 5 W
lamp E1 "parking lamps", 20 W
led E2 "light bar", 120 W
splice SP1, crimp
splice SP2, crimp
splice SP3, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to SP1, 1.5 mm2 red, 1 m
wire W3 from SP1 to K1:86, 1 mm2 red, 0.5 m
wire W4 from K1:85 to SP2, 1 mm2 blue, 0.5 m
wire W5 from SP2 to S1, 1 mm2 blue, 1 m
wire W6 from S1 to ground, 1 mm2 black, 0.3 m
wire W7 from SP2 to H1, 1 mm2 grey, 0.5 m
wire W8 from H1 to SP3, 1 mm2 grey, 0.5 m
wire W9 from SP1 to S2, 1.5 mm2 red, 1 m
wire W10 from S2 to SP3, 1.5 mm2 white, 1 m
wire W11 from SP3 to E1, 1.5 mm2 white, 1 m
wire W12 from E1 to ground, 1.5 mm2 black, 0.3 m
wire W13 from battery:+ to F2, 4 mm2 red, 0.1 m
wire W14 from F2 to K1:30, 4 mm2 red, 1 m
wire W15 from K1:87 to E2:+, 4 mm2 red, 1 m
wire W16 from E2:- to ground, 4 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 30 A
switch S1 "bar switch, to ground", 5 A
switch S2 "parking lamps", 16 A
relay K1 "light bar", 4-pin, 40 A, resistor 680 ohm
lamp H1 "tell-tale", 5 W
lamp E1 "parking lamps", 20 W
led E2 "light bar", 120 W
diode D1, 3 A, band on 2
splice SP1, crimp
splice SP2, crimp
splice SP3, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to SP1, 1.5 mm2 red, 1 m
wire W3 from SP1 to K1:86, 1 mm2 red, 0.5 m
wire W4 from K1:85 to SP2, 1 mm2 blue, 0.5 m
wire W5 from SP2 to S1, 1 mm2 blue, 1 m
wire W6 from S1 to ground, 1 mm2 black, 0.3 m
wire W7 from D1:2 to SP2, 1 mm2 grey, 0.5 m
wire W17 from H1:1 to D1:1, 1 mm2 grey, 0.1 m
wire W8 from SP3 to H1:2, 1 mm2 grey, 0.5 m
wire W9 from SP1 to S2, 1.5 mm2 red, 1 m
wire W10 from S2 to SP3, 1.5 mm2 white, 1 m
wire W11 from SP3 to E1, 1.5 mm2 white, 1 m
wire W12 from E1 to ground, 1.5 mm2 black, 0.3 m
wire W13 from battery:+ to F2, 4 mm2 red, 0.1 m
wire W14 from F2 to K1:30, 4 mm2 red, 1 m
wire W15 from K1:87 to E2:+, 4 mm2 red, 1 m
wire W16 from E2:- to ground, 4 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
