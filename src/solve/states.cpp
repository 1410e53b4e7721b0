#include "solve/states.hpp"

#include "base/words.hpp"
#include "solve/cones.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <ranges>
#include <set>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_in_walk = 256; // situations of the walk to where most is taken

/// Breadth-first over operations.
class Search {
  public:
    Search(const View& view, const ExploreOptions& options, Behaviour& out)
        : view_(view),
          c_(view.circuit()),
          cold_(view, without_warmth(options.conditions)),
          out_(out),
          all_(cold_, limits(options), options.most),
          options_(options) {}

    void run() {
        out_.variables = variables_of(cold_);
        for (std::uint32_t v = 0; v < out_.variables.size(); ++v)
            if (c_.at(out_.variables[v].controls.front()).type == Control::Type::engine) engine_ = v;
        has_starter_ = std::ranges::any_of(view_.parts(), [&](PartId p) { return c_.at(p).kind == Kind::starter; });
        settle(all_.find(at_rest(c_)), 0, std::nullopt);
        std::vector<std::uint32_t> all(out_.variables.size());
        std::iota(all.begin(), all.end(), 0U);
        double product = 1;
        for (const Variable& v : out_.variables)
            product *= static_cast<double>(c_.at(v.controls.front()).positions.size());
        std::vector<StateId> first(out_.states.size());
        std::iota(first.begin(), first.end(), StateId{0});
        const bool together = !options_.in_groups && product <= static_cast<double>(options_.most);
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

    /// All that can be reached from `starts` by operating these variables. False where `most` situations more did not do.
    bool explore(const std::vector<std::uint32_t>& variables, std::vector<StateId> starts, std::size_t most) {
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

    /// What one group of controls draws in one of its situations, more than at rest.
    struct Draw {
        SituationId at = 0;
        std::vector<double> more; ///< by node
    };

    void in_groups(const std::vector<StateId>& first) {
        const Cones cones = find_cones(cold_, out_.variables);
        out_.groups = cones.groups.size();
        out_.complete = true;
        limit_ = all_.size() + options_.most * options_.most_groups;
        std::vector<std::vector<std::uint32_t>> operated;
        for (const Cones::Group& g : cones.groups) {
            operated.push_back(cones.modes);
            operated.back().insert(operated.back().end(), g.variables.begin(), g.variables.end());
            std::ranges::sort(operated.back());
        }
        if (cones.groups.empty()) operated.push_back(cones.modes);
        std::vector<std::map<SituationId, StateId>> passed(operated.size());
        const auto look = [&](std::size_t g, std::vector<StateId> starts) {
            for (StateId s : starts) passed[g].try_emplace(situation_[s], s);
            pass_ = [&](SituationId id, StateId before) { passed[g].try_emplace(id, before); };
            const std::size_t room = limit_ > all_.size() ? std::min(options_.most, limit_ - all_.size()) : 0;
            if (!explore(operated[g], std::move(starts), room)) leave_open(operated[g]);
            pass_ = {};
        };
        for (std::size_t g = 0; g < operated.size(); ++g) look(g, first);
        // A group alone cannot start the engine unless its own switch does.
        const auto runs = std::ranges::find_if(out_.states, [&](const State& s) {
            return s.stable && cold_.engine_does(s.positions) == EngineDoes::idles;
        });
        if (engine_ && runs != out_.states.end())
            for (std::size_t g = 0; g < operated.size(); ++g)
                look(g, {static_cast<StateId>(runs - out_.states.begin())});
        for (int round = 0; round < 3; ++round)
            if (!look_in_contexts(cones, operated, passed, look)) break;
    }

    void leave_open(const std::vector<std::uint32_t>& variables) {
        out_.complete = false;
        for (std::uint32_t v : variables)
            for (ControlId control : out_.variables[v].controls)
                if (std::ranges::find(out_.unseen, control) == out_.unseen.end()) out_.unseen.push_back(control);
    }
    /// For one more walk; else the group stays open.
    bool room_left(const std::vector<std::uint32_t>& group) {
        if (all_.size() >= limit_) return leave_open(group), false;
        all_.allow(std::min(limit_, all_.size() + most_in_walk));
        return true;
    }

    /// The positions of some variables, as a key.
    std::string key(SituationId id, const std::vector<std::uint32_t>& variables) const {
        std::string out;
        for (std::uint32_t v : variables)
            out += static_cast<char>(all_.at(id).positions[out_.variables[v].controls.front().index]);
        return out;
    }
    /// Are all variables at rest but these?
    bool rest_but(SituationId id, const std::vector<std::uint32_t>& these) const {
        for (std::uint32_t v = 0; v < out_.variables.size(); ++v) {
            const ControlId control = out_.variables[v].controls.front();
            if (!std::ranges::binary_search(these, v) && all_.at(id).positions[control.index] != c_.at(control).rest)
                return false;
        }
        return true;
    }

    /// For each relay of each group, in each situation that is passed with the other groups at rest: could what those draw push its volts over
    /// one of its limits? Then the group is explored once more with the others so. False where nothing new came of it.
    template <class Look>
    bool look_in_contexts(const Cones& cones, const std::vector<std::vector<std::uint32_t>>& operated,
                          std::vector<std::map<SituationId, StateId>>& passed, const Look& look) {
        constexpr double margin = 3; // of an estimate (measured on random circuits: 1.5 misses some, 3 none)
        std::map<SituationId, Model::Felt> felt;
        for (std::size_t g = 0; g < passed.size(); ++g)
            for (const auto& [id, before] : passed[g])
                if (!felt.contains(id) && rest_but(id, operated[g]))
                    felt[id] = cold_.felt(all_.at(id).positions, all_.at(id).nodes);
        std::map<std::string, std::vector<double>> at_rest; // by positions of the modes
        for (const auto& [id, f] : felt)
            if (rest_but(id, cones.modes) && all_.at(id).stable()) at_rest.try_emplace(key(id, cones.modes), f.drawn);
        std::map<std::pair<std::string, std::size_t>, std::vector<Draw>> draws; // by positions of the modes and group
        for (std::size_t g = 0; g < cones.groups.size(); ++g)
            for (const auto& [id, before] : passed[g]) {
                const auto rest = at_rest.find(key(id, cones.modes));
                if (!felt.contains(id) || rest == at_rest.end() || !all_.at(id).stable()) continue;
                Draw d{id, felt[id].drawn};
                double largest = 0;
                for (std::size_t n = 0; n < d.more.size(); ++n)
                    largest = std::max(largest, std::abs(d.more[n] -= rest->second[n]));
                std::vector<Draw>& known = draws[{key(id, cones.modes), g}];
                const auto same = [&](const Draw& k) {
                    return std::ranges::equal(k.more, d.more,
                                              [](double x, double y) { return std::abs(x - y) <= 1e-3; });
                };
                if (largest > 1e-3 && std::ranges::none_of(known, same)) known.push_back(std::move(d));
            }
        const std::size_t before_all = out_.states.size();
        for (std::size_t g = 0; g < cones.groups.size(); ++g) {
            const std::map<SituationId, StateId> now = passed[g];
            for (const auto& [id, before] : now) {
                if (!felt.contains(id)) continue;
                for (std::uint16_t relay : cones.groups[g].relays)
                    for (const double sign : {1.0, -1.0}) {
                        double change = 0;
                        std::vector<std::pair<std::size_t, SituationId>> chosen; // group, and how it stands
                        for (std::size_t h = 0; h < cones.groups.size(); ++h) {
                            const auto list = draws.find({key(id, cones.modes), h});
                            if (h == g || list == draws.end()) continue;
                            double most = 0;
                            SituationId which = 0;
                            for (const Draw& d : list->second) {
                                const double effect = -sign * std::inner_product(d.more.begin(), d.more.end(),
                                                                                 felt[id].gain[relay].begin(), 0.0);
                                if (effect > most) most = effect, which = d.at;
                            }
                            if (most > 1e-4) chosen.emplace_back(h, which), change += most;
                        }
                        const double volts = all_.at(id).coil_volts[relay];
                        if (chosen.empty() || !all_.crosses(id, relay, volts, volts + sign * margin * change)) continue;
                        // Those with relays first: what takes only current away keeps relays from pulling in, but lets them stay.
                        std::ranges::stable_partition(
                            chosen, [&](const auto& one) { return !cones.groups[one.first].relays.empty(); });
                        // The others come first, or last.
                        const auto itself = state_of_.find(id);
                        for (StateId from : {before, itself == state_of_.end() ? before : itself->second}) {
                            const auto fresh = static_cast<StateId>(out_.states.size());
                            // On the way there too: one relay may need the volts that another must not have. Who makes
                            // relays of those before fall off, or does not come to rest, takes less away than without.
                            StateId at = from;
                            std::vector<std::pair<std::size_t, SituationId>> standing;
                            for (const auto& one : chosen) {
                                const auto there = put(at, one.second, cones.groups[one.first].relays, operated[g]);
                                if (!there) continue;
                                if (!passed[g].contains(situation_[*there])) look(g, {*there});
                                standing.push_back(one);
                                if (stands(*there, cones, standing))
                                    at = *there;
                                else
                                    standing.pop_back();
                            }
                            // A relay that the others made pull in or drop may stay so when they are off again.
                            const auto last = static_cast<StateId>(out_.states.size());
                            for (StateId s = fresh; s < last; ++s)
                                if (const auto back = out_.states[s].stable ? put_back(s, operated[g]) : std::nullopt;
                                    back && !passed[g].contains(situation_[*back]))
                                    look(g, {*back});
                        }
                    }
            }
        }
        return out_.states.size() > before_all;
    }
    /// Do the relays of these groups stand as they do in these situations?
    bool stands(StateId s, const Cones& cones, std::span<const std::pair<std::size_t, SituationId>> chosen) const {
        return std::ranges::all_of(chosen, [&](const auto& one) {
            return std::ranges::all_of(cones.groups[one.first].relays, [&](std::uint16_t relay) {
                return all_.position(situation_[s], relay) == all_.position(one.second, relay);
            });
        });
    }
    /// From a state, what was done to get to the chosen situation, as far as it concerns the other variables, relays coming to rest as
    /// they did there where they can. Nothing where the circuit does not come to rest on the way.
    std::optional<StateId> put(StateId s, SituationId chosen, std::span<const std::uint16_t> relays,
                               const std::vector<std::uint32_t>& keep) {
        if (!room_left(keep)) return std::nullopt;
        std::vector<StateId> way;
        for (StateId at = state_of_.at(chosen); out_.states[at].by; at = out_.states[at].before) way.push_back(at);
        for (StateId there : way | std::views::reverse) {
            const Operation o = *out_.states[there].by;
            if (std::ranges::binary_search(keep, o.variable) || o.variable == engine_) continue;
            const std::uint32_t at = out_.variables[o.variable].controls.front().index;
            while (out_.states[s].positions[at] != o.to) {
                const auto next = moved(s, o.variable, out_.states[s].positions[at] < o.to ? 1 : -1, {there, relays});
                if (!next) return std::nullopt;
                s = *next;
            }
        }
        return s;
    }

    /// From a state, all other variables back to rest.
    std::optional<StateId> put_back(StateId s, const std::vector<std::uint32_t>& keep) {
        if (!room_left(keep)) return std::nullopt;
        for (std::uint32_t v = 0; v < out_.variables.size(); ++v) {
            const std::uint32_t at = out_.variables[v].controls.front().index;
            const std::uint8_t rest = c_.controls[at].rest;
            if (std::ranges::binary_search(keep, v) || v == engine_) continue;
            while (out_.states[s].positions[at] != rest) {
                const auto next = moved(s, v, out_.states[s].positions[at] < rest ? 1 : -1);
                if (!next) return std::nullopt;
                s = *next;
            }
        }
        return s;
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
        case EngineDoes::cranks: run(); break;
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
                        if (const double here = taken(*next); here > most * (1 + 1e-6) && !out_.states[*next].held)
                            most = here, best = *next;
                    at = best;
                }
            }
    }
    /// Where a control comes to rest one position further; nothing where it cannot, or where nothing comes to rest. Of several ends the
    /// first in which most of the relays that are named stand as in that state.
    using Like = std::pair<StateId, std::span<const std::uint16_t>>;
    std::optional<StateId> moved(StateId s, std::uint32_t v, int step, const Like& like = {}) {
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
    double taken(StateId s) {
        const Point point = cold_.point(out_.states[s].positions, nodes(s));
        double watts = 0;
        for (PrimitiveId p : cold_.view().primitives())
            if (c_.at(p).element == Element::source) watts -= std::min(0.0, point.power(p).si);
        return watts;
    }

    void stop_engine(StateId s) {
        const std::uint32_t at = out_.variables[*engine_].controls.front().index;
        Positions p = out_.states[s].positions;
        const Operation stops{*engine_, p[at], *cold_.engine_position(EngineDoes::nothing), true};
        p[at] = stops.to;
        settle(all_.find(p, nodes(s)), s, stops);
    }

    void settle(std::optional<SituationId> found, StateId before, std::optional<Operation> by) {
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
            trouble(std::move(t));
        }
        if (s.race() || s.on_limits()) {
            if (s.race()) ends.resize(s.sure);
            Trouble t{s.race() ? Trouble::Kind::race : Trouble::Kind::on_limits, s.race(), before, by, {}, ends};
            for (const Coil& coil : cold_.coils())
                if (std::ranges::any_of(ends, [&](StateId end) {
                        return out_.states[end].positions[coil.control.index] !=
                               out_.states[ends.front()].positions[coil.control.index];
                    }))
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
        for (const Variable& v : out_.variables)
            s.held =
                s.held || (c_.at(v.controls.front()).springs_back >> s.positions[v.controls.front().index] & 1) != 0;
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
    std::set<StateId> dying_;            ///< the engine stops there before anybody can do anything
    std::vector<SituationId> situation_; ///< by state
    std::map<SituationId, StateId> state_of_;
    struct Ends {
        std::vector<StateId> states;
        std::vector<SituationId> passed;
        bool cut_short = false;
    };
    std::map<SituationId, Ends> settled_;
    const ExploreOptions& options_;
    std::function<void(StateId)> row_; ///< told each state that an operation of the present exploration ends in
    std::function<void(SituationId, StateId before)>
        pass_;              ///< told each situation that is passed behind a state's operation
    std::size_t limit_ = 0; ///< of situations, for all groups
    bool short_ = false;    ///< the present exploration met a limit
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

} // namespace loomproof::solve
