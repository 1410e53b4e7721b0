#include "base/number.hpp"
#include "circuit/wishes.hpp"
#include "rules/engine_life.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "rules/unsolved_before.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule expectation_not_met; // rule_list.hpp lists it

namespace {

std::string seen_in_words(const solve::Judged& j) {
    switch (j.seen) {
    case solve::Doing::on: return "on";
    case solve::Doing::dim: return "only half on";
    case solve::Doing::off: return "off";
    }
    return "off";
}

/// Volts at a point, or what a part does?
bool is_point(const Circuit& c, const Expectation& e) {
    return e.filament.exists() && c.at(e.filament).role != Role::filament;
}

/// What the file expects and what is there instead, as the ends of one sentence.
struct Words {
    std::string expected, instead;
};

Words words(const Circuit& c, const Expectation& e, const solve::Judged& j) {
    const bool point = is_point(c, e);
    const std::string volts = fmt::format("there {} {} {}", j.volts.si < 0.05 ? "is" : "are", text(rounded(j.volts, 3)),
                                          point ? "at it" : "across it");
    if (e.what == Expectation::What::between && !(e.low.nominal.si > 0))
        return {fmt::format("is expected to get at most {}", text(e.high.nominal)), volts};
    switch (e.what) {
    case Expectation::What::on: return {"is expected to be on", "it is " + seen_in_words(j)};
    case Expectation::What::dim: return {"is expected to be dim", "it is " + seen_in_words(j)};
    case Expectation::What::off: return {"is expected to be off", "it is " + seen_in_words(j)};
    case Expectation::What::at_least:
        return {fmt::format("is expected to get at least {}", text(e.low.nominal)), volts};
    case Expectation::What::between:
        return {fmt::format("is expected to get between {} and {}", text(e.low.nominal), text(e.high.nominal)), volts};
    case Expectation::What::never_with:
        return {fmt::format("is expected never to be on together with {}", name_of(c, e.other)), "both are on"};
    case Expectation::What::not_understood: break;
    }
    return {};
}

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report), sides_(s), ends_(s) {}

    void run() {
        for (const solve::Judged& j : survey_.expectations) look_at(j);
    }

  private:
    void open(const Expectation& e, std::string why, std::string measure = {}) {
        report_.not_checked.push_back(
            {expectation_not_met.id, fmt::format("\"{}\"", e.text), std::move(why), std::move(measure)});
    }

    void look_at(const solve::Judged& j) {
        using Verdict = solve::Judged::Verdict;
        const Expectation& e = c_.expectations[j.expectation];
        switch (j.verdict) {
        case Verdict::met:
        case Verdict::not_understood: return; // the latter is a mistake of the text
        case Verdict::no_case: return open(e, "no switch position that can be reached is like that");
        case Verdict::other_engine:
            return open(e, "only the standing engine is calculated where no line of the file begins with \"engine\"");
        case Verdict::undecided: return open(e, too_many_positions(s_));
        case Verdict::broken: break;
        }
        const HangsOn on = what_it_hangs_on(s_, sides_, ends_, e.part);
        if (ends_.doubtful()) return open(e, "a line of the file could not be read", "Mend the mistakes first.");
        if (!on.unfinished.empty())
            return open(e, fmt::format("{} {} still to wire", list_of(names_of(c_, on.unfinished)),
                                       verb(on.unfinished.size(), "is", "are")));
        if (auto unsolved = hangs_on_unsolved(survey_, e.part, j.state))
            return open(e, std::move(*unsolved), "Measure it there.");
        if (const std::vector<ControlId> clocks = left_to_clocks(e); !clocks.empty() && a_clock_decides(j, clocks)) {
            const Control& clock = c_.at(clocks.front());
            return open(e,
                        fmt::format("it hangs on how {} stands, and that is not worked out: it latches or runs by the "
                                    "clock",
                                    list_of(names_of_controls(clocks))),
                        fmt::format("Say in the line how it stands: \"{} {}\" or \"{} {}\".", name_of(c_, clock.part),
                                    clock.positions.back(), name_of(c_, clock.part), clock.positions.front()));
        }
        // The engine may not run at all where it is against the wish: then that is what to find out first.
        if (doubtful(j.state)) {
            const solve::Judged sure = judged_without_doubt(j.expectation);
            if (sure.verdict != Verdict::broken)
                return open(e,
                            fmt::format("it is {} with {}, if the engine runs then, and nobody can tell that it does",
                                        words(c_, e, j).instead.starts_with("it is ") ? seen_in_words(j) : "against it",
                                        solve::said(c_, b_.states[j.state].positions)),
                            what_decides_life(c_));
            report_.findings.push_back(finding(e, sure, on));
            return;
        }
        report_.findings.push_back(finding(e, j, on));
    }

    /// Relays that latch or run by the clock, and of which the wish does not say how they stand; a few of them.
    std::vector<ControlId> left_to_clocks(const Expectation& e) const {
        constexpr std::size_t most = 4; // every way in which they may stand is tried
        std::vector<ControlId> all;
        for (const solve::Variable& v : b_.variables) {
            const ControlId id = v.controls.front();
            const Control& control = c_.at(id);
            const bool said = std::ranges::any_of(e.when.at, [&](const Wish::At& w) { return w.control == id; });
            if (control.type == Control::Type::sensed && c_.at(control.part).kind == Kind::relay && !said &&
                all.size() < most)
                all.push_back(id);
        }
        return all;
    }
    std::vector<std::string> names_of_controls(const std::vector<ControlId>& all) const {
        std::vector<std::string> names;
        for (ControlId id : all) names.push_back(name_of(c_, c_.at(id).part));
        return names;
    }
    /// Is the wish met where they stand in some other way?
    bool a_clock_decides(const solve::Judged& broken, const std::vector<ControlId>& clocks) const {
        for (std::size_t way = 0; way < std::size_t{1} << clocks.size(); ++way) {
            solve::Expecting expecting(s_.now);
            for (solve::StateId at = 0; at < b_.states.size(); ++at) {
                const solve::Positions& positions = b_.states[at].positions;
                bool so = b_.states[at].stable;
                for (std::size_t k = 0; k < clocks.size() && so; ++k)
                    so = (positions[clocks[k].index] != 0) == ((way >> k & 1) != 0);
                if (so && expecting.asks(positions)) expecting.see(at, positions, b_.point(at));
            }
            const solve::Judged::Verdict verdict = expecting.judged(b_)[broken.expectation].verdict;
            if (verdict == solve::Judged::Verdict::met || verdict == solve::Judged::Verdict::undecided) return true;
        }
        return false;
    }

    bool doubtful(solve::StateId state) const { return doubtful_life(s_, b_, state).has_value(); }

    /// The same wish over the states alone in which the engine surely does what the file says of it.
    solve::Judged judged_without_doubt(std::size_t expectation) const {
        solve::Expecting expecting(s_.now);
        for (solve::StateId at = 0; at < b_.states.size(); ++at)
            if (b_.states[at].stable && !doubtful(at)) expecting.see(at, b_.states[at].positions, b_.point(at));
        return expecting.judged(b_)[expectation];
    }

    Finding finding(const Expectation& e, const solve::Judged& j, const HangsOn& on) const {
        const Words w = words(c_, e, j);
        const std::string positions = solve::said(c_, b_.states[j.state].positions);
        const std::vector<solve::Operation> way = b_.way_to(j.state);
        Finding f;
        f.rule = expectation_not_met.id;
        f.severity = Severity::fault;
        const std::string what = is_point(c_, e) ? name_of(c_, e.filament) : called(c_, e.part);
        f.headline = fmt::format("{} {}, but with {} {}.", sentence_start(what), w.expected,
                                 way.empty() ? "everything at rest" : positions, w.instead);
        f.place = where_it_lies(c_, e.part);
        f.cites = {{e.span, w.instead}, cite_part(c_, e.part)};
        const std::vector<std::string> bare = coil_ends_without_wire(on);
        if (way.size() > 1) f.why = fmt::format("It comes about so: {}.", solve::said(c_, b_, way));
        if (!bare.empty())
            f.why += fmt::format("{}{} {} no wire yet.", f.why.empty() ? "" : " ", sentence_start(list_of(bare)),
                                 verb(bare.size(), "has", "have"));
        const std::string when = way.empty() ? "" : fmt::format(" --when '{}'", positions);
        const bool too_much = e.what == Expectation::What::off || e.what == Expectation::What::never_with;
        if (!bare.empty()) f.cures.push_back({fmt::format("Wire {} first.", list_of(bare))});
        f.cures.push_back(
            {fmt::format("Follow the way and see {}: loomproof trace FILE {} {}{}",
                         too_much ? "where its current comes from" : "where the volts are lost", pole_to_trace_from(s_),
                         is_point(c_, e) ? name_of(c_, e.filament) : name_of(c_, e.part), when)});
        f.cures.push_back({"If the circuit is right and the wish is not, change the line."});
        f.subjects = {name_of(c_, e.part)};
        f.hangs_on = on.names;
        return f;
    }

    /// Of the relays on the way: a coil that lacks a wire moves nothing, and that wire is what to look for first.
    std::vector<std::string> coil_ends_without_wire(const HangsOn& on) const {
        std::vector<std::string> names;
        for (const Ends::Open& o : ends_.open()) {
            const Terminal& t = c_.at(o.terminal);
            const bool coil = t.role == Role::coil_plus || t.role == Role::coil_minus;
            const bool on_the_way =
                std::ranges::any_of(on.terminals, [&](TerminalId other) { return c_.at(other).part == t.part; });
            if (coil && on_the_way) names.push_back(name_of(c_, o.terminal));
        }
        return names;
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
};

void run(const Study& s, Report& report) {
    if (s.circuit.expectations.empty()) return;
    if (const Survey* survey = survey_of(s)) return Judge(s, *survey, report).run();
    for (const Expectation& e : s.circuit.expectations)
        report.not_checked.push_back({expectation_not_met.id, fmt::format("\"{}\"", e.text),
                                      "the circuit is too large to try every switch position", ""});
}

} // namespace

const Rule expectation_not_met = {
    "expectation-not-met",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "something the file expects of a part, and which the circuit does not do",
    "always a fault",
    {
        "The file says what a part has to do in some switch position, and the circuit, calculated in that position, "
        "does something else.",
        "It says what the work is for. Where the circuit does not do it, either a wire is on the wrong terminal or the "
        "wish is not what was meant.",
        "Follow the way to the part with loomproof trace, or look at every point with loomproof predict. If the "
        "circuit is right, change the line.",
        "What you wrote. A lamp is on from half of its power, a motor from 60 % of its volts, electronics from 70 % "
        "(common practice).",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 16 A
lamp E1 "left work lamp", 55 W
lamp E2 "right work lamp", 55 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1, 2.5 mm2 red, 1 m
wire from E1 to E2, 2.5 mm2 red, 1 m
wire from E2 to ground, 2.5 mm2 black, 0.5 m
expect E2 on when S1 on
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "dash switch", 16 A
lamp E1 "left work lamp", 55 W
lamp E2 "right work lamp", 55 W
splice SP1, crimp
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to SP1, 2.5 mm2 red, 1 m
wire from SP1 to E1, 2.5 mm2 red, 0.3 m
wire from SP1 to E2, 2.5 mm2 red, 1 m
wire from E1 to ground, 2.5 mm2 black, 0.5 m
wire from E2 to ground, 2.5 mm2 black, 0.5 m
expect E2 on when S1 on
)",
    },
    run,
};

} // namespace loomproof::rules
