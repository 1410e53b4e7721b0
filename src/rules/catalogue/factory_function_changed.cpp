#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/feeding.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule factory_function_changed; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// What was seen of a load with the shared controls in one position.
struct Seen {
    bool on = false, off = false;
    StateId first = 0; ///< that it was seen in
};
/// By the positions of the shared controls; then by load, in the order of the maker's survey.
using ByPosition = std::map<solve::Positions, std::vector<Seen>>;

struct Change {
    std::size_t load = 0; ///< in the maker's survey
    bool works_no_more = false;
    StateId at = 0;              ///< as it is now
    std::vector<WireId> wires{}; ///< that jobs made or moved, of all that the load hangs on
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, const Study& factory, const Survey& before, Report& report)
        : s_(s),
          c_(s.circuit),
          survey_(survey),
          factory_(factory),
          before_(before),
          report_(report),
          sides_(s),
          ends_(s) {}

    void run() {
        match_loads();
        if (now_of_.empty()) return;
        const ByPosition then = look(before_, true, [](std::size_t i) { return std::optional(i); }, {});
        ByPosition with_added; // added switches in any position
        const ByPosition now = look(
            survey_, false, [&](std::size_t i) { return now_of_[i]; }, &with_added);
        for (std::size_t i = 0; i < before_.loads.size(); ++i)
            if (now_of_[i]) compare(i, then, now, with_added);
        // What the same wires of jobs brought about is one finding.
        std::vector<bool> said(changes_.size(), false);
        for (std::size_t i = 0; i < changes_.size(); ++i) {
            if (said[i]) continue;
            std::vector<const Change*> same;
            for (std::size_t k = i; k < changes_.size(); ++k)
                if (!said[k] && changes_[k].works_no_more == changes_[i].works_no_more &&
                    (changes_[k].wires == changes_[i].wires || changes_[k].at == changes_[i].at)) {
                    said[k] = true;
                    same.push_back(&changes_[k]);
                }
            say(same);
        }
        if (!survey_.behaviour.complete || !before_.behaviour.complete)
            report_.not_checked.push_back(
                open_for_positions(survey_.behaviour.complete ? factory_ : s_, factory_function_changed.id,
                                   "whether everything that the maker built does as before in every switch position"));
    }

  private:
    /// The same part and the same ends, whatever lamp sits in it now.
    void match_loads() {
        now_of_.resize(before_.loads.size());
        for (std::size_t i = 0; i < before_.loads.size(); ++i)
            for (std::size_t k = 0; k < survey_.loads.size(); ++k) {
                const Primitive &a = c_.at(before_.loads[i].load), &b = c_.at(survey_.loads[k].load);
                if (a.part == b.part && a.a == b.a && a.b == b.b && !c_.at(a.part).poisoned &&
                    c_.at(a.part).kind != Kind::beyond)
                    now_of_[i] = k;
            }
    }

    static bool works_by_itself(const Control& control) { return control.type == Control::Type::relay; }
    bool shared(ControlId id) const {
        const Part& part = c_.at(c_.at(id).part);
        return part.life.at(0) && part.life.at(c_.last_revision());
    }
    /// A condition of the same wording stands for all controls that bear it, the added ones too.
    bool of_shared_wording(ControlId id) const {
        for (const solve::Variable& v : survey_.behaviour.variables)
            if (std::ranges::find(v.controls, id) != v.controls.end())
                return std::ranges::any_of(v.controls, [&](ControlId other) { return shared(other); });
        return false;
    }

    /// Relays follow by themselves; added switches at rest, unless `with_added` asks for them in any position.
    template <class Load>
    ByPosition look(const Survey& survey, bool maker, Load load_of, ByPosition* with_added) const {
        ByPosition seen;
        for (StateId s = 0; s < survey.behaviour.states.size(); ++s) {
            const solve::State& state = survey.behaviour.states[s];
            if (!state.stable || survey.shorted[s] || survey.on[s].empty()) continue;
            solve::Positions key = state.positions;
            bool added = false, removed = false;
            for (std::size_t i = 0; i < key.size(); ++i) {
                const ControlId id{i};
                const bool moved = key[i] != c_.at(id).rest;
                if (works_by_itself(c_.at(id)) || !shared(id)) {
                    if (moved && !works_by_itself(c_.at(id)) && !of_shared_wording(id))
                        (maker ? removed : added) = true;
                    key[i] = 0;
                }
            }
            if (removed) continue;
            const auto note = [&](ByPosition& into) {
                std::vector<Seen>& loads = into[key];
                if (loads.empty()) loads.assign(before_.loads.size(), {false, false, s});
                for (std::size_t i = 0; i < loads.size(); ++i)
                    if (const std::optional<std::size_t> at = load_of(i); at && *at < survey.on[s].size())
                        (survey.on[s][*at] ? loads[i].on : loads[i].off) = true;
            };
            if (!added) note(seen);
            if (with_added) note(*with_added);
        }
        return seen;
    }

    void compare(std::size_t load, const ByPosition& then, const ByPosition& now, const ByPosition& with_added) {
        std::optional<Change> change;
        for (const auto& [positions, before] : then) {
            const auto here = now.find(positions);
            if (here == now.end()) continue;
            const Seen &a = before[load], &b = here->second[load];
            if (a.on == a.off || b.on == b.off || a.on == b.on)
                continue; // does both, by what relays did before; or does as before
            // What an added switch brings back is the job's purpose.
            if (a.on && with_added.at(positions)[load].on) continue;
            if (!change) change = Change{load, a.on, b.first, {}};
            if (change->works_no_more == a.on) change->at = std::min(change->at, b.first);
        }
        if (!change || (change->works_no_more && taken_off(load))) return;
        change->wires = by_jobs(what_it_hangs_on(s_, sides_, ends_, part_of(load)));
        changes_.push_back(std::move(*change));
    }

    /// A job took its feed or ground off and left the end bare, or it is not finished: still-to-wire and never-powered speak of that.
    bool taken_off(std::size_t load) const {
        const Primitive& p = c_.at(survey_.loads[*now_of_[load]].load);
        const Feeding::How how = feeding_of(s_, sides_, ends_, p.a, p.b, false).how;
        return how == Feeding::How::not_known || how == Feeding::How::not_fed || how == Feeding::How::no_ground;
    }

    /// Wires that a job made or moved, among all that the load hangs on.
    std::vector<WireId> by_jobs(const HangsOn& on) const {
        std::vector<WireId> wires;
        for (TerminalId t : on.terminals)
            for (WireId w : s_.now.wires_at(t))
                if (c_.at(w).origin.provenance == Provenance::job && !s_.reference[t.index] &&
                    std::ranges::find(wires, w) == wires.end())
                    wires.push_back(w);
        std::ranges::sort(wires);
        return wires;
    }

    PartId part_of(std::size_t load) const { return c_.at(before_.loads[load].load).part; }

    void say(const std::vector<const Change*>& same) {
        const Change& first = *same.front();
        std::vector<PartId> parts;
        std::vector<std::string> each; // "E1 with S2 on"
        bool all_alike = true;
        for (const Change* change : same) {
            if (const PartId part = part_of(change->load); std::ranges::find(parts, part) == parts.end()) {
                parts.push_back(part);
                each.push_back(name_of(c_, part) + " " + when(s_, survey_.behaviour, change->at));
            }
            all_alike = all_alike && change->at == first.at;
        }
        const bool one = parts.size() == 1;
        const std::string who = one ? called(c_, parts.front()) : list_of(names_of(c_, parts));
        const std::string so = all_alike || one ? " " + when(s_, survey_.behaviour, first.at) : "";
        Finding f;
        f.rule = factory_function_changed.id;
        f.severity = Severity::fault;
        f.certainty = sure_share(s_, survey_, std::nullopt) > 0.5 ? Certainty::certain : Certainty::possible;
        f.headline =
            first.works_no_more
                ? sentence_start(fmt::format("{} {} not work any more{}; as the maker built it, {} did", who,
                                             verb(parts.size(), "does", "do"), so, one ? "it" : "they"))
                : sentence_start(fmt::format("{} {} on now{}; as the maker built it, {} off then", who,
                                             verb(parts.size(), "is", "are"), so, one ? "it was" : "they were"));
        f.headline += so.empty() ? fmt::format(": {}.", list_of(each)) : ".";
        f.place = where_it_lies(c_, parts.front());
        for (std::size_t i = 0; i < parts.size() && i < 3; ++i)
            f.cites.push_back(cite_part(c_, parts[i], first.works_no_more ? "worked so" : "was off so"));
        const std::vector<WireId>& wires = first.wires;
        for (std::size_t i = 0; i < wires.size() && i < 2; ++i)
            f.cites.push_back({c_.at(wires[i]).span, "made by a job"});
        f.why = "Whoever drives or mends it next expects what the handbook says.";
        f.limit = "the factory block of the file, with all that jobs added at rest";
        f.cures.push_back(
            {fmt::format("Follow what feeds it now: loomproof trace FILE {} {}{}", pole_to_trace_from(s_),
                         name_of(c_, parts.front()), wires.empty() ? "" : "; wires that a job made are on its way")});
        f.cures.push_back({first.works_no_more ? "Put the maker's way back, beside what was added."
                                               : "Part what was added from the maker's wire: by a diode in the added "
                                                 "wire, or by a relay of its own."});
        f.cures.push_back(
            {fmt::format("If that is what the job is for: accept factory-function-changed on {} because \"...\"",
                         name_of(c_, parts.front()))});
        for (PartId p : parts) f.subjects.push_back(name_of(c_, p));
        for (PartId p : parts)
            for (std::string& name : what_it_hangs_on(s_, sides_, ends_, p).names)
                f.hangs_on.push_back(std::move(name));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const Study& factory_;
    const Survey& before_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
    std::vector<std::optional<std::size_t>> now_of_; ///< by the maker's loads
    std::vector<Change> changes_;
};

/// What each load that a job brought does, and with which switches: of the positions in which it is on the one with fewest of them turned.
void list_new(const Study& s, const Survey& survey, Report& report) {
    const Circuit& c = s.circuit;
    for (std::size_t job = 1; job < c.revisions.size(); ++job) {
        std::vector<PartId> listed;
        std::vector<std::pair<std::string, std::vector<std::string>>> by_positions; // "on with S1 run": what is
        for (std::size_t i = 0; i < survey.loads.size(); ++i) {
            const Primitive& p = c.at(survey.loads[i].load);
            const Part& part = c.at(p.part);
            if (part.life.born != job || part.origin.provenance != Provenance::job || part.poisoned ||
                std::ranges::find(listed, p.part) != listed.end())
                continue;
            std::optional<StateId> at;
            std::size_t fewest = 0;
            for (StateId state = 0; state < survey.behaviour.states.size(); ++state) {
                const solve::State& here = survey.behaviour.states[state];
                if (!here.stable || survey.shorted[state] || survey.on[state].empty() || !survey.on[state][i]) continue;
                std::size_t turned = 0;
                for (std::size_t k = 0; k < here.positions.size(); ++k)
                    if (const Control& control = c.at(ControlId{k}); control.type != Control::Type::relay)
                        turned += here.positions[k] != control.rest ? 1 : 0;
                if (!at || turned < fewest) {
                    at = state;
                    fewest = turned;
                }
            }
            if (!at) continue; // never-powered speaks of it
            listed.push_back(p.part);
            const std::string how =
                survey.loads[i].always ? "on in every switch position" : "on " + when(s, survey.behaviour, *at);
            auto same = std::ranges::find(by_positions, how, &std::pair<std::string, std::vector<std::string>>::first);
            if (same == by_positions.end()) same = by_positions.insert(same, {how, {}});
            same->second.push_back(called(c, p.part));
        }
        for (const auto& [how, names] : by_positions)
            report.new_functions.push_back({c.revisions[job].title, list_of(names) + " " + how});
    }
}

void run(const Study& s, Report& report) {
    if (!s.circuit.has_factory || s.circuit.revisions.size() < 2) return;
    const Survey* survey =
        survey_or_say(s, report, factory_function_changed.id, "whether everything that the maker built does as before");
    if (!survey) return;
    if (s.circuit.has_mistakes)
        return report.not_checked.push_back(
            open_until_mended(factory_function_changed.id, "whether everything that the maker built does as before"));
    list_new(s, *survey, report);
    const Study factory(s.circuit, Revision{0});
    if (const Survey* before = survey_of(factory)) Judge(s, *survey, factory, *before, report).run();
}

} // namespace

const Rule factory_function_changed = {
    "factory-function-changed",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "something that the maker built does not work as it did, or comes on where it was off",
    "always a fault; what added switches do is not blamed, and what jobs added is listed as new functions",
    {
        "With the maker's own switches in the named position, and all that jobs added at rest, this load is on where "
        "the maker built it off, or the other way round.",
        "A job was meant to add something, not to change what was there: whoever drives or mends the vehicle next goes "
        "by its handbook.",
        "Find the added wire that does it. A tap that joins two of the maker's circuits wants a diode or a relay; a "
        "wire that was cut wants its other half back.",
        "The factory block of the file is the reference. Compared is load by load, in every position of the switches "
        "that the maker built; what works again with an added "
        "switch on is that job's purpose and is left alone.",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory {
  battery, 60 Ah
  fuse F1, 10 A
  fuse F2, 10 A
  switch S1 "stop lamp switch", 10 A
  switch S2 "reverse switch", 10 A
  lamp E1 "stop lamp", 21 W
  lamp E2 "reverse lamp", 21 W
  splice SP1, crimp
  splice SP2, crimp
  wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 1 mm2 red, 1 m
  wire W3 from S1 to SP1, 1 mm2 green, 2 m
  wire W4 from SP1 to E1, 1 mm2 green, 1 m
  wire W5 from E1 to ground, 1 mm2 black, 0.3 m
  wire W6 from battery:+ to F2, 1.5 mm2 red, 0.1 m
  wire W7 from F2 to S2, 1 mm2 red, 1 m
  wire W8 from S2 to SP2, 1 mm2 white, 2 m
  wire W9 from SP2 to E2, 1 mm2 white, 1 m
  wire W10 from E2 to ground, 1 mm2 black, 0.3 m
}
job "camera" fitted 2026-05-02 {
  electronics A1 "rear camera", 0.3 A
  splice SP3, crimp
  wire W11 from SP1 to SP3, 1 mm2 blue, 0.5 m
  wire W12 from SP2 to SP3, 1 mm2 blue, 0.5 m
  wire W14 from SP3 to A1:+, 1 mm2 blue, 0.1 m
  wire W13 from A1:- to ground, 1 mm2 black, 0.3 m
}
)",
        R"(loom 1
vehicle "Ridgeback pickup, 1986", partly described
factory {
  battery, 60 Ah
  fuse F1, 10 A
  fuse F2, 10 A
  switch S1 "stop lamp switch", 10 A
  switch S2 "reverse switch", 10 A
  lamp E1 "stop lamp", 21 W
  lamp E2 "reverse lamp", 21 W
  splice SP1, crimp
  splice SP2, crimp
  wire W1 from battery:+ to F1, 1.5 mm2 red, 0.1 m
  wire W2 from F1 to S1, 1 mm2 red, 1 m
  wire W3 from S1 to SP1, 1 mm2 green, 2 m
  wire W4 from SP1 to E1, 1 mm2 green, 1 m
  wire W5 from E1 to ground, 1 mm2 black, 0.3 m
  wire W6 from battery:+ to F2, 1.5 mm2 red, 0.1 m
  wire W7 from F2 to S2, 1 mm2 red, 1 m
  wire W8 from S2 to SP2, 1 mm2 white, 2 m
  wire W9 from SP2 to E2, 1 mm2 white, 1 m
  wire W10 from E2 to ground, 1 mm2 black, 0.3 m
}
job "camera" fitted 2026-05-02 {
  electronics A1 "rear camera", 0.3 A
  diode V1, band on 2, one-way, 1 A
  diode V2, band on 2, one-way, 1 A
  splice SP3, crimp
  wire W11 from SP1 to V1:1, 1 mm2 blue, 0.5 m
  wire W12 from SP2 to V2:1, 1 mm2 blue, 0.5 m
  wire W14 from V1:2 to SP3, 1 mm2 blue, 0.1 m
  wire W15 from V2:2 to SP3, 1 mm2 blue, 0.1 m
  wire W16 from SP3 to A1:+, 1 mm2 blue, 0.1 m
  wire W13 from A1:- to ground, 1 mm2 black, 0.3 m
}
)",
    },
    run,
};

} // namespace loomproof::rules
