#include "rules/closing_contact.hpp"

#include "circuit/outputs.hpp"

#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule part_overloaded; // rule_list.hpp lists it

namespace {

constexpr Amps cable_carries{60};

/// What a closing contact stands for the moment in which a motor starts, over what it carries (limiting making currents in the sheets of two
/// makers of plug-in relays: make contacts 100 A of 45 A in AgNi and 180 A of 40 A in AgSnO; rest contacts 30 A of 30 A and 60 A of 25 A), and
/// from what rating on those sheets speak at all: none is known for smaller ones.
struct Making {
    double poorest, best;
    Amps known_from;
};
constexpr Making make_contacts{100.0 / 45, 180.0 / 40, Amps{40}}, rest_contacts{1.0, 60.0 / 25, Amps{25}};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.purpose == Purpose::make_contact || p.purpose == Purpose::rest_contact) look_at_motors(id);
            if (p.element == Element::contact && p.purpose != Purpose::feed_condition) look_at_lamps(id);
        }
    }

  private:
    /// Motors that start, lamps that light as this contact closes: wherever it is closed they are on, and what they take goes over it.
    std::vector<PrimitiveId> started_by(PrimitiveId contact, Element element, solve::StateId& at) const {
        std::vector<PrimitiveId> started;
        const Primitive& p = c_.at(contact);
        const auto behind = hang_behind(s_, {{}, contact});
        if (!behind) return started;
        for (std::size_t l = 0; l < survey_.loads.size(); ++l) {
            const PrimitiveId load = survey_.loads[l].load;
            if (c_.at(load).element != element || std::ranges::find(*behind, c_.at(load).part) == behind->end())
                continue;
            bool always = true, ever = false;
            for (solve::StateId s = 0; s < survey_.on.size(); ++s) {
                const solve::State& state = survey_.behaviour.states[s];
                if (!state.stable || survey_.on[s].empty() || !solve::is_closed(p, state.positions)) continue;
                if (survey_.on[s][l] && !ever) at = s;
                ever = ever || survey_.on[s][l];
                always = always && survey_.on[s][l];
            }
            if (ever && always) started.push_back(load);
        }
        return started;
    }

    /// Each once, in the same order.
    std::vector<PartId> parts_of(const std::vector<PrimitiveId>& loads) const {
        std::vector<PartId> parts;
        for (PrimitiveId load : loads)
            if (std::ranges::find(parts, c_.at(load).part) == parts.end()) parts.push_back(c_.at(load).part);
        return parts;
    }

    void look_at_motors(PrimitiveId id) {
        const Primitive& p = c_.at(id);
        if (c_.at(p.part).kind != Kind::relay || c_.at(p.part).poisoned || !p.rating.known() ||
            !(p.rating.nominal.si > 0) || (has_cable(s_, p.a) && has_cable(s_, p.b)))
            return;
        if (const auto most = Survey::most(survey_.part[id.index], survey_.part_passing[id.index]);
            !most || most->amps > p.rating.nominal * 1.005)
            return; // judged
        solve::StateId at = 0;
        const std::vector<PrimitiveId> motors = started_by(id, Element::machine, at);
        if (motors.empty()) return;
        const solve::Point point =
            survey_.behaviour.model().point_at_start(survey_.behaviour.states[at].positions, motors);
        if (!point.settled || !point.primitive_amps[id.index]) return;
        const Amps amps{std::abs(point.primitive_amps[id.index]->si)}, rating = p.rating.nominal;
        const bool stated = std::ranges::all_of(
            motors, [&](PrimitiveId m) { return s_.now.amps(c_.at(m).part, Attr::start_current).known(); });
        const Making& known = p.purpose == Purpose::make_contact ? make_contacts : rest_contacts;
        if (amps <= rating * (stated && rating < known.known_from ? 1.005 : known.poorest)) return;
        const std::vector<PartId> parts = parts_of(motors);
        const std::string names = list_of(names_of(c_, parts)), taken = text(rounded(amps, 3));
        const std::string look = fmt::format(
            "Look up the making current (inrush, motor load) in the sheet of {}'s maker: {} or more is good",
            name_of(c_, p.part), taken);
        if (!stated || amps <= rating * known.best) {
            std::string why =
                fmt::format("nobody said what {} {} to start", names, verb(parts.size(), "takes", "take"));
            if (stated && rating < known.known_from)
                why = "no making current is known for a contact made for " + text(rating);
            else if (stated)
                why = fmt::format(
                    "contacts made for {} differ: their makers allow {:.1f} to {:.1f} times as much for a moment",
                    text(rating), known.poorest, known.best);
            report_.not_checked.push_back(
                {part_overloaded.id,
                 fmt::format("whether {} stands the {} that {} {} to start", what_it_is(c_, p), taken, names,
                             verb(parts.size(), "takes", "take")),
                 why, look});
            return;
        }
        Finding f;
        f.rule = part_overloaded.id;
        f.severity = Severity::fault;
        f.certainty = Certainty::undecided;
        f.place = where_it_lies(c_, p.part);
        f.cites = {cite_part(c_, p.part, "made for " + text(rating)),
                   cite_part(c_, parts.front(), "starts through it")};
        f.subjects = {name_of(c_, p.part)};
        for (PartId part : parts) f.subjects.push_back(name_of(c_, part));
        f.headline = sentence_start(fmt::format("{} closes on {} as {} {}, and is made for {}.", what_it_is(c_, p),
                                                taken, names, verb(parts.size(), "starts", "start"), text(rating)));
        f.why = "Contacts bounce as they close: with too much current they melt a little each time, until they weld "
                "together and the motor never stops.";
        f.limit = fmt::format("{:.1f} times its rating, the most that a relay maker's sheet allows a closing contact",
                              known.best);
        f.measure = look + ".";
        f.cures.push_back({"Fit a relay made for motors, whose sheet names such a making current."});
        if (parts.size() > 1) f.cures.push_back({"Give each motor a relay of its own."});
        report_.findings.push_back(std::move(f));
    }

    /// Cold filaments take some ten times what they take hot, for a tenth of a second. That is asked about where the wires let through more
    /// than any contact of its size that we know of may close on; below that lamps on such contacts are everyday practice.
    void look_at_lamps(PrimitiveId id) {
        const Primitive& p = c_.at(id);
        const Kind kind = c_.at(p.part).kind;
        if ((kind != Kind::relay && kind != Kind::switching) || c_.at(p.part).poisoned || !p.rating.known() ||
            !(p.rating.nominal.si > 0))
            return;
        const Amps rating = p.rating.nominal;
        if (const auto most = Survey::most(survey_.part[id.index], survey_.part_passing[id.index]);
            !most || most->amps > rating * 1.005 || most->amps * solve::cold_over_hot <= rating * make_contacts.best)
            return; // judged, or too little even with wires without resistance
        solve::StateId at = 0;
        const std::vector<PrimitiveId> lamps = started_by(id, Element::filament, at);
        if (lamps.empty()) return;
        const solve::Point point =
            survey_.behaviour.model().point_at_start(survey_.behaviour.states[at].positions, lamps);
        if (!point.settled || !point.primitive_amps[id.index]) return;
        const Amps amps{std::abs(point.primitive_amps[id.index]->si)};
        if (amps <= rating * make_contacts.best) return;
        const std::vector<PartId> parts = parts_of(lamps);
        report_.not_checked.push_back(
            {part_overloaded.id,
             fmt::format("whether {} stands the {} that {} {} while cold", what_it_is(c_, p), text(rounded(amps, 2)),
                         list_of(names_of(c_, parts)), verb(parts.size(), "takes", "take")),
             "nobody said what lamps it may switch",
             fmt::format("Look up the lamp load (inrush) in the sheet of {}'s maker.", name_of(c_, p.part))});
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
};

} // namespace

bool has_cable(const Study& s, TerminalId t) {
    return std::ranges::any_of(s.now.wires_at(t), [&](WireId w) {
        const auto carries = what_it_carries(s.circuit, w);
        return s.circuit.at(w).starter_cable || s.circuit.at(w).winch_cable ||
               (carries && carries->amps > cable_carries);
    });
}

std::string what_it_is(const Circuit& c, const Primitive& p) {
    if (const TerminalId pin = output_pin(c, p); pin.exists())
        return fmt::format("output {} of {}", c.at(pin).stamp, called(c, p.part));
    switch (p.purpose) {
    case Purpose::hole: return hole_words(c, p);
    case Purpose::make_contact: return "the make contact of " + called(c, p.part);
    case Purpose::rest_contact: return "the rest contact of " + called(c, p.part);
    default: return called(c, p.part);
    }
}

void judge_closing_contacts(const Study& s, const Survey& survey, Report& report) { Judge(s, survey, report).run(); }

} // namespace loomproof::rules
