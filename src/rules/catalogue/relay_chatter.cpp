#include "base/number.hpp"
#include "rules/dead_short.hpp"
#include "rules/own_output.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule relay_chatter; // rule_list.hpp lists it

namespace {

using solve::StateId;
using solve::Trouble;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s),
          c_(s.circuit),
          behaviour_(survey.behaviour),
          report_(report),
          perhaps_shorted_(perhaps_shorted(s, Clamps::pass)) {}

    void run() {
        for (const Trouble& t : behaviour_.troubles)
            if (t.kind == Trouble::Kind::chatter && !t.relays.empty() && !t.ends.empty() && !shorted(t) &&
                !starts_a_running_engine(t))
                say(t);
        if (!behaviour_.complete)
            report_.not_checked.push_back(
                open_for_positions(s_, relay_chatter.id, "whether relays chatter in every switch position"));
    }

  private:
    /// A short takes the volts away; it is the short that has to go.
    bool shorted(const Trouble& t) const {
        return perhaps_shorted_ && std::ranges::any_of(t.ends, [&](StateId s) {
                   return std::ranges::any_of(s_.strong, [&](const LivePole& live) {
                       return dead_short_in(s_, live.pole, behaviour_.states[s].positions, Clamps::pass).has_value();
                   });
               });
    }

    /// Nobody cranks an engine that runs, on its alternator alone, with the main switch off. What chatters while it really is started was
    /// reached by a shorter way.
    bool starts_a_running_engine(const Trouble& t) const {
        const auto of_a_starter = [&](ControlId k) { return c_.at(c_.at(k).part).kind == Kind::starter; };
        if (!c_.engine || !std::ranges::all_of(t.relays, of_a_starter)) return false;
        const Control& engine = c_.at(c_.engine->control);
        return std::ranges::all_of(t.ends, [&](StateId s) {
            const std::string& does = engine.positions[behaviour_.states[s].positions[c_.engine->control.index]];
            return does == "idling" || does == "running";
        });
    }

    PrimitiveId coil_of(ControlId control) const {
        for (PrimitiveId id : s_.now.primitives())
            if (const Primitive& p = c_.at(id);
                p.part == c_.at(control).part &&
                (p.purpose == Purpose::coil || p.purpose == Purpose::starter_solenoid || p.purpose == Purpose::sensing))
                return id;
        return {};
    }

    void say(const Trouble& t) {
        std::vector<PartId> parts;
        for (ControlId control : t.relays)
            if (std::ranges::find(parts, c_.at(control).part) == parts.end()) parts.push_back(c_.at(control).part);
        std::vector<std::string> names;
        for (PartId p : parts) names.push_back(names.empty() ? called(c_, p) : name_of(c_, p));
        Finding f;
        f.rule = relay_chatter.id;
        f.severity = Severity::fault;
        f.certainty = t.certain ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(fmt::format(
            "{} {} {}: {} in and out and {} to rest.", list_of(names),
            t.certain ? verb(parts.size(), "chatters", "chatter") : "may chatter", when(s_, behaviour_, t.ends.front()),
            verb(parts.size(), "it goes", "they go"), verb(parts.size(), "never comes", "never come")));
        f.place = where_it_lies(c_, parts.front());
        for (PartId p : parts) f.cites.push_back(cite_part(c_, p));
        f.why = volts_in_words(t);
        if (!t.certain) f.why += " Whether it does depends on where the relay lies within its limits.";
        f.why += " Its contacts burn within minutes.";
        const PrimitiveId first = coil_of(t.relays.front());
        if (first.exists() && c_.at(first).purpose == Purpose::sensing) {
            const Primitive& coil = c_.at(first);
            f.limit = fmt::format("{} closes at {} and opens at {}", name_of(c_, coil.part), text(coil.voltage.nominal),
                                  text(coil.lets_go.nominal));
            f.cures.push_back({"Let less be on behind it while the alternator charges, or use thicker wire between the "
                               "alternator and its 30: what it joins must leave it more volts than those at which it "
                               "opens."});
        } else {
            f.limit = "a relay must pull in at two thirds of its volts and must let go at a tenth (makers' sheets); "
                      "between the two nobody can tell";
            if (const auto own = first.exists() ? own_output_at(s_, first) : std::nullopt; own && own->is_return) {
                const std::string end = name_of(c_, own->coil);
                f.why += fmt::format(" The coil's way back is wired to {}, which goes live once the relay pulls in.",
                                     name_of(c_, own->output));
                f.cites.push_back(cite_terminal(s_.now, own->coil, "live once it pulls in"));
                f.cures.push_back({fmt::format("Take {} off what {} feeds, and run a wire from {} to ground.", end,
                                               name_of(c_, own->output), end)});
            } else {
                f.cures.push_back(
                    {"Feed the coil from a place whose volts do not change when the relay pulls in: ahead of the "
                     "load, and not over its own contact."});
            }
        }
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        report_.findings.push_back(std::move(f));
    }

    /// "Its coil gets 12.1 V with it at rest and 0 V pulled in."
    std::string volts_in_words(const Trouble& t) const {
        const ControlId control = t.relays.front();
        const PrimitiveId coil = coil_of(control);
        if (!coil.exists()) return "";
        std::optional<double> rest, pulled;
        for (StateId s : t.ends) {
            const auto volts = behaviour_.volts_over(s, coil);
            if (!volts) continue;
            const std::uint8_t at = behaviour_.states[s].positions[control.index];
            if (at == c_.at(control).rest) rest = std::abs(volts->si);
            if (at + 1U == c_.at(control).positions.size()) pulled = std::abs(volts->si);
        }
        if (!rest || !pulled) return "What it switches takes its own coil's volts away, or gives them back.";
        return fmt::format("The coil of {} gets {} while it is at rest, and {} once it has pulled in.",
                           name_of(c_, c_.at(control).part), text(Volts{*rest}), text(Volts{*pulled}));
    }

    const Study& s_;
    const Circuit& c_;
    const solve::Behaviour& behaviour_;
    Report& report_;
    bool perhaps_shorted_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, relay_chatter.id, "whether relays chatter");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule relay_chatter = {
    "relay-chatter",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a relay that goes in and out and never comes to rest",
    "a fault; possible where it depends on the relay's limits",
    {
        "When the relay pulls in, its coil loses the volts that it needs; when it lets go, it has them again. So it "
        "buzzes.",
        "Its contacts arc with every stroke and weld or burn within minutes; what hangs on them gets volts in bursts.",
        "Feed the coil ahead of the contact and ahead of long thin wires that the load shares.",
        "The four limits of a relay: must pull in at two thirds of its volts, must let go at a tenth (makers' sheets: "
        "58 to 67 %, 4 to 10 %); may pull in from "
        "five twelfths on, may let go from three eighths down (assumption). A way round that every relay must go is "
        "certain.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1
relay K1 "buzzes", 5-pin, resistor 680 ohm
splice SP1, crimp
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to S1, 1 mm2 red, 0.5 m
wire from S1 to K1:30, 1 mm2 red, 0.5 m
wire W4 from K1:87a to SP1, 1 mm2 red, 0.1 m
wire W5 from SP1 to K1:86, 1 mm2 red, 0.1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
lamp E1, 5 W
wire from K1:87 to E1, 1 mm2 red, 0.3 m
wire from E1:- to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1
relay K1 "lamp", 5-pin, resistor 680 ohm
splice SP1, crimp
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to S1, 1 mm2 red, 0.5 m
wire from S1 to SP1, 1 mm2 red, 0.5 m
wire W4 from SP1 to K1:30, 1 mm2 red, 0.1 m
wire W5 from SP1 to K1:86, 1 mm2 red, 0.1 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
lamp E1, 5 W
wire from K1:87 to E1, 1 mm2 red, 0.3 m
wire from E1:- to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
