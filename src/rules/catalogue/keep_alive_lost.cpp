#include "rules/called_so.hpp"
#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule keep_alive_lost; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// Where something that must stay fed is dark, and what was done last before that.
struct Lost {
    StateId at = 0;
    PartId by; ///< the switch or relay that does it; not existing where it is so with everything at rest
};

bool is_to_stay_fed(const Study& s, PartId part) {
    return std::ranges::any_of(s.circuit.at(part).attributes, [&](const Attribute& a) {
        return a.key == Attr::told && a.word == "keep alive" && a.life.at(s.now.revision());
    });
}

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report) {}

    void run(bool doubtful) {
        std::vector<PartId> seen;
        bool any = false;
        for (const LoadSeen& load : survey_.loads) {
            const PartId part = c_.at(load.load).part;
            if (!is_to_stay_fed(s_, part) || c_.at(part).poisoned || std::ranges::find(seen, part) != seen.end())
                continue;
            seen.push_back(part);
            if (!ever(part)) continue; // never-powered speaks of it
            any = true;
            if (doubtful) continue;
            if (const auto lost = waits_for_its_sensor(part) ? loss_besides_its_sensor(part) : first_loss(part))
                say(part, *lost);
        }
        if (!any) return;
        if (doubtful)
            report_.not_checked.push_back(
                open_until_mended(keep_alive_lost.id, "whether what must stay fed ever loses its feed"));
        else if (!b_.jointly)
            report_.not_checked.push_back(open_for_positions(
                s_, keep_alive_lost.id, "whether what must stay fed is fed in every switch position"));
    }

  private:
    /// One of its feeds is enough: a unit with a second one for the key is not lost with the key.
    bool alive(PartId part, StateId at) const {
        const auto& on = survey_.on[at];
        for (std::size_t i = 0; i < on.size(); ++i)
            if (on[i] && c_.at(survey_.loads[i].load).part == part) return true;
        return false;
    }
    bool ever(PartId part) const {
        return std::ranges::any_of(survey_.loads,
                                   [&](const LoadSeen& l) { return c_.at(l.load).part == part && l.ever(); });
    }
    bool tells(StateId at) const { return b_.states[at].stable && !survey_.shorted[at] && !survey_.on[at].empty(); }

    std::optional<Lost> first_loss(PartId part) const {
        std::optional<Lost> found;
        for (StateId at = 0; at < b_.states.size(); ++at) {
            if (!tells(at) || alive(part, at)) continue;
            const solve::State& state = b_.states[at];
            const bool taken = state.by && tells(state.before) && alive(part, state.before);
            if (taken) return Lost{at, c_.at(b_.variables[state.by->variable].controls.front()).part};
            if (!found) found = Lost{at, {}};
        }
        // Dark from the beginning: what feeds it is what lets it go dark.
        for (StateId at = 0; found && !found->by.exists() && at < b_.states.size(); ++at)
            if (const solve::State& state = b_.states[at];
                state.by && tells(at) && alive(part, at) && tells(state.before) && !alive(part, state.before))
                found->by = c_.at(b_.variables[state.by->variable].controls.front()).part;
        return found;
    }

    /// A pump on its float, a fan on its thermal switch: what works and remembers nothing is off on purpose as long as nothing calls for it.
    bool waits_for_its_sensor(PartId part) const { return c_.at(part).kind != Kind::electronics; }

    /// How all controls stand that somebody sets; relays follow these, and what is sensed (a float, a thermal switch) is left out.
    solve::Positions set_by_hand(const solve::Positions& all) const {
        solve::Positions hands = all;
        for (std::size_t i = 0; i < hands.size(); ++i) {
            const Control& control = c_.controls[i];
            if (control.type != Control::Type::hand && control.type != Control::Type::condition) hands[i] = 0;
        }
        return hands;
    }
    /// Where it is dark however its sensor stands, and the one switch that would bring it back.
    std::optional<Lost> loss_besides_its_sensor(PartId part) const {
        std::map<solve::Positions, bool> fed; // by hands: in some position of what is sensed
        for (StateId at = 0; at < b_.states.size(); ++at)
            if (tells(at)) {
                bool& so = fed[set_by_hand(b_.states[at].positions)];
                so = so || alive(part, at);
            }
        for (StateId at = 0; at < b_.states.size(); ++at) {
            if (!tells(at)) continue;
            const solve::Positions hands = set_by_hand(b_.states[at].positions);
            if (fed[hands]) continue;
            Lost lost{at, {}};
            for (std::size_t i = 0; i < hands.size(); ++i)
                for (std::size_t to = 0; to < c_.controls[i].positions.size(); ++to) {
                    solve::Positions other = hands;
                    other[i] = static_cast<std::uint8_t>(to); // one that is sensed finds nothing there
                    if (const auto there = fed.find(other); there != fed.end() && there->second && !lost.by.exists())
                        lost.by = c_.controls[i].part;
                }
            return lost;
        }
        return std::nullopt;
    }

    void say(PartId part, const Lost& lost) const {
        Finding f;
        f.rule = keep_alive_lost.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(
            fmt::format("{} must never lose its feed, but {} it has none.", called(c_, part), when(s_, b_, lost.at)));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "must stay fed"));
        if (lost.by.exists()) f.cites.push_back(cite_part(c_, lost.by, "takes its feed away"));
        f.why = waits_for_its_sensor(part)
                    ? "It does not work when it is called for, and nobody notices until then."
                    : "It forgets what it knows, or watches nothing any more: a clock stands still, an alarm is "
                      "silent, a computer learns anew.";
        f.limit = "what the file says of it: keep alive";
        f.cures.push_back({
            fmt::format("Feed {} over a fuse of its own from {}, where nothing switches it off.",
                        waits_for_its_sensor(part) ? "it, with the switch that calls for it," : "it",
                        lost.by.exists() ? "before " + name_of(c_, lost.by) : "the battery"),
        });
        f.cures.push_back(
            {fmt::format("If it may be dark then, take \"keep alive\" out of the line of {}.", name_of(c_, part))});
        f.subjects.push_back(name_of(c_, part));
        if (lost.by.exists()) f.subjects.push_back(name_of(c_, lost.by));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    Report& report_;
};

/// A switch for much more than this pump, by what it is called.
bool is_for_all(const Part& part) {
    return is_main_cut_off(part) || (part.kind == Kind::switching && is_called_feeding(part.label));
}

/// The main switch without which no float ever starts this pump; nothing where no float does, or where it is fed past that switch.
PartId main_switch_before_its_float(const Study& s, const Sides& sides, const Spread& live, const Primitive& pump) {
    const Circuit& c = s.circuit;
    bool floats = false;
    ControlId main_switch;
    std::uint64_t fed_in = 0;
    for (TerminalId end : {pump.a, pump.b}) {
        if (sides.ground_always(end)) continue;
        for (std::uint32_t way : live.ways_to(end)) {
            ControlId here;
            for (const auto& [control, positions] : live.demands(way)) {
                floats = floats || c.at(control).type == Control::Type::sensed;
                if (c.at(control).type != Control::Type::hand || !is_for_all(c.at(c.at(control).part))) continue;
                here = control;
                fed_in |= positions;
            }
            if (!here.exists() || (main_switch.exists() && here != main_switch)) return {};
            main_switch = here;
        }
    }
    if (!floats || !main_switch.exists()) return {};
    // A selector that has no off feeds it in each of its positions.
    for (std::size_t i = 0; i < c.at(main_switch).positions.size(); ++i)
        if ((fed_in >> i & 1) == 0) return c.at(main_switch).part;
    return {};
}

/// Nobody said that it must stay fed, but a float starts it, on board or not: water comes in while everybody is away.
void look_at_bilge_pumps(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    std::vector<PrimitiveId> pumps;
    for (PrimitiveId id : s.now.primitives())
        if (const Part& part = c.at(c.at(id).part);
            is_load(c.at(id)) && is_bilge_pump(part) && !part.poisoned && !is_to_stay_fed(s, c.at(id).part))
            pumps.push_back(id);
    if (pumps.empty() || Ends(s).doubtful()) return;
    const Sides sides(s);
    std::vector<TerminalId> poles = live_poles(s, false);
    std::erase_if(poles,
                  [&](TerminalId t) { return c.part_of(t).kind == Kind::alternator; }); // stands while nobody is there
    const Spread live(s.now, {.starts = poles, .with_current = s.from_plus(), .not_beyond = &s.reference});
    for (PrimitiveId id : pumps) {
        const PartId pump = c.at(id).part, by = main_switch_before_its_float(s, sides, live, c.at(id));
        if (!by.exists()) continue;
        Finding f;
        f.rule = keep_alive_lost.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(
            fmt::format("{} is dead while {} is off: no float starts it then.", called(c, pump), called(c, by)));
        f.place = where_it_lies(c, pump);
        f.cites.push_back(cite_part(c, pump, "works on its float"));
        f.cites.push_back(cite_part(c, by, "takes its feed away"));
        f.why = "The main switch is off when everybody has gone, and that is when the float is to watch: water that "
                "comes in then stays in.";
        f.limit = "the float's feed comes from before the main switch (common practice on boats, no source)";
        f.cures.push_back({fmt::format("Feed its float over a fuse of its own from before {}, and write \"keep alive\" "
                                       "behind {}. What works it by hand may stay behind the switch.",
                                       name_of(c, by), name_of(c, pump))});
        f.cures.push_back({fmt::format("If the boat lies on a trailer then: accept keep-alive-lost on {} because "
                                       "\"...\"",
                                       name_of(c, pump))});
        f.subjects = {name_of(c, pump), name_of(c, by)};
        report.findings.push_back(std::move(f));
    }
}

void run(const Study& s, Report& report) {
    look_at_bilge_pumps(s, report);
    if (std::ranges::none_of(s.now.parts(), [&](PartId id) { return is_to_stay_fed(s, id); })) return;
    const Survey* survey =
        survey_or_say(s, report, keep_alive_lost.id, "whether what must stay fed ever loses its feed");
    if (survey) Judge(s, *survey, report).run(Ends(s).doubtful());
}

} // namespace

const Rule keep_alive_lost = {
    "keep-alive-lost",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "something that must stay fed, and a switch position that takes its feed away",
    "a fault where the file says \"keep alive\"; advice for a bilge pump whose float hangs behind the main switch",
    {
        "The file says that this must never lose its feed, and there is a position of the switches in which it has "
        "none. Or a bilge pump's float gets its feed over the main switch, which is off when nobody is on board.",
        "Clocks and memories forget, alarms and trackers stop watching, computers learn anew.",
        "A feed of its own from before whatever switches it off, over a small fuse.",
        "What the file says: \"keep alive\". Every position of the switches is looked at, as far as they are not too "
        "many; "
        "one feed of several is enough.",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
switch S9 "battery isolator", 10 A
electronics A1 "alarm", 0.1 A, keep alive
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S9, 1.5 mm2 red, 0.3 m
wire from S9 to A1:+, 1.5 mm2 red, 1 m
wire from A1:- to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
electronics A1 "alarm", 0.1 A, keep alive
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to A1:+, 1.5 mm2 red, 1.3 m
wire from A1:- to ground, 1.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
