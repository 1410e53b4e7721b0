#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule flasher_load; // rule_list.hpp lists it

namespace {

/// A lamp a little weaker or stronger than marked makes no flasher miss.
constexpr double margin = 0.05;
/// Of one worked by heat that says no least: two lamps of 10 W a side is the least that any is made for (common practice, no source).
constexpr Watts least_that_heats{15};

/// What a flasher feeds in one position.
struct Load {
    Watts watts;
    std::string when; ///< what else is switched on then
    bool leds = false;
};
struct Range {
    double low = 0, high = 1e9; ///< [W]
    bool taken = false;         ///< the low one: the flasher's line does not say it
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report) {}

    void run() {
        for (PartId part : s_.now.parts())
            if (c_.at(part).kind == Kind::flasher && !c_.at(part).poisoned) look_at(part);
    }

  private:
    void look_at(PartId flasher) {
        const Attribute* least = s_.now.find(flasher, Attr::power);
        const Attribute* most = s_.now.find(flasher, Attr::high_end);
        const bool by_heat = s_.now.word(flasher, Attr::fuse_type) == "thermal";
        if (!least || !least->value.known()) {
            if (!s_.now.is_factory(flasher))
                report_.not_checked.push_back(
                    {flasher_load.id, fmt::format("how many lamps {} may flash", name_of(c_, flasher)),
                     "nobody said for how many watts it is made",
                     fmt::format("Read W on it, and write it behind the name: flasher {}, 42 W.",
                                 name_of(c_, flasher))});
            if (!by_heat) return;
        }
        Range range;
        if (most && most->value.known())
            range = {least->value.nominal, most->value.nominal, false};
        else if (least && least->value.known())
            range.high = least->value.nominal;
        if (by_heat && !(range.low > 0)) range = {std::min(least_that_heats.si, range.high), range.high, true};
        std::optional<PrimitiveId> contact;
        for (PrimitiveId id : s_.now.primitives())
            if (const Primitive& p = c_.at(id); p.part == flasher && p.element == Element::contact) contact = id;
        if (!contact) return;
        std::optional<Load> little, much;
        for (solve::StateId s = 0; s < survey_.behaviour.states.size(); ++s) {
            const solve::State& state = survey_.behaviour.states[s];
            if (!state.stable || survey_.shorted[s] || !lit(*contact, state.positions)) continue;
            std::size_t lamps = 0;
            bool leds = false;
            const std::optional<double> watts = behind(*contact, s, lamps, leds);
            if (!watts) return unknown(flasher);
            if (*watts < 5 && lamps < 2) continue; // a tell-tale alone: no side is chosen
            if (!little || *watts < little->watts.si - 0.5) little = {Watts{*watts}, position(*contact, s), leds};
            if (!much || *watts > much->watts.si + 0.5) much = {Watts{*watts}, position(*contact, s), leds};
        }
        if (much && much->watts.si > range.high * (1 + margin))
            say(flasher, *much, range, true);
        else if (little && little->watts.si < range.low * (1 - margin))
            say(flasher, *little, range, false);
    }

    bool lit(PrimitiveId contact, const solve::Positions& positions) const {
        return solve::is_closed(c_.at(contact), positions);
    }

    /// In words, the flasher's own beat left out.
    std::string position(PrimitiveId contact, solve::StateId s) const {
        solve::Positions positions = survey_.behaviour.states[s].positions;
        const ControlId control = c_.at(contact).control;
        positions[control.index] = c_.at(control).rest;
        return solve::said(c_, positions);
    }

    /// Watts, as marked, of all lamps whose feed comes over that contact; nothing where one of them is not known.
    std::optional<double> behind(PrimitiveId contact, solve::StateId s, std::size_t& lamps, bool& leds) const {
        solve::Positions without = survey_.behaviour.states[s].positions;
        const ControlId control = c_.at(contact).control;
        without[control.index] = c_.at(control).rest;
        const Standing with(s_, survey_.behaviour.states[s].positions), less(s_, without);
        double watts = 0;
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            if (c_.at(p.part).kind == Kind::flasher || !with.fed(p) || less.fed(p)) continue;
            if (!p.current.known() || !p.voltage.known()) return std::nullopt;
            watts += p.current.nominal.si * p.voltage.nominal.si;
            ++lamps;
            leds = leds || c_.at(p.part).kind == Kind::led;
        }
        return watts;
    }

    void unknown(PartId flasher) {
        report_.not_checked.push_back({flasher_load.id, fmt::format("whether {} suits its lamps", name_of(c_, flasher)),
                                       "nobody said what one of its lamps takes", "Read the watts on the lamp."});
    }

    void say(PartId flasher, const Load& load, const Range& made_for, bool above) {
        const Watts low{made_for.low}, high{made_for.high};
        const bool taken = made_for.taken && !above;
        const std::string range = taken                           ? text(low) + " and more"
                                  : low.si > 0 && !made_for.taken ? fmt::format("{} to {}", text(low), text(high))
                                                                  : fmt::format("{} at most", text(high));
        Finding f;
        f.rule = flasher_load.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(
            taken ? fmt::format("{} is worked by the heat of its lamps' current, but only {} hang on it with {}.",
                                called(c_, flasher), text(rounded(load.watts, 2)), load.when)
                  : fmt::format("{} is made for lamps of {}, but {} hang on it with {}.", called(c_, flasher), range,
                                text(rounded(load.watts, 2)), load.when));
        f.place = where_it_lies(c_, flasher);
        f.cites.push_back(cite_part(c_, flasher, taken ? "worked by heat" : "made for " + range));
        f.why =
            above
                ? "Its contact wears out, and one worked by heat flashes too fast."
                : "One worked by its lamps' current flashes too fast, as if a lamp were out, or does not flash at all.";
        f.limit = taken ? fmt::format("{}: no such flasher is made for less than two lamps of 10 W a side (common "
                                      "practice, no source); its own figure stands on it",
                                      range)
                        : fmt::format("{}, as the file says, within a twentieth", range);
        const bool electronic = s_.now.word(flasher, Attr::fuse_type) == "electronic";
        f.cures.push_back(
            {electronic ? fmt::format("Fit an electronic flasher that is made for {}.", text(rounded(load.watts, 2)))
                        : "Fit an electronic flasher with a ground of its own: it does not mind what "
                          "hangs on it, up to its rating."});
        if (above)
            f.cures.push_back({"Take the trailer's lamps off it: give them a relay or a trailer unit of their own."});
        else
            f.cures.push_back(
                {!load.leds
                     ? "If a lamp is missing on that side, wire it; or fit a flasher made for what hangs on it."
                     : "Fit resistors beside the LED lamps, bolted to metal: they get hot, and eat what was saved."});
        f.subjects.push_back(name_of(c_, flasher));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(s.now.parts(), [&](PartId p) { return s.circuit.at(p).kind == Kind::flasher; })) return;
    if (const Survey* survey =
            survey_of_bad_positions(s, report, flasher_load.id, "whether the flasher suits its lamps"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule flasher_load = {
    "flasher-load",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a flasher with more or fewer watts of lamps than it is made for",
    "always a fault",
    {
        "With the indicators on, the lamps that hang on this flasher take more than the most, or less than the least, "
        "that is marked on it.",
        "Too little, as with LED lamps, and it flashes too fast or stands still; too much, as with a trailer, and its "
        "contact wears out. Who drives behind sees no signal.",
        "Fit an electronic flasher with a ground of its own, or the lamps that it is made for.",
        "The watts marked on the flasher and on the lamps, as the file says; a twentieth either way is let pass. "
        "One tell-tale below 5 W alone does not count as a load. Of a flasher worked by heat that does not say its "
        "least, 15 W "
        "are taken for it (common practice, no source).",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
flasher K7, 42 W to 98 W, thermal
switch S1 "indicators" {
  off*
  left   connects 49a with L
  right  connects 49a with R
}
led E1 "front left", 4 W
led E2 "rear left", 4 W
led E3 "front right", 4 W
led E4 "rear right", 4 W
splice SP1, crimp
splice SP2, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K7:49, 1.5 mm2 red, 1 m
wire W3 from K7:49a to S1:49a, 1.5 mm2 green, 1 m
wire W4 from S1:L to SP1, 1.5 mm2 green, 1 m
wire W5 from S1:R to SP2, 1.5 mm2 white, 1 m
wire W6 from SP1 to E1:+, 1 mm2 green, 1 m
wire W7 from SP1 to E2:+, 1 mm2 green, 3 m
wire W8 from SP2 to E3:+, 1 mm2 white, 1 m
wire W9 from SP2 to E4:+, 1 mm2 white, 3 m
wire W10 from E1:- to ground, 1 mm2 black, 0.3 m
wire W11 from E2:- to ground, 1 mm2 black, 0.3 m
wire W12 from E3:- to ground, 1 mm2 black, 0.3 m
wire W13 from E4:- to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
flasher K7, 1 W to 98 W, electronic
switch S1 "indicators" {
  off*
  left   connects 49a with L
  right  connects 49a with R
}
led E1 "front left", 4 W
led E2 "rear left", 4 W
led E3 "front right", 4 W
led E4 "rear right", 4 W
splice SP1, crimp
splice SP2, crimp
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to K7:49, 1.5 mm2 red, 1 m
wire W3 from K7:49a to S1:49a, 1.5 mm2 green, 1 m
wire W14 from K7:31 to ground, 1 mm2 black, 0.3 m
wire W4 from S1:L to SP1, 1.5 mm2 green, 1 m
wire W5 from S1:R to SP2, 1.5 mm2 white, 1 m
wire W6 from SP1 to E1:+, 1 mm2 green, 1 m
wire W7 from SP1 to E2:+, 1 mm2 green, 3 m
wire W8 from SP2 to E3:+, 1 mm2 white, 1 m
wire W9 from SP2 to E4:+, 1 mm2 white, 3 m
wire W10 from E1:- to ground, 1 mm2 black, 0.3 m
wire W11 from E2:- to ground, 1 mm2 black, 0.3 m
wire W12 from E3:- to ground, 1 mm2 black, 0.3 m
wire W13 from E4:- to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
