#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule coil_never_releases; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s) {}

    void run() {
        for (const CoilSeen& coil : survey_.coils) {
            const Primitive& p = c_.at(coil.coil);
            if (coil.at_rest || !coil.pulled_in || c_.at(p.part).poisoned) continue;
            if (!sides_.live(p.a) && !sides_.live(p.b)) continue; // fed by something that does not say when it is live
            if (survey_.behaviour.complete)
                say(coil, p);
            else
                report_.not_checked.push_back(open_for_positions(
                    s_, coil_never_releases.id, fmt::format("whether {} ever lets go", name_of(c_, p.part))));
        }
    }

  private:
    void say(const CoilSeen& coil, const Primitive& p) {
        std::vector<std::string> on;
        bool pump = false;
        for (const LoadSeen& load : survey_.loads)
            if (load.always && load.ever() && hangs_on(p.part, c_.at(load.load))) {
                on.push_back(name_of(c_, c_.at(load.load).part));
                pump = pump || is_fuel_pump(c_.at(c_.at(load.load).part));
            }
        Finding f;
        f.rule = coil_never_releases.id;
        f.severity = pump ? Severity::danger : Severity::fault;
        f.headline = sentence_start(fmt::format("{} never lets go: its coil gets {} even with everything at rest.",
                                                called(c_, p.part), text(rounded(coil.least_pulled, 3))));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part));
        f.subjects.push_back(name_of(c_, p.part));
        for (TerminalId t : {p.a, p.b}) {
            if (s_.now.wires_at(t).empty()) continue;
            f.cites.push_back(cite_terminal(s_.now, t));
            f.subjects.push_back(name_of(c_, t));
            f.subjects.push_back(c_.at(s_.now.wires_at(t).front()).name);
        }
        const Amps draws{
            p.resistance.known() && p.resistance.nominal.si > 0 ? coil.least_pulled.si / p.resistance.nominal.si : 0};
        f.why = "Every switch position that can be reached was tried: its contact is closed in all of them.";
        if (!on.empty()) f.why += fmt::format(" So {} {} on all the time.", list_of(on), verb(on.size(), "is", "are"));
        if (pump) f.why += " After a crash it goes on pumping fuel out of a torn line.";
        if (draws.si > 0)
            f.why += fmt::format(" The coil alone takes {} from the battery, parked.", text(rounded(draws, 2)));
        const solve::Limits l = solve::limits_of(c_, p);
        f.limit = fmt::format(
            "a relay must let go at {} and below (makers' sheets: 4 to 10 % of its volts at least; 10 % taken)",
            text(Volts{l.must_release}));
        if (const WireId feed = fed_by_itself(p); feed.exists()) {
            f.why += fmt::format(" {} feeds the coil from behind the relay's own contact: once in, it holds itself in.",
                                 sentence_start(name_of(c_, feed)));
            f.cures.push_back({fmt::format(
                "Move the coil's feed: take {} off {}, and wire {} to what is live only while "
                "it shall be in: the ignition, or what is live while the alternator charges.",
                name_of(c_, feed), name_of(c_, far_end(p, feed)), name_of(c_, c_.at(feed).other(far_end(p, feed))))});
            // No thicker wire mends that: what is wrong with this one goes with it.
            if (std::ranges::find(f.subjects, subject_of(c_, feed)) == f.subjects.end())
                f.subjects.push_back(subject_of(c_, feed));
        }
        f.cures.push_back({"Put a switch or a switched feed before its coil, or between its coil and ground."});
        report_.findings.push_back(std::move(f));
    }

    /// The wire at the coil's fed end that comes from the relay's own output, or from what its output feeds: over wires, joints and fuses alone.
    /// Where the same is live without the relay too (a second battery) it counts all the same: the relay joins it to the first.
    WireId fed_by_itself(const Primitive& coil) const {
        const TerminalId fed = sides_.live(coil.a) && !s_.reference[coil.a.index] ? coil.a : coil.b;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.part != coil.part || p.purpose != Purpose::make_contact) continue;
            for (TerminalId out : {p.a, p.b}) {
                if (c_.at(out).role != Role::make) continue;
                const Reach reach = s_.graph.walk(
                    std::vector{out},
                    [&](EdgeRef e, TerminalId from) {
                        if (c_.part_of(from).kind == Kind::battery || s_.reference[from.index]) return false;
                        if (e.is_wire()) return !c_.at(e.wire).poisoned;
                        const Element element = c_.at(e.primitive).element;
                        return element == Element::joint || element == Element::meter || element == Element::protector;
                    },
                    &Edge::metres);
                if (!reach.reached(fed)) continue;
                const std::vector<EdgeRef> way = reach.path_to(fed);
                if (!way.empty() && way.back().is_wire()) return way.back().wire;
            }
        }
        return {};
    }
    /// The end of the coil's wire that is not at the coil.
    TerminalId far_end(const Primitive& coil, WireId w) const {
        return c_.at(c_.at(w).a).part == coil.part && (c_.at(w).a == coil.a || c_.at(w).a == coil.b) ? c_.at(w).b
                                                                                                     : c_.at(w).a;
    }

    /// Fed over a contact of the relay, without a switch in between: near enough for a sentence.
    bool hangs_on(PartId relay, const Primitive& load) const {
        for (TerminalId t : {load.a, load.b})
            for (WireId w : s_.now.wires_at(t))
                if (c_.at(c_.at(w).other(t)).part == relay) return true;
        return false;
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    Sides sides_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, coil_never_releases.id, "whether every relay lets go");
    if (!survey) return;
    if (s.circuit.has_mistakes)
        return report.not_checked.push_back(open_until_mended(coil_never_releases.id, "whether every relay lets go"));
    Judge(s, *survey, report).run();
}

} // namespace

const Rule coil_never_releases = {
    "coil-never-releases",
    Severity::danger,
    Quantifier::forall,
    Harm::other,
    "a relay that is pulled in in every switch position",
    "a danger where a fuel pump hangs on it, else a fault",
    {
        "The coil of this relay is fed whatever is switched, or keeps enough volts to stay in.",
        "Its contact never opens: what hangs on it cannot be switched off, and the coil empties the battery.",
        "Put a switch or a switched feed before its coil, or between its coil and ground.",
        "A relay must let go at a tenth of its volts (makers' sheets: 4 to 10 % at least). Every switch position that "
        "can be reached is tried.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 15 A
relay K1 "lamp", 4-pin, resistor 680 ohm
lamp E1 "work lamp", 55 W
wire from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire from F2 to K1:30, 1.5 mm2 red, 0.5 m
wire from K1:87 to E1, 1.5 mm2 red, 0.5 m
wire from E1:- to ground, 1.5 mm2 black, 0.3 m
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire W6 from F1 to K1:86, 1 mm2 red, 0.5 m
wire W7 from K1:85 to ground, 1 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 15 A
switch S1 "work lamp"
relay K1 "lamp", 4-pin, resistor 680 ohm
lamp E1 "work lamp", 55 W
wire from battery:+ to F2, 1.5 mm2 red, 0.1 m
wire from F2 to K1:30, 1.5 mm2 red, 0.5 m
wire from K1:87 to E1, 1.5 mm2 red, 0.5 m
wire from E1:- to ground, 1.5 mm2 black, 0.3 m
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire W6 from F1 to K1:86, 1 mm2 red, 0.5 m
wire W7 from K1:85 to S1, 1 mm2 black, 0.3 m
wire W8 from S1 to ground, 1 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
