#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <set>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule ground_loop; // rule_list.hpp lists it

namespace {

/// Between the two grounds: from here on it is heard and read (trade practice: what is allowed between a unit's ground and the battery's);
/// below the other hardly anything is (common practice, no source).
constexpr Volts heard{0.1}, hardly_heard{0.02};

bool is_fine(const Wire& w) { return w.signal || w.screen; }

/// Signal and screen wires that hang together over plugs and splices which carry nothing else, and where they touch the rest.
struct Run {
    std::vector<WireId> wires;
    std::vector<TerminalId> ports; ///< ends at something that other wires or metal hang on too
};

class Loops {
  public:
    explicit Loops(const Study& study)
        : study_(study),
          c_(study.circuit),
          rest_(study.graph.components([&](EdgeRef e, TerminalId) { return carries_rest(e); })) {
        for (WireId w : study.now.wires()) {
            if (!is_fine(c_.at(w)) && !c_.at(w).poisoned) busy_.insert(rest_[c_.at(w).a.index]);
        }
        for (PrimitiveId id : study.now.primitives())
            if (c_.at(id).purpose == Purpose::mounting) busy_.insert(rest_[c_.at(id).a.index]);
    }

    std::vector<Run> runs() const;
    void report(const std::vector<Run>&, Report&) const;

    /// What the loads drive round a loop: the most volts between its two grounds over positions that last.
    struct Drive {
        Volts volts;
        Amps amps; ///< in all its signal wires together
        solve::StateId at = 0;
        std::string takers; ///< what is on then
    };

  private:
    bool carries_rest(EdgeRef e) const {
        return e.is_wire() ? !is_fine(c_.at(e.wire)) && !c_.at(e.wire).poisoned
                           : c_.at(e.primitive).element == Element::joint;
    }
    std::vector<TerminalId> way(TerminalId from, TerminalId to, bool over_run, const Run&) const;
    std::optional<Drive> drive(const std::vector<WireId>&, TerminalId, TerminalId) const;
    Finding finding(const std::vector<WireId>&, TerminalId, TerminalId, const Run&) const;

    const Study& study_;
    const Circuit& c_;
    std::vector<std::uint32_t> rest_; ///< component of each terminal over all that is neither signal nor screen
    std::set<std::uint32_t> busy_;    ///< components on which more than signal wires hang
};

std::vector<Run> Loops::runs() const {
    std::vector<WireId> fine;
    for (WireId w : study_.now.wires()) {
        const Wire& wire = c_.at(w);
        if (is_fine(wire) && !wire.poisoned && study_.reference[wire.a.index] && study_.reference[wire.b.index])
            fine.push_back(w);
    }
    std::vector<std::size_t> head(fine.size());
    std::iota(head.begin(), head.end(), std::size_t{0});
    const auto root = [&](std::size_t i) {
        while (head[i] != i) i = head[i] = head[head[i]];
        return i;
    };
    std::map<std::uint32_t, std::size_t> at_quiet; // a component with nothing else on it -> a wire there
    for (std::size_t i = 0; i < fine.size(); ++i) {
        for (TerminalId t : {c_.at(fine[i]).a, c_.at(fine[i]).b}) {
            if (busy_.contains(rest_[t.index])) continue;
            const auto [other, fresh] = at_quiet.try_emplace(rest_[t.index], i);
            if (!fresh) head[std::max(root(i), root(other->second))] = std::min(root(i), root(other->second));
        }
    }
    std::map<std::size_t, Run> by_root;
    for (std::size_t i = 0; i < fine.size(); ++i) {
        Run& run = by_root[root(i)];
        run.wires.push_back(fine[i]);
        for (TerminalId t : {c_.at(fine[i]).a, c_.at(fine[i]).b})
            if (busy_.contains(rest_[t.index]) && std::ranges::find(run.ports, t) == run.ports.end())
                run.ports.push_back(t);
    }
    std::vector<Run> found;
    for (auto& [first, run] : by_root) found.push_back(std::move(run));
    return found;
}

std::vector<TerminalId> Loops::way(TerminalId from, TerminalId to, bool over_run, const Run& run) const {
    const std::set<WireId> mine(run.wires.begin(), run.wires.end());
    const auto passes = [&](EdgeRef e, TerminalId) {
        if (!over_run) return carries_rest(e);
        return e.is_wire()
                   ? mine.contains(e.wire)
                   : c_.at(e.primitive).element == Element::joint && !busy_.contains(rest_[c_.at(e.primitive).a.index]);
    };
    const Reach reach = study_.graph.walk(std::vector<TerminalId>{from}, passes, [](EdgeRef) { return 0.0; });
    return reach.reached(to) ? reach.stops_to(to) : std::vector<TerminalId>{};
}

std::optional<Loops::Drive> Loops::drive(const std::vector<WireId>& wires, TerminalId from, TerminalId to) const {
    const Survey* survey = survey_of(study_);
    if (!survey) return std::nullopt;
    std::optional<Drive> most;
    for (solve::StateId at = 0; at < survey->behaviour.states.size(); ++at) {
        if (!survey->behaviour.states[at].stable || survey->passing[at] || survey->shorted[at]) continue;
        const solve::Point& point = survey->behaviour.point(at);
        const auto &here = point.volts[from.index], &there = point.volts[to.index];
        if (!here || !there) continue;
        const double volts = std::abs(here->si - there->si);
        if (most && volts < most->volts.si + 1e-6) continue;
        double amps = 0;
        for (WireId w : wires)
            if (c_.at(w).a == from || c_.at(w).b == from) amps += amps_away(c_, point, {w, {}}, from);
        std::vector<PartId> parts;
        for (const LoadSeen& load : survey->loads) parts.push_back(c_.at(load.load).part);
        most = Drive{Volts{volts}, Amps{std::abs(amps)}, at, takers(study_, parts, point)};
    }
    return most;
}

Finding Loops::finding(const std::vector<WireId>& wires, TerminalId from, TerminalId to, const Run& run) const {
    const Wire& first = c_.at(wires.front());
    const bool screen = std::ranges::all_of(wires, [&](WireId w) { return c_.at(w).screen; });
    std::vector<std::string> names;
    for (WireId w : wires) { // all pieces of a run go by one name; without one: "the screen from X to Y"
        const std::string name =
            c_.at(w).named ? c_.at(w).name : "from " + end_of(c_, c_.at(w).a) + " to " + end_of(c_, c_.at(w).b);
        if (std::ranges::find(names, name) == names.end()) names.push_back(name);
    }
    Finding f;
    f.rule = "ground-loop";
    f.severity = Severity::advice;
    f.headline =
        fmt::format("{} {} joins {} and {}, which are joined by their grounds already: ground current runs through it.",
                    screen ? "The screen" : "The signal wire", list_of(names), name_of(c_, from), name_of(c_, to));
    if (names.size() > 1)
        f.headline = fmt::format(
            "{} {} join {} and {}, which are joined by their grounds already: ground current runs through them.",
            screen ? "The screens" : "The signal wires", list_of(names), name_of(c_, from), name_of(c_, to));
    f.place = place_of(c_, wires.front());
    f.cites.push_back({first.span, "both ends on ground"});
    f.why = "What the other loads drop in the metal between the two grounds drives a current along: whine in audio, "
            "gauges and sensors that move when lamps or fans go on.";
    if (const auto driven = drive(wires, from, to)) {
        if (driven->volts >= heard) f.severity = Severity::fault;
        if (driven->volts >= Volts{1e-3})
            f.why += fmt::format(
                " Reckoned: {} between {} and {} {}{}, which drive {} round. The metal's own resistance, which nobody "
                "knows, comes on top.",
                text(rounded(driven->volts, 2)), name_of(c_, from), name_of(c_, to),
                when(study_, survey_of(study_)->behaviour, driven->at),
                driven->takers.empty() ? "" : " (" + driven->takers + ")", text(rounded(driven->amps, 2)));
        else
            f.why += " Wires and bolts alone give less than 1 mV between the two; what the metal itself adds nobody "
                     "knows.";
    }
    f.limit =
        "0.1 V between the ground of an electronic unit and the battery's (trade practice): from there on a fault";
    if (screen)
        f.cures.push_back({fmt::format("Let go of the screen at one end: cut it back and sleeve it, {} for choice.",
                                       name_of(c_, to))});
    else
        f.cures.push_back({"Let one of the two have its ground over this wire alone, if the wire can carry what it "
                           "takes: set it up insulated, or take off its other ground."});
    f.cures.push_back(
        {"Bring both grounds to one point; the loop stays, but hardly anything drives a current round it."});
    f.measure = fmt::format("Engine running, lamps and fans on, meter on millivolts from {} to {}, with this wire off "
                            "at one end: under {} it "
                            "will hardly be heard (common practice, no source), over {} it will.",
                            name_of(c_, from), name_of(c_, to), text(hardly_heard), text(heard));
    std::vector<TerminalId> stops = way(from, to, true, run);
    const std::vector<TerminalId> back = way(to, from, false, run);
    if (!back.empty()) stops.insert(stops.end(), back.begin() + 1, back.end());
    f.path = stops_in_words(c_, stops);
    f.subjects = names;
    f.subjects.push_back(name_of(c_, from));
    f.subjects.push_back(name_of(c_, to));
    return f;
}

void Loops::report(const std::vector<Run>& all, Report& out) const {
    std::map<std::pair<TerminalId, TerminalId>, std::vector<std::size_t>>
        by_ends; // several screens of one cable are one loop
    for (std::size_t i = 0; i < all.size(); ++i) {
        const auto& ports = all[i].ports;
        for (std::size_t a = 0; a < ports.size(); ++a)
            for (std::size_t b = a + 1; b < ports.size(); ++b)
                if (rest_[ports[a].index] == rest_[ports[b].index])
                    by_ends[std::minmax(ports[a], ports[b])].push_back(i);
    }
    std::vector<std::pair<WireId, Finding>> found;
    for (const auto& [ends, numbers] : by_ends) {
        std::vector<WireId> wires;
        for (std::size_t i : numbers) wires.insert(wires.end(), all[i].wires.begin(), all[i].wires.end());
        std::ranges::sort(wires);
        const Run& run = all[numbers.front()];
        const bool first_is_from = run.ports.front() == ends.first ||
                                   std::ranges::find(run.ports, ends.first) < std::ranges::find(run.ports, ends.second);
        found.emplace_back(wires.front(), first_is_from ? finding(wires, ends.first, ends.second, run)
                                                        : finding(wires, ends.second, ends.first, run));
    }
    std::ranges::stable_sort(found, {}, &std::pair<WireId, Finding>::first);
    for (auto& [wire, f] : found) out.findings.push_back(std::move(f));
}

void run(const Study& study, Report& report) {
    const Loops loops(study);
    loops.report(loops.runs(), report);
}

} // namespace

const Rule ground_loop = {
    "ground-loop",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a signal wire or screen that joins two grounds which are joined already",
    "a fault where wires and bolts alone give 0.1 V between the two grounds in some position, else advice: the metal "
    "itself adds what only a "
    "meter shows",
    {
        "A signal wire or a screen has both its ends on ground, and the two grounds are joined through the metal as "
        "well: a closed path.",
        "Current of other loads that runs through the metal between the two grounds takes the signal wire too. What it "
        "drops there is heard as whine, "
        "or read as a wrong temperature. Straps, bolted parts and doubled grounds make loops as well; those do good, "
        "and are left alone.",
        "Ground a screen at one end only. Bring the grounds of units that exchange signals to one point.",
        "0.1 V between the ground of an electronic unit and the battery's ground is trade practice; the closed path "
        "itself needs no limit. Reckoned are wires, plugs and bolts as clean as new in every switch position that "
        "lasts; what the body's metal adds nobody can say beforehand.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
ground GND1 "behind the dash" on body
ground GND2 "boot floor" on body
fuse F1, 10 A
fuse F2, 30 A
electronics A1 "radio", 5 A
electronics A2 "amplifier", 20 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to A1:+, 1.5 mm2 red, 2 m
wire W3 from A1:- to GND1, 1.5 mm2 black, 0.3 m
wire W4 from battery:+ to F2, 6 mm2 red, 0.1 m
wire W5 from F2 to A2:+, 6 mm2 red, 4 m
wire W6 from A2:- to GND2, 6 mm2 black, 0.4 m
wire W7 from A1:- to A2:-, 0.5 mm2, 4 m, screen
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
battery, 60 Ah
ground GND1 "behind the dash" on body
ground GND2 "boot floor" on body
fuse F1, 10 A
fuse F2, 30 A
electronics A1 "radio", 5 A
electronics A2 "amplifier", 20 A
wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire W2 from F1 to A1:+, 1.5 mm2 red, 2 m
wire W3 from A1:- to GND1, 1.5 mm2 black, 0.3 m
wire W4 from battery:+ to F2, 6 mm2 red, 0.1 m
wire W5 from F2 to A2:+, 6 mm2 red, 4 m
wire W6 from A2:- to GND2, 6 mm2 black, 0.4 m
wire W7 from A1:- to nothing, 0.5 mm2, 4 m, screen
)",
    },
    run,
};

} // namespace loomproof::rules
