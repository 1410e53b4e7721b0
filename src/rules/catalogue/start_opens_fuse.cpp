#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/unknown.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule start_opens_fuse; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// A starting current counts as if its first value flowed so long and nothing more than the running current after it: its heat is the
/// same (I^2 t). Motors run up in some 0.2 s, filaments are hot after some 0.03 s; half of the heat of an exponential of that
/// time, and what it still adds to the running current, comes to this (common practice, no source).
constexpr Seconds motors_start_for{0.12}, lamps_start_for{0.015};
/// The most that a motor takes to start, over what it takes at work (3 to 8 by kind of motor: common practice, from memory).
constexpr double most_start_factor = 8;

/// Loads that one operation puts on together.
struct Start {
    StateId at = 0;
    std::vector<std::size_t> loads; ///< indices into Survey::loads
    double more = 0;                ///< current that they add to the fuse once they run
};

enum class Verdict { holds, may_open, opens };

struct Judged {
    Verdict verdict = Verdict::holds;
    Amps amps;
    Seconds lasts;
    reference::TimeBand band;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), weighing_(s, survey) {}

    void run() {
        find_states();
        for (std::size_t i = 0; i < survey_.protectors.size(); ++i)
            if (!c_.at(c_.at(survey_.protectors[i]).part).poisoned) look_at(i);
        if (!survey_.behaviour.jointly)
            report_.not_checked.push_back(
                open_for_positions(s_, start_opens_fuse.id, "starting currents in every switch position"));
    }

  private:
    const solve::Behaviour& behaviour() const { return survey_.behaviour; }

    /// Positions of what people set -> the state in which the circuit comes to rest with them.
    void find_states() {
        for (StateId s = 0; s < behaviour().states.size(); ++s)
            if (behaviour().states[s].stable) by_hand_.try_emplace(hand(behaviour().states[s].positions), s);
    }
    std::string hand(const solve::Positions& positions) const {
        std::string key;
        for (const solve::Variable& v : behaviour().variables)
            key += static_cast<char>(positions[v.controls.front().index]);
        return key;
    }

    /// The start that adds most to a fuse: one control that goes from rest to where it is in some state, all others staying.
    std::optional<Start> heaviest(std::size_t fuse, bool motors_only) const {
        std::optional<Start> found;
        for (const auto& [key, s] : by_hand_)
            for (std::size_t v = 0; v < key.size(); ++v) {
                const auto rest = static_cast<char>(c_.at(behaviour().variables[v].controls.front()).rest);
                if (key[v] == rest) continue;
                std::string before = key;
                before[v] = rest;
                const auto from = by_hand_.find(before);
                if (from == by_hand_.end()) continue;
                const double more = survey_.protector_amps[s][fuse] - survey_.protector_amps[from->second][fuse];
                if (!(more > (found ? found->more * 1.001 : 0.1))) continue;
                Start start{s, {}, more};
                for (std::size_t l = 0; l < survey_.loads.size(); ++l)
                    if (survey_.on[s][l] && !survey_.on[from->second][l] && starts(l, motors_only))
                        start.loads.push_back(l);
                if (!start.loads.empty()) found = std::move(start);
            }
        return found;
    }
    bool starts(std::size_t load, bool motors_only) const {
        const Element e = c_.at(survey_.loads[load].load).element;
        return e == Element::machine || (e == Element::filament && !motors_only);
    }

    bool stated(std::size_t load) const {
        return s_.now.amps(c_.at(survey_.loads[load].load).part, Attr::start_current).known();
    }

    Judged judge(PrimitiveId fuse, reference::Protector style, Amps rating, const Start& start, Seconds lasts) const {
        Judged j;
        j.lasts = lasts;
        std::vector<PrimitiveId> loads;
        for (std::size_t l : start.loads) loads.push_back(survey_.loads[l].load);
        const solve::Point point = behaviour().model().point_at_start(behaviour().states[start.at].positions, loads);
        if (!point.settled || !point.primitive_amps[fuse.index]) return j;
        j.amps = Amps{std::abs(point.primitive_amps[fuse.index]->si)};
        const auto band = reference::opening_time(style, rating, j.amps);
        if (!band) return j;
        j.band = *band;
        const auto middle = reference::middle(*band);
        j.verdict = middle && lasts > *middle ? Verdict::opens
                    : lasts > band->shortest  ? Verdict::may_open
                                              : Verdict::holds;
        return j;
    }

    void look_at(std::size_t index) {
        const PrimitiveId fuse = survey_.protectors[index];
        const Stated<Amps> rated = rating_of(s_, fuse);
        if (!rated.known() || !(rated.nominal.si > 0)) return;
        const auto& lasting = survey_.part[fuse.index];
        if (lasting && lasting->amps > rated.nominal) return; // opens anyway: fuse-near-limit
        const reference::Protector style = style_of(s_, fuse, rated.nominal);
        const auto all = heaviest(index, false), motors = heaviest(index, true);
        if (!all && !motors) return;
        const double most =
            cold_share * std::max(all ? all->more : 0, motors ? motors->more : 0) + (lasting ? lasting->amps.si : 0);
        if (!reference::opening_time(style, rated.nominal, rated.nominal)) {
            if (most > 4 * rated.nominal.si && c_.at(c_.at(fuse).part).kind != Kind::link &&
                c_.at(c_.at(fuse).part).kind != Kind::breaker)
                report_.not_checked.push_back(
                    {start_opens_fuse.id,
                     fmt::format("whether {} stands the starting current", protector_words(c_, fuse)),
                     goes_on(reference::why_no_curve(style, rated.nominal)), ""});
            return;
        }
        if (most < 1.3 * rated.nominal.si) return; // no fuse opens so soon
        Judged worst;
        const Start* start = nullptr;
        if (motors) worst = judge(fuse, style, rated.nominal, *motors, motors_start_for), start = &*motors;
        if (all) {
            const Judged lamps = judge(fuse, style, rated.nominal, *all, lamps_start_for);
            if (!start || lamps.verdict > worst.verdict) worst = lamps, start = &*all;
        }
        if (motors && hangs_on_what_was_taken(fuse, style, rated.nominal, *motors)) say_what_was_taken(*motors);
        // Whether it may open hangs on a starting current that nobody stated: no more than a guess.
        if (worst.verdict == Verdict::may_open &&
            !std::ranges::all_of(start->loads, [&](std::size_t l) { return stated(l); }))
            return;
        if (worst.verdict != Verdict::holds) say(fuse, rated.nominal, style, *start, worst);
    }
    static constexpr double cold_share = solve::cold_over_hot;

    /// Motors of which nobody said what they take to start: would the fuse open with the most that motors take? A fuse that stands that too needs
    /// no word.
    bool hangs_on_what_was_taken(PrimitiveId fuse, reference::Protector style, Amps rating, const Start& start) const {
        if (std::ranges::all_of(start.loads, [&](std::size_t l) { return stated(l); })) return false;
        const Judged taken = judge(fuse, style, rating, start, motors_start_for);
        if (taken.verdict != Verdict::holds) return true;
        const auto band =
            reference::opening_time(style, rating, taken.amps * (most_start_factor / solve::motor_start_factor));
        const auto middle = band ? reference::middle(*band) : std::nullopt;
        return middle && motors_start_for > *middle;
    }
    void say_what_was_taken(const Start& start) const {
        for (std::size_t l : start.loads) {
            const Primitive& p = c_.at(survey_.loads[l].load);
            if (p.element == Element::machine && c_.at(p.part).kind == Kind::motor && !stated(l))
                assume_once(report_,
                            {name_of(c_, p.part),
                             fmt::format("{:.1f} times the working amps to start", solve::motor_start_factor),
                             "usual for a motor (common practice, no source)", "behind its amps: starts at 30 A"});
        }
    }

    void say(PrimitiveId fuse, Amps rating, reference::Protector style, const Start& start, const Judged& j) {
        const std::optional<Weighed> weighed =
            j.verdict == Verdict::opens ? weigh(fuse, style, rating, start, j) : std::nullopt;
        const bool certain = j.verdict == Verdict::opens && (!weighed || !weighed->undecided());
        std::vector<std::string> names;
        std::vector<PartId> parts;
        bool motor = false;
        for (std::size_t l : start.loads) {
            const Primitive& p = c_.at(survey_.loads[l].load);
            motor = motor || p.element == Element::machine;
            if (std::ranges::find(parts, p.part) != parts.end()) continue;
            parts.push_back(p.part);
            names.push_back(name_of(c_, p.part));
        }
        Finding f;
        f.rule = start_opens_fuse.id;
        f.severity = certain ? Severity::fault : Severity::advice;
        f.certainty = weighed ? weighed->certainty() : certain ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(
            fmt::format("{}, {}, {} when {} {}: {} flow at first.", protector_words(c_, fuse),
                        with_article(device_kind(s_, fuse, rating)), certain ? "opens" : "may open", list_of(names),
                        motor ? verb(names.size(), "starts", "start") : verb(names.size(), "lights up", "light up"),
                        text(rounded(j.amps, 2))));
        f.place = where_it_lies(c_, c_.at(fuse).part);
        f.cites.push_back(cite_rating(s_, fuse, certain ? "opens" : "may open"));
        f.cites.push_back(cite_part(c_, parts.front(), names.size() == 1 ? "starts" : "starts among others"));
        f.why = fmt::format("{} A start counts as if its first current flowed for {}; at {:.1f} times its rating this "
                            "fuse opens after {}, by how it was made.",
                            sentence_start(when(s_, behaviour(), start.at)) + ".", text(j.lasts), j.amps / rating,
                            band_in_words(j.band));
        f.limit = fmt::format("times by {}; the starting current with the resistance of battery and wires in it",
                              reference::cite(j.band.source));
        const Amps wanted{least_that_holds(style, rating, j).si};
        f.cures = remedies_for_load(s_, fuse, wanted, parts);
        f.measure = weighed ? weighed->measure
                    : certain
                        ? ""
                        : "Start it some ten times, battery full: if the fuse lasts, write its starting current as "
                          "measured (starts at 40 A) and this goes away.";
        f.subjects.push_back(name_of(c_, c_.at(fuse).part));
        for (const std::string& n : names) f.subjects.push_back(n);
        for (const std::string& n : passed_on_the_way(s_, behaviour().point(start.at), Amps{start.more}))
            f.subjects.push_back(n);
        report_.findings.push_back(std::move(f));
    }

    /// The start over all that is not known exactly of what starts and of the wires; nothing where all is.
    std::optional<Weighed> weigh(PrimitiveId fuse, reference::Protector style, Amps rating, const Start& start,
                                 const Judged& j) const {
        std::vector<solve::Unknown> open = weighing_.of_loads(hang_behind(s_, {{}, fuse}));
        for (const solve::Unknown& u : weighing_.of_wires()) open.push_back(u);
        if (open.empty()) return std::nullopt;
        std::vector<PrimitiveId> loads;
        for (std::size_t l : start.loads) loads.push_back(survey_.loads[l].load);
        // From which current on it opens within that time: the more, the sooner.
        double holds = rating.si, opens = j.amps.si;
        for (int i = 0; i < 40; ++i) {
            const double between = (holds + opens) / 2;
            const auto band = reference::opening_time(style, rating, Amps{between});
            const auto middle = band ? reference::middle(*band) : std::nullopt;
            (middle && j.lasts > *middle ? opens : holds) = between;
        }
        const solve::Positions positions = behaviour().states[start.at].positions;
        const solve::Figure first = [positions, loads, fuse](solve::Model& m) {
            const solve::Point p = m.point_at_start(positions, loads);
            const auto& amps = p.primitive_amps[fuse.index];
            return amps ? std::abs(amps->si) : 0.0;
        };
        return weighing_.weigh(open, first, holds,
                               {"the current at first", [](double amps) { return text(rounded(Amps{amps}, 2)); },
                                protector_words(c_, fuse) + " stands the start", protector_words(c_, fuse) + " opens"});
    }

    /// The smallest rating at which the start stays below the band.
    static Amps least_that_holds(reference::Protector style, Amps rating, const Judged& j) {
        for (const reference::FuseRating& r : reference::fuse_ratings(style)) {
            if (r.rating <= rating) continue;
            const auto band = reference::opening_time(style, r.rating, j.amps);
            if (band && band->shortest >= j.lasts) return r.rating;
        }
        return rating * 2;
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Weighing weighing_;
    std::map<std::string, StateId> by_hand_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, start_opens_fuse.id, "starting currents in every switch position");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule start_opens_fuse = {
    "start-opens-fuse",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a fuse that opens when what hangs on it starts",
    "a fault where the start outlasts the middle of the fuse's time band; advice between its least and its middle, if "
    "the starting current is stated",
    {
        "Motors take several times their running current until they turn, filaments some twelve times until they are "
        "hot. Here that is enough to open the "
        "fuse.",
        "The fuse opens now and then, mostly with a full battery and in the cold, without any fault in the circuit.",
        "Fit a larger fuse, if the wires behind it carry that; else give the load a fuse and a wire of its own.",
        "The fuse's time band by ISO 8820-3 (from memory). The starting current is the one the file states, else 3.8 "
        "times the running current (a maker's life "
        "test: 65 A to 17 A) or twelve times that of a lamp (10 to 15: common practice), less what battery and wires "
        "let through; it counts as if it "
        "lasted 0.12 s for a motor and 0.015 s for a lamp (common practice, no source).",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1 "pump switch", 20 A
motor M1 "pump", 7 A, starts at 60 A
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to M1:+, 2.5 mm2 red, 1 m
wire from M1:- to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 25 A
switch S1 "pump switch", 20 A
motor M1 "pump", 7 A, starts at 60 A
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to M1:+, 2.5 mm2 red, 1 m
wire from M1:- to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
