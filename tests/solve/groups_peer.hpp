#pragma once
/// Switches tried in groups against all of them tried together, on random circuits: for the test and, with larger ones, for the bench.
///
/// The joint search is the oracle. A weak battery and thin trunks let circuits feel one another, coils hang on other circuits' switches,
/// some behind resistors, so that relays stand near their limits: there most groups come to be joined, and what is left of the saving is
/// small. Not a proof, but of 6000 more such circuits of up to 8 switches none misses a position or a trouble.

#include "solve/bench.hpp"
#include "solve/cones.hpp"
#include "solve/states.hpp"
#include "support/random.hpp"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

namespace loomproof::test {

/// Up to `switches` switches, `relays` relays, a load and more for each.
inline std::string random_circuit(std::uint64_t seed, unsigned switches, unsigned relays) {
    Random r(seed);
    const auto pick = [&](const auto& list) { return list[r.below(std::size(list))]; };
    static constexpr const char* inner[] = {"5 mohm", "20 mohm", "60 mohm", "150 mohm"};
    static constexpr const char* trunk[] = {"0.3 m", "1.5 m", "6 m"};
    static constexpr const char* loads[] = {"0.3 ohm", "0.6 ohm", "1 ohm", "3 ohm", "10 ohm"};
    static constexpr const char* droppers[] = {"0.5 ohm", "20 ohm", "60 ohm", "110 ohm"};
    std::string t = std::string("battery, 60 Ah, ") + pick(inner) + "\nbus IGN\nbus MAIN\n";
    int wire = 0;
    const auto w = [&](const std::string& a, const std::string& b) {
        t += "wire W" + std::to_string(++wire) + " from " + a + " to " + b + ", 6 mm2 red, 0.3 m\n";
    };
    t += std::string("wire WT from battery:+ to MAIN, 0.5 mm2 red, ") + pick(trunk) + "\n"; // 10, 50, 200 mohm
    t += "switch S0\n";
    w("MAIN", "S0");
    w("S0", "IGN");
    t += std::string("bus FAR\nwire WG from FAR to ground, 0.5 mm2 black, ") + pick(trunk) +
         "\n"; // a ground that several share
    std::vector<std::string> fed = {"IGN", "MAIN"};
    for (unsigned i = 1; i < switches; ++i) {
        const std::string n = std::to_string(i);
        t += "switch S" + n + (r.below(4) == 0 ? ", push" : "") + "\nbus B" + n + "\n";
        w(fed[r.below(2)], "S" + n);
        w("S" + n, "B" + n);
        fed.push_back("B" + n);
        if (r.below(3) != 0) {
            t += "load E" + n + ", " + pick(loads) + "\n";
            w("B" + n, "E" + n);
            w("E" + n, r.below(3) == 0 ? "FAR" : "ground");
        }
    }
    for (unsigned i = 1; i <= relays; ++i) {
        const std::string n = std::to_string(i);
        t += "relay K" + n + (r.below(2) != 0 ? ", 4-pin" : ", 5-pin") + "\nbus C" + n + "\n";
        const std::string from = fed[r.below(fed.size())];
        if (r.below(2) == 0) {
            t += "resistor R" + n + ", " + pick(droppers) + "\n";
            w(from, "R" + n);
            w("R" + n, "K" + n + ":86");
        } else
            w(from, "K" + n + ":86");
        w("K" + n + ":85", r.below(3) == 0 ? "FAR" : "ground");
        w(fed[r.below(fed.size())], "K" + n + ":30");
        w("K" + n + ":87", "C" + n);
        t += "load L" + n + ", " + pick(loads) + "\n";
        w("C" + n, "L" + n);
        w("L" + n, "ground");
        fed.push_back("C" + n);
    }
    return t;
}

/// Positions that a group has in common with another state, as text.
inline std::string part_of(const solve::Positions& p, const std::vector<std::uint32_t>& controls) {
    std::string out;
    for (std::uint32_t c : controls) out += static_cast<char>('0' + p[c]);
    return out;
}

struct GroupsCompared {
    std::size_t groups = 0, positions = 0, missed = 0, situations = 0, joint_situations = 0;
    /// Chatter without a way out and races that the joint search finds, those of them that the search in groups has not got as they are
    /// (same relays), and the other way round: what it calls certain and the joint search does not.
    std::size_t certain = 0, certain_missed = 0, certain_made_up = 0;
    /// All troubles of the joint search, and those of them that no group has, not even as possible.
    std::size_t troubles = 0, troubles_missed = 0;
    bool complete = false; ///< no limit was met
};

/// How many of the certain troubles of one search the other has not got: same kind, same relays.
inline std::size_t without(const solve::Behaviour& these, const solve::Behaviour& those) {
    return static_cast<std::size_t>(std::ranges::count_if(these.troubles, [&](const solve::Trouble& t) {
        return t.certain && std::ranges::none_of(those.troubles, [&](const solve::Trouble& o) {
                   return o.certain && o.kind == t.kind && o.relays == t.relays;
               });
    }));
}

/// Relays that one operation moves in groups that know nothing of one another are in one trouble of the joint search and in several of the
/// other: is each relay of the trouble in one of the same nature?
inline bool told(const solve::Trouble& t, const solve::Behaviour& those) {
    const auto nature = [](solve::Trouble::Kind kind) { // a race there may be one that hangs on limits here
        return kind == solve::Trouble::Kind::race ? solve::Trouble::Kind::on_limits : kind;
    };
    return std::ranges::all_of(t.relays, [&](ControlId relay) {
        return std::ranges::any_of(those.troubles, [&](const solve::Trouble& o) {
            return nature(o.kind) == nature(t.kind) && std::ranges::find(o.relays, relay) != o.relays.end();
        });
    });
}

/// How many stable positions of each group the joint search reaches, and how many of them the search in groups does not.
inline GroupsCompared compare_groups(std::uint64_t seed, unsigned switches, unsigned relays, std::size_t most) {
    using namespace loomproof::solve;
    const Bench b(random_circuit(seed, switches, relays));
    ExploreOptions options;
    options.most = most;
    const Behaviour joint = explore(b.view(), options);
    options.in_groups = true;
    const Behaviour groups = explore(b.view(), options);
    Model model(b.view());
    const Cones cones = find_cones(model, joint.variables);
    GroupsCompared out{cones.groups.size(),
                       0,
                       0,
                       groups.situations,
                       joint.situations,
                       static_cast<std::size_t>(std::ranges::count_if(joint.troubles, &Trouble::certain)),
                       without(joint, groups),
                       without(groups, joint),
                       joint.troubles.size(),
                       static_cast<std::size_t>(
                           std::ranges::count_if(joint.troubles, [&](const Trouble& t) { return !told(t, groups); })),
                       joint.complete && joint.jointly && groups.complete};
    for (const Cones::Group& g : cones.groups) {
        std::vector<std::uint32_t> controls;
        for (const auto& list : {cones.modes, g.variables})
            for (std::uint32_t v : list) controls.push_back(joint.variables[v].controls.front().index);
        for (std::uint16_t relay : g.relays) controls.push_back(model.coils()[relay].control.index);
        std::set<std::string> ours, theirs;
        for (const State& s : groups.states)
            if (s.stable) ours.insert(part_of(s.positions, controls));
        for (const State& s : joint.states)
            if (s.stable) theirs.insert(part_of(s.positions, controls));
        out.positions += theirs.size();
        for (const std::string& s : theirs) out.missed += ours.contains(s) ? 0 : 1;
    }
    return out;
}

} // namespace loomproof::test
