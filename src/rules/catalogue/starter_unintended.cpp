#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/ends.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule starter_unintended; // rule_list.hpp lists it

namespace {

using solve::StateId;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report) {}

    void run() {
        for (std::size_t i = 0; i < survey_.loads.size(); ++i) {
            const Primitive& p = c_.at(survey_.loads[i].load);
            if (c_.at(p.part).kind != Kind::starter || c_.at(p.part).poisoned || p.element != Element::machine)
                continue;
            starter(i, p.part);
        }
        if (!b_.complete)
            report_.not_checked.push_back(open_for_positions(
                s_, starter_unintended.id, "whether a starter turns by itself in every switch position"));
    }

  private:
    bool turns(std::size_t load, StateId id) const {
        return b_.states[id].stable && id < survey_.on.size() && !survey_.on[id].empty() && survey_.on[id][load];
    }
    bool same_hands(StateId x, StateId y) const {
        return std::ranges::all_of(b_.variables, [&](const solve::Variable& v) {
            const std::uint32_t at = v.controls.front().index;
            return c_.controls[at].type == Control::Type::engine ||
                   b_.states[x].positions[at] == b_.states[y].positions[at];
        });
    }
    bool hands_off(StateId id) const {
        return std::ranges::all_of(b_.variables, [&](const solve::Variable& v) {
            const Control& k = c_.at(v.controls.front());
            return k.type != Control::Type::hand || b_.states[id].positions[v.controls.front().index] == k.rest;
        });
    }
    bool is_hand(const solve::Variable& v) const {
        return c_.at(v.controls.front()).type == Control::Type::hand && c_.at(v.controls.front()).positions.size() > 1;
    }
    static bool springs(const Control& k, std::uint8_t position) { return (k.springs_back >> position & 1) != 0; }

    bool is_starting_switch(const Control& k) const {
        return is_called_starting(c_.at(k.part).label) || is_called_starting(c_.at(k.part).name);
    }

    /// Is there a position made for starting, one that has to be held?
    bool a_start_to_hold() const {
        return std::ranges::any_of(b_.variables, [&](const solve::Variable& v) {
            const Control& k = c_.at(v.controls.front());
            if (!is_hand(v) || k.springs_back == 0) return false;
            if (is_starting_switch(k)) return true;
            for (std::uint8_t i = 0; i < k.positions.size(); ++i)
                if (springs(k, i) && is_called_starting(k.positions[i])) return true;
            return false;
        });
    }
    /// Is one of the switches set to what its words call starting: a plain switch by its label, one of several positions by that position?
    /// Some start with a switch that stays.
    bool set_to_start(StateId id) const {
        return std::ranges::any_of(b_.variables, [&](const solve::Variable& v) {
            const Control& k = c_.at(v.controls.front());
            const std::uint8_t at = b_.states[id].positions[v.controls.front().index];
            if (k.type == Control::Type::relay || k.type == Control::Type::engine || at == k.rest) return false;
            return is_called_starting(k.positions[at]) || (k.positions.size() == 2 && is_starting_switch(k));
        });
    }

    /// Of the ways in which it comes about one hangs on where a relay lies within its limits.
    bool on_limits(StateId id) const {
        return std::ranges::any_of(b_.troubles, [&](const solve::Trouble& t) {
            return t.kind == solve::Trouble::Kind::on_limits && std::ranges::find(t.ends, id) != t.ends.end();
        });
    }

    void starter(std::size_t load, PartId part) {
        const std::string name = name_of(c_, part);
        const bool held_to_start = a_start_to_hold();
        for (StateId id = 0; id < b_.states.size(); ++id) {
            if (!turns(load, id) || survey_.shorted[id]) continue;
            const bool conditions = std::ranges::any_of(b_.variables, [&](const solve::Variable& v) {
                const Control& k = c_.at(v.controls.front());
                return k.type == Control::Type::condition &&
                       b_.states[id].positions[v.controls.front().index] != k.rest;
            });
            const bool by_itself = b_.way_to(id).empty();
            if (hands_off(id) && !conditions)
                return say(id, part,
                           by_itself ? fmt::format("{} turns with every switch at rest.", name)
                                     : fmt::format("{} goes on turning with every switch back at rest.", name),
                           !by_itself);
            if (b_.states[id].held) continue;
            for (StateId other = 0; other < b_.states.size(); ++other)
                if (b_.states[other].stable && !turns(load, other) && other < survey_.on.size() &&
                    !survey_.on[other].empty() && same_hands(id, other))
                    return say(id, part, fmt::format("{} goes on turning after the button is let go.", name), true);
            if (held_to_start && !conditions && !set_to_start(id))
                return say(id, part,
                           fmt::format("{} turns {}, and nobody holds the start position.", name, when(s_, b_, id)),
                           false);
        }
    }

    void say(StateId id, PartId part, std::string headline, bool holds) {
        Finding f;
        f.rule = starter_unintended.id;
        f.severity = Severity::danger;
        f.certainty = on_limits(id) ? Certainty::possible : Certainty::certain;
        f.headline = sentence_start(std::move(headline));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part));
        f.subjects = {name_of(c_, part)};
        const auto way = b_.way_to(id);
        f.why =
            way.empty()
                ? "It cranks as soon as the battery is joined; in gear the car moves off."
                : fmt::format("It happens so: {}. In gear the car moves off; the starter burns out within a minute.",
                              solve::said(c_, b_, way));
        f.limit = "none: a starter may turn only while somebody holds the switch that is made for it";
        std::vector<std::string> relays;
        for (const solve::Coil& coil : b_.model().coils())
            if (c_.at(coil.control).part != part &&
                b_.states[id].positions[coil.control.index] != c_.at(coil.control).rest) {
                const PartId relay = c_.at(coil.control).part;
                if (std::ranges::find(relays, name_of(c_, relay)) != relays.end()) continue;
                relays.push_back(name_of(c_, relay));
                f.subjects.push_back(relays.back());
                f.cites.push_back(cite_part(c_, relay, "pulled in"));
            }
        if (holds && !relays.empty())
            f.cures.push_back({fmt::format(
                "Feed the coil of {} from the starting switch alone: take off what joins it to what it switches.",
                list_of(relays))});
        else if (!relays.empty())
            f.cures.push_back({fmt::format("Feed the coil of {} over the starting switch alone.", list_of(relays))});
        else
            f.cures.push_back(
                {fmt::format("Feed terminal 50 of {} over the starting switch alone.", name_of(c_, part))});
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(s.now.parts(), [&](PartId p) { return s.circuit.at(p).kind == Kind::starter; })) return;
    if (Ends(s).doubtful())
        return report.not_checked.push_back(
            open_until_mended(starter_unintended.id, "whether the starter turns by itself"));
    if (const Survey* survey = survey_or_say(s, report, starter_unintended.id, "whether the starter turns by itself"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule starter_unintended = {
    "starter-unintended",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a starter that turns without anybody holding its switch",
    "always danger",
    {
        "The starter turns with every switch at rest, goes on turning after the button was let go, or turns in a "
        "position "
        "that stays, such as run, although there is one for starting that has to be held.",
        "A car in gear moves off; a starter that does not stop burns out, and its cable with it.",
        "Feed the starter's terminal 50, and the coil of its relay, over the starting switch alone.",
        "None. Which position is for starting is told by its words: start, crank; a switch that stays and is called so "
        "is left "
        "alone. Whether a gear or clutch switch is bypassed is not judged: no file says which switch it is.",
        R"(loom 1
battery, 60 Ah
starter M1, 150 A
switch S4 "starter button", push
relay K1 "starter relay", 4-pin, 70 A, resistor 680 ohm
fuse F1, 40 A
splice SP1, crimp
wire W1 from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable
wire W2 from battery:+ to F1, 6 mm2 red, 0.1 m
wire W3 from F1 to SP1, 6 mm2 red, 0.5 m
wire W4 from SP1 to K1:30, 6 mm2 red, 0.5 m
wire W5 from SP1 to S4, 6 mm2 red, 0.5 m
wire W6 from S4 to SP2, 6 mm2 blue, 0.5 m
splice SP2, crimp
wire W7 from SP2 to K1:86, 6 mm2 blue, 0.1 m
wire W8 from K1:85 to ground, 6 mm2 brown, 0.5 m
wire W9 from K1:87 to SP3, 6 mm2 black, 0.1 m
splice SP3, crimp
wire W10 from SP3 to M1:50, 6 mm2 black, 1 m
wire W11 from SP3 to SP2, 6 mm2 black, 0.1 m
)",
        R"(loom 1
battery, 60 Ah
starter M1, 150 A
switch S4 "starter button", push
relay K1 "starter relay", 4-pin, 70 A, resistor 680 ohm
fuse F1, 40 A
splice SP1, crimp
wire W1 from battery:+ to M1:30, 25 mm2 black, 1 m, starter cable
wire W2 from battery:+ to F1, 6 mm2 red, 0.1 m
wire W3 from F1 to SP1, 6 mm2 red, 0.5 m
wire W4 from SP1 to K1:30, 6 mm2 red, 0.5 m
wire W5 from SP1 to S4, 6 mm2 red, 0.5 m
wire W6 from S4 to SP2, 6 mm2 blue, 0.5 m
splice SP2, crimp
wire W7 from SP2 to K1:86, 6 mm2 blue, 0.1 m
wire W8 from K1:85 to ground, 6 mm2 brown, 0.5 m
wire W9 from K1:87 to SP3, 6 mm2 black, 0.1 m
splice SP3, crimp
wire W10 from SP3 to M1:50, 6 mm2 black, 1 m
)",
    },
    run,
};

} // namespace loomproof::rules
