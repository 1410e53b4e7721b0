#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"
#include "solve/bounds.hpp"
#include "solve/predict.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule coil_never_pulls_in; // rule_list.hpp lists it

namespace {

using How = Feeding::How;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run() {
        if (ends_.doubtful())
            return report_.not_checked.push_back(
                open_until_mended(coil_never_pulls_in.id, "whether every relay pulls in"));
        for (const CoilSeen& coil : survey_.coils)
            if (const Primitive& p = c_.at(coil.coil);
                p.purpose == Purpose::coil && !c_.at(p.part).poisoned && has_wire(p.a) && has_wire(p.b))
                look_at(coil, p);
        for (PrimitiveId id : s_.now.primitives())
            if (const Primitive& p = c_.at(id); p.purpose == Purpose::sensing && !c_.at(p.part).poisoned &&
                                                has_wire(p.a) && (has_wire(p.b) || s_.reference[p.b.index]))
                look_at_sensing(id, p);
    }

  private:
    /// A relay that reads its own volts, in a file that says what the engine does: does it ever close?
    void look_at_sensing(PrimitiveId id, const Primitive& p) {
        const ControlId control = c_.at(p.part).controls.front();
        if (c_.at(control).type != Control::Type::relay || !survey_.behaviour.complete || !volts_are_known()) return;
        double most = 0;
        solve::StateId at = 0;
        for (solve::StateId s = 0; s < survey_.behaviour.states.size(); ++s) {
            const solve::State& state = survey_.behaviour.states[s];
            if (state.positions[control.index] != c_.at(control).rest) return;
            if (!state.stable) continue;
            const auto volts = survey_.behaviour.volts_over(s, id);
            if (!volts || std::abs(volts->si) <= most) continue;
            most = std::abs(volts->si);
            at = s;
        }
        const TerminalId reads = s_.from_plus() ? p.a : p.b, ground = s_.from_plus() ? p.b : p.a;
        Finding f;
        f.rule = coil_never_pulls_in.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(
            fmt::format("{} never joins its two sides: it closes at {}, and its {} gets {}.", called(c_, p.part),
                        text(p.voltage.nominal), c_.at(reads).stamp,
                        most > 0.5 ? "at most " + text(rounded(Volts{most}, 3)) + ' ' + when(s_, survey_.behaviour, at)
                                   : "no volts at all"));
        f.place = where_it_lies(c_, p.part);
        const Attribute* said = s_.now.find(p.part, Attr::closes_at);
        f.cites.push_back(said ? Citation{said->span, "never reached"} : cite_part(c_, p.part, "never closes"));
        f.why = "What hangs behind it is never joined to the alternator.";
        f.limit = said ? "as the file says" : "a usual split-charge relay (common practice, no source)";
        f.cures.push_back({fmt::format("Its {} belongs on the side that the alternator charges, its {} on ground.",
                                       c_.at(reads).stamp, c_.at(ground).stamp)});
        f.cures.push_back(
            {"Read on the relay at which volts it closes: below what the alternator gives at that place."});
        f.subjects = {name_of(c_, p.part), name_of(c_, reads)};
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        report_.findings.push_back(std::move(f));
    }

    bool has_wire(TerminalId t) const { return !s_.now.wires_at(t).empty(); }

    void look_at(const CoilSeen& coil, const Primitive& p) {
        only_itself_ = false;
        const solve::Limits limits = solve::limits_of(c_, p);
        if (coil.most.si >= limits.must_pull_in || coil.shorted) return;
        // It does pull in, if only to let go again; and without need of a relay better than it must be.
        if ((coil.pulled_in && !troubled(coil.control, solve::Trouble::Kind::on_limits)) ||
            troubled(coil.control, solve::Trouble::Kind::chatter))
            return;
        if (waits_for_the_engine(s_, p.a, p.b)) {
            report_.not_checked.push_back({coil_never_pulls_in.id,
                                           fmt::format("whether {} ever pulls in", name_of(c_, p.part)),
                                           "it hangs on the generator, and only the standing engine is calculated",
                                           "Engine running: its coil should get more than 11 V on a 12 V system."});
            return;
        }
        const Feeding f = feeding_of(s_, sides_, ends_, p.a, p.b, false);
        if (f.how == How::no_ground && coil.most.si < 0.5) return;
        if (f.how == How::not_known) {
            if (f.untraced)
                report_.not_checked.push_back(
                    {coil_never_pulls_in.id, fmt::format("whether {} ever pulls in", name_of(c_, p.part)),
                     "its coil hangs on an end that nobody traced", "Find out where that end goes."});
            return;
        }
        const bool by_others = f.how == How::not_fed || f.how == How::no_ground;
        if (!survey_.behaviour.complete &&
            (f.how == How::can || (by_others && perhaps_through_others(s_, sides_, p)))) {
            report_.not_checked.push_back(open_for_positions(
                s_, coil_never_pulls_in.id, fmt::format("whether {} ever pulls in", name_of(c_, p.part))));
            return;
        }
        if (f.how == How::can && a_source_floats(s_, sides_, ends_)) return;
        if (f.how == How::can) {
            const std::vector<PartId> never = relays_that_never(s_, f.demands);
            only_itself_ = std::ranges::find(never, p.part) != never.end();
            if (!never.empty() && !only_itself_) return; // the relay before it is the one to mend
        }
        if (gets_volts(coil, f) ? !volts_are_known() : f.how == How::can) return open_or_reach(p, f, coil);
        say(coil, p, f, limits);
    }

    bool troubled(ControlId control, solve::Trouble::Kind kind) const {
        return std::ranges::any_of(survey_.behaviour.troubles, [&](const solve::Trouble& t) {
            return t.kind == kind && std::ranges::find(t.relays, control) != t.relays.end();
        });
    }
    /// Some, over something in series with it.
    static bool gets_volts(const CoilSeen& coil, const Feeding& f) {
        return coil.most.si >= 0.5 && (f.how == How::can || f.how == How::not_fed || f.how == How::no_ground);
    }
    bool volts_are_known() const { return survey_.behaviour.not_known.empty(); }

    /// No volts at all although there is a way: its switches cannot be set so, or a figure on the way is not known.
    void open_or_reach(const Primitive& p, const Feeding& f, const CoilSeen& coil) {
        if (coil.most.si >= 0.5) {
            const solve::Limits l = solve::limits_of(c_, p);
            solve::Model& model = survey_.behaviour.model();
            const auto index = static_cast<std::size_t>(
                std::ranges::find(model.coils(), coil.coil, &solve::Coil::primitive) - model.coils().begin());
            const solve::Positions& at = survey_.behaviour.states[coil.most_at].positions;
            const solve::Figure volts = [&](solve::Model& m) { return m.quick(at).coil_volts[index]; };
            const std::vector<solve::Unknown> unknown = solve::unknowns_of(s_.now);
            const solve::Bounds b =
                index < model.coils().size() ? solve::bounds(model, unknown, volts) : solve::Bounds{};
            if (b.sure && b.low >= l.must_pull_in) return; // enough, whatever they are
            if (index == model.coils().size() || b.relevant.empty() || (b.sure && b.high < l.may_pull_in))
                return say(coil, p, f, l);
            const solve::Unknown& decides = unknown[b.relevant.front()];
            const std::string whose = decides.edge.is_wire() ? subject_of(c_, decides.edge.wire)
                                                             : name_of(c_, c_.at(decides.edge.primitive).part);
            std::string answers;
            if (!decides.inverse)
                if (const auto surely = solve::crossing(model, decides, volts, l.must_pull_in))
                    answers =
                        fmt::format("Measure {} along its route: under {} the relay pulls in for certain. Or: ", whose,
                                    text(rounded(Metres{decides.figure(*surely)}, 2)));
            report_.not_checked.push_back(
                {coil_never_pulls_in.id, fmt::format("whether {} pulls in", name_of(c_, p.part)),
                 fmt::format("nobody said {} of {}, and with what it may be the coil gets {} to {}",
                             decides.what == "what it takes" ? decides.what : "the " + decides.what, whose,
                             text(rounded(Volts{b.low}, 2)), text(rounded(Volts{b.high}, 2))),
                 answers + fmt::format("Measure between {} and {} while it should pull in: {} or more is enough.",
                                       name_of(c_, p.a), name_of(c_, p.b),
                                       text(Volts{solve::limits_of(c_, p).must_pull_in}))});
            return;
        }
        say(coil, p, f, solve::limits_of(c_, p));
    }

    bool leads_to_ground_only(const Primitive& p) const { return sides_.ground(p.a) && sides_.ground(p.b); }
    std::string reason(const Primitive& p, const Feeding& f) const {
        const auto words = [&](const Spread& spread, TerminalId t) {
            const std::string w = positions_in_words(c_, spread.demands(spread.ways_to(t).front()));
            return w.empty() ? std::string("always") : "with " + w;
        };
        switch (f.how) {
        case How::both_live: return fmt::format("both ends of its coil are on {}", s_.from_plus() ? "plus" : "minus");
        case How::both_ground: return "both ends of its coil are on ground";
        case How::not_fed:
            return leads_to_ground_only(p) ? "both ends of its coil lead to ground" : "nothing feeds its coil";
        case How::never_both: {
            const bool a_fed = sides_.live(p.a) && sides_.ground(p.b);
            return fmt::format("{} is fed {}, but {} is on ground {}", stamp_of(c_, a_fed ? p.a : p.b),
                               words(sides_.live(), a_fed ? p.a : p.b), stamp_of(c_, a_fed ? p.b : p.a),
                               words(sides_.ground(), a_fed ? p.b : p.a));
        }
        default: {
            if (only_itself_) return "its coil is fed over its own contact alone, which is open until it has pulled in";
            const std::string need = positions_in_words(c_, f.demands);
            return need.empty() ? "its coil gets no volts" : fmt::format("it would take {} at once", need);
        }
        }
    }

    std::string what_hangs_on_it(PartId relay) const {
        std::vector<std::string> names;
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            if (load.ever()) continue;
            const Feeding f = feeding_of(s_, sides_, ends_, p.a, p.b, false);
            const bool hangs =
                std::ranges::any_of(f.demands, [&](const auto& d) { return c_.at(d.first).part == relay; });
            if (hangs && std::ranges::find(names, name_of(c_, p.part)) == names.end())
                names.push_back(name_of(c_, p.part));
        }
        return list_of(names);
    }

    /// " 5.2 V are lost over R1." Of the position in which it gets most.
    std::string where_they_go(const CoilSeen& coil) const {
        const solve::Behaviour& b = survey_.behaviour;
        std::optional<solve::Lost> best;
        for (solve::StateId id = 0; id < b.states.size(); ++id) {
            if (!b.states[id].stable) continue;
            auto lost = solve::lost_on_the_way(s_.now, b.point(id), coil.coil);
            if (lost && (!best || lost->at_load > best->at_load)) best = std::move(lost);
        }
        if (!best) return "";
        std::vector<solve::Share> all = best->feed;
        all.insert(all.end(), best->ground.begin(), best->ground.end());
        const auto worst = std::ranges::max_element(all, {}, [](const solve::Share& share) { return share.volts.si; });
        if (worst == all.end() || worst->volts.si < 0.5) return "";
        return fmt::format(" {} are lost over {}.", text(rounded(worst->volts, 2)),
                           worst->what.is_wire() ? name_of(c_, worst->what.wire)
                                                 : called(c_, c_.at(worst->what.primitive).part));
    }

    void say(const CoilSeen& coil, const Primitive& p, const Feeding& feeding, const solve::Limits& l) {
        Finding f;
        f.rule = coil_never_pulls_in.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part));
        f.subjects.push_back(name_of(c_, p.part));
        for (TerminalId t : {p.a, p.b}) {
            f.cites.push_back(cite_terminal(s_.now, t));
            f.subjects.push_back(name_of(c_, t));
            f.subjects.push_back(c_.at(s_.now.wires_at(t).front()).name);
        }
        for (const std::string& name : names_of(c_, feeding.open)) f.subjects.push_back(name);
        for (PartId part : feeding.joined) f.subjects.push_back(name_of(c_, part));
        const bool volts = gets_volts(coil, feeding);
        const bool may = volts && coil.most.si >= l.may_pull_in;
        f.certainty = may ? Certainty::possible : Certainty::certain;
        const std::string at_most = text(rounded(coil.most, 2));
        if (volts)
            f.headline = sentence_start(fmt::format("{} {}: its coil gets {} at most.", called(c_, p.part),
                                                    may ? "may not pull in" : "never pulls in", at_most));
        else
            f.headline = sentence_start(fmt::format("{} never pulls in: {}.", called(c_, p.part), reason(p, feeding)));
        const std::string loads = what_hangs_on_it(p.part);
        f.why = volts ? (may ? "By how it was made it pulls in, hums, or stays at rest."
                             : "Its contact stays at rest in every switch position.")
                      : "Every switch position that can be reached was tried.";
        if (!loads.empty())
            f.why +=
                fmt::format(" So {} never {} on.", loads, loads.find(" and ") == std::string::npos ? "goes" : "go");
        if (volts) f.why += where_they_go(coil);
        if (volts) {
            f.limit = fmt::format("{} at 20 degC, where a {} relay must pull in (makers' sheets: 58 to 67 % of its "
                                  "volts); that it may from {} on is an assumption",
                                  text(rounded(Volts{l.must_pull_in}, 2)),
                                  text(p.voltage.known() ? p.voltage.nominal : c_.vehicle.system),
                                  text(rounded(Volts{l.may_pull_in}, 2)));
            f.cures.push_back({"Give the coil full volts: take out what lies in series with it, or feed it straight "
                               "and switch its ground."});
        } else if (feeding.how == How::both_live || feeding.how == How::both_ground || leads_to_ground_only(p)) {
            const bool live = feeding.how == How::both_live;
            const char* to = live ? "ground" : s_.from_plus() ? "plus" : "minus";
            // What is always on its pole moves; the other one's wire is what switches it.
            const auto always = [&](TerminalId t) { return live ? sides_.live_always(t) : sides_.ground_always(t); };
            if (always(p.a) != always(p.b))
                f.cures.push_back(
                    {fmt::format("Put {} on {}{}: {} is what works it.", name_of(c_, always(p.a) ? p.a : p.b), to,
                                 live ? "" : ", behind a fuse", name_of(c_, always(p.a) ? p.b : p.a))});
            else
                f.cures.push_back({fmt::format("Put one end on {}: {} or {}, whichever its other wire suits.", to,
                                               name_of(c_, p.a), name_of(c_, p.b))});
        } else if (only_itself_) {
            f.cures.push_back(
                {fmt::format("Feed its coil from {} over what is meant to work it, not from its own output.",
                             s_.from_plus() ? "plus" : "minus")});
        } else {
            f.cures.push_back({"Follow both wires of its coil to the switch that is meant to work it."});
        }
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    Sides sides_;
    Ends ends_;
    bool only_itself_ = false; ///< of the coil that is being judged: nothing feeds it but its own contact
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, coil_never_pulls_in.id, "whether every relay pulls in");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule coil_never_pulls_in = {
    "coil-never-pulls-in",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "a relay whose coil never gets enough to pull in",
    "always a fault; possible where its volts lie between what it must and what it may pull in at",
    {
        "In no switch position does the coil of this relay get what it needs: both its ends are on one side, its "
        "switches never close together, or something in "
        "series takes its volts.",
        "The relay stays at rest, and what hangs on its contact stays off or on.",
        "Follow both wires of the coil; one goes to plus, the other to ground, with nothing in series but switches.",
        "A relay must pull in at two thirds of its volts at 20 degC (makers' sheets: 58 to 67 %). That it may do so "
        "from five twelfths on is an assumption: no "
        "sheet says from where on.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 15 A
switch S1 "horn button", push
resistor R1 "dropper", 200 ohm, 5 W
relay K1 "horn", 4-pin, resistor 680 ohm
horn H1, 5 A
wire W1 from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire W2 from F2 to K1:30, 1.5 mm2 red, 0.5 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1:- to ground, 1.5 mm2 black, 0.3 m
wire W5 from battery:+ to F1, 1 mm2 red, 0.1 m
wire W6 from F1 to R1, 1 mm2 red, 0.5 m
wire W7 from R1 to K1:86, 1 mm2 red, 0.5 m
wire W8 from K1:85 to S1, 1 mm2 green, 0.5 m
wire W9 from S1 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 15 A
switch S1 "horn button", push
resistor R1 "dropper", 20 ohm, 5 W
relay K1 "horn", 4-pin, resistor 680 ohm
horn H1, 5 A
wire W1 from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire W2 from F2 to K1:30, 1.5 mm2 red, 0.5 m
wire W3 from K1:87 to H1, 1.5 mm2 red, 0.5 m
wire W4 from H1:- to ground, 1.5 mm2 black, 0.3 m
wire W5 from battery:+ to F1, 1 mm2 red, 0.1 m
wire W6 from F1 to R1, 1 mm2 red, 0.5 m
wire W7 from R1 to K1:86, 1 mm2 red, 0.5 m
wire W8 from K1:85 to S1, 1 mm2 green, 0.5 m
wire W9 from S1 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
