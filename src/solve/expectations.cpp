#include "solve/expectations.hpp"

#include "circuit/wishes.hpp"
#include "solve/part_models.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::solve {

namespace {

/// Volts across the load of a part that gets most; at a point that is no filament, those that a meter shows there, without sign.
Volts across(const View& view, PartId part, TerminalId filament, const Point& point) {
    Volts most{0};
    if (filament.exists() && view.circuit().at(filament).role != Role::filament) {
        const auto& here = point.volts[filament.index];
        return here ? Volts{std::abs(here->si)} : Volts{0};
    }
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = view.circuit().at(id);
        if (p.part != part || !does_something(p) || (filament.exists() && p.a != filament)) continue;
        if (const auto& v = point.primitive_volts[id.index]) most = std::max(most, Volts{std::abs(v->si)});
    }
    return most;
}

/// Is a starter turning? Its volts are those of a battery that gives all it has.
bool cranking(const View& view, const Point& point) {
    return std::ranges::any_of(view.primitives(), [&](PrimitiveId id) {
        const Primitive& p = view.circuit().at(id);
        const auto& amps = point.primitive_amps[id.index];
        return view.circuit().at(p.part).kind == Kind::starter && p.element == Element::machine && amps &&
               std::abs(amps->si) > 1;
    });
}

} // namespace

Doing doing(const Circuit& c, PrimitiveId load, Volts volts, Amps amps) {
    const Primitive& p = c.at(load);
    const double rated = rated_volts(c, p);
    const auto by = [](double share, double on, double off) {
        return share >= on ? Doing::on : share < off ? Doing::off : Doing::dim;
    };
    switch (p.element) {
    case Element::constant_power: {
        // Behind a diode that blocks volts may stand on it and nothing flows: it is out.
        const double rated_amps = p.current.known() && p.current.nominal.si > 0 ? p.current.nominal.si : 0;
        if (std::abs(amps.si) <= 0.02 * rated_amps) return Doing::off;
        return by(volts.si / rated, 0.7, 0.5);
    }
    case Element::machine: return by(std::abs(volts.si) / rated, 0.6, 0.25);
    default: break;
    }
    const double rated_amps = p.current.known() && p.current.nominal.si > 0         ? p.current.nominal.si
                              : p.resistance.known() && p.resistance.nominal.si > 0 ? rated / p.resistance.nominal.si
                                                                                    : unknown_amps;
    return by(std::abs(volts.si * amps.si) / (rated * rated_amps), 0.5, 0.1);
}

Doing doing(const View& view, PartId part, TerminalId filament, const Point& point, const Positions& positions) {
    const Circuit& c = view.circuit();
    Doing best = Doing::off;
    bool has_load = false;
    for (PrimitiveId id : view.primitives()) {
        const Primitive& p = c.at(id);
        if (p.part != part || !does_something(p) || (filament.exists() && p.a != filament)) continue;
        has_load = true;
        if (point.primitive_volts[id.index] && point.primitive_amps[id.index])
            best = std::max(best, doing(c, id, *point.primitive_volts[id.index], *point.primitive_amps[id.index]));
    }
    for (ControlId id : c.at(part).controls)
        if (!has_load && c.at(id).type == Control::Type::relay && positions[id.index] + 1U == c.at(id).positions.size())
            best = Doing::on;
    return best;
}

namespace {

void judge(const View& view, const Expectation& e, StateId s, const Positions& positions, const Point& point,
           Judged& j) {
    using What = Expectation::What;
    const Doing seen = doing(view, e.part, e.filament, point, positions);
    const Volts volts = across(view, e.part, e.filament, point);
    bool good = true;
    switch (e.what) {
    case What::on: good = seen == Doing::on; break;
    case What::dim: good = seen == Doing::dim; break;
    case What::off: good = seen == Doing::off; break;
    case What::at_least: good = volts >= e.low.nominal; break;
    case What::between: good = volts >= e.low.nominal && volts <= e.high.nominal; break;
    case What::never_with:
        good = seen != Doing::on || doing(view, e.other, e.other_filament, point, positions) != Doing::on;
        break;
    case What::not_understood: break;
    }
    j.verdict = good ? Judged::Verdict::met : Judged::Verdict::broken;
    if (good) return;
    j.state = s;
    j.seen = seen;
    j.volts = volts;
}

bool open(Judged::Verdict v) { return v == Judged::Verdict::no_case || v == Judged::Verdict::met; }

} // namespace

Expecting::Expecting(const View& view) : view_(view) {
    for (std::vector<Judged>* all : {&standing_, &cranking_}) all->resize(view.circuit().expectations.size());
}

bool Expecting::concerned(std::size_t i, const Positions& positions, const Judged& so_far) const {
    const Expectation& e = view_.circuit().expectations[i];
    return e.what != Expectation::What::not_understood && open(so_far.verdict) && meets(e.when, positions);
}

bool Expecting::asks(const Positions& positions) const {
    for (std::size_t i = 0; i < standing_.size(); ++i)
        if (concerned(i, positions, standing_[i]) || concerned(i, positions, cranking_[i])) return true;
    return false;
}

void Expecting::see(StateId s, const Positions& positions, const Point& point) {
    if (!asks(positions)) return;
    std::vector<Judged>& all = cranking(view_, point) ? cranking_ : standing_;
    for (std::size_t i = 0; i < all.size(); ++i)
        if (concerned(i, positions, all[i])) judge(view_, view_.circuit().expectations[i], s, positions, point, all[i]);
}

std::vector<Judged> Expecting::judged(const Behaviour& behaviour) const {
    using What = Expectation::What;
    using Verdict = Judged::Verdict;
    std::vector<Judged> all;
    for (std::size_t i = 0; i < standing_.size(); ++i) {
        const Expectation& e = view_.circuit().expectations[i];
        Judged j = standing_[i];
        // Who says "with S3 on" does not think of the moment in which the starter turns, unless it cannot be otherwise.
        // What must be off must be so then too.
        const bool then_too = j.verdict == Verdict::no_case || e.what == What::off || e.what == What::never_with;
        if (open(j.verdict) && then_too && cranking_[i].verdict != Verdict::no_case) j = cranking_[i];
        j.expectation = i;
        if (e.what == What::not_understood)
            j.verdict = Verdict::not_understood;
        else if (e.when.engine_running.value_or(behaviour.conditions.engine_running) !=
                 behaviour.conditions.engine_running)
            j.verdict = Verdict::other_engine;
        else if (open(j.verdict) && !behaviour.jointly)
            j.verdict = Verdict::undecided;
        all.push_back(std::move(j));
    }
    return all;
}

std::vector<Judged> judge_expectations(const Behaviour& behaviour) {
    Expecting expecting(behaviour.model().view());
    for (StateId s = 0; s < behaviour.states.size(); ++s)
        if (const Positions& positions = behaviour.states[s].positions;
            behaviour.states[s].stable && expecting.asks(positions))
            expecting.see(s, positions, behaviour.point(s));
    return expecting.judged(behaviour);
}

} // namespace loomproof::solve
