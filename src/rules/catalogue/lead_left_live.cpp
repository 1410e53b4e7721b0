#include "base/number.hpp"
#include "rules/ends.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule lead_left_live; // rule_list.hpp lists it

namespace {

/// A bare end: of a wire, or the pins of a plug whose other half was taken off.
struct Bare {
    TerminalId terminal;
    WireId wire;
};

class Judge {
  public:
    Judge(const Study& s, Report& report)
        : s_(s),
          c_(s.circuit),
          report_(report),
          ends_(s),
          at_rest_(walk(carries_fault_at_rest)),
          ever_(walk(carries_fault)) {}

    void run() {
        for (PartId p : s_.now.parts()) {
            const Kind kind = c_.at(p).kind;
            if (kind == Kind::cut || kind == Kind::loose_end)
                for (TerminalId t : c_.at(p).terminals) look_at_end(t);
            if (kind == Kind::connector) look_at_plug(p);
        }
    }

  private:
    template <class Carries> Reach walk(Carries carries) const {
        return s_.graph.walk(
            s_.strong_sources, [&](EdgeRef e, TerminalId from) { return carries(s_, e, from, Protectors::pass); },
            &Edge::metres, Positions::one_per_control);
    }

    bool unprotected(WireId w) const { return s_.protection[w.index].unprotected; }

    void look_at_end(TerminalId t) {
        const auto& wires = s_.now.wires_at(t);
        if (wires.size() != 1 || !s_.now.primitives_at(t).empty() || !ever_.reached(t)) return;
        const Bare end{t, wires.front()};
        const Wire& w = c_.at(end.wire);
        if (w.poisoned || (w.a == t ? w.capped_a : w.capped_b)) return;
        const bool listed =
            std::ranges::any_of(c_.still_to_wire, [&](const StillToWire& s) { return s.terminal == t; });
        // In what is planned a cut end that is still to be wired is no mistake; but whoever makes the cut must know that it can burn.
        if ((listed || (c_.part_of(t).kind == Kind::cut && !ends_.due(t))) && !unprotected(end.wire)) return;
        report_.findings.push_back(finding(end));
    }

    /// A plug both of whose halves were wired once and one of which has no wire left: the other half's pins lie open.
    void look_at_plug(PartId plug) {
        for (std::uint8_t half : {std::uint8_t{0}, std::uint8_t{1}}) {
            bool wired = false, was_wired = false;
            std::vector<Bare> bare;
            for (TerminalId t : c_.at(plug).terminals) {
                const auto& wires = s_.now.wires_at(t);
                if (c_.at(t).half == half) {
                    wired = wired || !wires.empty();
                    was_wired = was_wired || ends_.bared_in(t) != never;
                } else if (!wires.empty() && ever_.reached(t)) {
                    bare.push_back({t, wires.front()});
                }
            }
            if (wired || !was_wired || bare.empty()) continue;
            const auto worst = std::ranges::min_element(bare, {}, [&](const Bare& b) {
                return std::pair(!unprotected(b.wire), !at_rest_.reached(b.terminal));
            });
            Finding f = finding(*worst);
            std::vector<std::string> holes;
            for (const Bare& b : bare) holes.push_back(c_.at(b.terminal).stamp);
            f.headline = fmt::format("One half of plug {} was taken off, and in the other {} {} {} {}.",
                                     name_of(c_, plug), holes.size() == 1 ? "hole" : "holes", list_of(holes),
                                     verb(holes.size(), "is", "are"), when_and_behind(*worst));
            f.cures = {{"Put a blind plug or a cap over it, tied on."},
                       {"Take its wires out, back to where they are fed."}};
            f.subjects.insert(f.subjects.begin(), name_of(c_, plug));
            report_.findings.push_back(std::move(f));
        }
    }

    std::string when_and_behind(const Bare& end) const {
        std::string when = "live with the key off";
        if (!at_rest_.reached(end.terminal)) {
            Demands demands;
            for (EdgeRef e : ever_.path_to(end.terminal)) {
                if (e.is_wire()) continue;
                const Primitive& p = c_.at(e.primitive);
                if (p.element == Element::contact && p.control.exists() &&
                    (p.closed_in >> c_.at(p.control).rest & 1) == 0)
                    demands.emplace_back(p.control, p.closed_in);
            }
            when = "live with " + positions_in_words(c_, demands);
        }
        if (unprotected(end.wire)) return when + ", and no fuse stands before it";
        const Protection& p = s_.protection[end.wire.index];
        if (!p.of_unknown_rating.empty()) return when;
        std::vector<std::string> fuses;
        for (PrimitiveId d : p.devices) fuses.push_back(name_of(c_, c_.at(d).part));
        return fmt::format("{}, behind {} ({})", when, list_of(fuses), text(p.lets_through));
    }

    Finding finding(const Bare& end) const {
        const Wire& w = c_.at(end.wire);
        const std::string name = name_of(c_, end.wire);
        Finding f;
        f.rule = lead_left_live.id;
        f.severity = unprotected(end.wire) ? Severity::danger : Severity::advice;
        f.headline = fmt::format("The loose end of {} is {}.", name, when_and_behind(end));
        f.place = place_of(c_, end.wire);
        if (const Part& part = c_.part_of(end.terminal);
            part.kind == Kind::loose_end && part.span.begin != w.span.begin)
            f.cites.push_back({part.span, "left this end bare"});
        f.cites.push_back(cite_wire_end(c_, end.wire, end.terminal, "bare and live"));
        f.why = why(end);
        f.limit = "live ends are capped or covered (33 CFR 183.445(b), written for boats; common practice on the road)";
        f.cures.push_back(
            {w.named ? fmt::format("Close it off with a sealed sleeve, and write: cap {}, sealed sleeve", w.name)
                     : "Close it off with a sealed sleeve."});
        f.cures.push_back({"Take the wire out, back to where it is fed."});
        if (f.severity == Severity::danger) f.path = stops_in_words(c_, ever_.stops_to(end.terminal));
        f.subjects = {subject_of(c_, end.wire)};
        return f;
    }

    std::string why(const Bare& end) const {
        if (!unprotected(end.wire))
            return "Touched to the body it sparks and opens the fuse; everything else on that fuse goes dead with it.";
        const std::vector<EdgeRef> way = ever_.path_to(end.terminal);
        const TerminalId pole = ever_.stops_to(end.terminal).front();
        const auto source = std::ranges::find(s_.strong, pole, &LivePole::pole);
        const auto most = dead_short(c_, source->source, resistance_along(c_, way, Celsius{20}));
        if (!most) return "Touched to the body it carries all that the battery can give, and nothing opens.";
        return fmt::format("Touched to the body it carries at most {}, and nothing opens.", text(rounded(*most, 2)));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    Ends ends_;
    Reach at_rest_, ever_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule lead_left_live = {
    "lead-left-live",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a bare end of a wire, or an open plug, that is live",
    "danger if no fuse stands before it; else advice. In a planned job an end that is still to be wired is left alone "
    "unless it is a danger",
    {
        "A wire ends in the open, or half a plug hangs loose, and a source can feed it. The finding says whether that "
        "is so with the key off or only "
        "with switches in some position.",
        "A bare live end touches metal sooner or later. Without a fuse before it, it burns; with one, it sparks and "
        "takes the rest of the circuit with it.",
        "Close the end off with a sealed sleeve, and write so; or take the wire out, back to where it is fed.",
        "Continuously live ends are capped or covered: 33 CFR 183.445(b), a rule for boats; common practice on the "
        "road.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
job "Radio taken out" fitted 2026-05-02 {
  wire W2 from F1 to nothing, 1.5 mm2 red, 1 m
}
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
job "Radio taken out" fitted 2026-05-02 {
  wire W2 from F1 to nothing, 1.5 mm2 red, 1 m
  cap W2, sealed sleeve
}
)",
    },
    run,
};

} // namespace loomproof::rules
