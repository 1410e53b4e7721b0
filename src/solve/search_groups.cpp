#include "solve/search.hpp"

#include "solve/joined.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <ranges>

namespace loomproof::solve {

namespace {

constexpr std::size_t most_in_walk = 256; // situations of a walk into a context, or back
constexpr double margin = 3;              // of an estimate (measured on random circuits: 1.5 misses some, 3 none)
constexpr double margin_of_grounds = 1.5; // of what all groups together lift one ground above another
constexpr double margin_of_solved = 1.5;  // of a change that was solved, other circuits as they push most
constexpr double most_joined = 512; // positions of groups that are joined: more take seconds where the wires are many
constexpr std::size_t most_that_join = 20; // controls of a circuit
constexpr double least_effect = 1e-4;      // V at a coil: less is nobody's doing
constexpr double worth_joining =
    0.05; // of what all others do to a coil: who does less is looked at once the rest is joined

} // namespace

Search::Group Search::group_of(std::vector<std::uint32_t> variables, std::vector<std::uint16_t> relays) const {
    Group g;
    g.variables = std::move(variables);
    g.relays = std::move(relays);
    std::ranges::set_union(modes_, g.variables, std::back_inserter(g.operated));
    return g;
}

void Search::in_groups(const std::vector<StateId>& first) {
    const Cones cones = find_cones(cold_, out_.variables);
    modes_ = cones.modes;
    for (const Cones::Group& g : cones.groups) groups_.push_back(group_of(g.variables, g.relays));
    if (groups_.empty()) groups_.push_back(group_of({}, {}));
    out_.complete = true;
    limit_ = all_.size() + options_.most * options_.most_groups;
    for (Group& g : groups_) look(g, first);
    // A group alone cannot start the engine unless its own switch does.
    const auto runs = std::ranges::find_if(
        out_.states, [&](const State& s) { return s.stable && cold_.engine_does(s.positions) == EngineDoes::idles; });
    if (engine_ && runs != out_.states.end()) {
        runs_ = static_cast<StateId>(runs - out_.states.begin());
        for (Group& g : groups_) look(g, {*runs_});
    }
    // With very many controls, whom all others can push costs more to find out than a check may take: there contexts are all.
    const bool joins = out_.variables.size() <= most_that_join;
    while (joins && (wake_dead(cones, first) || merge(first))) {}
    if (!joins)
        for (Group& g : groups_) g.feels_too_many = true;
    for (int round = 0; round < 3; ++round) {
        const std::size_t before = out_.states.size();
        look_in_contexts();
        if (out_.states.size() == before) break;
    }
    for (const Group& g : groups_)
        if (joins && g.feels_too_many) leave_open(g.operated);
    out_.groups = cones.groups.empty() ? 0 : groups_.size();
}

void Search::look(Group& g, std::vector<StateId> starts) {
    for (StateId s : starts) g.passed.try_emplace(situation_[s], s);
    pass_ = [&](SituationId id, StateId before) { g.passed.try_emplace(id, before); };
    const std::size_t room = limit_ > all_.size() ? std::min(options_.most, limit_ - all_.size()) : 0;
    if (!explore(g.operated, std::move(starts), room)) leave_open(g.operated);
    pass_ = {};
}

void Search::look_from_start(Group& g, const std::vector<StateId>& first) {
    look(g, first);
    if (runs_) look(g, {*runs_});
}

void Search::leave_open(const std::vector<std::uint32_t>& variables) {
    out_.complete = false;
    for (std::uint32_t v : variables)
        for (ControlId control : out_.variables[v].controls)
            if (std::ranges::find(out_.unseen, control) == out_.unseen.end()) out_.unseen.push_back(control);
}

/// For one more walk; else the group stays open.
bool Search::room_left(const Group& g) {
    if (all_.size() >= limit_) return leave_open(g.operated), false;
    all_.allow(std::min(limit_, all_.size() + most_in_walk));
    return true;
}

/// The positions of some variables, as a key.
std::string Search::key(SituationId id, const std::vector<std::uint32_t>& variables) const {
    std::string out;
    for (std::uint32_t v : variables)
        out += static_cast<char>(all_.at(id).positions[out_.variables[v].controls.front().index]);
    return out;
}

/// Which start all variables but these are left at: "rest", or "runs", where the engine was started. Nothing where some are not.
std::optional<std::string> Search::start_of(SituationId id, const std::vector<std::uint32_t>& but) const {
    const auto as = [&](const Positions& start) {
        for (std::uint32_t v = 0; v < out_.variables.size(); ++v) {
            const std::uint32_t at = out_.variables[v].controls.front().index;
            if (!std::ranges::binary_search(but, v) && all_.at(id).positions[at] != start[at]) return false;
        }
        return true;
    };
    if (as(at_rest(c_))) return "rest";
    if (runs_ && as(out_.states[*runs_].positions)) return "runs";
    return std::nullopt;
}

/// What these relays feel there, and perhaps others: only what a group has can matter to it, and each relay costs a solution.
const Model::Felt& Search::felt(SituationId id, const std::vector<std::uint16_t>& relays) {
    const auto [known, fresh] = felt_.try_emplace(id);
    Model::Felt& felt = known->second;
    const auto lacks = [&](std::uint16_t relay) { return felt.gain[relay].empty(); };
    if (!fresh && std::ranges::none_of(relays, lacks)) return felt;
    std::vector<bool> asked(cold_.coils().size(), false);
    for (std::size_t r = 0; r < felt.gain.size(); ++r) asked[r] = !felt.gain[r].empty();
    for (std::uint16_t relay : relays) asked[relay] = true;
    return felt = cold_.felt(all_.at(id).positions, all_.at(id).nodes, asked);
}

Search::Draws Search::draws() {
    std::map<std::string, std::vector<double>> at_start; // by positions of the modes
    for (const Group& g : groups_)
        for (const auto& [id, before] : g.passed)
            if (const auto start = start_of(id, modes_); start && all_.at(id).stable())
                at_start.try_emplace(key(id, modes_) + *start, felt(id, g.relays).drawn);
    Draws all;
    for (std::size_t g = 0; g < groups_.size(); ++g)
        for (const auto& [id, before] : groups_[g].passed) {
            const auto start = start_of(id, groups_[g].operated);
            if (!start) continue; // those in flight count too: a relay may catch the moment in which another has let go
            const std::string where = key(id, modes_) + *start;
            const auto base = at_start.find(where);
            if (base == at_start.end()) continue;
            Draw d{id, felt(id, groups_[g].relays).drawn};
            double largest = 0;
            for (std::size_t n = 0; n < d.more.size(); ++n)
                largest = std::max(largest, std::abs(d.more[n] -= base->second[n]));
            std::vector<Draw>& known = all[{where, g}];
            const auto same = [&](const Draw& k) {
                return std::ranges::equal(k.more, d.more, [](double x, double y) { return std::abs(x - y) <= 1e-3; });
            };
            if (largest > 1e-3 && std::ranges::none_of(known, same)) known.push_back(std::move(d));
        }
    return all;
}

/// Of each other group the situation that pushes the relay's volts furthest that way; those with relays first: what takes only current
/// away keeps relays from pulling in, but lets them stay.
Search::Context Search::context(const Draws& all, std::size_t group, SituationId id, std::uint16_t relay, double sign) {
    Context out;
    const auto start = start_of(id, groups_[group].operated);
    if (!start) return out;
    const std::string where = key(id, modes_) + *start;
    for (const bool with_relays : {true, false})
        for (std::size_t h = 0; h < groups_.size(); ++h) {
            const auto list = all.find({where, h});
            if (h == group || list == all.end() || groups_[h].relays.empty() == with_relays) continue;
            double most = 0;
            SituationId which = 0;
            const std::vector<double>& gain = felt(id, groups_[group].relays).gain[relay];
            for (const Draw& d : list->second) {
                const double effect = -sign * std::inner_product(d.more.begin(), d.more.end(), gain.begin(), 0.0);
                if (effect > most) most = effect, which = d.at;
            }
            if (most <= least_effect) continue;
            out.chosen.emplace_back(h, which);
            out.effects.push_back(most);
            out.change += most;
        }
    const double volts = all_.at(id).coil_volts[relay];
    if (!all_.crosses(id, relay, volts, volts + sign * margin * out.change)) return {};
    return out;
}

/// Dead atoms through which the volts between grounds could hold a relay are groups like all others. True where there were some that are
/// not in a group yet.
bool Search::wake_dead(const Cones& cones, const std::vector<StateId>& first) {
    double least = 1e300; // V: no relay stays in below
    for (std::size_t r = 0; r < cold_.coils().size(); ++r) least = std::min(least, all_.limits(r).must_release);
    const std::vector<double>& rest = all_.at(situation_[first.front()]).nodes;
    bool woken = false;
    for (const Cones::Dead& dead : cones.dead) {
        const auto inside = [&](const Group& g) {
            return std::ranges::includes(g.operated, dead.group.variables) &&
                   std::ranges::includes(g.relays, dead.group.relays);
        };
        if (std::ranges::any_of(groups_, inside)) continue;
        double high = -1e300, low = 1e300;
        for (std::uint32_t n : dead.grounds) {
            double most = rest[n], least_there = rest[n];
            for (const Group& g : groups_) {
                double up = 0, down = 0;
                for (const auto& [id, before] : g.passed) {
                    up = std::max(up, all_.at(id).nodes[n] - rest[n]);
                    down = std::min(down, all_.at(id).nodes[n] - rest[n]);
                }
                most += up;
                least_there += down;
            }
            high = std::max(high, most);
            low = std::min(low, least_there);
        }
        if (margin_of_grounds * (high - low) <= least) continue;
        groups_.push_back(group_of(dead.group.variables, dead.group.relays));
        look_from_start(groups_.back(), first);
        woken = true;
    }
    return woken;
}

/// With the other groups in fact standing so: does one of the relay's limits lie between its volts there and here?
bool Search::pushed_over(std::size_t group, SituationId id, std::uint16_t relay, const Context& context) {
    Positions p = all_.at(id).positions;
    const Group& own = groups_[group];
    for (const auto& [h, at] : context.chosen) {
        for (std::uint32_t v : groups_[h].variables)
            if (!std::ranges::binary_search(own.operated, v))
                for (ControlId control : out_.variables[v].controls)
                    p[control.index] = all_.at(at).positions[control.index];
        for (std::uint16_t r : groups_[h].relays)
            if (!std::ranges::binary_search(own.relays, r)) {
                const std::uint32_t control = cold_.coils()[r].control.index;
                p[control] = all_.at(at).positions[control];
            }
    }
    const double here = all_.at(id).coil_volts[relay], there = cold_.quick(p, all_.at(id).nodes).coil_volts[relay];
    return all_.crosses(id, relay, here, here + margin_of_solved * (there - here));
}

/// Groups that can push one another's relays over a limit are tried together from now on, where they are not too many. True where some
/// were joined.
bool Search::merge(const std::vector<StateId>& first) {
    const Draws all = draws();
    Joined joined(groups_.size());
    struct Felt {
        SituationId id;
        std::uint16_t relay;
        Context others;
    };
    std::vector<std::vector<Felt>> feels(groups_.size());
    for (std::size_t g = 0; g < groups_.size(); ++g)
        for (const auto& [id, before] : groups_[g].passed)
            for (std::uint16_t relay : groups_[g].relays)
                for (const double sign : {1.0, -1.0}) {
                    const Context others = context(all, g, id, relay, sign);
                    const auto together = [&](const auto& one) {
                        return joined.together(static_cast<std::uint32_t>(g), static_cast<std::uint32_t>(one.first));
                    };
                    if (!others.chosen.empty()) feels[g].push_back({id, relay, others});
                    if (std::ranges::all_of(others.chosen, together)) continue;
                    for (std::size_t i = 0; i < others.chosen.size(); ++i)
                        if (others.effects[i] >= worth_joining * others.change)
                            joined.join(static_cast<std::uint32_t>(g),
                                        static_cast<std::uint32_t>(others.chosen[i].first));
                }
    std::map<std::uint32_t, Group> clusters;
    std::vector<std::uint32_t> of;
    for (std::uint32_t g = 0; g < groups_.size(); ++g) {
        const std::uint32_t root = joined.root(g);
        of.push_back(root);
        const auto [at, fresh] = clusters.try_emplace(root, groups_[g]);
        if (fresh) continue;
        Group& c = at->second;
        const auto add = [](auto& to, const auto& more) {
            to.insert(to.end(), more.begin(), more.end());
            std::ranges::sort(to);
            to.erase(std::unique(to.begin(), to.end()), to.end());
        };
        add(c.variables, groups_[g].variables);
        add(c.relays, groups_[g].relays);
    }
    const auto fits = [&](std::uint32_t root) {
        const Group whole = group_of(clusters.at(root).variables, {});
        return size_of(whole.operated) <= std::min(static_cast<double>(options_.most), most_joined);
    };
    // Of those that are too many together only some are pushed over a limit in fact: they stay open.
    for (std::size_t g = 0; g < groups_.size(); ++g)
        if (!groups_[g].feels_too_many && std::ranges::count(of, of[g]) > 1 && !fits(of[g]))
            groups_[g].feels_too_many =
                std::ranges::any_of(feels[g], [&](const Felt& f) { return pushed_over(g, f.id, f.relay, f.others); });
    std::vector<Group> next;
    std::vector<std::size_t> fresh;
    for (const auto& [root, c] : clusters) {
        if (std::ranges::count(of, root) > 1 && fits(root)) {
            fresh.push_back(next.size());
            next.push_back(group_of(c.variables, c.relays));
            continue;
        }
        for (std::size_t g = 0; g < groups_.size(); ++g)
            if (of[g] == root) next.push_back(std::move(groups_[g]));
    }
    groups_ = std::move(next);
    for (std::size_t g : fresh) look_from_start(groups_[g], first);
    return !fresh.empty();
}

/// For each relay of a group that feels too many others: where those, as they push most, could push its volts over one of its limits, the
/// group is explored once more with the others so. That finds much, and proves nothing: the group stays open.
void Search::look_in_contexts() {
    if (std::ranges::none_of(groups_, &Group::feels_too_many)) return;
    const Draws all = draws();
    for (std::size_t g = 0; g < groups_.size(); ++g) {
        if (!groups_[g].feels_too_many) continue;
        const std::map<SituationId, StateId> now = groups_[g].passed;
        for (const auto& [id, before] : now)
            for (std::uint16_t relay : groups_[g].relays)
                for (const double sign : {1.0, -1.0})
                    if (const Context others = context(all, g, id, relay, sign); !others.chosen.empty())
                        look_in(g, id, before, others);
    }
}

void Search::look_in(std::size_t group, SituationId id, StateId before, const Context& others) {
    Group& g = groups_[group];
    // The others come first, or last.
    const auto itself = state_of_.find(id);
    for (StateId from : {before, itself == state_of_.end() ? before : itself->second}) {
        const auto fresh = static_cast<StateId>(out_.states.size());
        // On the way there too: one relay may need the volts that another must not have. Who makes relays of those before fall off, or
        // does not come to rest, takes less away than without.
        StateId at = from;
        std::vector<std::pair<std::size_t, SituationId>> standing;
        for (const auto& one : others.chosen) {
            const auto there = put(at, one.second, groups_[one.first], g);
            if (!there) continue;
            if (!g.passed.contains(situation_[*there])) look(g, {*there});
            standing.push_back(one);
            if (stands(*there, standing))
                at = *there;
            else
                standing.pop_back();
        }
        // A relay that the others made pull in or drop may stay so when they are off again.
        const auto last = static_cast<StateId>(out_.states.size());
        for (StateId s = fresh; s < last; ++s)
            if (const auto back = out_.states[s].stable ? put_back(s, g) : std::nullopt;
                back && !g.passed.contains(situation_[*back]))
                look(g, {*back});
    }
}

/// Do the relays of these groups stand as they do in these situations?
bool Search::stands(StateId s, std::span<const std::pair<std::size_t, SituationId>> chosen) const {
    return std::ranges::all_of(chosen, [&](const auto& one) {
        return std::ranges::all_of(groups_[one.first].relays, [&](std::uint16_t relay) {
            return all_.position(situation_[s], relay) == all_.position(one.second, relay);
        });
    });
}

/// From a state, what was done to get to the chosen situation, as far as it concerns the other variables, relays coming to rest as they
/// did there where they can. Nothing where the circuit does not come to rest on the way.
std::optional<StateId> Search::put(StateId s, SituationId chosen, const Group& group, const Group& keep) {
    if (!room_left(keep)) return std::nullopt;
    const auto known = state_of_.find(chosen);
    if (known == state_of_.end()) return std::nullopt; // passed in flight only
    std::vector<StateId> way;
    for (StateId at = known->second; out_.states[at].by; at = out_.states[at].before) way.push_back(at);
    for (StateId there : way | std::views::reverse) {
        const Operation o = *out_.states[there].by;
        if (std::ranges::binary_search(keep.operated, o.variable) || o.variable == engine_) continue;
        const std::uint32_t at = out_.variables[o.variable].controls.front().index;
        while (out_.states[s].positions[at] != o.to) {
            const auto next = moved(s, o.variable, out_.states[s].positions[at] < o.to ? 1 : -1, {there, group.relays});
            if (!next) return std::nullopt;
            s = *next;
        }
    }
    return s;
}

/// From a state, all other variables back to rest.
std::optional<StateId> Search::put_back(StateId s, const Group& keep) {
    if (!room_left(keep)) return std::nullopt;
    for (std::uint32_t v = 0; v < out_.variables.size(); ++v) {
        const std::uint32_t at = out_.variables[v].controls.front().index;
        const std::uint8_t rest = c_.controls[at].rest;
        if (std::ranges::binary_search(keep.operated, v) || v == engine_) continue;
        while (out_.states[s].positions[at] != rest) {
            const auto next = moved(s, v, out_.states[s].positions[at] < rest ? 1 : -1);
            if (!next) return std::nullopt;
            s = *next;
        }
    }
    return s;
}

} // namespace loomproof::solve
