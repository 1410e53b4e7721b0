#include "solve/states.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace loomproof::solve {

namespace {

std::vector<Variable> variables_of(const Model& model) {
    const Circuit& c = model.circuit();
    std::vector<Variable> all;
    for (ControlId id : model.controls()) {
        const Control& control = c.at(id);
        if (control.type == Control::Type::relay || control.positions.size() < 2) continue;
        const auto same = [&](const Variable& v) {
            const Control& first = c.at(v.controls.front());
            return control.type == Control::Type::condition && first.type == Control::Type::condition && equal_ignoring_case(first.name, control.name);
        };
        const auto known = std::ranges::find_if(all, same);
        if (known != all.end())
            known->controls.push_back(id);
        else
            all.push_back({{id}});
    }
    return all;
}

constexpr std::size_t most_in_walk = 256; // situations of the walk to where most is taken

/// Breadth-first over operations.
class Search {
  public:
    Search(const View& view, const ExploreOptions& options, Behaviour& out)
        : view_(view), c_(view.circuit()), cold_(view, without_warmth(options.conditions)), out_(out), all_(cold_, limits(options), options.most) {}

    void run() {
        out_.variables = variables_of(cold_);
        for (std::uint32_t v = 0; v < out_.variables.size(); ++v)
            if (c_.at(out_.variables[v].controls.front()).type == Control::Type::engine) engine_ = v;
        has_starter_ = std::ranges::any_of(view_.parts(), [&](PartId p) { return c_.at(p).kind == Kind::starter; });
        settle(all_.find(at_rest(c_)), 0, std::nullopt);
        for (StateId s = 0; s < out_.states.size(); ++s)
            for (std::uint32_t v = 0; v < out_.variables.size() && !dying_.contains(s); ++v) operate(s, v);
        if (!out_.complete && !out_.states.empty()) walk_to_most();
        out_.situations = all_.size();
    }

    std::span<const double> nodes(StateId s) const { return all_.at(situation_[s]).nodes; }

  private:
    static Conditions without_warmth(Conditions conditions) {
        conditions.warmed = false; // relays are faster than copper warms up
        return conditions;
    }
    std::vector<Limits> limits(const ExploreOptions& options) const {
        std::vector<Limits> all;
        for (const Coil& coil : cold_.coils()) {
            const Primitive& p = c_.at(coil.primitive);
            all.push_back(usual_limits(p.voltage.known() ? p.voltage.nominal : c_.vehicle.system));
            for (const auto& [control, known] : options.limits)
                if (control == coil.control) all.back() = known;
        }
        return all;
    }

    /// The engine: what it may do next.
    void drive(StateId s) {
        const EngineDoes now = cold_.engine_does(out_.states[s].positions);
        const auto go = [&](EngineDoes does) {
            const auto to = cold_.engine_position(does);
            const std::uint32_t at = out_.variables[*engine_].controls.front().index;
            if (!to || *to == out_.states[s].positions[at]) return false;
            Positions p = out_.states[s].positions;
            p[at] = *to;
            settle(all_.find(p, nodes(s)), s, Operation{*engine_, out_.states[s].positions[at], *to});
            return true;
        };
        const auto run = [&] { return go(EngineDoes::idles) || go(EngineDoes::runs); };
        switch (now) {
        case EngineDoes::nothing:
            if (!has_starter_) { // it is pushed, or swung by hand
                if (c_.engine->kept_alive() && cold_.engine_lives(out_.states[s].positions, nodes(s))) run();
            } else if (cold_.starter_turns(nodes(s)) && !go(EngineDoes::cranks))
                run();
            break;
        case EngineDoes::cranks:
            run();
            break;
        case EngineDoes::idles: go(EngineDoes::runs); break;
        case EngineDoes::runs: go(EngineDoes::idles); break;
        }
        if (now != EngineDoes::nothing) go(EngineDoes::nothing);
    }
    /// Must the engine stop here by itself?
    bool dies(StateId s) const {
        if (!engine_) return false;
        const State& state = out_.states[s];
        const EngineDoes now = cold_.engine_does(state.positions);
        if (now == EngineDoes::nothing) return false;
        if (now == EngineDoes::cranks) return !cold_.starter_turns(nodes(s));
        if (c_.engine->kept_alive()) return !cold_.engine_lives(state.positions, nodes(s));
        if (!key_) return false;
        const ControlId key = out_.variables[*key_].controls.front();
        return state.positions[key.index] == c_.at(key).rest;
    }
    /// Which switch cranked it: the last one that a hand turned.
    void find_key(StateId s) {
        while (!key_ && out_.states[s].by) {
            const std::uint32_t v = out_.states[s].by->variable;
            const Control::Type type = c_.at(out_.variables[v].controls.front()).type;
            if (type == Control::Type::hand || type == Control::Type::condition) key_ = v;
            s = out_.states[s].before;
        }
    }

    void operate(StateId s, std::uint32_t v) {
        if (v == engine_) return drive(s);
        const Control& control = c_.at(out_.variables[v].controls.front());
        const std::uint8_t at = out_.states[s].positions[out_.variables[v].controls.front().index];
        const auto go = [&](int to) {
            if (to < 0 || to >= static_cast<int>(control.positions.size())) return;
            Positions p = out_.states[s].positions;
            for (ControlId id : out_.variables[v].controls) p[id.index] = static_cast<std::uint8_t>(to);
            settle(all_.find(p, nodes(s)), s, Operation{v, at, static_cast<std::uint8_t>(to)});
        };
        go(at + 1);
        go(at - 1);
    }

    /// Everything on that can be on together, as nearly as one control after the other finds it.
    void walk_to_most() {
        all_.allow(all_.size() + most_in_walk);
        StateId at = 0;
        double most = taken(at);
        for (int round = 0; round < 2; ++round)
            for (std::uint32_t v = 0; v < out_.variables.size(); ++v) {
                for (const int step : {1, -1}) {
                    StateId best = at;
                    for (std::optional<StateId> next = at; (next = moved(*next, v, step));)
                        if (const double here = taken(*next); here > most * (1 + 1e-6) && !out_.states[*next].held) most = here, best = *next;
                    at = best;
                }
            }
    }
    /// Where a control comes to rest one position further; nothing where it cannot, or where nothing comes to rest.
    std::optional<StateId> moved(StateId s, std::uint32_t v, int step) {
        const Control& control = c_.at(out_.variables[v].controls.front());
        const int to = out_.states[s].positions[out_.variables[v].controls.front().index] + step;
        if (to < 0 || to >= static_cast<int>(control.positions.size())) return std::nullopt;
        Positions p = out_.states[s].positions;
        for (ControlId id : out_.variables[v].controls) p[id.index] = static_cast<std::uint8_t>(to);
        const auto start = all_.find(p, nodes(s));
        if (!start) return std::nullopt;
        settle(start, s, Operation{v, static_cast<std::uint8_t>(to - step), static_cast<std::uint8_t>(to)});
        const Settled settled = all_.settle(*start);
        if (settled.ends.empty()) return std::nullopt;
        return state(settled.ends.front(), s, Operation{v, static_cast<std::uint8_t>(to - step), static_cast<std::uint8_t>(to)});
    }
    /// What all sources deliver, in watts.
    double taken(StateId s) {
        const Point point = cold_.point(out_.states[s].positions, nodes(s));
        double watts = 0;
        for (PrimitiveId p : cold_.view().primitives())
            if (c_.at(p).element == Element::source) watts -= std::min(0.0, point.power(p).si);
        return watts;
    }

    void settle(std::optional<SituationId> found, StateId before, std::optional<Operation> by) {
        if (!found) {
            out_.complete = false;
            return;
        }
        const SituationId start = *found;
        if (!settled_.insert(start).second) return; // its ends are states already, with ways that are no longer
        const Settled s = all_.settle(start);
        if (s.cut_short) out_.complete = false;
        std::vector<StateId> ends;
        for (SituationId end : s.ends) ends.push_back(state(end, before, by));
        for (StateId end : ends) {
            if (by && by->variable == engine_) find_key(before);
            if (!dies(end)) continue;
            out_.states[end].stable = false;
            if (dying_.insert(end).second && cold_.engine_does(out_.states[end].positions) != EngineDoes::cranks) out_.dying.push_back(end);
            const std::uint32_t at = out_.variables[*engine_].controls.front().index;
            Positions p = out_.states[end].positions;
            const Operation stops{*engine_, p[at], *cold_.engine_position(EngineDoes::nothing), true};
            p[at] = stops.to;
            settle(all_.find(p, nodes(end)), end, stops);
        }
        if (!all_.at(start).solved) trouble({Trouble::Kind::not_solved, true, before, by, {}, {}});
        for (const Chatter& chatter : s.chatter) {
            Trouble t{Trouble::Kind::chatter, chatter.certain, before, by, {}, {}};
            for (std::uint16_t relay : chatter.relays) t.relays.push_back(cold_.coils()[relay].control);
            for (SituationId id : chatter.situations) t.ends.push_back(state(id, before, by));
            trouble(std::move(t));
        }
        if (s.race() || s.on_limits()) {
            if (s.race()) ends.resize(s.sure);
            Trouble t{s.race() ? Trouble::Kind::race : Trouble::Kind::on_limits, s.race(), before, by, {}, ends};
            for (const Coil& coil : cold_.coils())
                if (std::ranges::any_of(ends, [&](StateId end) { return out_.states[end].positions[coil.control.index] != out_.states[ends.front()].positions[coil.control.index]; }))
                    t.relays.push_back(coil.control);
            trouble(std::move(t));
        }
    }

    StateId state(SituationId id, StateId before, std::optional<Operation> by) {
        const auto [at, fresh] = state_of_.try_emplace(id, static_cast<StateId>(out_.states.size()));
        if (!fresh) return at->second;
        State s;
        s.positions = all_.at(id).positions;
        s.before = out_.states.empty() ? 0 : before;
        s.by = by;
        s.stable = all_.at(id).stable();
        for (const Variable& v : out_.variables) s.held = s.held || (c_.at(v.controls.front()).springs_back >> s.positions[v.controls.front().index] & 1) != 0;
        out_.states.push_back(std::move(s));
        situation_.push_back(id);
        return at->second;
    }

    void trouble(Trouble t) {
        const bool told = std::ranges::any_of(out_.troubles, [&](const Trouble& known) {
            return known.kind == t.kind && known.relays == t.relays && (known.certain || !t.certain);
        });
        if (!told) out_.troubles.push_back(std::move(t));
    }

    const View& view_;
    const Circuit& c_;
    Model cold_;
    Behaviour& out_;
    Situations all_;
    std::optional<std::uint32_t> engine_; ///< index into Behaviour::variables
    std::optional<std::uint32_t> key_;    ///< the switch that cranks it, once seen
    bool has_starter_ = false;
    std::set<StateId> dying_; ///< the engine stops there before anybody can do anything
    std::vector<SituationId> situation_; ///< by state
    std::map<SituationId, StateId> state_of_;
    std::set<SituationId> settled_;
};

void widen(std::optional<Extreme>& extreme, double value, StateId at) {
    if (!extreme) extreme = Extreme{value, value, at, at};
    // A difference that no meter shows is none: the shortest way wins.
    const double slack = 5e-4 * std::max(std::abs(extreme->low), std::abs(extreme->high));
    if (value < extreme->low - slack) extreme->low = value, extreme->low_at = at;
    if (value > extreme->high + slack) extreme->high = value, extreme->high_at = at;
}

} // namespace

Behaviour explore(const View& view, const ExploreOptions& options) {
    Behaviour out;
    out.conditions = options.conditions;
    Search search(view, options, out);
    search.run();
    out.model_ = std::make_shared<Model>(view, options.conditions);
    out.not_known = out.model_->not_known();
    const Circuit& c = view.circuit();
    out.wire_amps.resize(c.wires.size());
    out.primitive_amps.resize(c.primitives.size());
    out.primitive_volts.resize(c.primitives.size());
    for (StateId s = 0; s < out.states.size(); ++s) {
        if (!out.states[s].stable) continue;
        const Point now = out.model_->point(out.states[s].positions, search.nodes(s));
        const auto see = [&](std::optional<Extreme>& extreme, const auto& value, bool sign) {
            if (value) widen(extreme, sign ? value->si : std::abs(value->si), s);
        };
        for (WireId w : view.wires()) see(out.wire_amps[w.index], now.wire_amps[w.index], false);
        for (PrimitiveId p : view.primitives()) {
            see(out.primitive_amps[p.index], now.primitive_amps[p.index], false);
            see(out.primitive_volts[p.index], now.primitive_volts[p.index], true);
        }
        if (options.see) options.see(s, out.states[s], now);
    }
    return out;
}

std::vector<Operation> Behaviour::way_to(StateId s) const {
    std::vector<Operation> way;
    while (states[s].by) {
        way.push_back(*states[s].by);
        s = states[s].before;
    }
    std::ranges::reverse(way);
    return way;
}

Point Behaviour::point(StateId s) const { return model_->point(states[s].positions); }

std::optional<StateId> Behaviour::find(const Positions& wanted) const {
    for (StateId s = 0; s < states.size(); ++s) {
        const bool same = std::ranges::all_of(variables, [&](const Variable& v) {
            const std::uint32_t at = v.controls.front().index;
            return states[s].positions[at] == wanted[at];
        });
        if (same && states[s].stable) return s;
    }
    return std::nullopt;
}

} // namespace loomproof::solve
