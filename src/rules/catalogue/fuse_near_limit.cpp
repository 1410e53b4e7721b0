#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "reference/fuses.hpp"
#include "rules/called_so.hpp"
#include "rules/clearing.hpp"
#include "rules/duty.hpp"
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
#include <string_view>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule fuse_near_limit; // rule_list.hpp lists it

namespace {

/// A plug-in fuse is loaded to 75 to 80 % for long (common practice).
constexpr double habit = 0.8;
/// A lamp of 5 W and more; less is lost in what a fuse has to spare (common practice, no source).
constexpr Amps counts_as_load{0.4};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), weighing_(s, survey) {}

    void run() {
        look_for_what_is_held();
        for (PrimitiveId device : survey_.protectors)
            if (!c_.at(c_.at(device).part).poisoned) look_at(device);
        say_near(near_, report_.findings);
        say_near(near_as_built_, report_.as_built);
        if (!survey_.behaviour.jointly)
            report_.not_checked.push_back(
                open_for_positions(s_, fuse_near_limit.id, "what each fuse carries in every switch position"));
    }

  private:
    /// The most that each fuse carries in positions that somebody holds, by index of the device, where all that only a held control works there
    /// may run for minutes: a tap that is held open, not a window. A fuse does not care why it lasts.
    void look_for_what_is_held() {
        const auto& states = survey_.behaviour.states;
        std::vector<bool> only_held(survey_.loads.size(), true);
        for (std::size_t s = 0; s < states.size(); ++s)
            for (std::size_t i = 0; i < survey_.on[s].size(); ++i)
                if (survey_.on[s][i] && states[s].stable && !states[s].held) only_held[i] = false;
        for (std::size_t s = 0; s < states.size(); ++s) {
            if (!states[s].stable || !states[s].held || survey_.shorted[s] || survey_.on[s].empty()) continue;
            bool any = false, minutes = true;
            for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
                if (!survey_.on[s][i]) continue;
                const Part& part = c_.at(c_.at(survey_.loads[i].load).part);
                if (spec_of(part.kind).for_seconds || (only_held[i] && !may_be_held_for_minutes(part))) minutes = false;
                any = any || only_held[i];
            }
            if (!any || !minutes) continue;
            for (std::size_t i = 0; i < survey_.protectors.size(); ++i) {
                std::optional<Peak>& peak = held_[survey_.protectors[i].index];
                const Amps amps{survey_.protector_amps[s][i]};
                if (!peak || amps.si > peak->amps.si * (1 + 1e-3) + 1e-6) peak = Peak{amps, solve::StateId(s)};
            }
        }
    }

    struct Limit {
        double share;
        std::string words;
    };

    /// Of the rating, for long; nothing where no habit is known.
    std::optional<Limit> limit_of(PrimitiveId device, reference::Protector style, Amps rating) const {
        const PlaceId place = c_.at(c_.at(device).part).place;
        if (style != reference::Protector::blade && style != reference::Protector::mini_blade &&
            style != reference::Protector::maxi_blade)
            return std::nullopt;
        std::string words = fmt::format("{} for long, 80 % of the rating (common practice)", text(rating * habit));
        if (!place.exists()) return Limit{habit, words};
        const Celsius here = temperature_at(c_, place).nominal;
        const auto share = reference::ambient_share(style, rating, here);
        if (!share || share->share >= 1) return Limit{habit, words};
        words += fmt::format("; a place at {} leaves {:.0f} % of that, {} ({})", text(here), share->share * 100,
                             text(rounded(rating * habit * share->share, 3)), reference::cite(share->source));
        return Limit{habit * share->share, words};
    }

    void look_at(PrimitiveId device) {
        const Stated<Amps> stated = rating_of(s_, device);
        const auto& for_long = survey_.part[device.index];
        const auto lasting = Survey::most(for_long, held_[device.index]);
        const auto& passing = survey_.part_passing[device.index];
        if (!stated.known() || !(stated.nominal.si > 0))
            return ask_for_what_is_added(device); // what it lets through is fuse-above-wire's question
        const Amps rating = stated.nominal;
        const reference::Protector style = style_of(s_, device, rating);
        const auto behind = hang_behind(s_, {{}, device});
        // It is all that keeps what is plugged into an outlet to what that is made for, and is to open.
        if (behind && !behind->empty() &&
            std::ranges::all_of(*behind, [&](PartId p) { return c_.at(p).kind == Kind::socket; }))
            return;
        if (const auto duty = lasting ? duty_behind(s_, survey_, {{}, device}, *lasting) : std::nullopt;
            duty && duty->on.si <= 0.5 * duty->period.si) { // rests at least as long as it runs, and cools
            if (opens_within(duty->on, style, rating, lasting->amps))
                too_small(device, rating, style, *lasting, behind, std::nullopt);
            return;
        }
        const std::optional<Weighed> weighed =
            lasting ? weighing_.weigh_current(
                          {{}, device}, *lasting, rating.si, [&] { return protector_words(c_, device); }, "carries it",
                          "opens")
                    : std::nullopt;
        if (lasting && (lasting->amps > rating || (weighed && weighed->verdict == Weighed::Verdict::fails)))
            return too_small(device, rating, style, *lasting, behind, weighed);
        if (passing && opens_within(passing_seconds, style, rating, passing->amps))
            return too_small(device, rating, style, *passing, behind, std::nullopt);
        if (weighed && weighed->undecided()) {
            report_.not_checked.push_back(
                {fuse_near_limit.id, fmt::format("whether {} is enough for its load", protector_words(c_, device)),
                 weighed->why, weighed->measure});
            return;
        }
        if (behind)
            if (const auto unknown = of_unknown_current(s_, *behind); !unknown.empty()) {
                report_.not_checked.push_back(open_for_unknown_load(
                    s_, fuse_near_limit.id,
                    fmt::format("whether {} is enough for its load", protector_words(c_, device)), unknown));
                return;
            }
        if (!for_long || (behind && behind->empty())) return;
        const auto limit = limit_of(device, style, rating);
        if (limit && for_long->amps > rating * limit->share * 1.01) near(device, rating, *for_long, *limit, behind);
    }

    /// What somebody hangs on a wire that was there adds to a fuse of which nothing is known. Coils and small lamps do not count.
    void ask_for_what_is_added(PrimitiveId device) {
        const PartId feed = c_.at(device).part;
        const Kind kind = c_.at(feed).kind;
        const auto behind = hang_behind(s_, {{}, device});
        if ((kind != Kind::existing_wire && kind != Kind::supply) || !behind) return;
        std::vector<std::string> names;
        Amps sum{};
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            if (std::ranges::find(*behind, p.part) == behind->end() || s_.now.is_factory(p.part) || !load.ever() ||
                !p.current.known() || p.current.nominal < counts_as_load)
                continue;
            sum += p.current.nominal;
            if (std::ranges::find(names, name_of(c_, p.part)) == names.end()) names.push_back(name_of(c_, p.part));
        }
        if (names.empty()) return;
        const std::string feed_name = name_of(c_, feed), loads = list_of(names);
        report_.not_checked.push_back(
            {fuse_near_limit.id, fmt::format("whether the fuse before {} carries {} as well", feed_name, loads),
             fmt::format("{} {} {} from {}, and nobody said which fuse that comes from, nor what else hangs on it",
                         loads, verb(names.size(), "takes", "take"), text(rounded(sum, 2)), feed_name),
             fmt::format("Once that fuse is found: with everything on that hangs on it, and these {}, it should carry "
                         "80 % of its rating at most.",
                         text(rounded(sum, 2)))});
    }

    /// In that time, beyond the middle of its band: what a button is held for, or what a load with a duty runs for.
    static bool opens_within(Seconds time, reference::Protector style, Amps rating, Amps amps) {
        const auto band = reference::opening_time(style, rating, amps);
        const auto middle = band ? reference::middle(*band) : std::nullopt;
        return middle && *middle < time;
    }

    Finding start(PrimitiveId device, const Peak& peak, const std::optional<std::vector<PartId>>& behind) const {
        Finding f;
        f.rule = fuse_near_limit.id;
        f.place = where_it_lies(c_, c_.at(device).part);
        f.cites.push_back(cite_rating(s_, device, "carries " + text(rounded(peak.amps, 3))));
        f.subjects.push_back(name_of(c_, c_.at(device).part));
        for (const std::string& name : passed_on_the_way(s_, survey_.behaviour.point(peak.at), peak.amps))
            f.subjects.push_back(name);
        if (!behind) return f;
        for (PartId p : *behind) f.subjects.push_back(name_of(c_, p));
        const auto most = std::ranges::max_element(*behind, {}, [&](PartId p) { return taken_by(p); });
        if (most != behind->end() && taken_by(*most) > 0)
            f.cites.push_back(cite_part(c_, *most,
                                        behind->size() == 1                  ? "takes it"
                                        : taken_by(*most) > peak.amps.si / 2 ? "takes most of it"
                                                                             : "takes part of it"));
        return f;
    }
    double taken_by(PartId part) const {
        double most = 0;
        for (const LoadSeen& load : survey_.loads)
            if (c_.at(load.load).part == part && c_.at(load.load).current.known())
                most = std::max(most, c_.at(load.load).current.nominal.si);
        return most;
    }
    /// "M1 takes 20 A and E1 5 A."
    std::string shared(const Peak& peak, const std::optional<std::vector<PartId>>& behind) const {
        if (!behind || behind->size() < 2) return "";
        const std::string names = takers(s_, *behind, survey_.behaviour.point(peak.at));
        return names.empty() ? "" : " Behind it: " + names + ".";
    }

    void too_small(PrimitiveId device, Amps rating, reference::Protector style, const Peak& peak,
                   const std::optional<std::vector<PartId>>& behind, const std::optional<Weighed>& weighed) {
        Finding f = start(device, peak, behind);
        f.severity = Severity::fault;
        f.certainty = weighed ? weighed->certainty() : sureness(s_, survey_, behind, peak.amps, rating);
        if (weighed) f.measure = weighed->measure;
        f.headline = sentence_start(fmt::format("{} is {}, but {} it has to carry {}.", protector_words(c_, device),
                                                with_article(device_kind(s_, device, rating)),
                                                when(s_, survey_.behaviour, peak.at), text(rounded(peak.amps, 3))));
        const auto band = reference::opening_time(style, rating, peak.amps);
        const std::string dead = "then everything behind it is dead";
        if (band && band->longest)
            f.why = fmt::format("At {:.0f} % of its rating it opens after {}; {}.", peak.amps / rating * 100,
                                band_in_words(*band), dead);
        else if (band)
            f.why = fmt::format("At {:.0f} % of its rating no standard promises that it holds, and none that it opens: "
                                "it does so on a warm day, and {}.",
                                peak.amps / rating * 100, dead);
        else
            f.why = fmt::format("It opens sooner or later, and {}. How soon is not known: {}.", dead,
                                goes_on(reference::why_no_curve(style, rating)));
        f.why += shared(peak, behind);
        f.limit = fmt::format("{}, its rating", text(rating));
        if (band) f.limit += fmt::format("; times by {}", reference::cite(band->source));
        f.cures = remedies_for_load(s_, device, peak.amps / habit, behind.value_or(std::vector<PartId>{}));
        report_.findings.push_back(std::move(f));
    }

    void near(PrimitiveId device, Amps rating, const Peak& peak, const Limit& limit,
              const std::optional<std::vector<PartId>>& behind) {
        Finding f = start(device, peak, behind);
        f.severity = Severity::advice;
        f.certainty = sureness(s_, survey_, behind, peak.amps, rating * limit.share);
        f.headline = sentence_start(
            fmt::format("{} is {} and carries {} for long {}: {:.0f} % of its rating.", protector_words(c_, device),
                        with_article(device_kind(s_, device, rating)), text(rounded(peak.amps, 3)),
                        when(s_, survey_.behaviour, peak.at), peak.amps / rating * 100));
        f.why = shared(peak, behind);
        f.limit = limit.words;
        f.cures = remedies_for_load(s_, device, peak.amps / limit.share, behind.value_or(std::vector<PartId>{}));
        if (!factory_) factory_.emplace(c_, Revision{0});
        const std::string in_short = fmt::format("{} {:.0f} % ({} of {})", protector_words(c_, device),
                                                 peak.amps / rating * 100, text(rounded(peak.amps, 3)), text(rating));
        (load_is_as_built(s_, *factory_, device) ? near_as_built_ : near_)
            .push_back({std::move(f), in_short,
                        fmt::format("{} {}", name_of(c_, c_.at(device).part), when(s_, survey_.behaviour, peak.at))});
    }

    /// A habit, not a law: one word about all of them.
    struct Near {
        Finding alone;
        std::string in_short;
        std::string position; ///< "F1 with S1 on"
    };
    static void say_near(std::vector<Near>& all, std::vector<Finding>& out) {
        if (all.empty()) return;
        Finding f = std::move(all.front().alone);
        const std::string_view why = "A fuse so near its limit ages, and opens one day without any fault behind it.";
        f.why = std::string(why) + f.why;
        if (all.size() > 1) {
            constexpr std::size_t most = 4; // as many as are cited
            f.why = std::string(why) + " So loaded: " + all.front().position;
            for (std::size_t i = 1; i < std::min(all.size(), most); ++i) f.why += "; " + all[i].position;
            f.why += all.size() > most ? "; and so on." : ".";
            std::vector<std::string> each{all.front().in_short};
            f.cures.clear();
            for (std::size_t i = 1; i < all.size(); ++i) {
                Near& other = all[i];
                each.push_back(other.in_short);
                if (f.cites.size() < 4 && !other.alone.cites.empty()) f.cites.push_back(other.alone.cites.front());
                f.subjects.insert(f.subjects.end(), other.alone.subjects.begin(), other.alone.subjects.end());
                if (other.alone.certainty == Certainty::certain) f.certainty = Certainty::certain;
            }
            f.headline = sentence_start(
                fmt::format("{} fuses are loaded near their limit for long: {}.", all.size(), list_of(each)));
            f.limit = "80 % of the rating for long (common practice), less in a warm place (makers' tables)";
            f.cures.push_back(
                {"The next size up where the wires behind it carry that, and contacts, plugs and holder are "
                 "made for it; else a fuse of its own for the largest load."});
        }
        out.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Weighing weighing_;
    std::optional<Study> factory_;
    std::vector<Near> near_, near_as_built_;
    std::map<std::uint32_t, std::optional<Peak>> held_; ///< by index of the device
};

void run(const Study& s, Report& report) {
    const Survey* survey =
        survey_or_say(s, report, fuse_near_limit.id, "what each fuse carries in every switch position");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule fuse_near_limit = {
    "fuse-near-limit",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a fuse that carries nearly its rating for long, or more than that",
    "a fault where the load is above the rating; advice above 80 % of what a plug-in fuse keeps in its place",
    {
        "What is switched on takes more through this fuse than it is made for, or nearly so, in some switch position "
        "that lasts.",
        "Above its rating a fuse opens: within a second or within an hour, by how far above. Near its rating it runs "
        "hot, ages, and opens one day "
        "without a fault.",
        "Fit a larger fuse, if the wires behind it carry that and contacts and plugs are made for it; else give the "
        "largest load a fuse and a wire of its "
        "own.",
        "The rating is the fuse's own. That a plug-in fuse is loaded to 80 % for long is common practice; what a warm "
        "place leaves of it follows a maker's "
        "table. Times are those of ISO 8820-3 (from memory). Currents are worked out with a rested battery at 12.6 V; "
        "positions that last seconds (a "
        "button held, a horn, a starter) count only where the fuse would open within ten seconds; the button of a "
        "water "
        "pump, a fan, a winch, a heater or a lamp is held for minutes and counts in full (common practice, no "
        "source). A fuse with nothing but outlets behind it is to open when too much is plugged in, and is left alone.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1 "fan switch", 40 A
motor M1 "fan", 30 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to S1, 6 mm2 red, 1 m
wire from S1 to M1:+, 6 mm2 red, 1 m
wire from M1:- to ground, 6 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 40 A
switch S1 "fan switch", 40 A
motor M1 "fan", 30 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to S1, 6 mm2 red, 1 m
wire from S1 to M1:+, 6 mm2 red, 1 m
wire from M1:- to ground, 6 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
