#include "rules/alternator_lines.hpp"

#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/protection.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

using solve::Positions;
using solve::StateId;

class Lines {
  public:
    Lines(const Study& s, const Survey& survey, const char* rule, Amps awake, Report& report)
        : s_(s),
          c_(s.circuit),
          survey_(survey),
          rule_(rule),
          awake_(awake),
          report_(report),
          anything_live_(live_poles(s, false)) {
        for (PrimitiveId id : s.now.primitives())
            if (const Primitive& p = c_.at(id); p.element == Element::source && c_.at(p.part).kind == Kind::battery)
                batteries_.push_back(s.reference[p.a.index] ? p.b : p.a);
    }

    void run() {
        if (batteries_.empty() || !s_.from_plus()) return;
        for (PartId part : s_.now.parts()) {
            if (c_.at(part).kind != Kind::alternator || c_.at(part).poisoned) continue;
            for (TerminalId t : c_.at(part).terminals) {
                if (s_.now.wires_at(t).empty() || leads_to_the_unknown(part, t)) continue;
                if (c_.at(t).role == Role::output) main_lead(part, t);
                if (c_.at(t).role == Role::signal && t != lamp_of(part)) sense(part, t);
            }
        }
    }

  private:
    TerminalId lamp_of(PartId part) const {
        for (PrimitiveId id : s_.now.primitives())
            if (c_.at(id).part == part && c_.at(id).purpose == Purpose::charge_lamp_terminal) return c_.at(id).a;
        return c_.at(part).terminals[2];
    }

    /// Positions in which the engine may run: those in which it does, where the file speaks of it; else those in which the lamp terminal is fed.
    std::vector<StateId> may_run(PartId part) const {
        std::vector<StateId> states;
        const TerminalId lamp = lamp_of(part);
        for (StateId at = 0; at < survey_.behaviour.states.size(); ++at) {
            const solve::State& state = survey_.behaviour.states[at];
            if (!state.stable || survey_.shorted[at]) continue;
            if (c_.engine) {
                const solve::EngineDoes does = survey_.behaviour.model().engine_does(state.positions);
                if (does == solve::EngineDoes::idles || does == solve::EngineDoes::runs) states.push_back(at);
                continue;
            }
            if (s_.now.wires_at(lamp).empty()) continue;
            const solve::Point& point = survey_.behaviour.point(at);
            for (PrimitiveId id : s_.now.primitives_at(lamp))
                if (const auto& amps = point.primitive_amps[id.index];
                    c_.at(id).purpose == Purpose::charge_lamp_terminal && amps && std::abs(amps->si) >= awake_.si)
                    states.push_back(at);
        }
        return states;
    }

    /// Over wires, joints, fuses, meters, resistors and what `closed` says.
    template <class Closed> Reach walk(TerminalId from, Closed closed, PrimitiveId without = {}) const {
        return s_.graph.walk(
            std::vector{from},
            [&](EdgeRef e, TerminalId at) {
                if (s_.reference[at.index]) return false;
                if (e.is_wire()) return !c_.at(e.wire).poisoned;
                if (e.primitive == without) return false;
                const Primitive& p = c_.at(e.primitive);
                switch (p.element) {
                case Element::joint:
                case Element::protector:
                case Element::meter:
                case Element::junction: return true;
                case Element::resistance: return c_.at(p.part).kind == Kind::resistor;
                case Element::contact: return closed(p);
                default: return false;
                }
            },
            [](EdgeRef) { return 0.0; });
    }
    template <class Closed> bool joined(TerminalId from, const std::vector<TerminalId>& to, Closed closed) const {
        const Reach reach = walk(from, closed);
        return std::ranges::any_of(to, [&](TerminalId t) { return reach.reached(t); });
    }
    /// Another unit's pin of which nothing is known, or an end that nobody traced: volts may come from there.
    bool leads_to_the_unknown(PartId alternator, TerminalId from) const {
        const Reach reach = walk(from, [](const Primitive&) { return true; });
        return std::ranges::any_of(reach.in_order(), [&](TerminalId t) {
            const Part& part = c_.part_of(t);
            return part.poisoned || part.kind == Kind::unknown_end || part.kind == Kind::not_known ||
                   !says_what_it_is(s_.now, c_.at(t).part) ||
                   (c_.at(t).part != alternator && c_.at(t).role == Role::signal && s_.now.primitives_at(t).empty());
        });
    }
    bool joined_in(TerminalId from, const std::vector<TerminalId>& to, const Positions& positions) const {
        return joined(from, to, [&](const Primitive& p) { return solve::is_closed(p, positions); });
    }
    /// The switch or relay whose closing alone would join them.
    PartId parted_by(TerminalId from, const std::vector<TerminalId>& to, const Positions& positions) const {
        for (std::size_t i = 0; i < c_.controls.size(); ++i)
            if (const ControlId id{i}; s_.now.alive(c_.at(id).part) && joined(from, to, [&](const Primitive& p) {
                                           return p.control == id || solve::is_closed(p, positions);
                                       }))
                return c_.at(id).part;
        return {};
    }

    void main_lead(PartId part, TerminalId output) {
        if (!joined(output, batteries_, [](const Primitive&) { return true; })) return;
        fuses_of_the_lead(part, output);
        if (c_.engine) {
            for (StateId at : may_run(part))
                if (!joined_in(output, batteries_, survey_.behaviour.states[at].positions))
                    return say_main(part, output, parted_by(output, batteries_, survey_.behaviour.states[at].positions),
                                    when(s_, survey_.behaviour, at));
            return;
        }
        for (std::size_t i = 0; i < c_.controls.size(); ++i) {
            const ControlId id{i};
            const Control& control = c_.at(id);
            if (!s_.now.alive(control.part) || control.type != Control::Type::hand) continue;
            for (std::size_t position = 0; position < control.positions.size(); ++position) {
                const auto closed = [&](const Primitive& p) {
                    return p.control != id || (p.closed_in >> position & 1) != 0;
                };
                if (joined(output, batteries_, closed) || opens_more(output, id, position)) continue;
                return say_main(part, output, control.part, "");
            }
        }
    }

    /// Fuses and breakers without which it would not reach a battery: one below all that the alternator gives opens while it charges.
    void fuses_of_the_lead(PartId part, TerminalId output) {
        const Stated<Amps> most = s_.now.amps(part, Attr::rating);
        if (!most.known() || most.how == Knowledge::assumed) return;
        std::optional<PrimitiveId> least;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::protector || c_.at(p.part).kind == Kind::link || c_.at(p.part).poisoned) continue;
            const Stated<Amps> rating = rating_of(s_, id);
            if (!rating.known() || rating.nominal >= most.low * 0.995 ||
                (least && rating_of(s_, *least).nominal <= rating.nominal))
                continue;
            const Reach rest = walk(
                output, [](const Primitive&) { return true; }, id);
            if (std::ranges::none_of(batteries_, [&](TerminalId t) { return rest.reached(t); })) least = id;
        }
        if (least) say_fuse(part, output, *least, most.nominal);
    }

    void say_fuse(PartId part, TerminalId output, PrimitiveId fuse, Amps most) {
        const Amps rating = rating_of(s_, fuse).nominal;
        const PartId device = c_.at(fuse).part;
        Finding f = begun(part, output, {});
        f.certainty = Certainty::possible;
        f.cites.insert(f.cites.begin(), cite_rating(s_, fuse, "opens above that"));
        f.cites.push_back(cite_part(c_, part, "gives up to " + text(most)));
        f.subjects.push_back(name_of(c_, device));
        f.headline = fmt::format("{} is {} {} in the charging lead of {}, which gives up to {}.", name_of(c_, device),
                                 with_article(text(rating)), c_.at(device).kind == Kind::fuse ? "fuse" : "breaker",
                                 name_of(c_, part), text(most));
        f.why = "A flat battery takes all that the alternator gives. The fuse opens, and the alternator loses its "
                "battery under full charge: its volts jump to 60 V and more, and kill its own diodes and whatever "
                "electronics are on.";
        f.limit = fmt::format("{}, as the file says: what protects the charging lead has to carry all that the "
                              "alternator gives (common practice, no source); load dump of a 12 V alternator, some 80 "
                              "to 100 V without clamp (ISO 16750-2, from memory)",
                              text(most));
        say_larger(fuse, most, f);
        const bool maker = s_.now.is_factory(part) && s_.now.is_factory(device);
        report_.add(std::move(f), maker);
    }

    void say_larger(PrimitiveId fuse, Amps most, Finding& f) const {
        const std::string device = name_of(c_, c_.at(fuse).part);
        const auto larger = reference::smallest_fuse_from(reference::usual_style(most), most / 1.01);
        if (!larger) {
            f.cures.push_back({fmt::format("Fit one for {} or more in place of {}, and wire that carries as much as it "
                                           "lets through, from the battery to the alternator.",
                                           text(most), device)});
            return;
        }
        const EdgeRef edge{{}, fuse};
        const auto thinnest = thinnest_behind(s_, other_end(c_, edge, fed_end(s_, edge)), edge);
        const bool carries = thinnest && thinnest->carries >= larger->rating;
        const auto size = thinnest && !carries ? size_that_carries(c_, thinnest->wire, larger->rating) : std::nullopt;
        const std::string fit = fmt::format("Put {} fuse in {}{}", with_article(text(larger->rating)),
                                            c_.at(c_.at(fuse).part).kind == Kind::fuse ? "" : "place of ", device);
        if (carries)
            f.cures.push_back({fit + ": the wires behind it carry that."});
        else if (size)
            f.cures.push_back(
                {fmt::format("{}, and use {} or thicker for {}, which carries {}.", fit, reference::spelled(*size),
                             called(c_, thinnest->wire), text(thinnest->carries))});
        else
            f.cures.push_back({fit + ", if the wires behind it carry that; else thicker ones too."});
    }

    /// Another contact of the same switch that opens with it may be there to stop the engine: then nothing is said.
    bool opens_more(TerminalId output, ControlId id, std::size_t position) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId each) {
            const Primitive& p = c_.at(each);
            if (p.element != Element::contact || c_.at(p.part).controls.empty() || p.part != c_.at(id).part)
                return false;
            if (p.control == id && (p.closed_in >> position & 1) != 0) return false;
            const auto none = [](const Primitive&) { return false; };
            return !joined(p.a, {output}, none) && !joined(p.b, {output}, none) && !joined(p.a, batteries_, none) &&
                   !joined(p.b, batteries_, none) && !s_.now.wires_at(p.a).empty() && !s_.now.wires_at(p.b).empty();
        });
    }

    void sense(PartId part, TerminalId t) {
        for (StateId at : may_run(part)) {
            const Positions& positions = survey_.behaviour.states[at].positions;
            if (joined_in(t, anything_live_, positions)) continue;
            const PartId by = parted_by(t, anything_live_, positions);
            Finding f = begun(part, t, by);
            f.certainty = Certainty::possible;
            f.headline = fmt::format("The sense wire at {} is dead {}, while the engine may run.", name_of(c_, t),
                                     when(s_, survey_.behaviour, at));
            f.why =
                "The regulator goes by the volts at its sense terminal. Where it sees none it charges without limit "
                "and boils the battery, or, made for that, goes by its own terminal: its sheet says which.";
            f.limit =
                "a sense wire is tied to the battery, or to what is live whenever the engine runs (common practice, no "
                "source)";
            f.cures.push_back({fmt::format("Tie it to the battery's plus, over a small fuse of its own{}.",
                                           by.exists() ? ", not over " + name_of(c_, by) : "")});
            return file(std::move(f), part, by);
        }
    }

    Finding begun(PartId part, TerminalId t, PartId by) const {
        Finding f;
        f.rule = rule_;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_terminal(s_.now, t));
        if (by.exists()) f.cites.push_back(cite_part(c_, by, "opens it"));
        f.subjects = {name_of(c_, t), name_of(c_, part)};
        if (by.exists()) f.subjects.push_back(name_of(c_, by));
        return f;
    }

    void say_main(PartId part, TerminalId output, PartId by, const std::string& when) {
        Finding f = begun(part, output, by);
        f.headline =
            by.exists()
                ? sentence_start(fmt::format("{} can part {} from the battery while the engine runs{}.", called(c_, by),
                                             name_of(c_, output), when.empty() ? "" : ": " + when))
                : fmt::format("{} is parted from the battery {}, while the engine runs.", name_of(c_, output), when);
        f.why = "Nothing holds its volts down then: they jump to 60 V and more, and kill its own diodes and whatever "
                "electronics are on.";
        f.limit = "load dump of a 12 V alternator, some 80 to 100 V without clamp (ISO 16750-2, from memory)";
        f.cures.push_back(
            {fmt::format("Take the lead from {} to the battery's side of {}, behind a fuse at the battery.",
                         name_of(c_, output), by.exists() ? "that switch" : "what opens")});
        f.cures.push_back({fmt::format(
            "A main switch made for it, with further contacts: one pair opens the ignition, so that the engine stops, "
            "another opens the alternator's field before the battery's pair opens, or puts a resistor of some 3 ohm, "
            "10 "
            "W, from {} to ground, which takes what it still gives (common practice, from memory). Describe it with "
            "its "
            "contacts, and the engine with what keeps it alive.",
            name_of(c_, output))});
        file(std::move(f), part, by);
    }

    void file(Finding f, PartId part, PartId by) {
        const bool maker = s_.now.is_factory(part) && by.exists() && s_.now.is_factory(by);
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const char* rule_;
    Amps awake_;
    Report& report_;
    std::vector<TerminalId> batteries_, anything_live_;
};

} // namespace

void judge_alternator_lines(const Study& s, const Survey& survey, const char* rule, Amps awake, Report& report) {
    Lines(s, survey, rule, awake, report).run();
}

} // namespace loomproof::rules
