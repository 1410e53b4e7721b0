#include "base/number.hpp"
#include "circuit/outputs.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule monitored_output; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// A lamp a little weaker or stronger than marked is no other lamp.
constexpr double margin = 0.05;
/// Where only the lamp is known that the output was made for: less than half of it, or more than twice, a unit hardly takes for that lamp
/// (common practice, no source).
constexpr double surely_other = 2;
constexpr std::size_t most_positions_told = 4;

/// What hangs on an output in one position.
struct Carried {
    double watts = 0;
    std::vector<PartId> parts;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), states_(survey.behaviour.states), report_(report), sides_(s) {}

    void run() {
        for (const Output& o : outputs_of(s_.now))
            if (o.least && o.contact.exists() && !s_.now.wires_at(o.at).empty()) look_at(o);
    }

  private:
    struct Told {
        StateId at = 0;
        Carried carried;
    };

    void look_at(const Output& o) {
        if (!o.least->value.known() || (o.most && !o.most->value.known()))
            return leave_open(o, "nobody knows what it is content with", "Ask the unit's maker for the range.");
        if (sides_.untraced(o.at) && leads_out_of_sight(o))
            return leave_open(o, "where its wire goes nobody traced", "Trace it to its end.");
        std::vector<Told> all;
        for (StateId s = 0; s < states_.size(); ++s) {
            if (!states_[s].stable || survey_.shorted[s] || !drives(o, s)) continue;
            const std::optional<Carried> carried = carried_in(o, s);
            if (!carried)
                return leave_open(o, "nobody said what something that hangs there takes",
                                  "Look for W or A on the label.");
            const auto as_much = [&](const Told& t) { return std::abs(t.carried.watts - carried->watts) < 0.1; };
            if (std::ranges::none_of(all, as_much)) all.push_back({s, *carried});
        }
        const auto by_watts = [](const Told& a, const Told& b) { return a.carried.watts < b.carried.watts; };
        if (all.empty()) return;
        const Told& little = *std::ranges::min_element(all, by_watts);
        const Told& much = *std::ranges::max_element(all, by_watts);
        if (!(much.carried.watts > 0)) return; // nothing hangs there that gets anything: other rules say why
        const double least = o.least->value.nominal, most = o.most ? o.most->value.nominal : least;
        if (much.carried.watts > most * (1 + margin))
            say(o, much, all, true);
        else if (little.carried.watts < least * (1 - margin))
            say(o, little, all, false);
    }

    void leave_open(const Output& o, const char* why, const char* measure) {
        report_.not_checked.push_back({monitored_output.id,
                                       fmt::format("whether {} is content with what hangs on it", called(c_, o)), why,
                                       measure});
    }

    /// What is joined to it leads to where nobody looked. An input that the file describes is the end of its wire: it takes next to
    /// nothing, whatever the unit makes of it.
    bool leads_out_of_sight(const Output& o) const {
        std::vector<bool> seen(c_.terminals.size(), false);
        const std::vector<TerminalId> joined = region(
            s_.now, {o.at}, Through::what_conducts,
            [&](TerminalId t) {
                if (seen[t.index] || s_.reference[t.index] || sides_.live_always(t)) return false;
                seen[t.index] = true;
                return true;
            },
            o.part);
        return std::ranges::any_of(joined, [&](TerminalId t) {
            const auto primitives = s_.now.primitives_at(t);
            const bool input = !primitives.empty() && std::ranges::all_of(primitives, [&](PrimitiveId p) {
                return c_.at(p).purpose == Purpose::input;
            });
            const Kind kind = c_.part_of(t).kind;
            return c_.at(t).part != o.part && sides_.untraced(t) &&
                   (kind == Kind::unknown_end || kind == Kind::not_known || !says_what_it_is(s_.now, c_.at(t).part) ||
                    (c_.at(t).role == Role::signal && !input && primitives.empty()));
        });
    }

    bool drives(const Output& o, StateId s) const { return solve::is_closed(c_.at(o.contact), states_[s].positions); }

    /// All that is joined to the pin with nothing between that takes current.
    std::vector<bool> joined_to(const Graph& graph, const Output& o, const solve::Positions& positions) const {
        const auto passes = [&](EdgeRef e, TerminalId from) {
            if (s_.reference[from.index]) return false;
            if (e.is_wire()) return !c_.at(e.wire).poisoned;
            const Primitive& p = c_.at(e.primitive);
            if (p.part == o.part) return false;
            const bool metal = p.element == Element::joint || p.element == Element::meter ||
                               p.element == Element::protector || p.element == Element::contact;
            const bool onward = (o.plus || !s_.from_plus() ? p.a : p.b) == from;
            const bool diode = p.element == Element::junction && p.purpose != Purpose::suppressor && onward;
            return (metal && solve::is_closed(p, positions)) || diode;
        };
        const Reach reach = graph.walk(std::vector{o.at}, passes, [](EdgeRef) { return 0.0; });
        std::vector<bool> reached(c_.terminals.size(), false);
        for (std::size_t t = 0; t < reached.size(); ++t) reached[t] = reach.reached(TerminalId{t});
        return reached;
    }

    /// Watts as marked of what has its return; of what lies in a row with something else, what flows. Nothing where a figure is missing.
    std::optional<Carried> carried_in(const Output& o, StateId s) const {
        const std::vector<bool> near = joined_to(s_.graph, o, states_[s].positions);
        const Standing standing(s_, states_[s].positions);
        std::optional<solve::Point> point;
        Carried out;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!is_load(p) || p.part == o.part || p.purpose == Purpose::leak || near[p.a.index] == near[p.b.index])
                continue;
            const TerminalId other = near[p.a.index] ? p.b : p.a;
            const bool returned = o.plus && s_.from_plus() ? standing.ground(other) : standing.live(other);
            const double volts = p.voltage.known() ? p.voltage.nominal.si : c_.vehicle.system.si;
            double watts = 0;
            if (returned) {
                if (p.current.known() && p.current.nominal.si > 0)
                    watts = p.current.nominal.si * volts;
                else if (p.resistance.known() && p.resistance.nominal.si > 0)
                    watts = volts * volts / p.resistance.nominal.si;
                else
                    return std::nullopt;
            } else {
                if (!point) point = survey_.behaviour.point(s);
                const auto& amps = point->primitive_amps[id.index];
                watts = amps ? std::abs(amps->si) * c_.vehicle.system.si : 0;
            }
            if (watts < 0.01) continue;
            out.watts += watts;
            if (std::ranges::find(out.parts, p.part) == out.parts.end()) out.parts.push_back(p.part);
        }
        return out;
    }

    /// The same before any job, in the same switch positions, of all that is joined to it. Nothing where no job changed what hangs there, or
    /// where a figure is missing.
    std::optional<Carried> carried_before(const Output& o, StateId s) const {
        if (!s_.factory.alive(o.part) || s_.factory.wires_at(o.at).empty()) return std::nullopt;
        const std::vector<bool> near = joined_to(Graph(s_.factory), o, states_[s].positions);
        Carried out;
        bool changed = false;
        const auto hangs = [&](const Primitive& p, const std::vector<bool>& reached) {
            return is_load(p) && p.part != o.part && p.purpose != Purpose::leak &&
                   reached[p.a.index] != reached[p.b.index];
        };
        for (PrimitiveId id : s_.factory.primitives()) {
            const Primitive& p = c_.at(id);
            if (!hangs(p, near)) continue;
            const double volts = p.voltage.known() ? p.voltage.nominal.si : c_.vehicle.system.si;
            if (p.current.known() && p.current.nominal.si > 0)
                out.watts += p.current.nominal.si * volts;
            else if (p.resistance.known() && p.resistance.nominal.si > 0)
                out.watts += volts * volts / p.resistance.nominal.si;
            else
                return std::nullopt;
            if (std::ranges::find(out.parts, p.part) == out.parts.end()) out.parts.push_back(p.part);
        }
        const std::vector<bool> now = joined_to(s_.graph, o, states_[s].positions);
        for (PrimitiveId id : s_.now.primitives())
            changed =
                changed || (hangs(c_.at(id), now) && std::ranges::find(out.parts, c_.at(id).part) == out.parts.end());
        for (PartId part : out.parts)
            changed = changed || std::ranges::none_of(s_.now.primitives(), [&](PrimitiveId id) {
                          return c_.at(id).part == part && hangs(c_.at(id), now);
                      });
        if (!changed) return std::nullopt;
        return out;
    }

    /// In words, whether it drives left out.
    std::string position(const Output& o, StateId s) const {
        solve::Positions positions = states_[s].positions;
        const ControlId control = c_.at(o.contact).control;
        positions[control.index] = c_.at(control).rest;
        const std::string words = solve::said(c_, positions);
        return words == "everything at rest" ? "everything else at rest" : words;
    }

    static std::string watts(double w) { return w < 0.05 ? "nothing" : text(rounded(Watts{w}, 3)); }

    void say(const Output& o, const Told& worst, std::vector<Told>& all, bool above) {
        const double least = o.least->value.nominal, now = worst.carried.watts;
        const bool range = o.most != nullptr;
        const std::string wanted = range
                                       ? fmt::format("{} to {}", text(Watts{least}), text(Watts{o.most->value.nominal}))
                                       : fmt::format("{}", text(Watts{least}));
        const bool far = range || now > least * surely_other || now * surely_other < least;
        Finding f;
        f.rule = monitored_output.id;
        f.severity = far ? Severity::fault : Severity::advice;
        f.headline = sentence_start(fmt::format(
            "{} watches for {}{}, but {} {} on it with {}.", called(c_, o), range ? "" : "its lamp of ", wanted,
            watts(now), worst.carried.watts < 0.05 || worst.carried.parts.size() == 1 ? "hangs" : "hang",
            position(o, worst.at)));
        f.place = where_it_lies(c_, o.part);
        f.cites.push_back({o.least->span, "content with " + wanted});
        for (std::size_t i = 0; i < worst.carried.parts.size() && i < 3; ++i)
            f.cites.push_back(cite_part(c_, worst.carried.parts[i], "hangs on it"));
        f.why = above
                    ? "It takes that for a short or a wrong lamp: it warns, or shuts this output, some units for good."
                    : "It takes the lamp for burnt out: it warns, tests with pulses that make LED lamps flicker, or "
                      "shuts this output.";
        if (!far)
            f.why = "It may take that for a wrong lamp: then it warns, or shuts this output, some units for good.";
        if (!range) f.why += fmt::format(" How far from {} it still is content nobody says.", text(Watts{least}));
        if (!range && !above)
            f.measure = fmt::format("Ask the unit's maker what is the least that it is content with, or see whether it "
                                    "reports a burnt-out lamp. {} or less: leave it, and write the range behind "
                                    "\"watches\". More: one of these.",
                                    watts(now));
        if (all.size() > 1) f.why += " " + by_position(o, all);
        if (const auto before = carried_before(o, worst.at)) {
            const std::string so_much = watts(before->watts);
            f.why += before->parts.empty() ? " Before the job nothing hung on it."
                                           : fmt::format(" Before the job it carried {}: {}.", so_much,
                                                         list_of(names_of(c_, before->parts)));
        }
        f.limit =
            range
                ? "the range that the file says for this output, within a twentieth"
                : "the lamp that the file says for this output, within a twentieth; more than twice or less than half "
                  "of it is a fault (common practice, no source)";
        if (above) {
            f.cures.push_back({"Take what was added off this output, and work it from a wire that nothing watches."});
            f.cures.push_back(
                {"Let a relay carry the load: its coil alone takes a watt or two. The output must have its "
                 "lamp all the same, and the coil a resistor or diode across it."});
        } else {
            f.cures.push_back({"Put back the lamp that it was made for."});
            f.cures.push_back({fmt::format(
                "Fit a resistor beside the lamp that takes the {} that are missing, bolted to metal and away from "
                "plastic: it gets hot enough to burn.",
                text(rounded(Watts{std::max(0.0, least - now)}, 2)))});
        }
        f.cures.push_back({"Some units can be told by the maker's own tool what hangs on an output: ask the maker."});
        f.subjects.push_back(name_of(c_, o.part));
        for (PartId p : worst.carried.parts) f.subjects.push_back(name_of(c_, p));
        report_.findings.push_back(std::move(f));
    }

    std::string by_position(const Output& o, std::vector<Told>& all) const {
        std::vector<std::string> each;
        for (const Told& t : all) {
            if (each.size() == most_positions_told) break;
            each.push_back(fmt::format("{} with {}", watts(t.carried.watts), position(o, t.at)));
        }
        const std::size_t more = all.size() - each.size();
        return fmt::format("By switch position it carries {}{}.", list_of(each),
                           more > 0 ? fmt::format(", and so on in {} more", more) : "");
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const std::vector<solve::State>& states_;
    Report& report_;
    const Sides sides_;
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(outputs_of(s.now), [](const Output& o) { return o.least != nullptr; })) return;
    const char* what = "whether outputs that watch their lamps are content";
    if (s.circuit.has_mistakes) return report.not_checked.push_back(open_until_mended(monitored_output.id, what));
    if (const Survey* survey = survey_of_bad_positions(s, report, monitored_output.id, what))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule monitored_output = {
    "monitored-output",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "an output that watches its lamp, with more or less on it than it is content with",
    "a fault outside the range that is said, or far from the lamp that is said; near to that lamp, advice",
    {
        "The unit measures what this output feeds, and with what hangs on it now it is not content in some switch "
        "position: something was added, or a lamp was exchanged for an LED lamp.",
        "Too little, and it reports a burnt lamp, or sends test pulses at which LED lamps flicker; too much, and it "
        "shuts "
        "the output, in some vehicles until a new unit is fitted.",
        "Leave on it what it was made for, and take the trigger from a wire that nothing watches. A resistor beside an "
        "LED lamp makes up the watts, and gets hot.",
        "The range that the file says for the output, from the unit's papers, within a twentieth. Where it says one "
        "lamp "
        "alone, more than a twentieth beside is advice, more than twice or less than half a fault (common "
        "practice, no source). What a trigger takes is left alone while the range holds.",
        R"(loom 1
battery, 70 Ah
fuse F1, 20 A
electronics A1 "body computer" {
  supply 1, 0.5 A
  ground 2
  output 7 plus side, 5 A, watches the lamp 15 W to 30 W
}
led E1 "tail lamp", 2 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to A1:1, 2.5 mm2 red, 1 m
wire W3 from A1:2 to ground, 2.5 mm2 black, 0.5 m
wire W4 from A1:7 to E1:+, 1 mm2 yellow, 2 m
wire W5 from E1:- to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 70 Ah
fuse F1, 20 A
electronics A1 "body computer" {
  supply 1, 0.5 A
  ground 2
  output 7 plus side, 5 A, watches the lamp 15 W to 30 W
}
lamp E1 "tail lamp", 21 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to A1:1, 2.5 mm2 red, 1 m
wire W3 from A1:2 to ground, 2.5 mm2 black, 0.5 m
wire W4 from A1:7 to E1:+, 1 mm2 yellow, 2 m
wire W5 from E1:- to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
