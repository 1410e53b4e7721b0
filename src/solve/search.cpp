#include "solve/search.hpp"

#include <algorithm>
#include <numeric>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_in_walk = 256; // situations of the walk to where most is taken

Conditions without_warmth(Conditions conditions) {
    conditions.warmed = false; // relays are faster than copper warms up
    return conditions;
}

std::vector<Limits> limits_of(const Model& model, const ExploreOptions& options) {
    std::vector<Limits> all;
    for (const Coil& coil : model.coils()) {
        const Primitive& p = model.circuit().at(coil.primitive);
        all.push_back(solve::limits_of(model.circuit(), p));
        for (const auto& [control, known] : options.limits)
            if (control == coil.control) all.back() = known;
    }
    return all;
}

} // namespace

Search::Search(const View& view, const ExploreOptions& options, Behaviour& out)
    : view_(view),
      c_(view.circuit()),
      cold_(view, without_warmth(options.conditions)),
      out_(out),
      all_(cold_, limits_of(cold_, options), options.most),
      options_(options) {}

void Search::run() {
    out_.variables = variables_of(cold_);
    for (std::uint32_t v = 0; v < out_.variables.size(); ++v)
        if (c_.at(out_.variables[v].controls.front()).type == Control::Type::engine) engine_ = v;
    if (engine_) ignition_ = ignition_on(view_);
    has_starter_ = std::ranges::any_of(view_.parts(), [&](PartId p) { return c_.at(p).kind == Kind::starter; });
    settle(all_.find(at_rest(c_)), 0, std::nullopt);
    std::vector<std::uint32_t> all(out_.variables.size());
    std::iota(all.begin(), all.end(), 0U);
    std::vector<StateId> first(out_.states.size());
    std::iota(first.begin(), first.end(), StateId{0});
    const bool together = !options_.in_groups && size_of(all) <= static_cast<double>(options_.most);
    if (together) out_.complete = explore(all, first, options_.most);
    out_.jointly = together && out_.complete && !out_.states.empty();
    if (out_.states.empty()) {
        out_.complete = false;
    } else if (!out_.jointly) {
        in_groups(first);
        walk_to_most();
    }
    out_.situations = all_.size();
}

double Search::size_of(const std::vector<std::uint32_t>& variables) const {
    double product = 1;
    for (std::uint32_t v : variables)
        product *= static_cast<double>(c_.at(out_.variables[v].controls.front()).positions.size());
    return product;
}

/// All that can be reached from `starts` by operating these variables. False where `most` situations more did not do.
bool Search::explore(const std::vector<std::uint32_t>& variables, std::vector<StateId> starts, std::size_t most) {
    all_.allow(all_.size() + most);
    short_ = false;
    std::vector<StateId>& row = starts;
    std::set<StateId> seen(row.begin(), row.end());
    row_ = [&](StateId s) {
        if (seen.insert(s).second) row.push_back(s);
    };
    for (std::size_t i = 0; i < row.size(); ++i) {
        const StateId s = row[i];
        for (std::uint32_t v : variables)
            if (!dying_.contains(s)) operate(s, v);
    }
    row_ = {};
    return !short_;
}
/// The engine: what it may do next.
void Search::drive(StateId s) {
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
            if (c_.engine->kept_alive() ? cold_.engine_lives(out_.states[s].positions, nodes(s)) : ignition_holds(s))
                run();
        } else if (cold_.starter_turns(nodes(s)) && !go(EngineDoes::cranks))
            run();
        break;
    case EngineDoes::cranks: run(); break;
    case EngineDoes::idles: go(EngineDoes::runs); break;
    case EngineDoes::runs: go(EngineDoes::idles); break;
    }
    if (now != EngineDoes::nothing) go(EngineDoes::nothing);
}
/// Must the engine stop here by itself?
bool Search::dies(StateId s) const {
    if (!engine_) return false;
    const State& state = out_.states[s];
    const EngineDoes now = cold_.engine_does(state.positions);
    if (now == EngineDoes::nothing) return false;
    if (now == EngineDoes::cranks) return !cold_.starter_turns(nodes(s));
    if (c_.engine->kept_alive()) return !cold_.engine_lives(state.positions, nodes(s));
    if (!has_starter_) return !ignition_holds(s);
    if (!key_) return false;
    const ControlId key = out_.variables[*key_].controls.front();
    return state.positions[key.index] == c_.at(key).rest;
}
/// Without a starter and a word about what keeps it alive: whatever switches the ignition on stands so.
bool Search::ignition_holds(StateId s) const {
    const Positions& now = out_.states[s].positions;
    return std::ranges::all_of(ignition_,
                               [&](const Wish::At& w) { return (w.positions >> now[w.control.index] & 1) != 0; });
}
/// Which switch cranked it: the last one that a hand turned.
void Search::find_key(StateId s) {
    while (!key_ && out_.states[s].by) {
        const std::uint32_t v = out_.states[s].by->variable;
        const Control::Type type = c_.at(out_.variables[v].controls.front()).type;
        if (type == Control::Type::hand || type == Control::Type::condition) key_ = v;
        s = out_.states[s].before;
    }
}

void Search::operate(StateId s, std::uint32_t v) {
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
void Search::walk_to_most() {
    all_.allow(all_.size() + most_in_walk);
    StateId at = 0;
    double most = taken(at);
    for (int round = 0; round < 2; ++round)
        for (std::uint32_t v = 0; v < out_.variables.size(); ++v) {
            for (const int step : {1, -1}) {
                StateId best = at;
                for (std::optional<StateId> next = at; (next = moved(*next, v, step));)
                    if (const double here = taken(*next); here > most * (1 + 1e-6) && !out_.states[*next].held)
                        most = here, best = *next;
                at = best;
            }
        }
}
/// Where a control comes to rest one position further; nothing where it cannot, or where nothing comes to rest. Of several ends the
/// first in which most of the relays that are named stand as in that state.
std::optional<StateId> Search::moved(StateId s, std::uint32_t v, int step, const Like& like) {
    const Control& control = c_.at(out_.variables[v].controls.front());
    const int to = out_.states[s].positions[out_.variables[v].controls.front().index] + step;
    if (to < 0 || to >= static_cast<int>(control.positions.size())) return std::nullopt;
    Positions p = out_.states[s].positions;
    for (ControlId id : out_.variables[v].controls) p[id.index] = static_cast<std::uint8_t>(to);
    const auto start = all_.find(p, nodes(s));
    if (!start) return std::nullopt;
    const Operation o{v, static_cast<std::uint8_t>(to - step), static_cast<std::uint8_t>(to)};
    settle(start, s, o);
    const Settled settled = all_.settle(*start);
    if (settled.ends.empty()) return std::nullopt;
    const auto unlike = [&](SituationId end) {
        return std::ranges::count_if(like.second, [&](std::uint16_t relay) {
            return all_.position(end, relay) != all_.position(situation_[like.first], relay);
        });
    };
    return state(*std::ranges::min_element(settled.ends, {}, unlike), s, o);
}
/// What all sources deliver, in watts.
double Search::taken(StateId s) {
    const Point point = cold_.point(out_.states[s].positions, nodes(s));
    double watts = 0;
    for (PrimitiveId p : cold_.view().primitives())
        if (c_.at(p).element == Element::source && c_.at(p).purpose != Purpose::conversion)
            watts -= std::min(0.0, point.power(p).si);
    return watts;
}

void Search::stop_engine(StateId s) {
    const std::uint32_t at = out_.variables[*engine_].controls.front().index;
    Positions p = out_.states[s].positions;
    const Operation stops{*engine_, p[at], *cold_.engine_position(EngineDoes::nothing), true};
    p[at] = stops.to;
    settle(all_.find(p, nodes(s)), s, stops);
}

void Search::settle(std::optional<SituationId> found, StateId before, std::optional<Operation> by) {
    if (!found) {
        short_ = true;
        return;
    }
    const SituationId start = *found;
    std::vector<StateId> ends;
    const auto known = settled_.find(start); // its ends are states already, with ways that are no longer
    if (known != settled_.end() && !known->second.cut_short) {
        if (pass_)
            for (SituationId id : known->second.passed) pass_(id, before);
        for (StateId end : known->second.states) {
            if (row_) row_(end);
            if (row_ && dying_.contains(end)) stop_engine(end);
        }
        tell_ends(known->second, before, by);
        return;
    }
    const Settled s = all_.settle(start);
    short_ = short_ || s.cut_short;
    Ends& all = settled_[start];
    all.cut_short = s.cut_short;
    all.passed = s.passed;
    if (pass_)
        for (SituationId id : s.passed) pass_(id, before);
    for (SituationId end : s.ends) ends.push_back(state(end, before, by));
    all.states = ends;
    for (StateId end : ends) {
        if (row_) row_(end);
        if (by && by->variable == engine_) find_key(before);
        if (!dies(end)) continue;
        out_.states[end].stable = false;
        if (dying_.insert(end).second && cold_.engine_does(out_.states[end].positions) != EngineDoes::cranks)
            out_.dying.push_back(end);
        stop_engine(end);
    }
    if (!all_.at(start).solved) trouble({Trouble::Kind::not_solved, true, before, by, {}, {}});
    for (const Chatter& chatter : s.chatter) {
        Trouble t{Trouble::Kind::chatter, chatter.certain, before, by, {}, {}};
        for (std::uint16_t relay : chatter.relays) t.relays.push_back(cold_.coils()[relay].control);
        for (SituationId id : chatter.situations) {
            t.ends.push_back(state(id, before, by));
            settled_[start].states.push_back(t.ends.back());
            if (row_) row_(t.ends.back());
        }
        // An engine that cannot go on dies all the same while a relay hums.
        if (std::ranges::all_of(t.ends, [&](StateId end) { return dies(end); })) {
            for (StateId end : t.ends) {
                if (dying_.insert(end).second && cold_.engine_does(out_.states[end].positions) != EngineDoes::cranks)
                    out_.dying.push_back(end);
                stop_engine(end);
            }
            continue;
        }
        trouble(std::move(t));
    }
    all.at_rest = ends;
    all.sure = s.sure;
    tell_ends(all, before, by);
}

/// Says where an operation may end in more than one way. Out of a chatter it is no race: the moment at which somebody switches decides,
/// and whether it chatters hangs on limits.
void Search::tell_ends(const Ends& all, StateId before, std::optional<Operation> by) {
    if (all.at_rest.size() < 2) return;
    const bool race = all.sure > 1 && (!by || all_.at(situation_[before]).stable());
    std::vector<StateId> ends = all.at_rest;
    if (race) ends.resize(all.sure);
    Trouble t{race ? Trouble::Kind::race : Trouble::Kind::on_limits, race, before, by, {}, ends};
    for (const Coil& coil : cold_.coils())
        if (std::ranges::any_of(ends, [&](StateId end) {
                return out_.states[end].positions[coil.control.index] !=
                       out_.states[ends.front()].positions[coil.control.index];
            }))
            t.relays.push_back(coil.control);
    trouble(std::move(t));
}

StateId Search::state(SituationId id, StateId before, std::optional<Operation> by) {
    const auto [at, fresh] = state_of_.try_emplace(id, static_cast<StateId>(out_.states.size()));
    if (!fresh) return at->second;
    State s;
    s.positions = all_.at(id).positions;
    s.before = out_.states.empty() ? 0 : before;
    s.by = by;
    s.stable = all_.at(id).stable();
    for (const Variable& v : out_.variables)
        s.held = s.held || (c_.at(v.controls.front()).springs_back >> s.positions[v.controls.front().index] & 1) != 0;
    out_.states.push_back(std::move(s));
    situation_.push_back(id);
    return at->second;
}

void Search::trouble(Trouble t) {
    const bool told = std::ranges::any_of(out_.troubles, [&](const Trouble& known) {
        return known.kind == t.kind && known.relays == t.relays && (known.certain || !t.certain);
    });
    if (!told) out_.troubles.push_back(std::move(t));
}

} // namespace loomproof::solve
