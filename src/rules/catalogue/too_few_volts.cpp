#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
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

extern const Rule too_few_volts; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// Of the volts at the battery: what has less is not fed, but feels what flows elsewhere (common practice, no source).
constexpr double fed = 0.25;
/// Of the volts that a load is made for: with fewer a lamp is dim and a motor slow; a long wire alone takes less (common practice, no source).
constexpr double shares = 0.75;

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
        look_at_rows(said);
        if (asked_ && !b_.jointly)
            report_.not_checked.push_back(open_for_positions(
                s_, too_few_volts.id, "the least volts at what needs some in every switch position"));
    }

  private:
    /// Loads that share their volts with another one in every position: wired in a row where each should have been fed by itself. Those that
    /// are fed straight in another position are meant so; so are lamps for half the volts.
    void look_at_rows(const std::vector<PartId>& said) {
        if (s_.circuit.has_mistakes) return;
        const Sides sides(s_);
        const Ends ends(s_);
        std::vector<PartId> told = said;
        const auto known = [&](PartId part) { return std::ranges::find(told, part) != told.end(); };
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            if (c_.at(p.part).poisoned || known(p.part) || !may_lie_in_a_row(p) || sides.untraced(p.a) ||
                sides.untraced(p.b) || load.most.si < 0.02 * c_.vehicle.system.si ||
                load.most.si >= shares * solve::rated_volts(c_, p) ||
                feeding_of(s_, sides, ends, p.a, p.b, false).how == Feeding::How::can ||
                waits_for_the_engine(s_, p.a, p.b))
                continue;
            if (!b_.complete)
                return report_.not_checked.push_back(
                    open_for_positions(s_, too_few_volts.id, "whether loads in a row share their volts"));
            const auto at = state_of_most(load);
            if (!at) continue;
            const CurrentWay way = current_through(s_, b_.point(*at), load.load);
            std::vector<PrimitiveId> row;
            bool plain = way.found();
            for (EdgeRef e : way.edges) {
                if (e.is_wire() || !is_load(c_.at(e.primitive))) continue;
                const Primitive& other = c_.at(e.primitive);
                row.push_back(e.primitive);
                // What can be fed straight is not in a row by mistake: a tell-tale between two sides, a ground that is missing.
                plain = plain && may_lie_in_a_row(other) &&
                        feeding_of(s_, sides, ends, other.a, other.b, false).how != Feeding::How::can &&
                        !waits_for_the_engine(s_, other.a, other.b);
            }
            if (!plain || row.size() < 2 || are_slow_fans(row)) continue;
            for (PrimitiveId id : row) told.push_back(c_.at(id).part);
            say_row(load, row, way, *at, sides, ends);
        }
    }

    /// Motors alike in a row run slowly, and are wired so to that end.
    bool are_slow_fans(const std::vector<PrimitiveId>& row) const {
        const Primitive& first = c_.at(row.front());
        return std::ranges::all_of(row, [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            return p.element == Element::machine &&
                   std::abs(p.current.nominal.si - first.current.nominal.si) < 0.2 * first.current.nominal.si;
        });
    }

    bool may_lie_in_a_row(const Primitive& p) const {
        return spec_of(c_.at(p.part).kind).may_lie_in_a_row && p.purpose == Purpose::plain && p.current.known();
    }

    std::optional<StateId> state_of_most(const LoadSeen& load) const {
        for (StateId at = 0; at < b_.states.size(); ++at) {
            if (!b_.states[at].stable || survey_.shorted[at]) continue;
            const auto volts = b_.volts_over(at, load.load);
            if (volts && std::abs(volts->si) > 0.98 * load.most.si) return at;
        }
        return std::nullopt;
    }

    void say_row(const LoadSeen& load, const std::vector<PrimitiveId>& row, const CurrentWay& way, StateId at,
                 const Sides& sides, const Ends& ends) const {
        const Primitive& p = c_.at(load.load);
        const solve::Point& point = b_.point(at);
        std::vector<PartId> others;
        std::vector<std::string> each;
        for (PrimitiveId id : row) {
            const PartId part = c_.at(id).part;
            if (part != p.part && std::ranges::find(others, part) == others.end()) others.push_back(part);
            if (const auto& v = point.primitive_volts[id.index])
                each.push_back(fmt::format("{} {}", name_of(c_, part), text(rounded(Volts{std::abs(v->si)}, 2))));
        }
        if (others.empty()) return;
        Finding f;
        f.rule = too_few_volts.id;
        f.severity = Severity::fault;
        f.certainty = weighing_.of_loads(std::nullopt).empty() ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(
            fmt::format("{} lies in a row with {} and never gets more than {} of {}.", called(c_, p.part),
                        others.size() == 1 ? called(c_, others.front()) : list_of(names_of(c_, others)),
                        text(rounded(load.most, 2)), text(Volts{solve::rated_volts(c_, p)})));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part, "gets too few volts"));
        for (PartId part : others) f.cites.push_back(cite_part(c_, part, "in a row with it"));
        f.why =
            fmt::format("The same current goes through all of them, one behind the other, and they share the volts: "
                        "{} {}.",
                        list_of(each), when(s_, b_, at));
        f.limit = "three quarters of the volts that it is made for (common practice, no source)";
        f.cures.push_back({fmt::format("Wire them side by side: give {} a ground of its own, and {} a feed of its own "
                                       "from the switched wire.",
                                       name_of(c_, c_.at(row.front()).part), name_of(c_, c_.at(row.back()).part))});
        f.cures.push_back(
            {"If they are made for so many volts, two of 6 V on 12 V say: write that behind them: 55 W at "
             "6 V."});
        f.path = stops_in_words(c_, way.stops);
        f.subjects.push_back(name_of(c_, p.part));
        for (PartId part : others) f.subjects.push_back(name_of(c_, part));
        f.hangs_on = what_it_hangs_on(s_, sides, ends, p.part).names;
        report_.findings.push_back(std::move(f));
    }

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
    const bool asked = std::ranges::any_of(s.now.parts(), [&](PartId id) { return s.now.has(id, Attr::works_from); });
    const Survey* survey =
        survey_or_say(s, report, too_few_volts.id,
                      asked ? "the least volts at what needs some" : "whether loads in a row share their volts");
    if (survey) Judge(s, *survey, report).run();
}

} // namespace

const Rule too_few_volts = {
    "too-few-volts",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "something that works from so many volts, and gets fewer while it is fed; loads wired in a row that share theirs",
    "always a fault, where the file says \"works from 8 V\", and where loads lie in a row; possible only where a "
    "starting current or an unmeasured "
    "wire "
    "decides",
    {
        "The file says from how many volts on this works (or up to how many). In some position of the switches it is "
        "fed and gets fewer (or more). Or two loads lie in a row, one behind the other, in every position, and share "
        "the volts.",
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
