#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "solve/settle.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule switched_side_mismatch; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s), ends_(s) {}

    void run() {
        if (ends_.doubtful()) return;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.purpose != Purpose::coil || c_.at(p.part).poisoned || s_.now.wires_at(p.a).empty() ||
                s_.now.wires_at(p.b).empty())
                continue;
            const Feeding::How how = feeding_of(s_, sides_, ends_, p.a, p.b, false).how;
            const bool live = how == Feeding::How::both_live, ground = sides_.ground(p.a) && sides_.ground(p.b) &&
                                                                       !sides_.live(p.a) && !sides_.live(p.b) &&
                                                                       !sides_.untraced(p.a) && !sides_.untraced(p.b);
            if (!live && !ground) continue;
            // One end switched, the other there at all times: whoever wired it took the switch for the other kind.
            const auto always = [&](TerminalId t) { return live ? sides_.live_always(t) : sides_.ground_always(t); };
            if (always(p.a) == always(p.b)) continue;
            say(p, always(p.a) ? p.b : p.a, always(p.a) ? p.a : p.b, live);
        }
    }

  private:
    /// It gets its volts the other way round: over loads that hang on the same wire and are fed there, as long as the switch is open.
    struct Turned {
        std::string when; ///< "with everything at rest"
        std::vector<PartId> loads;
        Volts volts; ///< at the coil
        Amps amps;
    };
    std::optional<Turned> pulls_in_over(const Primitive& coil) const {
        const Survey* survey = survey_of(s_);
        if (survey == nullptr) return std::nullopt;
        const solve::Limits limits = solve::limits_of(c_, coil);
        const auto seen =
            std::ranges::find_if(survey->coils, [&](const CoilSeen& one) { return &c_.at(one.coil) == &coil; });
        if (seen == survey->coils.end() || seen->most.si < limits.may_pull_in) return std::nullopt;
        Turned turned{rules::when(s_, survey->behaviour, seen->most_at), {}, seen->most, {}};
        const solve::Point point = survey->behaviour.point(seen->most_at);
        for (EdgeRef e : current_through(s_, point, seen->coil).edges)
            if (!e.is_wire() && e.primitive != seen->coil && is_load(c_.at(e.primitive)))
                turned.loads.push_back(c_.at(e.primitive).part);
        if (const auto& amps = point.primitive_amps[seen->coil.index]) turned.amps = Amps{std::abs(amps->si)};
        return turned.loads.empty() ? std::nullopt : std::optional(turned);
    }

    void say(const Primitive& p, TerminalId switched, TerminalId fixed, bool live) {
        const char* gives = live == s_.from_plus() ? "plus" : live ? "minus" : "ground";
        const std::string other = live ? "ground" : "a feed";
        const Spread& spread = live ? sides_.live() : sides_.ground();
        const std::uint32_t way = spread.ways_to(switched).front();
        const std::string when = positions_in_words(c_, spread.demands(way));
        Finding f;
        f.rule = switched_side_mismatch.id;
        f.severity = Severity::fault;
        const auto turned = pulls_in_over(p);
        f.headline = sentence_start(
            fmt::format("What switches the coil of {} gives {} to {}, and {} is on {} already: {}.", called(c_, p.part),
                        gives, stamp_of(c_, switched), stamp_of(c_, fixed), gives,
                        turned ? fmt::format("it pulls in {}, over {}, and lets go {}", turned->when,
                                             list_of(names_of(c_, turned->loads)),
                                             when.empty() ? std::string("once switched") : "with " + when)
                               : "it never pulls in"));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(
            cite_terminal(s_.now, switched, std::string("gets ") + gives + (when.empty() ? "" : " when switched")));
        f.cites.push_back(cite_terminal(s_.now, fixed, std::string("on ") + gives + "; belongs on " + other));
        f.why = "Some switches and control units give plus, others give ground. The other end of the coil belongs on "
                "the other side." +
                (when.empty() ? "" : fmt::format(" This one gives {} with {}.", gives, when));
        if (turned)
            f.why += fmt::format(" While it does not, {} of current through {} finds the way through the coil, which "
                                 "gets {} so.",
                                 text(rounded(turned->amps, 2)), list_of(names_of(c_, turned->loads)),
                                 text(rounded(turned->volts, 2)));
        f.limit = turned ? "none: the other side is what it was made to be switched by"
                         : "none: no current flows between two ends on the same side";
        f.cures.push_back(
            {fmt::format("Put {} on {}{}.", stamp_of(c_, fixed), other, live ? "" : " with a small fuse before it")});
        f.path = stops_in_words(c_, spread.stops(way));
        f.subjects = {name_of(c_, p.part), name_of(c_, fixed), name_of(c_, switched)};
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule switched_side_mismatch = {
    "switched-side-mismatch",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "a relay coil between a switch that gives ground and ground, or one that gives plus and plus",
    "always a fault",
    {
        "The coil's switch gives the same side that the coil's other end is on already.",
        "No current flows, and the relay never pulls in.",
        "Put the other end on the other side: on a fused feed where the switch gives ground, on ground where it gives "
        "plus.",
        "None: no current flows between two ends on the same side.",
        R"(loom 1
battery, 60 Ah
fuse F2, 15 A
switch S1 "oil pressure", 1 A, thermal
relay K1 "warning", 4-pin, 30 A, resistor 680 ohm
lamp E1 "warning lamp", 5 W
wire W1 from S1 to ground, 1 mm2 black, 0.3 m
wire W2 from K1:86 to S1, 1 mm2 blue, 1 m
wire W3 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W6 from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire W7 from F2 to K1:30, 2.5 mm2 red, 1 m
wire W8 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W9 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F2, 15 A
switch S1 "oil pressure", 1 A, thermal
relay K1 "warning", 4-pin, 30 A, resistor 680 ohm
lamp E1 "warning lamp", 5 W
splice SP1, crimp
wire W1 from S1 to ground, 1 mm2 black, 0.3 m
wire W2 from K1:86 to S1, 1 mm2 blue, 1 m
wire W3 from K1:85 to SP1, 2.5 mm2 red, 0.3 m
wire W6 from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire W7 from F2 to SP1, 2.5 mm2 red, 1 m
wire W10 from SP1 to K1:30, 2.5 mm2 red, 1 m
wire W8 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W9 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
