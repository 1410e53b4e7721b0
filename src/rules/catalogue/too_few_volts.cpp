#include "base/number.hpp"
#include "rules/all.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

using solve::StateId;

/// Of the volts at the battery: what has less is not fed, but feels what flows elsewhere (common practice, no source).
constexpr double fed = 0.25;

/// "12-24 V" on a label names the systems that a thing is made for, not the volts at which it stops: so much more they have while they are
/// charged (14.8 V of 12 V and a little: common practice).
constexpr double charging_over_nominal = 1.25;
bool is_nominal(double volts) {
    return std::ranges::any_of(std::array{6.0, 12.0, 24.0, 36.0, 48.0},
                               [&](double v) { return std::abs(volts - v) < 1e-9; });
}

struct Range {
    double least = 0, most = 0; // V; most 0: not said
    Span span;
};

/// The least that a load gets while it is fed.
struct Least {
    PrimitiveId load;
    double volts = 1e9;
    StateId at = 0;
    PartId starts; ///< what takes its starting current at that moment; may not exist
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report), weighing_(s, survey) {}

    void run() {
        std::vector<PartId> said;
        for (const LoadSeen& load : survey_.loads) {
            const PartId part = c_.at(load.load).part;
            const auto range = range_of(part);
            if (!range || c_.at(part).poisoned || std::ranges::find(said, part) != said.end()) continue;
            const Least least = least_at(load);
            if (least.volts < range->least * 0.999) {
                say(part, *range, least);
                said.push_back(part);
            } else if (range->most > 0 && load.most.si > range->most * 1.001) {
                too_many(part, *range, load.most);
                said.push_back(part);
            }
            asked_ = true;
        }
        if (asked_ && !b_.jointly)
            report_.not_checked.push_back(open_for_positions(
                s_, too_few_volts.id, "the least volts at what needs some in every switch position"));
    }

  private:
    std::optional<Range> range_of(PartId part) const {
        const Attribute* least = s_.now.find(part, Attr::works_from);
        if (!least || !least->value.known()) return std::nullopt;
        Range r{least->value.nominal, 0, least->span};
        for (const Attribute& a : c_.at(part).attributes) // "8 V to 16 V": the second figure of the same words
            if (a.key == Attr::high_end && a.span.source == least->span.source && a.span.begin == least->span.begin &&
                a.value.known() && a.life.at(s_.now.revision()))
                r.most = std::max(r.least, a.value.nominal);
        if (is_nominal(r.least) && is_nominal(r.most)) return Range{0, r.most * charging_over_nominal, r.span};
        return r;
    }

    /// A starter that turns in this state: its first moment takes most out of the battery.
    std::vector<PrimitiveId> starters_on(StateId at) const {
        std::vector<PrimitiveId> out;
        for (std::size_t i = 0; i < survey_.loads.size(); ++i)
            if (survey_.on[at][i] && c_.at(c_.at(survey_.loads[i].load).part).kind == Kind::starter)
                out.push_back(survey_.loads[i].load);
        return out;
    }

    Least least_at(const LoadSeen& load) const {
        Least least{load.load, 1e9, 0, {}};
        const auto see = [&](const solve::Point& point, StateId at, PartId starts) {
            const auto& volts = point.primitive_volts[load.load.index];
            if (!volts || !point.settled || std::abs(volts->si) > least.volts - 1e-3) return;
            least.volts = std::abs(volts->si);
            least.at = at;
            least.starts = starts;
        };
        for (StateId at = 0; at < b_.states.size(); ++at) {
            if (!b_.states[at].stable || survey_.shorted[at] || survey_.on[at].empty()) continue;
            const solve::Point& point = b_.point(at);
            const auto& volts = point.primitive_volts[load.load.index];
            if (!volts || std::abs(volts->si) < fed * c_.vehicle.system.si) continue;
            see(point, at, {});
            if (const auto starters = starters_on(at); !starters.empty())
                see(b_.model().point_at_start(b_.states[at].positions, starters), at, c_.at(starters.front()).part);
        }
        return least;
    }

    void say(PartId part, const Range& range, const Least& least) const {
        // The first moment of a starter is common practice, and what nobody measured moves the figure.
        const bool open =
            least.starts.exists() || !weighing_.of_wires().empty() || !weighing_.of_loads(std::nullopt).empty();
        Finding f;
        f.rule = too_few_volts.id;
        f.severity = Severity::fault;
        f.certainty = open ? Certainty::possible : Certainty::certain;
        f.headline = sentence_start(fmt::format(
            "{} works from {}, but {} {} {}{}.", called(c_, part), text(Volts{range.least}), open ? "may get" : "gets",
            text(rounded(Volts{least.volts}, 2)), when(s_, b_, least.at),
            least.starts.exists() ? fmt::format(", in the moment in which {} begins to turn", name_of(c_, least.starts))
                                  : ""));
        f.place = where_it_lies(c_, part);
        f.cites.push_back({range.span, fmt::format("gets {}", text(rounded(Volts{least.volts}, 2)))});
        if (least.starts.exists()) f.cites.push_back(cite_part(c_, least.starts, "takes most then"));
        f.why = "Below that it stops or begins anew, each time it happens.";
        f.limit = fmt::format("{}, as the file says; battery charged and rested{}", text(Volts{range.least}),
                              least.starts.exists()
                                  ? ", the starter at 2.5 times its cranking current (common practice, from memory)"
                                  : "");
        if (least.starts.exists())
            f.cures.push_back({fmt::format("Feed {} from a second battery, or over a diode with a capacitor behind it "
                                           "that holds its volts meanwhile.",
                                           name_of(c_, part))});
        f.cures.push_back({fmt::format("Let {} take its current straight from the battery over wires of its own, to "
                                       "plus and to ground; thicker ones lose less.",
                                       name_of(c_, part))});
        if (open)
            f.measure = fmt::format(
                "Hold a meter that keeps the least volts at {} {}: below {} it is so.", name_of(c_, part),
                least.starts.exists() ? "while somebody cranks" : "with the switches so", text(Volts{range.least}));
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    void too_many(PartId part, const Range& range, Volts most) const {
        Finding f;
        f.rule = too_few_volts.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} stands up to {}, but gets {}.", called(c_, part),
                                                text(Volts{range.most}), text(rounded(most, 3))));
        f.place = where_it_lies(c_, part);
        f.cites.push_back({range.span, fmt::format("gets {}", text(rounded(most, 3)))});
        f.why = "More volts than it is made for spoil it, at once or after a while.";
        f.limit = fmt::format("{}, as the file says; battery charged and rested, more while it is charged",
                              text(Volts{range.most}));
        f.cures.push_back({"Feed it from where there are fewer volts, or over a converter made for them."});
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    Report& report_;
    const Weighing weighing_;
    bool asked_ = false;
};

void run(const Study& s, Report& report) {
    if (std::ranges::none_of(s.now.parts(), [&](PartId id) { return s.now.has(id, Attr::works_from); })) return;
    const Survey* survey = survey_or_say(s, report, too_few_volts.id, "the least volts at what needs some");
    if (survey) Judge(s, *survey, report).run();
}

} // namespace

const Rule too_few_volts = {
    "too-few-volts",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "something that works from so many volts, and gets fewer while it is fed",
    "always a fault, where the file says \"works from 8 V\"; possible only where a starting current or an unmeasured "
    "wire "
    "decides",
    {
        "The file says from how many volts on this works (or up to how many). In some position of the switches it is "
        "fed and gets fewer (or more).",
        "It stops or begins anew, each time: radios go out while the starter turns, computers lose their place.",
        "Wires of its own from the battery, thicker ones, or a feed that does not sink while the starter turns.",
        "What the file says: \"works from 8 V\", \"8 V to 16 V\". The battery is charged and rested; a starter takes "
        "2.5 "
        "times its cranking current as it begins to turn (common practice, from memory).",
        R"(loom 1
battery, 36 Ah, 20 mohm
fuse F1, 5 A
starter M1, 160 A
switch S1 "starter", 40 A, push
electronics A1 "engine computer", 1 A, works from 9 V
wire from battery:+ to M1:30, 25 mm2 red, 1.2 m, starter cable
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to A1:+, 1.5 mm2 red, 1 m
wire from A1:- to ground, 1.5 mm2 black, 0.3 m
fuse F2, 40 A
wire from battery:+ to F2, 6 mm2 red, 0.1 m
wire from F2 to S1, 6 mm2 red, 0.6 m
wire from S1 to M1:50, 6 mm2 red, 1 m
)",
        R"(loom 1
battery, 36 Ah, 20 mohm
fuse F1, 5 A
starter M1, 160 A
switch S1 "starter", 40 A, push
electronics A1 "engine computer", 1 A, works from 6 V
wire from battery:+ to M1:30, 25 mm2 red, 1.2 m, starter cable
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to A1:+, 1.5 mm2 red, 1 m
wire from A1:- to ground, 1.5 mm2 black, 0.3 m
fuse F2, 40 A
wire from battery:+ to F2, 6 mm2 red, 0.1 m
wire from F2 to S1, 6 mm2 red, 0.6 m
wire from S1 to M1:50, 6 mm2 red, 1 m
)",
    },
    run,
};

} // namespace loomproof::rules
