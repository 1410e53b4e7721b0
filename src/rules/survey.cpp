#include "rules/survey.hpp"

#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "rules/behaviour.hpp"
#include "rules/called_so.hpp"
#include "rules/dead_short.hpp"
#include "rules/duty.hpp"
#include "rules/fault_current.hpp"
#include "rules/loads_behind.hpp"
#include "solve/part_models.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <utility>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

using solve::Doing;
using solve::Point;
using solve::StateId;

bool is_plain_load(const Circuit& c, const Primitive& p) {
    return solve::does_something(p) && (p.element != Element::resistance || c.at(p.part).kind != Kind::resistor);
}

/// Collects over the stable states.
class Collector {
  public:
    Collector(const Study& s, Survey& out)
        : s_(s),
          c_(s.circuit),
          out_(out),
          perhaps_shorted_(rules::perhaps_shorted(s, Clamps::pass)),
          moments_(moments()) {
        out_.wire.resize(c_.wires.size());
        out_.wire_passing.resize(c_.wires.size());
        out_.part.resize(c_.primitives.size());
        out_.part_passing.resize(c_.primitives.size());
        out_.part_held.resize(c_.primitives.size());
        for (const GroundPair& pair : grounds_that_matter(s)) out_.offsets.push_back({pair, {}, 0});
        for (PrimitiveId id : s.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (is_plain_load(c_, p)) {
                out_.loads.emplace_back().load = id;
                minutes_.push_back(runs_for_minutes(p.part));
            }
            if (p.purpose == Purpose::charge_lamp_terminal) out_.rotors.push_back({id, Amps{0}, 0});
            if (p.element == Element::protector) out_.protectors.push_back(id);
            if (p.element == Element::source && p.strong) sources_.push_back(id);
            if (p.purpose == Purpose::coil || p.purpose == Purpose::starter_solenoid)
                for (ControlId control : c_.at(p.part).controls)
                    if (c_.at(control).type == Control::Type::relay) {
                        out_.coils.push_back({id, control, {}, 0, {}, Volts{1e9}, false, false, false});
                        break;
                    }
        }
    }

    void see(StateId s, const solve::Positions& positions, bool held, const Point& point) {
        if (out_.on.size() <= s) {
            out_.on.resize(s + 1);
            out_.protector_amps.resize(s + 1);
            out_.passing.resize(s + 1, false);
            out_.shorted.resize(s + 1, false);
        }
        std::vector<bool>& on = out_.on[s];
        const bool shorted = perhaps_shorted_ && std::ranges::any_of(s_.strong, [&](const LivePole& live) {
                                 return dead_short_in(s_, live.pole, positions, Clamps::pass).has_value();
                             });
        bool for_seconds = false, for_minutes = false;
        double best = 0; // volts at the sources
        for (PrimitiveId id : sources_)
            if (const auto& v = point.primitive_volts[id.index]) best = std::max(best, std::abs(v->si));
        std::vector<Doing> doing;
        for (LoadSeen& load : out_.loads) {
            const auto& volts = point.primitive_volts[load.load.index];
            const auto& amps = point.primitive_amps[load.load.index];
            doing.push_back(volts && amps ? solve::doing(c_, load.load, *volts, *amps) : Doing::off);
            on.push_back(doing.back() != Doing::off);
            const PartId part = c_.at(load.load).part;
            for_seconds = for_seconds || (on.back() && spec_of(c_.at(part).kind).for_seconds);
            for_minutes = for_minutes || (on.back() && minutes_[doing.size() - 1]);
        }
        const bool passing = held || for_seconds;
        const bool held_for_long = !passing && !for_moments(positions);
        for (std::size_t i = 0; i < out_.loads.size(); ++i) {
            LoadSeen& load = out_.loads[i];
            load.best = std::max(load.best, doing[i]);
            load.always = load.always && on[i];
            const auto& volts = point.primitive_volts[load.load.index];
            const Volts across{volts ? std::abs(volts->si) : 0};
            load.most = std::max(load.most, across);
            if (on[i] && !shorted && volts) (volts->si > 0 ? load.forward : load.backward) = true;
            if (on[i] && !passing && !shorted && best - across.si > load.lost.si + 1e-3) {
                load.lost = Volts{best - across.si};
                load.lost_at = s;
            }
            if (on[i] && held_for_long && !shorted && best - across.si > load.lost_held.si + 1e-3) {
                load.lost_held = Volts{best - across.si};
                load.lost_held_at = s;
            }
        }
        if (!passing && !shorted)
            for (OffsetSeen& offset : out_.offsets) {
                const auto &here = point.volts[offset.grounds.here.index],
                           &there = point.volts[offset.grounds.there.index];
                if (!here || !there) continue;
                if (const double volts = std::abs(here->si - there->si); volts > offset.most.si + 1e-6) {
                    offset.most = Volts{volts};
                    offset.at = s;
                }
            }
        out_.passing[s] = passing;
        out_.shorted[s] = shorted;
        const auto widen = [&](std::optional<Peak>& peak, const std::optional<Amps>& amps) {
            if (!amps) return;
            const double here = std::abs(amps->si);
            if (!peak || here > peak->amps.si * (1 + 1e-3) + 1e-6) peak = Peak{Amps{here}, s};
        };
        for (RotorSeen& rotor : out_.rotors) {
            const auto& amps = point.primitive_amps[rotor.terminal.index];
            if (!amps || !stands(positions)) continue;
            const double in = s_.from_plus() ? amps->si : std::abs(amps->si); // what comes out of it wakes nothing
            if (in > rotor.most.si * (1 + 1e-3) + 1e-6) rotor = {rotor.terminal, Amps{in}, s};
        }
        if (out_.perhaps_held.size() <= s) out_.perhaps_held.resize(s + std::size_t{1});
        for (CoilSeen& coil : out_.coils) {
            const auto& volts = point.primitive_volts[coil.coil.index];
            if (!volts) continue;
            const Volts across{std::abs(volts->si)};
            if (shorted) {
                coil.shorted = coil.shorted || across.si > 0.5;
                continue;
            }
            if (across > coil.most) coil.most_at = s;
            coil.most = std::max(coil.most, across);
            if (positions[coil.control.index] == c_.at(coil.control).rest)
                coil.most_at_rest = std::max(coil.most_at_rest, across);
            if (pulled(coil, positions)) {
                coil.least_pulled = std::min(coil.least_pulled, across);
                const Primitive& p = c_.at(coil.coil);
                if (p.purpose == Purpose::coil && across.si <= solve::limits_of(c_, p).may_release)
                    out_.perhaps_held[s].push_back(coil.control);
            }
        }
        out_.protector_amps[s].resize(out_.protectors.size(), 0);
        if (shorted) return; // no load takes that: short-circuit
        for (WireId w : s_.now.wires())
            widen((passing ? out_.wire_passing : out_.wire)[w.index], point.wire_amps[w.index]);
        for (PrimitiveId p : s_.now.primitives())
            widen((passing ? out_.part_passing : out_.part)[p.index], point.primitive_amps[p.index]);
        if (passing && for_minutes && !for_seconds)
            for (PrimitiveId p : s_.now.primitives()) widen(out_.part_held[p.index], point.primitive_amps[p.index]);
        for (std::size_t i = 0; i < out_.protectors.size(); ++i)
            if (const auto& amps = point.primitive_amps[out_.protectors[i].index])
                out_.protector_amps[s][i] = std::abs(amps->si);
    }

    void finish() {
        out_.on.resize(out_.behaviour.states.size());
        out_.protector_amps.resize(out_.behaviour.states.size());
        out_.passing.resize(out_.behaviour.states.size(), false);
        out_.perhaps_held.resize(out_.behaviour.states.size());
        out_.shorted.resize(out_.behaviour.states.size(), false);
        for (const solve::State& state : out_.behaviour.states)
            for (CoilSeen& coil : out_.coils) {
                coil.at_rest = coil.at_rest || state.positions[coil.control.index] == c_.at(coil.control).rest;
                coil.pulled_in = coil.pulled_in || pulled(coil, state.positions);
            }
    }

  private:
    /// What the file says of its duty, else what it is called.
    bool runs_for_minutes(PartId part) const {
        const auto duty = duty_of(s_, part);
        return duty ? duty->on > passing_seconds : is_called_hauling(c_.at(part));
    }
    /// Brake and one indicator on: waiting to turn. Three or all four of brake, reverse and both indicators nobody holds for longer than moments
    /// (common practice, no source).
    bool for_moments(const solve::Positions& positions) const {
        unsigned all = 0;
        for (std::size_t i = 0; i < moments_.size(); ++i) all |= moments_[i][positions[i]];
        constexpr int most_held = 2;
        return std::popcount(all) > most_held;
    }
    /// What each control is for in each of its positions, read once from its words (moments_of); nothing at rest.
    std::vector<std::vector<unsigned>> moments() const {
        std::vector<std::vector<unsigned>> all;
        for (const Control& control : c_.controls) {
            std::vector<unsigned>& here = all.emplace_back(std::max<std::size_t>(control.positions.size(), 1), 0U);
            if (control.type == Control::Type::relay || (control.part.exists() && !s_.now.alive(control.part)))
                continue;
            for (std::size_t at = 0; at < here.size(); ++at) {
                if (at == control.rest) continue;
                std::string text = control.name + ' ' + control.positions[at];
                if (control.part.exists()) text += ' ' + c_.at(control.part).label;
                here[at] = moments_of(text);
            }
        }
        return all;
    }
    bool stands(const solve::Positions& positions) const {
        return !c_.engine || c_.at(c_.engine->control).positions[positions[c_.engine->control.index]] == "stopped";
    }
    bool pulled(const CoilSeen& coil, const solve::Positions& positions) const {
        return positions[coil.control.index] + 1U == c_.at(coil.control).positions.size();
    }

    const Study& s_;
    const Circuit& c_;
    Survey& out_;
    std::vector<PrimitiveId> sources_;
    bool perhaps_shorted_;
    std::vector<bool> minutes_;                  ///< by load: its button is held for minutes
    std::vector<std::vector<unsigned>> moments_; ///< by control and position
};

} // namespace

const Survey* survey_of(const Study& s) {
    if (s.now.wires().size() > most_wires_explored) return nullptr;
    if (!s.survey) {
        auto survey = std::make_shared<Survey>();
        Collector collector(s, *survey);
        solve::Expecting expecting(s.now);
        solve::ExploreOptions options;
        // Solving takes longer the larger the circuit is: as many situations as a moment allows.
        options.most = std::clamp<std::size_t>(40'000 / std::max<std::size_t>(s.now.wires().size(), 1), 64, 1024);
        options.see = [&](StateId id, const solve::State& state, const Point& point) {
            collector.see(id, state.positions, state.held, point);
            expecting.see(id, state.positions, point);
        };
        survey->behaviour = solve::explore(s.now, options);
        collector.finish();
        survey->expectations = expecting.judged(survey->behaviour);
        s.survey = std::move(survey);
    }
    return s.survey.get();
}

const solve::Behaviour* behaviour_of(const Study& s) {
    const Survey* survey = survey_of(s);
    return survey ? &survey->behaviour : nullptr;
}

std::optional<Peak> Survey::most(const std::optional<Peak>& lasting, const std::optional<Peak>& passing) {
    if (!lasting || !passing) return lasting ? lasting : passing;
    return passing->amps > lasting->amps * 1.001 ? passing : lasting;
}

std::string when(const Study& s, const solve::Behaviour& behaviour, StateId id) {
    return "with " + solve::said(s.circuit, behaviour.states[id].positions);
}

std::string takers(const Study& s, const std::vector<PartId>& behind, const Point& point) {
    const Circuit& c = s.circuit;
    std::vector<std::pair<double, PartId>> all;
    for (PartId part : behind) {
        double amps = 0;
        for (PrimitiveId id : s.now.primitives())
            if (const Primitive& p = c.at(id); p.part == part && (is_plain_load(c, p) || p.purpose == Purpose::coil ||
                                                                  p.purpose == Purpose::starter_solenoid))
                if (const auto& a = point.primitive_amps[id.index]) amps += std::abs(a->si);
        if (amps > 0.05) all.emplace_back(-amps, part);
    }
    std::ranges::stable_sort(all, {}, [](const auto& a) { return a.first; });
    constexpr std::size_t most_named = 4;
    std::vector<std::string> names;
    for (std::size_t i = 0; i < all.size() && i < most_named; ++i)
        names.push_back(fmt::format("{} {}", name_of(c, all[i].second), text(rounded(Amps{-all[i].first}, 3))));
    if (all.size() > most_named) names.push_back(counted(all.size() - most_named, "more load"));
    return list_of(names);
}

std::vector<std::string> passed_on_the_way(const Study& s, const Point& point, Amps amps) {
    const Circuit& c = s.circuit;
    std::vector<std::string> names;
    const auto note = [&](PartId part, const std::optional<Amps>& here) {
        const Kind kind = c.at(part).kind;
        if (!here || std::abs(here->si) <= 0.3 * amps.si ||
            (kind != Kind::relay && kind != Kind::switching && kind != Kind::diode))
            return;
        if (const std::string name = name_of(c, part); std::ranges::find(names, name) == names.end())
            names.push_back(name);
    };
    for (PrimitiveId id : s.now.primitives()) note(c.at(id).part, point.primitive_amps[id.index]);
    for (WireId w : s.now.wires())
        for (TerminalId t : {c.at(w).a, c.at(w).b}) note(c.at(t).part, point.wire_amps[w.index]);
    return names;
}

std::vector<PartId> of_unknown_current(const Study& s, const std::vector<PartId>& parts) {
    std::vector<PartId> unknown;
    for (PartId part : parts)
        for (PrimitiveId id : s.now.primitives())
            if (const Primitive& p = s.circuit.at(id);
                p.part == part && is_plain_load(s.circuit, p) && !p.current.known() && !p.resistance.known()) {
                unknown.push_back(part);
                break;
            }
    return unknown;
}

double sure_share(const Study& s, const Survey& survey, const std::optional<std::vector<PartId>>& behind) {
    double least = 0, taken = 0;
    for (const LoadSeen& load : survey.loads) {
        const Primitive& p = s.circuit.at(load.load);
        if (behind && std::ranges::find(*behind, p.part) == behind->end()) continue;
        const bool known = p.current.known() && p.current.nominal.si > 0;
        taken += known ? p.current.nominal.si : solve::unknown_amps;
        least += known ? p.current.low.si : 0;
    }
    return taken > 0 ? least / taken : 1;
}

Certainty sureness(const Study& s, const Survey& survey, const std::optional<std::vector<PartId>>& behind, Amps amps,
                   Amps limit) {
    return amps * sure_share(s, survey, behind) > limit ? Certainty::certain : Certainty::possible;
}

NotChecked open_for_unknown_load(const Study& s, const char* rule, std::string what,
                                 const std::vector<PartId>& unknown) {
    std::vector<std::string> names;
    for (PartId p : unknown) names.push_back(name_of(s.circuit, p));
    return {rule, std::move(what),
            fmt::format("nobody said what {} {}", list_of(names), names.size() == 1 ? "takes" : "take"),
            "Look for A or W on the label, or measure the current."};
}

const Survey* survey_or_say(const Study& s, Report& report, const char* rule, std::string what) {
    const Survey* survey = survey_of(s);
    if (!survey)
        report.not_checked.push_back(
            {rule, std::move(what), "the circuit is too large to try every switch position", ""});
    return survey;
}

const Survey* survey_of_bad_positions(const Study& s, Report& report, const char* rule, const std::string& what) {
    const Survey* survey = survey_or_say(s, report, rule, what);
    if (survey && !survey->behaviour.complete) report.not_checked.push_back(open_for_positions(s, rule, what));
    return survey;
}

std::string too_many_positions(const Study& s) {
    const Survey* survey = survey_of(s);
    if (!survey || survey->behaviour.unseen.empty()) return "there are more switch positions than were looked at";
    constexpr std::size_t most_named = 8;
    std::vector<std::string> names;
    for (ControlId control : survey->behaviour.unseen)
        if (std::string name = solve::said(s.circuit, control); std::ranges::find(names, name) == names.end())
            names.push_back(std::move(name));
    if (names.size() > most_named + 1) {
        const std::size_t more = names.size() - most_named;
        names.resize(most_named);
        names.push_back(fmt::format("{} more", more));
    }
    return fmt::format("there are more positions of {}{} than were looked at", list_of(names),
                       names.size() > 1 ? " together" : "");
}

NotChecked open_for_positions(const Study& s, const char* rule, std::string what) {
    return {rule, std::move(what), too_many_positions(s), ""};
}

std::optional<std::vector<PartId>> hang_behind(const Study& s, EdgeRef edge) {
    LoadsBehind behind = loads_behind(s, edge, fed_end(s, edge));
    if (!behind.only_way) return std::nullopt;
    return std::move(behind.parts);
}

} // namespace loomproof::rules
