#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "rules/unlike_batteries.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule wrong_voltage; // rule_list.hpp lists it

namespace {

/// Charged, a system of 12 V reaches 14.4 V: a fifth above. Half as much again is another system.
constexpr double too_much = 1.4;
/// And a source whose own volts are below that share of what is marked never brings it up.
constexpr double too_little = 0.7;

/// Of the system's volts, lost over a resistor: what is made for the system suffers from there on.
constexpr double few = 0.2;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run() {
        for (const LoadSeen& load : survey_.loads) look_at(load.load, load.most);
        for (const CoilSeen& coil : survey_.coils)
            if (!coil.shorted) look_at(coil.coil, coil.most);
        look_for_taps();
        look_behind_resistors();
    }

  private:
    void look_at(PrimitiveId id, Volts most) {
        const Primitive& p = c_.at(id);
        if (c_.at(p.part).poisoned || !p.voltage.known() || p.voltage.how == Knowledge::assumed ||
            p.voltage.nominal.si <= 0 || most.si < 0.5)
            return;
        const double made_for = p.voltage.nominal.si;
        if (std::ranges::any_of(said_, [&](PartId part) { return part == p.part; })) return;
        if (most.si > too_much * made_for) return say(p, most, true);
        if (most.si < too_little * made_for && c_.vehicle.system.si < too_little * made_for && nothing_doubles())
            say(p, most, false);
    }

    /// No battery in a row with another one, so that the system's volts are all there are.
    bool nothing_doubles() const {
        return std::ranges::none_of(s_.strong, [&](const LivePole& l) {
            return l.pole == (s_.from_plus() ? c_.at(l.source).b : c_.at(l.source).a);
        });
    }

    void say(const Primitive& p, Volts most, bool above) {
        said_.push_back(p.part);
        Finding f;
        f.rule = wrong_voltage.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} is made for {} and gets {}.", called(c_, p.part),
                                                text(p.voltage.nominal), text(rounded(most, 3))));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(
            {p.voltage.span.exists() ? p.voltage.span : c_.at(p.part).span, above ? "gets more" : "gets less"});
        const bool coil = p.purpose == Purpose::coil;
        if (above)
            f.why = coil ? "Its coil gets hot and burns out."
                    : p.element == Element::filament
                        ? "It burns very bright, and out within hours."
                        : "It takes far more current than it is made for, gets hot, and fails.";
        else
            f.why = coil                             ? "It does not pull in, or only at times."
                    : p.element == Element::filament ? "It only glows."
                                                     : "It does not work, or weakly.";
        f.limit =
            fmt::format("{}, as the file says; up to a fifth more while charging is usual", text(p.voltage.nominal));
        f.cures.push_back({fmt::format("Fit one that is made for {}.", text(c_.vehicle.system))});
        if (above) f.cures.push_back({fmt::format("Feed it over a converter to {}.", text(p.voltage.nominal))});
        f.subjects.push_back(name_of(c_, p.part));
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        report_.findings.push_back(std::move(f));
    }

    /// What is fed from between two batteries in a row empties one of them alone.
    void look_for_taps() {
        for (const LivePole& l : s_.strong) {
            const Primitive& upper = c_.at(l.source);
            if (l.pole != (s_.from_plus() ? upper.b : upper.a) || c_.at(upper.part).kind != Kind::battery) continue;
            const Spread middle(s_.now,
                                {.starts = {l.pole}, .with_current = s_.from_plus(), .not_beyond = &s_.reference});
            std::vector<PartId> loads;
            PartId converter;
            for (const LoadSeen& load : survey_.loads) {
                const Primitive& p = c_.at(load.load);
                const bool here =
                    (middle.reached(p.a) && sides_.ground(p.b)) || (middle.reached(p.b) && sides_.ground(p.a));
                if (load.ever() && here && !c_.at(p.part).poisoned && std::ranges::find(loads, p.part) == loads.end())
                    loads.push_back(p.part);
            }
            if (!loads.empty()) say_tap(l, loads);
        }
    }

    void say_tap(const LivePole& l, const std::vector<PartId>& loads) {
        const std::vector<std::string> names = names_of(c_, loads);
        Finding f;
        f.rule = wrong_voltage.id;
        f.severity = Severity::fault;
        f.headline = fmt::format("{} {} fed from between two batteries in a row: only one of them gives {} current.",
                                 list_of(names), verb(names.size(), "is", "are"), verb(names.size(), "its", "their"));
        f.cites.push_back(cite_part(c_, loads.front(), "from one battery only"));
        f.cites.push_back(cite_terminal(s_.now, l.pole, "between the two"));
        f.why =
            "That one is never full, and the other is overcharged to make up for it: both are spoilt within a season.";
        f.limit = "batteries in a row give and take the same current (common practice)";
        f.cures.push_back({"Feed it over a converter from the upper pole."});
        f.cures.push_back({"Fit a charge equaliser between the two batteries, made for that current."});
        f.subjects = names;
        report_.findings.push_back(std::move(f));
    }

    /// A fixed resistor that all its current passes, and nothing else that takes volts for a purpose of its own.
    PrimitiveId resistor_before(PrimitiveId load, const solve::Point& point) const {
        PrimitiveId found;
        for (EdgeRef e : current_through(s_, point, load).edges) {
            if (e.is_wire() || e.primitive == load) continue;
            const Primitive& p = c_.at(e.primitive);
            if (c_.at(p.part).kind == Kind::resistor && !s_.now.has(p.part, Attr::high_end))
                found = e.primitive;
            else if (is_load(p))
                return {};
        }
        return found;
    }

    /// A resistor that is there for one load (an ignition coil's ballast) and something of another kind fed from behind it as well.
    void look_behind_resistors() {
        if (std::ranges::none_of(s_.now.parts(), [&](PartId p) { return c_.at(p).kind == Kind::resistor; })) return;
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            const Kind kind = c_.at(p.part).kind;
            if (!spec_of(kind).wants_full_volts || c_.at(p.part).poisoned ||
                load.lost.si < few * c_.vehicle.system.si ||
                (p.voltage.known() && p.voltage.how != Knowledge::assumed &&
                 p.voltage.nominal.si < (1 - few) * c_.vehicle.system.si))
                continue;
            const solve::Point point = survey_.behaviour.point(load.lost_at);
            const PrimitiveId resistor = resistor_before(load.load, point);
            if (!resistor.exists() || gets_full_volts_somewhere(load.load)) continue;
            const auto shares = std::ranges::find_if(survey_.loads, [&](const LoadSeen& other) {
                return c_.at(other.load).part != p.part && c_.at(c_.at(other.load).part).kind != kind &&
                       amps_in(point, {{}, other.load}) != 0 && resistor_before(other.load, point) == resistor;
            });
            if (shares != survey_.loads.end()) say_behind(load, c_.at(resistor), c_.at(shares->load).part, point);
        }
    }
    /// In a position that lasts: the resistor is bridged while a starter cranks.
    bool gets_full_volts_somewhere(PrimitiveId load) const {
        for (solve::StateId id = 0; id < survey_.behaviour.states.size(); ++id) {
            if (!survey_.behaviour.states[id].stable || survey_.passing[id] || survey_.shorted[id]) continue;
            const auto v = survey_.behaviour.volts_over(id, load);
            if (v && std::abs(v->si) > (1 - few) * c_.vehicle.system.si) return true;
        }
        return false;
    }

    void say_behind(const LoadSeen& load, const Primitive& resistor, PartId other, const solve::Point& point) {
        const PartId part = c_.at(load.load).part;
        const Volts gets{std::abs(point.primitive_volts[load.load.index]->si)};
        Finding f;
        f.rule = wrong_voltage.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} gets {} {}: it is fed from behind {}.", called(c_, part),
                                                text(rounded(gets, 2)), when(s_, survey_.behaviour, load.lost_at),
                                                called(c_, resistor.part)));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "gets " + text(rounded(gets, 2))));
        f.cites.push_back(cite_part(c_, resistor.part, "takes " + text(rounded(load.lost, 2))));
        f.why =
            fmt::format("{} takes volts on purpose, for {}. What else hangs behind it gets no more than that one, and "
                        "takes volts from it as well.",
                        name_of(c_, resistor.part), called(c_, other));
        f.limit =
            fmt::format("{:.0f} % of {}; what is made for that many volts works from there on (common practice, no "
                        "source)",
                        (1 - few) * 100, text(c_.vehicle.system));
        f.cures.push_back(
            {fmt::format("Feed {} from before {}: from the end of it that gets full volts, or from a fuse "
                         "of its own.",
                         name_of(c_, part), name_of(c_, resistor.part))});
        f.subjects = {name_of(c_, part), name_of(c_, resistor.part)};
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
    std::vector<PartId> said_;
};

void run(const Study& s, Report& report) {
    judge_unlike_batteries(s, report);
    if (const Survey* survey = survey_of_bad_positions(s, report, wrong_voltage.id,
                                                       "whether everything gets the volts that it is made for"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule wrong_voltage = {
    "wrong-voltage",
    Severity::danger,
    Quantifier::exists,
    Harm::other,
    "a part that is made for other volts than it gets, or that is fed from between two batteries or from behind a "
    "ballast; batteries of different volts that come together",
    "a danger where two batteries of different volts can be joined, else a fault",
    {
        "This part is marked for 24 V in a 12 V system, or the other way round; or it takes its current from the "
        "middle of two batteries in a row, or from behind a resistor that is there for another load, as an ignition "
        "coil's ballast is. Or a battery of 24 V and one of 12 V can be joined over wires, fuses and contacts.",
        "With twice the volts lamps and coils burn out; with half of them nothing works well. A load in the middle "
        "empties one battery alone. Of two unlike batteries the smaller one boils and can burst.",
        "Fit the part that is made for the system, or feed it over a converter.",
        "The volts marked on the part, as the file says. Charging brings a fifth more: that is usual. Spoken of is "
        "what gets 1.4 times as much, what the whole system cannot give, and what gets less than 80 % behind a "
        "resistor "
        "that it shares with a load of another kind; and batteries that differ by more than a quarter (common "
        "practice, "
        "no source).",
        R"(loom 1
system 24 V, negative ground
battery, 100 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W at 12 V
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
system 24 V, negative ground
battery, 100 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 70 W at 24 V
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
