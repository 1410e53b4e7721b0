#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"
#include "rules/wire_limits.hpp"
#include "solve/predict.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule shared_ground_offset; // rule_list.hpp lists it

namespace {

/// What others may put between the two grounds before it is worth a word, and from where on it is a fault.
struct Allowed {
    double worth_a_word, fault; // V
    std::string words;
};

/// Units: 0.1 V between the ground of an electronic unit and the battery's is workshop practice (from memory); half of it is 1 % of the
/// 5 V that most units give their sensors. A needle divides the system's volts: 2 and 5 % of them (common practice, no source).
Allowed allowed_for(GroundPair::Reads reads, Volts system) {
    using enum GroundPair::Reads;
    if (reads == gauge || reads == alone)
        return {0.02 * system.si, 0.05 * system.si,
                fmt::format("{}, 2 % of what a gauge divides; a fault above 5 % (common practice, no source)",
                            text(rounded(Volts{0.02 * system.si}, 2)))};
    if (reads == signal)
        return {0.1, 0.5,
                "0.1 V between the grounds of electronic units (trade practice); a fault above 0.5 V, which everybody "
                "hears (an installer's page on noise)"};
    return {
        0.05, 0.1,
        "50 mV, 1 % of the 5 V that most units give their sensors (common practice, no source); a fault above 0.1 V, "
        "what a workshop allows at a unit's ground (trade practice)"};
}

/// What one load puts between the two grounds.
struct PutByLoad {
    PartId part;
    double volts = 0, amps = 0;
};

/// One pair of grounds that others put too much between.
struct Shift {
    OffsetSeen seen;
    TerminalId mine, its; ///< the ground on whose way home the shared wire lies; the other one
    std::vector<PutByLoad> by_load;
    WireId shared;
    Volts in_it, others;
    Allowed allowed;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), weighing_(s, survey) {}

    void run() {
        for (const OffsetSeen& offset : survey_.offsets)
            if (offset.most.si > allowed_for(offset.grounds.reads, c_.vehicle.system).worth_a_word)
                look_at(offset);
            else
                weigh(offset);
        std::vector<bool> said(shifts_.size(), false);
        for (std::size_t i = 0; i < shifts_.size(); ++i) { // what shares one wire is one finding
            if (said[i]) continue;
            std::vector<const Shift*> same;
            for (std::size_t k = i; k < shifts_.size(); ++k)
                if (!said[k] && shifts_[k].shared == shifts_[i].shared &&
                    shifts_[k].seen.grounds.reads == shifts_[i].seen.grounds.reads) {
                    said[k] = true;
                    same.push_back(&shifts_[k]);
                }
            say(same);
        }
        if (!survey_.offsets.empty() && !survey_.behaviour.jointly)
            report_.not_checked.push_back(open_for_positions(
                s_, shared_ground_offset.id, "volts between the grounds of senders and of what reads them"));
    }

  private:
    PartId part_at(TerminalId t) const { return c_.at(t).part; }

    /// The way between the two grounds over metal and wires, the shortest by length.
    std::vector<std::pair<EdgeRef, TerminalId>> way(const GroundPair& g) const {
        const Reach reach = s_.graph.walk(
            std::vector{g.here},
            [&](EdgeRef e, TerminalId) { return e.is_wire() || c_.at(e.primitive).element == Element::joint; },
            &Edge::metres);
        std::vector<std::pair<EdgeRef, TerminalId>> edges; // with the terminal from which it is passed
        if (!reach.reached(g.there)) return edges;
        const std::vector<TerminalId> stops = reach.stops_to(g.there);
        const std::vector<EdgeRef> passed = reach.path_to(g.there);
        for (std::size_t i = 0; i < passed.size(); ++i) edges.emplace_back(passed[i], stops[i]);
        return edges;
    }

    void look_at(const OffsetSeen& offset) {
        const GroundPair& g = offset.grounds;
        const auto edges = way(g);
        const solve::Point& point = survey_.behaviour.point(offset.at);
        std::vector<PutByLoad> by_load;
        double worst = 0;
        WireId shared;
        std::map<std::uint32_t, double> signed_drop, of_others; // by wire: here minus there
        for (const auto& [e, from] : edges) {
            if (!e.is_wire() || !point.wire_drop[e.wire.index]) continue;
            const double drop = point.wire_drop[e.wire.index]->si * (c_.at(e.wire).a == from ? 1 : -1);
            signed_drop[e.wire.index] = drop;
        }
        for (const LoadSeen& load : survey_.loads) {
            const auto& amps = point.primitive_amps[load.load.index];
            if (!amps || std::abs(amps->si) < 0.02) continue;
            const auto lost = solve::lost_on_the_way(s_.now, point, load.load);
            if (!lost) continue;
            const PartId part = c_.at(load.load).part;
            if (part == part_at(g.here) || part == part_at(g.there)) continue;
            double volts = 0;
            for (const solve::Share& share : lost->ground) {
                if (!share.what.is_wire()) continue;
                const auto drop = signed_drop.find(share.what.wire.index);
                const double all = std::abs(amps_in(point, share.what));
                if (drop == signed_drop.end() || all < 1e-6) continue;
                const double mine = drop->second * std::min(1.0, std::abs(amps->si) / all);
                of_others[share.what.wire.index] += mine;
                volts += mine;
            }
            if (std::abs(volts) < 1e-4) continue;
            if (const auto known = std::ranges::find(by_load, part, &PutByLoad::part); known != by_load.end()) {
                known->volts += volts;
                known->amps += std::abs(amps->si);
            } else
                by_load.push_back({part, volts, std::abs(amps->si)});
        }
        // Of wires alone: bolts and bare metal are nobody's choice of a shared wire.
        double others = 0;
        for (const PutByLoad& p : by_load) others += p.volts;
        const Allowed allowed = allowed_for(g.reads, c_.vehicle.system);
        if (std::abs(others) <= allowed.worth_a_word || by_load.empty()) return;
        for (const auto& [wire, drop] : of_others)
            if (std::abs(drop) > worst) {
                worst = std::abs(drop);
                shared = WireId{wire};
            }
        std::ranges::stable_sort(
            by_load, [](const PutByLoad& a, const PutByLoad& b) { return std::abs(a.volts) > std::abs(b.volts); });
        if (const auto unknown = not_known_on(edges)) return say_open(g, *unknown);
        // Does it lie behind the last metal on the way, so that it is the other one's ground wire?
        bool theirs = false, passed = false;
        for (const auto& [e, from] : edges) {
            if (c_.at(part_at(from)).kind == Kind::metal) theirs = !passed;
            passed = passed || e == EdgeRef{shared, {}};
        }
        theirs = theirs && g.reads != GroundPair::Reads::alone;
        shifts_.push_back({offset, theirs ? g.there : g.here, theirs ? g.here : g.there, std::move(by_load), shared,
                           Volts{worst}, Volts{std::abs(others)}, allowed});
    }

    /// With what was taken for a wire of which nobody said enough it is little: may it be too much all the same?
    void weigh(const OffsetSeen& offset) {
        const GroundPair& g = offset.grounds;
        const auto edges = way(g);
        std::vector<solve::Unknown> unsaid;
        for (const auto& [e, from] : edges)
            if (e.is_wire())
                if (const auto u = weighing_.unsaid_wire(e.wire)) unsaid.push_back(*u);
        if (unsaid.empty()) return;
        const solve::Positions positions = survey_.behaviour.states[offset.at].positions;
        const solve::Figure between = [positions, &g](solve::Model& m) {
            const solve::Point p = m.point(positions);
            const auto &here = p.volts[g.here.index], &there = p.volts[g.there.index];
            return here && there ? std::abs(here->si - there->si) : 0.0;
        };
        const InWords words{"it", [](double v) { return text(rounded(Volts{v}, 2)); }, {}, {}};
        const Weighed w = weighing_.weigh(std::move(unsaid), between,
                                          allowed_for(g.reads, c_.vehicle.system).worth_a_word * 1.02, words);
        if (w.verdict != Weighed::Verdict::holds && !w.decides.empty())
            say_open(g, w.unknown[w.decides.front()].edge.wire);
    }

    std::optional<WireId> not_known_on(const std::vector<std::pair<EdgeRef, TerminalId>>& edges) const {
        for (const auto& [e, from] : edges)
            if (e.is_wire() && (!c_.at(e.wire).length.known() || !c_.at(e.wire).area.known())) return e.wire;
        return std::nullopt;
    }

    void say_open(const GroundPair& g, WireId w) {
        report_.not_checked.push_back(
            {shared_ground_offset.id,
             fmt::format("volts between the grounds of {} and {}", name_of(c_, part_at(g.here)),
                         name_of(c_, part_at(g.there))),
             fmt::format("nobody said {} {} is", c_.at(w).area.known() ? "how long" : "what size",
                         c_.at(w).named ? name_of(c_, w) : described(c_, w)),
             fmt::format("Meter on millivolts from {} to {}, everything on: up to {} is good. More: give what is read "
                         "a ground wire of its own.",
                         name_of(c_, g.here), name_of(c_, g.there),
                         text(rounded(Volts{allowed_for(g.reads, c_.vehicle.system).worth_a_word}, 2)))});
    }

    void say(const std::vector<const Shift*>& same) {
        const Shift& worst = **std::ranges::max_element(same, {}, [](const Shift* x) { return x->others; });
        const GroundPair::Reads reads = worst.seen.grounds.reads;
        std::vector<PartId> mine, its, loads;
        for (const Shift* x : same)
            for (auto& [t, into] : {std::pair{x->mine, &mine}, std::pair{x->its, &its}})
                if (std::ranges::find(*into, part_at(t)) == into->end()) into->push_back(part_at(t));
        std::vector<std::string> each;
        for (const PutByLoad& p : worst.by_load) {
            loads.push_back(p.part);
            if (each.size() < 4 && std::abs(p.volts) >= 1e-3)
                each.push_back(fmt::format("{} {} ({})", name_of(c_, p.part),
                                           text(rounded(Volts{std::abs(p.volts)}, 2)), text(rounded(Amps{p.amps}, 2))));
        }
        const std::string at = when(s_, survey_.behaviour, worst.seen.at), wire = name_of(c_, worst.shared);
        const std::string many = list_of(names_of(c_, mine)), other = list_of(names_of(c_, its));
        Finding f;
        f.rule = shared_ground_offset.id;
        f.severity = worst.others.si > worst.allowed.fault ? Severity::fault : Severity::advice;
        f.certainty = sureness(s_, survey_, loads, Amps{worst.others.si}, Amps{worst.allowed.worth_a_word});
        f.headline = fmt::format(
            "The {} of {} {} {} with {}: {} {} lie between {} and {}.", mine.size() == 1 ? "ground" : "grounds",
            mine.size() == 1 ? called(c_, mine.front()) : many, verb(mine.size(), "shares", "share"), wire,
            loads.size() == 1
                ? called(c_, loads.front())
                : fmt::format("{} and {}", called(c_, loads.front()), counted(loads.size() - 1, "more load")),
            at, text(rounded(worst.others, 2)), verb(mine.size(), "it", "them"),
            reads == GroundPair::Reads::alone ? "the metal"
            : its.size() == 1                 ? "that of " + called(c_, its.front())
                                              : "those of " + other);
        f.place = place_of(c_, worst.shared);
        f.cites.push_back(cite_size(c_, worst.shared, fmt::format("drops {}", text(rounded(worst.in_it, 2)))));
        for (PartId p : mine) f.cites.push_back(cite_part(c_, p));
        f.cites.push_back(cite_part(c_, loads.front()));
        f.why =
            "By load: " + list_of(each) + ". " +
            (reads == GroundPair::Reads::signal ? "What one sends arrives with that on top: whine and thumps in audio."
                                                : fmt::format("What is read shifts by it whenever {} on.",
                                                              loads.size() == 1 ? "that goes" : "they go"));
        f.limit = worst.allowed.words;
        const std::string who = mine.size() == 1 ? many : "each of " + many;
        f.cures.push_back(
            {reads == GroundPair::Reads::unit && its.size() == 1 && worst.mine == worst.seen.grounds.here
                 ? fmt::format("Give {} a ground wire of its own, straight to {}.", who, name_of(c_, worst.its))
                 : fmt::format("Give {} a ground wire of its own, which nothing else uses.", who)});
        f.cures.push_back({fmt::format("Take {} off that wire: a ground of its own for what draws much.",
                                       name_of(c_, loads.front()))});
        f.measure =
            fmt::format("Meter on millivolts from {} to {}, {}: it should show less than {}.", name_of(c_, worst.mine),
                        name_of(c_, worst.its), at, text(rounded(Volts{worst.allowed.worth_a_word}, 2)));
        f.subjects = names_of(c_, mine);
        f.subjects.push_back(wire);
        for (PartId p : its) f.subjects.push_back(name_of(c_, p));
        for (PartId p : loads) f.subjects.push_back(name_of(c_, p));
        const auto makers = [&](PartId p) { return s_.now.is_factory(p); };
        const bool as_built = std::ranges::all_of(mine, makers) && std::ranges::all_of(its, makers) &&
                              std::ranges::all_of(loads, makers) && s_.now.is_factory(worst.shared);
        report_.add(std::move(f), as_built);
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Weighing weighing_;
    std::vector<Shift> shifts_;
};

void run(const Study& s, Report& report) {
    if (grounds_that_matter(s).empty()) return;
    if (const Survey* survey = survey_or_say(s, report, shared_ground_offset.id,
                                             "volts between the grounds of senders and of what reads them"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule shared_ground_offset = {
    "shared-ground-offset",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a sender, gauge or unit whose ground wire a heavy load uses as well",
    "a fault above 0.1 V at a unit's input, 5 % of the volts at a gauge, 0.5 V between units with a signal wire; "
    "advice from half or less of that on",
    {
        "The ground of a sender or sensor, and that of the gauge or unit that reads it, are not at the same volts: a "
        "wire between them carries the current of other loads, and loses volts by it.",
        "What is read is the sender's volts plus those. Needles move when the lamps go on, an engine computer sees a "
        "warmer or colder engine, audio whines.",
        "A ground wire of its own for what is measured, to the very point where the unit that reads it has its ground. "
        "Or "
        "take the heavy load off that wire. Lamps and motors may share grounds with one another.",
        "Units: 0.1 V between a unit's ground and the battery's is trade practice, and 50 mV are 1 % of the 5 V that "
        "most units give their sensors (common practice, no source). Gauges: 2 % and 5 % of the system's volts (common "
        "practice, no source). Audio: 0.1 V, and 0.5 V after an installer's page on noise. Counted is what other loads "
        "lose in wires, in positions that last; bolts and bare metal are left out.",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
fuse F2, 25 A
switch S1 "blower", 30 A
electronics A1 "engine computer" {
  supply 1, 0.5 A
  ground 2
  input 49
}
sensor B1 "coolant", 20 mA
motor M1 "blower", 15 A
splice SP1, crimp
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to A1:1, 1 mm2 red, 1 m
wire from A1:2 to ground, 1 mm2 brown, 0.3 m
wire from B1:1 to A1:49, 0.75 mm2 green, 1 m
wire from B1:2 to SP1, 0.75 mm2 brown, 0.5 m
wire from battery:+ to F2, 4 mm2 red, 0.1 m
wire from F2 to S1, 4 mm2 red, 1 m
wire from S1 to M1:+, 4 mm2 red, 1 m
wire from M1:- to SP1, 2.5 mm2 black, 0.5 m
wire W9 from SP1 to ground, 2.5 mm2 black, 1.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
fuse F2, 25 A
switch S1 "blower", 30 A
electronics A1 "engine computer" {
  supply 1, 0.5 A
  ground 2
  input 49
}
sensor B1 "coolant", 20 mA
motor M1 "blower", 15 A
splice SP1, crimp
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to A1:1, 1 mm2 red, 1 m
wire from A1:2 to ground, 1 mm2 brown, 0.3 m
wire from B1:1 to A1:49, 0.75 mm2 green, 1 m
wire from B1:2 to ground, 0.75 mm2 brown, 0.5 m
wire from battery:+ to F2, 4 mm2 red, 0.1 m
wire from F2 to S1, 4 mm2 red, 1 m
wire from S1 to M1:+, 4 mm2 red, 1 m
wire from M1:- to SP1, 2.5 mm2 black, 0.5 m
wire W9 from SP1 to ground, 2.5 mm2 black, 1.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
