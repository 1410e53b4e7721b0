#include "base/number.hpp"
#include "rules/called_so.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/one_way.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "rules/unsolved_before.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule never_powered; // rule_list.hpp lists it

namespace {

using How = Feeding::How;

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s) {}

    void run() {
        if (ends_.doubtful())
            return report_.not_checked.push_back(open_until_mended(never_powered.id, "whether every load is ever fed"));
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            const Kind kind = c_.at(p.part).kind;
            if (c_.at(p.part).poisoned || kind == Kind::beyond || kind == Kind::starter || !is_tied(p.a) ||
                !is_tied(p.b))
                continue;
            look_at(load, p);
        }
        for (PartId part : s_.now.parts())
            if (s_.now.has(part, Attr::parks) && !c_.at(part).poisoned) look_at_parking(part);
        for (const OneWay& motor : one_way_motors(s_, survey_, sides_)) {
            if (motor.bare.exists() && !ends_.due(motor.bare)) continue; // still-to-wire lists it
            if (survey_.behaviour.complete)
                say_one_way(motor);
            else
                report_.not_checked.push_back(open_for_positions(
                    s_, never_powered.id,
                    fmt::format("whether {} turns either way", name_of(c_, c_.at(motor.motor).part))));
        }
    }

  private:
    bool is_tied(TerminalId t) const {
        return !s_.now.wires_at(t).empty() || std::ranges::any_of(s_.now.primitives_at(t), [&](PrimitiveId p) {
            return c_.at(p).purpose == Purpose::mounting;
        });
    }

    void look_at(const LoadSeen& load, const Primitive& p) {
        if (!load.ever() && waits_for_the_engine(s_, p.a, p.b))
            return report_.not_checked.push_back(
                {never_powered.id, fmt::format("whether {} is ever fed", name_of(c_, p.part)),
                 "it hangs on the generator, and only the standing engine is calculated", ""});
        const Feeding f = feeding_of(s_, sides_, ends_, p.a, p.b, p.element == Element::constant_power);
        if (f.how == How::both_live) return f.open.empty() ? both_live(p, f.wrong) : never_on_ground(p, f.open);
        if (load.ever() || load.most.si > 0.1 * c_.vehicle.system.si)
            return; // it gets something: its volts are another question
        switch (f.how) {
        case How::can: return can(p, f);
        case How::never_both: return not_both(p);
        case How::both_ground: return both_ground(p);
        case How::not_fed: return not_fed(p, f);
        case How::not_known:
            if (const auto unsolved = hangs_on_unsolved(survey_, p.part); f.untraced || unsolved)
                report_.not_checked.push_back({never_powered.id,
                                               fmt::format("whether {} is ever fed", name_of(c_, p.part)),
                                               unsolved.value_or("it hangs on an end that nobody traced"),
                                               unsolved ? "" : "Find out where that end goes."});
            return;
        default: return;
        }
    }

    /// The contact that carries a wiper on to where it rests gets its plus at 53a, and gives it on at 31b.
    void look_at_parking(PartId part) {
        TerminalId plus, back;
        for (TerminalId t : c_.at(part).terminals) {
            if (c_.at(t).stamp == "53a") plus = t;
            if (c_.at(t).stamp == "31b") back = t;
        }
        if (!plus.exists() || !back.exists() || sides_.untraced(plus) || sides_.untraced(back)) return;
        std::vector<TerminalId> bare;
        for (TerminalId t : {plus, back})
            if (s_.now.wires_at(t).empty()) bare.push_back(t);
        // With neither wired its contact is not used; with one of them wired it was meant to be.
        if (bare.size() > 1 || (!bare.empty() && !ends_.due(bare.front()))) return;
        const bool works = std::ranges::any_of(
            survey_.loads, [&](const LoadSeen& load) { return c_.at(load.load).part == part && load.ever(); });
        const bool told = std::ranges::any_of(report_.findings, [&](const Finding& f) {
            return f.rule == never_powered.id && !f.subjects.empty() && f.subjects.front() == name_of(c_, part);
        });
        if (!works || told) return;
        if (!bare.empty()) return say_bare(part, bare.front());
        for (PrimitiveId id : s_.now.primitives_at(plus)) {
            const Primitive& p = c_.at(id);
            if (p.part != part || p.element != Element::contact) continue;
            const auto flows = [&](const std::optional<Peak>& peak) { return peak && peak->amps.si > 0.1; };
            if (flows(survey_.part[id.index])) return;
            if (!survey_.behaviour.complete)
                return report_.not_checked.push_back(
                    open_for_positions(s_, never_powered.id, fmt::format("whether {} parks", name_of(c_, part))));
            return say_parking(p, plus, flows(survey_.part_passing[id.index]));
        }
    }

    static constexpr const char* how_it_parks =
        "Switched off, it stops where it just is, across the view. The contact in it carries it on to its rest, with "
        "plus from 53a, over 31b and the switch back to 53.";
    static constexpr const char* stamps_of_parking =
        "53a is plus for the contact that parks it, 31b the way back over that contact (DIN 72552; 53a from memory)";

    /// One of its two ends is wired, and the other, though all that belongs to it is there, is not.
    void say_bare(PartId part, TerminalId bare) {
        const std::string stamp = stamp_of(c_, bare);
        Finding f;
        f.rule = never_powered.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, part);
        f.headline = sentence_start(fmt::format("{} cannot park: its end {} has no wire.", called(c_, part), stamp));
        f.cites.push_back(cite_part(c_, part, fmt::format("no wire on {}", stamp)));
        f.why = how_it_parks;
        f.limit = stamps_of_parking;
        f.cures.push_back({stamp == "53a" ? "Put 53a on the feed that is live with the ignition on, the one that feeds "
                                            "the wiper's switch too."
                                          : "Lead 31b to the switch, to the end that it joins with 53 at rest."});
        f.subjects = {name_of(c_, part), name_of(c_, bare)};
        report_.findings.push_back(std::move(f));
    }

    void say_parking(const Primitive& p, TerminalId plus, bool held) {
        const bool on_ground = s_.reference[plus.index], live = sides_.live(plus);
        Finding f;
        f.rule = never_powered.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, p.part);
        f.headline =
            sentence_start(fmt::format("{} cannot park: {}.", called(c_, p.part),
                                       on_ground ? "its end 53a, which belongs on plus, is on ground"
                                       : !live   ? "nothing feeds its end 53a"
                                       : held    ? "its end 53a gets plus only while something is held down"
                                                 : "with its switch off no current comes over its contact from 53a"));
        f.cites.push_back(
            cite_terminal(s_.now, plus, on_ground ? "belongs on plus" : "feeds the contact that parks it"));
        f.why = how_it_parks;
        f.limit = stamps_of_parking;
        f.cures.push_back({live && !held ? "Look at the switch: at rest it has to join what comes from 31b with 53."
                                         : "Put 53a on the feed that is live with the ignition on, the one that feeds "
                                           "the wiper's switch too."});
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        f.subjects = {name_of(c_, p.part), name_of(c_, plus)};
        for (WireId w : s_.now.wires_at(plus)) f.subjects.push_back(subject_of(c_, w));
        report_.findings.push_back(std::move(f));
    }

    void say_one_way(const OneWay& m) {
        const Primitive& p = c_.at(m.motor);
        Finding f = start(p);
        f.cites.push_back(cite_part(c_, p.part, "turns one way only"));
        const std::string runs = when(s_, survey_.behaviour, m.runs), back = when(s_, survey_.behaviour, m.back);
        f.limit = "none: every switch position that can be reached was tried";
        if (m.same) {
            f.headline = sentence_start(fmt::format("{} turns the same way {} as {}.", called(c_, p.part), back, runs));
            f.why = "The switch leads both its feed and its ground over other contacts then, and yet each end gets "
                    "what it had before: it is there to turn the motor round.";
            f.cures.push_back({"Exchange the two wires on the contacts of one of these positions: what had plus goes "
                               "to ground, what had ground to plus."});
            // Of what is called a hoist the word alone is not why it was looked at.
            f.cures.push_back(
                {is_called_pulling(c_.at(p.part))
                     ? fmt::format("If it is to turn one way only: accept never-powered on {} because \"...\"",
                                   name_of(c_, p.part))
                     : fmt::format("If it is to turn one way only, take \"reversible\" out of the line of {}.",
                                   name_of(c_, p.part))});
            report_.findings.push_back(std::move(f));
            return;
        }
        const std::string has = name_of(c_, m.ready), lacks = name_of(c_, m.hangs);
        const char* missing = m.wants_ground ? "ground" : "feed";
        f.headline = sentence_start(fmt::format("{} turns {}, but {}, where it would turn back, it has no {}{}.",
                                                called(c_, p.part), runs, back, missing,
                                                m.bare.exists() ? ": " + name_of(c_, m.bare) + " has no wire" : ""));
        f.cites.push_back(cite_terminal(s_.now, m.hangs, std::string("no ") + missing));
        if (m.bare.exists()) f.cites.push_back(cite_part(c_, c_.at(m.bare).part, "no wire on " + stamp_of(c_, m.bare)));
        f.why = fmt::format("Its end {} then has {}, and its end {} nothing.", stamp_of(c_, m.ready),
                            m.wants_ground ? "its feed" : "its ground", stamp_of(c_, m.hangs));
        if (!m.bare.exists())
            f.cures.push_back(
                {fmt::format("Follow the wire from {} to where it would get its {} then.", lacks, missing)});
        else if (m.to_motor)
            f.cures.push_back({fmt::format("Put a wire from {} to {}.", name_of(c_, m.bare), lacks)});
        else
            f.cures.push_back({m.wants_ground ? fmt::format("Put {} on ground.", name_of(c_, m.bare))
                                              : fmt::format("Put {} on what feeds {} the other way.",
                                                            name_of(c_, m.bare), name_of(c_, p.part))});
        f.subjects.push_back(lacks);
        if (m.bare.exists()) f.subjects.push_back(name_of(c_, m.bare));
        report_.findings.push_back(std::move(f));
    }

    Finding start(const Primitive& p) const {
        Finding f;
        f.rule = never_powered.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, p.part);
        f.subjects.push_back(name_of(c_, p.part));
        return f;
    }
    WireId wire_at(TerminalId t) const { return s_.now.wires_at(t).empty() ? WireId{} : s_.now.wires_at(t).front(); }
    void cite_ends(Finding& f, const Primitive& p, const char* a, const char* b) const {
        if (wire_at(p.a).exists()) f.cites.push_back(cite_terminal(s_.now, p.a, a));
        if (wire_at(p.b).exists()) f.cites.push_back(cite_terminal(s_.now, p.b, b));
        if (f.cites.empty()) f.cites.push_back(cite_part(c_, p.part));
        for (TerminalId t : {p.a, p.b})
            if (wire_at(t).exists()) f.subjects.push_back(c_.at(wire_at(t)).name);
    }

    void both_live(const Primitive& p, TerminalId wrong) {
        const TerminalId fed = wrong == p.a ? p.b : p.a;
        Finding f = start(p);
        const WireId lead = wire_at(wrong);
        std::vector<TerminalId> way = sides_.live().stops(sides_.live().ways_to(wrong).front());
        const std::string plus = name_of(c_, way.front());
        const bool from_pole = !c_.at(way.front()).internal;
        f.headline = sentence_start(fmt::format(
            "{} never works: its end {}, which belongs on ground, is on {}{}, as its other end is.", called(c_, p.part),
            stamp_of(c_, wrong), s_.from_plus() ? "plus" : "minus", from_pole ? " (" + plus + ")" : ""));
        if (lead.exists()) f.cites.push_back(cite_wire_end(c_, lead, c_.at(lead).other(wrong), "belongs on ground"));
        f.cites.push_back(wire_at(fed).exists() ? cite_terminal(s_.now, fed, "fed") : cite_part(c_, p.part));
        f.why = "No current flows between two ends on the same side. Whatever else is fed over its other wire may get "
                "current back through it, and glow or run when it is switched off.";
        if (const WireId ground = ground_lead_beside(p, wrong); ground.exists() && lead.exists())
            say_exchange(f, p, wrong, lead, ground);
        else
            f.cures.push_back({lead.exists() ? fmt::format("Take {} off {} and put that end on ground.",
                                                           name_of(c_, lead), name_of(c_, c_.at(lead).other(wrong)))
                                             : fmt::format("Put {} on ground.", name_of(c_, wrong))});
        f.path = stops_in_words(c_, way);
        if (lead.exists()) f.subjects.push_back(c_.at(lead).name);
        for (EdgeRef e : sides_.live().edges(sides_.live().ways_to(wrong).front()))
            if (e.is_wire() && std::ranges::find(f.subjects, c_.at(e.wire).name) == f.subjects.end() &&
                !sides_.live(c_.at(e.wire).other(wrong)))
                f.subjects.push_back(c_.at(e.wire).name);
        report_.findings.push_back(std::move(f));
    }

    /// Two relays were to turn it round: each puts plus on its end when it pulls in, and neither has ground for it at rest.
    void never_on_ground(const Primitive& p, const std::vector<TerminalId>& outputs) {
        Finding f = start(p);
        const std::string names = list_of(names_of(c_, outputs));
        const char* ground = s_.from_plus() ? "ground" : "plus";
        f.headline = sentence_start(fmt::format(
            "{} never works: each of its ends gets {} or nothing, never {}: {} {} no wire.", called(c_, p.part),
            s_.from_plus() ? "plus" : "minus", ground, names, verb(outputs.size(), "has", "have")));
        f.cites.push_back(cite_part(c_, p.part));
        for (TerminalId t : outputs) f.cites.push_back(cite_part(c_, c_.at(t).part, "no wire on " + stamp_of(c_, t)));
        f.why = fmt::format("A relay that pulls in feeds the one end; the current has to go home from the other end, "
                            "over the relay there, which is at rest then.");
        f.cures.push_back({fmt::format("Put {} on {}: a relay at rest then has its end there.", names, ground)});
        for (TerminalId t : outputs) {
            f.subjects.push_back(name_of(c_, t));
            f.subjects.push_back(name_of(c_, c_.at(t).part));
        }
        report_.findings.push_back(std::move(f));
    }

    /// The wire that leads a wiper's 53a to ground, where it and 31 are exchanged. To put `wrong` on ground as well would leave it there.
    WireId ground_lead_beside(const Primitive& p, TerminalId wrong) const {
        for (TerminalId t : c_.at(p.part).terminals)
            if (t != wrong && !c_.at(t).internal && c_.at(t).stamp == "53a" && s_.reference[t.index])
                for (WireId w : s_.now.wires_at(t))
                    if (!s_.reference[wrong.index]) return w;
        return {};
    }

    void say_exchange(Finding& f, const Primitive& p, TerminalId wrong, WireId lead, WireId ground) const {
        const Wire& w = c_.at(ground);
        const TerminalId there = c_.at(w.a).part == p.part ? w.a : w.b;
        f.cites.push_back(cite_wire_end(c_, ground, there, "on ground, and should not be"));
        f.cures.push_back({fmt::format("Exchange {} and {} at {}: {} belongs on {}, and {} on {}.", name_of(c_, lead),
                                       name_of(c_, ground), name_of(c_, p.part), name_of(c_, ground),
                                       stamp_of(c_, wrong), name_of(c_, lead), stamp_of(c_, there))});
        f.subjects.push_back(w.name);
    }

    void both_ground(const Primitive& p) {
        Finding f = start(p);
        f.headline = sentence_start(fmt::format("{} never works: both its ends are on ground.", called(c_, p.part)));
        cite_ends(f, p, "on ground", "on ground");
        f.why = "Nothing feeds it in any switch position.";
        f.cures.push_back({fmt::format("Put the wire that is meant to feed it on {}.", name_of(c_, p.a))});
        report_.findings.push_back(std::move(f));
    }

    void not_seen(const Primitive& p) {
        report_.not_checked.push_back(
            open_for_positions(s_, never_powered.id, fmt::format("whether {} is ever fed", name_of(c_, p.part))));
    }

    void not_fed(const Primitive& p, const Feeding& feeding) {
        if (!survey_.behaviour.complete && perhaps_through_others(s_, sides_, p)) return not_seen(p);
        Finding f = start(p);
        f.headline = sentence_start(
            fmt::format("Nothing feeds {} in any switch position{}.", called(c_, p.part),
                        feeding.open.empty() ? ""
                                             : fmt::format(": {} {} no wire", list_of(names_of(c_, feeding.open)),
                                                           verb(feeding.open.size(), "has", "have"))));
        cite_ends(f, p, "no way to plus from here", "");
        f.why = "From neither of its ends a wire, switch or relay leads to a battery or a feed.";
        if (const PrimitiveId diode = diode_in_the_way(p); diode.exists()) {
            const PartId part = c_.at(diode).part;
            f.why =
                fmt::format("What feeds it has to come through {}, which lets nothing through that way: current goes "
                            "from the plain end to the band.",
                            called(c_, part));
            f.cites.push_back(cite_part(c_, part, "blocks"));
            f.subjects.push_back(name_of(c_, part));
            f.cures.push_back({fmt::format("Turn {} round.", name_of(c_, part))});
        } else {
            f.cures.push_back({"Follow its feed wire back and join it to what is meant to feed it."});
        }
        for (const std::string& name : names_of(c_, feeding.open)) f.subjects.push_back(name);
        for (PartId part : feeding.joined) f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    /// A diode of its own between what is live and what is joined to the load.
    PrimitiveId diode_in_the_way(const Primitive& load) const {
        std::vector<bool> seen(c_.terminals.size(), false);
        const std::vector<TerminalId> joined = region(
            s_.now, {load.a, load.b}, Through::what_conducts,
            [&](TerminalId t) {
                if (seen[t.index] || s_.reference[t.index] || sides_.live(t)) return false;
                seen[t.index] = true;
                return true;
            },
            load.part);
        for (TerminalId t : joined) {
            if (s_.reference[t.index]) continue;
            for (PrimitiveId id : s_.now.primitives_at(t)) {
                const Primitive& d = c_.at(id);
                if (c_.at(d.part).kind == Kind::diode && d.element == Element::junction &&
                    sides_.live(d.a == t ? d.b : d.a))
                    return id;
            }
        }
        return {};
    }

    void not_both(const Primitive& p) {
        const auto words = [&](const Spread& spread, TerminalId t) {
            const std::string w = positions_in_words(c_, spread.demands(spread.ways_to(t).front()));
            return w.empty() ? std::string("always") : "with " + w;
        };
        const bool a_fed = sides_.live(p.a) && sides_.ground(p.b);
        const TerminalId fed = a_fed ? p.a : p.b, other = a_fed ? p.b : p.a;
        Finding f = start(p);
        f.headline =
            sentence_start(fmt::format("No switch position works {}: it is fed {}, but has its ground {}.",
                                       called(c_, p.part), words(sides_.live(), fed), words(sides_.ground(), other)));
        cite_ends(f, p, "", "");
        f.why = "The two never hold at the same time.";
        f.cures.push_back({"Look which of the two belongs in its circuit; give its other end a wire of its own."});
        add_controls(f, sides_.live().demands(sides_.live().ways_to(fed).front()));
        add_controls(f, sides_.ground().demands(sides_.ground().ways_to(other).front()));
        report_.findings.push_back(std::move(f));
    }

    void can(const Primitive& p, const Feeding& feeding) {
        if (!relays_that_never(s_, feeding.demands).empty())
            return; // coil-never-pulls-in speaks of the relay and of what hangs on it
        if (!survey_.behaviour.complete) return not_seen(p);
        const std::string need = positions_in_words(c_, feeding.demands);
        if (a_source_floats(s_, sides_, ends_)) return;
        if (need.empty()) return; // fed at all times, but over so little that it gets nothing
        Finding f = start(p);
        f.headline = sentence_start(fmt::format(
            "No switch position that can be reached feeds {}: it would take {} at once.", called(c_, p.part), need));
        cite_ends(f, p, "", "");
        f.why = "Every position that can be reached was tried, with the relays as they then stand.";
        f.cures.push_back({"Look which of these belongs in its circuit."});
        add_controls(f, feeding.demands);
        report_.findings.push_back(std::move(f));
    }
    void add_controls(Finding& f, const Demands& demands) const {
        for (const auto& [control, positions] : demands)
            if (const std::string name = name_of(c_, c_.at(control).part);
                std::ranges::find(f.subjects, name) == f.subjects.end())
                f.subjects.push_back(name);
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    Sides sides_;
    Ends ends_;
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, never_powered.id, "whether every load is ever fed");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule never_powered = {
    "never-powered",
    Severity::fault,
    Quantifier::forall,
    Harm::other,
    "a load that no switch position feeds, a motor that never turns back",
    "always a fault",
    {
        "Whatever is switched, no current gets through this load: both its ends are on plus, or both on ground, or "
        "nothing feeds it, or what feeds it and "
        "what grounds it never hold together. Or a motor that its switch is to turn either way only ever turns one "
        "way. Or a wiper's contact that parks it is never fed, or has no wire: it "
        "stops where it is.",
        "It will not work. A ground lead on plus also lets current back into other loads when the switch is off.",
        "The finding says which end is wrong and where it belongs.",
        "None: there is a way or there is not. Ends that nobody traced and ends still to wire leave it open.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
fuse F2, 10 A
switch S1 "fan switch", 20 A
motor M1 "fan", 9 A
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to M1:+, 2.5 mm2 red, 1 m
wire from battery:+ to F2, 2.5 mm2 black, 0.1 m
wire from M1:- to F2, 2.5 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "fan switch", 20 A
motor M1 "fan", 9 A
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to M1:+, 2.5 mm2 red, 1 m
wire from M1:- to ground, 2.5 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
