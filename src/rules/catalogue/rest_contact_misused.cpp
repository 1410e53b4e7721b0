#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule rest_contact_misused; // rule_list.hpp lists it

namespace {

/// Less than that is a tell-tale or a clock (common practice, no source).
constexpr Amps worth_a_word{0.3};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report) {}

    void run() {
        if (!at_rest()) return;
        const solve::Point rest = survey_.behaviour.point(0);
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.purpose != Purpose::rest_contact || c_.at(p.part).poisoned || c_.at(p.part).kind != Kind::relay)
                continue;
            const auto& amps = rest.primitive_amps[id.index];
            if (amps && std::abs(amps->si) >= worth_a_word.si) look_at(id, Amps{std::abs(amps->si)});
        }
    }

  private:
    bool at_rest() const {
        const auto& states = survey_.behaviour.states;
        return !states.empty() && states[0].stable && !survey_.shorted[0] &&
               std::ranges::all_of(survey_.behaviour.model().controls(),
                                   [&](ControlId k) { return states[0].positions[k.index] == c_.at(k).rest; });
    }

    /// Loads that are fed with the control in one position and not in the other.
    std::vector<PartId> fed_by(ControlId control, std::uint8_t with, std::uint8_t without) const {
        solve::Positions there = survey_.behaviour.states[0].positions, gone = there;
        there[control.index] = with;
        gone[control.index] = without;
        const Standing fed(s_, there), less(s_, gone);
        std::vector<PartId> loads;
        for (const LoadSeen& l : survey_.loads) {
            const Primitive& p = c_.at(l.load);
            if (fed.fed(p) && !less.fed(p) && std::ranges::find(loads, p.part) == loads.end()) loads.push_back(p.part);
        }
        return loads;
    }

    void look_at(PrimitiveId id, Amps amps) {
        const Primitive& p = c_.at(id);
        const std::uint8_t rest = c_.at(p.control).rest,
                           pulled = static_cast<std::uint8_t>(c_.at(p.control).positions.size() - 1);
        if (rest == pulled) return;
        const std::vector<PartId> resting = fed_by(p.control, rest, pulled), working = fed_by(p.control, pulled, rest);
        // With nothing on the other contact the relay is there to take something off: that is what rest contacts are for.
        if (resting.empty() || working.empty() ||
            std::ranges::any_of(resting, [&](PartId l) { return is_kept_alive(c_.at(l)); }))
            return;
        TerminalId out;
        for (TerminalId t : {p.a, p.b})
            if (c_.at(t).role == Role::rest) out = t;
        if (!out.exists()) return;
        Finding f;
        f.rule = rest_contact_misused.id;
        f.severity = Severity::fault;
        f.headline = fmt::format(
            "{} {} on while everything is switched off: {} hang{} on {}, which is closed as long as {} rests.",
            sentence_start(list_of(names_of(c_, resting))), verb(resting.size(), "is", "are"),
            resting.size() == 1 ? "it" : "they", resting.size() == 1 ? "s" : "", name_of(c_, out), name_of(c_, p.part));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_terminal(s_.now, out, "fed at rest"));
        f.cites.push_back(cite_part(c_, p.part));
        f.why =
            fmt::format("{} flow with nobody near, and when {} pulls in for {}, {} go{} off. So it comes out where a "
                        "change-over relay (87a in the middle) was put in for one that closes two contacts (87b).",
                        text(rounded(amps, 2)), name_of(c_, p.part), list_of(names_of(c_, working)),
                        list_of(names_of(c_, resting)), resting.size() == 1 ? "es" : "");
        f.limit = "none: with every switch at rest";
        f.cures.push_back({fmt::format("If both are meant to come on together: put both wires on 87, or fit a relay "
                                       "that closes two contacts (87 and 87b); {} stays empty and gets a cap.",
                                       name_of(c_, out))});
        f.cures.push_back({fmt::format("If one is meant to be on instead of the other: feed the common contact of {} "
                                       "from the switch or the ignition, so that it is dead when all is off.",
                                       name_of(c_, p.part))});
        f.subjects = {name_of(c_, p.part), name_of(c_, out)};
        for (PartId part : resting) f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(s.now.primitives(),
                             [&](PrimitiveId id) { return s.circuit.at(id).purpose == Purpose::rest_contact; }))
        return;
    if (const Survey* survey =
            survey_or_say(s, report, rest_contact_misused.id, "whether rest contacts are used as they are meant"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule rest_contact_misused = {
    "rest-contact-misused",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "two loads on 87 and 87a of a relay that is fed at all times",
    "always a fault",
    {
        "One load hangs on 87, another on 87a, and the relay's common contact is live with everything switched off.",
        "So the one on 87a is on at all times but when the relay pulls in. Relays with two closing contacts (87, 87b) "
        "and change-over relays (87, 87a) fit the same socket.",
        "Both wires on 87, or the other relay; or a common contact that is fed only while something is on.",
        "None: it is looked at with every switch at rest. What takes less than 0.3 A or says that it is kept alive, "
        "and a rest contact with nothing on 87, are left alone.",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
fuse F2, 5 A
switch S1, 10 A
relay K1, 5-pin, 30 A, 30 A rest, resistor 680 ohm
lamp E1 "left", 55 W
lamp E2 "right", 55 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to K1:30, 2.5 mm2 red, 1 m
wire from K1:87 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.3 m
wire from K1:87a to E2, 2.5 mm2 blue, 1 m
wire from E2 to ground, 2.5 mm2 black, 0.3 m
wire from battery:+ to F2, 1 mm2 red, 0.1 m
wire from F2 to S1, 1 mm2 red, 0.5 m
wire from S1 to K1:86, 1 mm2 white, 0.5 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 20 A
fuse F2, 5 A
switch S1, 10 A
relay K1, 5-pin, two makes, 30 A, resistor 680 ohm
lamp E1 "left", 55 W
lamp E2 "right", 55 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to K1:30, 2.5 mm2 red, 1 m
wire from K1:87 to E1, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.3 m
wire from K1:87b to E2, 2.5 mm2 blue, 1 m
wire from E2 to ground, 2.5 mm2 black, 0.3 m
wire from battery:+ to F2, 1 mm2 red, 0.1 m
wire from F2 to S1, 1 mm2 red, 0.5 m
wire from S1 to K1:86, 1 mm2 white, 0.5 m
wire from K1:85 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
