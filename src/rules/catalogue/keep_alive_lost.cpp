#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
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

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report) {}

    void run(bool doubtful) {
        std::vector<PartId> seen;
        bool any = false;
        for (const LoadSeen& load : survey_.loads) {
            const PartId part = c_.at(load.load).part;
            if (!said(part) || c_.at(part).poisoned || std::ranges::find(seen, part) != seen.end()) continue;
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
    bool said(PartId part) const {
        return std::ranges::any_of(c_.at(part).attributes, [&](const Attribute& a) {
            return a.key == Attr::told && a.word == "keep alive" && a.life.at(s_.now.revision());
        });
    }
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

void run(const Study& s, Report& report) {
    const bool asked = std::ranges::any_of(s.now.parts(), [&](PartId id) {
        return std::ranges::any_of(s.circuit.at(id).attributes, [&](const Attribute& a) {
            return a.key == Attr::told && a.word == "keep alive" && a.life.at(s.now.revision());
        });
    });
    if (!asked) return;
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
    "always a fault, where the file says \"keep alive\"",
    {
        "The file says that this must never lose its feed, and there is a position of the switches in which it has "
        "none.",
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
