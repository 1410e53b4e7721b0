#include "base/number.hpp"
#include "circuit/wishes.hpp"
#include "rules/called_so.hpp"
#include "rules/closing_contact.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule cut_off_bypassed; // rule_list.hpp lists it

namespace {

/// What a feed that keeps a memory, a clock or an alarm alive past a main switch has as a fuse at most (common practice, no source).
constexpr Amps keeps_a_memory{15};
constexpr std::size_t most_named = 4;
/// Less than this comes round over what is no way for current (common practice, no source).
constexpr Amps worth_a_word{0.1};

/// A main switch seen from one pole of a battery.
struct CutOff {
    PrimitiveId contact;
    TerminalId pole, near, far;
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s) {}

    void run() {
        std::vector<PartId> said;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!cuts_off(p) || std::ranges::find(said, p.part) != said.end()) continue;
            for (const LivePole& live : s_.strong) {
                const Primitive& battery = c_.at(live.source);
                if (c_.at(battery.part).kind != Kind::battery || c_.at(battery.part).poisoned) continue;
                if (look_at(id, battery.a) || look_at(id, battery.b)) {
                    said.push_back(p.part);
                    break;
                }
            }
        }
        against_the_current(said);
    }

  private:
    bool cuts_off(const Primitive& p) const {
        if (p.element != Element::contact || !p.control.exists() || c_.at(p.part).poisoned) return false;
        const Control& control = c_.at(p.control);
        if (control.type != Control::Type::hand || control.springs_back != 0) return false;
        return is_cut_off(c_.at(p.part)) || (has_cable(s_, p.a) && has_cable(s_, p.b));
    }

    /// In some position of other switches current comes round through one of them, against its usual way, to what the switch is to make
    /// dead: two feeds are joined at what both of them work. By structure alone each of those switches may be there for that.
    void against_the_current(const std::vector<PartId>& said) {
        std::vector<ControlId> cut_offs;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (cuts_off(p) && std::ranges::find(said, p.part) == said.end() &&
                std::ranges::find(cut_offs, p.control) == cut_offs.end() && is_cut_off(c_.at(p.part)))
                cut_offs.push_back(p.control);
        }
        const Survey* survey = cut_offs.empty() ? nullptr
                                                : survey_of_bad_positions(s_, report_, cut_off_bypassed.id,
                                                                          "what current comes round a main switch");
        if (!survey) return;
        for (ControlId control : cut_offs) {
            const auto& states = survey->behaviour.states;
            for (solve::StateId off = 0; off < states.size(); ++off)
                if (comes_round(*survey, control, off)) break;
        }
    }

    bool comes_round(const Survey& survey, ControlId control, solve::StateId off) {
        const solve::Behaviour& b = survey.behaviour;
        const Control& k = c_.at(control);
        const solve::State& state = b.states[off];
        const auto counts = [&](solve::StateId id) {
            return b.states[id].stable && !survey.shorted[id] && !survey.on[id].empty() &&
                   b.model().engine_does(b.states[id].positions) == solve::EngineDoes::nothing;
        };
        if (!is_called_resting(k.positions[state.positions[control.index]]) || !counts(off)) return false;
        for (std::uint8_t to = 0; to < k.positions.size(); ++to) {
            if (to == state.positions[control.index]) continue;
            solve::Positions wanted = state.positions;
            wanted[control.index] = to;
            const auto on = b.find(wanted);
            if (!on || !counts(*on)) continue;
            const solve::Point usually = b.point(*on), here = b.point(off);
            for (PrimitiveId id : s_.now.primitives()) {
                const Primitive& p = c_.at(id);
                if (p.element != Element::contact || !p.control.exists() || p.control == control ||
                    c_.at(p.part).kind != Kind::switching)
                    continue;
                const auto &usual = usually.primitive_amps[id.index], &now = here.primitive_amps[id.index];
                if (!usual || !now || std::abs(now->si) < worth_a_word.si || usual->si * now->si >= 0) continue;
                std::vector<PartId> lit;
                for (std::size_t l = 0; l < survey.loads.size(); ++l) {
                    const PrimitiveId load = survey.loads[l].load;
                    if (!survey.on[off][l] || is_kept_alive(c_.at(c_.at(load).part)) ||
                        std::ranges::find(lit, c_.at(load).part) != lit.end() ||
                        is_expected_on(c_, c_.at(load).part, state.positions))
                        continue;
                    const CurrentWay way = current_through(s_, here, load);
                    if (std::ranges::any_of(way.edges, [&](EdgeRef e) { return !e.is_wire() && e.primitive == id; }))
                        lit.push_back(c_.at(load).part);
                }
                if (lit.empty()) continue;
                say_comes_round(survey, c_.at(control).part, off, p.part, lit);
                return true;
            }
        }
        return false;
    }

    void say_comes_round(const Survey& survey, PartId part, solve::StateId at, PartId through,
                         const std::vector<PartId>& lit) {
        const solve::Behaviour& b = survey.behaviour;
        Finding f;
        f.rule = cut_off_bypassed.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} does not cut off {}: {} current comes round to {} through {}.",
                                                called(c_, part), list_of(names_of(c_, lit)), when(s_, b, at),
                                                lit.size() == 1 ? "it" : "them", called(c_, through)));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "is led past"));
        f.cites.push_back(cite_part(c_, through, "passed the wrong way"));
        f.subjects = {name_of(c_, part), name_of(c_, through)};
        for (PartId p : lit) f.subjects.push_back(name_of(c_, p));
        for (std::size_t l = 0; l < survey.loads.size() && f.path.empty(); ++l)
            if (c_.at(survey.loads[l].load).part == lit.front() && survey.on[at][l])
                f.path = stops_in_words(c_, current_through(s_, b.point(at), survey.loads[l].load).stops);
        f.why = fmt::format("Two feeds meet at what both of them work, and one of them is live with {} off. All that "
                            "hangs behind it is live then, over a fuse that was never meant for that.",
                            name_of(c_, part));
        f.limit = "none: with that switch off nothing behind it may be live";
        f.cures.push_back(
            {fmt::format("A diode in the feed from {} to what both work, band towards that.", name_of(c_, through))});
        f.cures.push_back({fmt::format("Make {} a change-over switch, which takes the other feed off while it puts its "
                                       "own on.",
                                       name_of(c_, through))});
        report_.findings.push_back(std::move(f));
    }

    static bool small(const Stated<Amps>& rating) { return rating.known() && rating.nominal <= keeps_a_memory; }

    /// What hangs together with a pole while the switch is out, as if all its contacts were open. Another battery is the end of it: that
    /// one has, or lacks, a main switch of its own.
    Reach walk(TerminalId from, PartId without, bool over_small_fuses, bool over_contacts) const {
        return s_.graph.walk(
            std::vector{from},
            [&](EdgeRef e, TerminalId at) {
                if (at != from && other_pole(at, from)) return false;
                if (e.is_wire()) return true;
                const Primitive& p = c_.at(e.primitive);
                if (p.part == without) return false;
                switch (p.element) {
                case Element::joint:
                case Element::meter: return true;
                case Element::protector: return over_small_fuses || !small(rating_of(s_, e.primitive));
                case Element::contact: return over_contacts && !cuts_off(p);
                default: return false;
                }
            },
            &Edge::metres);
    }
    bool other_pole(TerminalId at, TerminalId from) const {
        return c_.part_of(at).kind == Kind::battery && c_.at(at).part != c_.at(from).part;
    }

    /// walk() from a pole over no contact. It goes through a switch only where that has more inside than contacts, so for most of them it
    /// is one and the same.
    const Reach& from_pole(TerminalId pole, PartId without, bool over_small_fuses) {
        const auto passed = [&](PrimitiveId id) {
            const Element e = c_.at(id).element;
            return e == Element::joint || e == Element::meter || e == Element::protector;
        };
        bool inside = false;
        for (TerminalId t : c_.at(without).terminals)
            for (PrimitiveId id : s_.now.primitives_at(t)) inside = inside || (c_.at(id).part == without && passed(id));
        if (inside) without_ = walk(pole, without, over_small_fuses, false);
        if (inside) return *without_;
        const auto [known, fresh] = from_poles_.try_emplace({pole, over_small_fuses});
        if (fresh) known->second = walk(pole, {}, over_small_fuses, false);
        return known->second;
    }

    /// True where something was said of it.
    bool look_at(PrimitiveId id, TerminalId pole) {
        const Primitive& p = c_.at(id);
        const Reach& all = from_pole(pole, p.part, true);
        if (!all.reached(p.a) && !all.reached(p.b)) return false;
        if (!all.reached(p.a) || !all.reached(p.b)) {
            const CutOff k{id, pole, all.reached(p.a) ? p.a : p.b, all.reached(p.a) ? p.b : p.a};
            return look_at_leads_past(k);
        }
        const bool a_near = all.path_to(p.a).size() <= all.path_to(p.b).size();
        const CutOff k{id, pole, a_near ? p.a : p.b, a_near ? p.b : p.a};
        const Reach strong = walk(pole, p.part, false, false);
        const bool is_strong = strong.reached(k.far) && strong.reached(k.near);
        const Reach& way = is_strong ? strong : all;
        const std::vector<EdgeRef> path = way.path_to(k.far), direct = way.path_to(k.near);
        if (!is_strong && kept_alive_on(path)) return false;
        say_bypassed(k, path, direct, way.stops_to(k.far), is_strong);
        return true;
    }

    bool kept_alive_on(const std::vector<EdgeRef>& path) const {
        return std::ranges::any_of(path, [&](EdgeRef e) {
            return !e.is_wire() && c_.at(e.primitive).element == Element::protector &&
                   is_kept_alive(c_.at(c_.at(e.primitive).part));
        });
    }

    void say_bypassed(const CutOff& k, const std::vector<EdgeRef>& path, const std::vector<EdgeRef>& direct,
                      const std::vector<TerminalId>& stops, bool strong) {
        const PartId part = c_.at(k.contact).part;
        std::optional<std::size_t> past; // the first wire of the way past it that is not its own lead
        for (std::size_t i = 0; i < path.size() && !past; ++i)
            if (path[i].is_wire() && std::ranges::find(direct, path[i]) == direct.end()) past = i;
        const std::vector<PartId> behind = loads_at(k.far, part);
        Finding f;
        f.rule = cut_off_bypassed.id;
        f.severity = strong ? Severity::fault : Severity::advice;
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "is led past"));
        f.subjects.push_back(name_of(c_, part));
        std::string what = "there is a way past it";
        if (past) {
            const WireId w = path[*past].wire;
            what = called(c_, w) + " leads past it";
            f.cites.push_back(cite_wire_end(c_, w, stops[*past], "past " + name_of(c_, part)));
            f.subjects.push_back(subject_of(c_, w));
            f.cures.push_back({fmt::format("Take {} off at {} and put it on {}, behind {}.", called(c_, w),
                                           end_of(c_, stops[*past]), name_of(c_, k.far), name_of(c_, part))});
        } else {
            f.cures.push_back({fmt::format("Follow that way and take off what leads past {}.", name_of(c_, part))});
        }
        f.headline = sentence_start(fmt::format("{} does not cut off the battery: {}, from {} to {}.", called(c_, part),
                                                what, name_of(c_, k.pole), name_of(c_, k.far)));
        f.why = strong ? "Switched off, it leaves everything as live as before: whoever works on the wiring, or wants "
                         "it dead in a fire, trusts a switch that does nothing."
                       : "Switched off, it leaves everything live over that fuse: what takes less than the fuse "
                         "goes on working, an ignition too, and tools still strike sparks.";
        if (!behind.empty()) f.why += fmt::format(" {} behind it.", named(behind));
        f.limit = "none: switched off, both of its ends hang on the same pole of the battery";
        f.cures.push_back({"If a clock or a memory is to stay alive: lead that feed to it alone, behind a small fuse "
                           "of its own, and type \"keep alive\" behind what it feeds."});
        f.path = stops_in_words(c_, stops);
        for (const std::string& stop : f.path)
            if (std::ranges::find(f.subjects, stop) == f.subjects.end()) f.subjects.push_back(stop);
        report_.findings.push_back(std::move(f));
    }

    std::string named(const std::vector<PartId>& parts) const {
        return named_alone(parts) + (parts.size() == 1 ? " lies" : " lie");
    }

    /// Loads that are joined to a terminal while the switch is out, however their own switches stand; in text order.
    std::vector<PartId> loads_at(TerminalId from, PartId without) const {
        const Reach reach = walk(from, without, true, true);
        std::vector<PrimitiveId> loads;
        for (TerminalId t : reach.in_order()) {
            if (s_.reference[t.index]) continue;
            for (PrimitiveId id : s_.now.primitives_at(t))
                if (works(c_.at(id))) loads.push_back(id);
        }
        std::ranges::sort(loads);
        std::vector<PartId> all;
        std::vector<bool> known(c_.parts.size());
        for (PrimitiveId id : loads) {
            const PartId part = c_.at(id).part;
            if (!known[part.index]) all.push_back(part);
            known[part.index] = true;
        }
        return all;
    }
    bool live_end(const Reach& reach, TerminalId t) const { return reach.reached(t) && !s_.reference[t.index]; }
    bool works(const Primitive& p) const {
        return is_load(p) && p.purpose != Purpose::coil && p.purpose != Purpose::charge_lamp_terminal &&
               c_.at(p.part).kind != Kind::resistor && c_.at(p.part).kind != Kind::beyond &&
               c_.at(p.part).kind != Kind::alternator && c_.at(p.part).kind != Kind::dynamo &&
               c_.at(p.part).kind != Kind::regulator && !c_.at(p.part).poisoned;
    }

    /// The car's main switch: it is called so, or the starter lies behind it.
    bool is_the_main_one(const CutOff& k) const {
        const PartId part = c_.at(k.contact).part;
        if (is_main_cut_off(c_.at(part))) return true;
        const std::vector<PartId> behind = loads_at(k.far, part);
        return std::ranges::any_of(behind, [&](PartId p) { return c_.at(p).kind == Kind::starter; });
    }

    /// What parts two batteries is to part them, and each feeds its own.
    bool joins_batteries(const CutOff& k) const {
        const auto is_another = [&](const LivePole& live) { return c_.at(live.source).part != c_.at(k.pole).part; };
        if (std::ranges::none_of(s_.strong, is_another)) return false;
        const Reach behind = walk(k.far, c_.at(k.contact).part, true, false);
        return std::ranges::any_of(s_.strong,
                                   [&](const LivePole& live) { return is_another(live) && behind.reached(live.pole); });
    }

    /// It works, but more than a memory is fed from before it. Only in the live line: what has its ground before a switch in the ground line
    /// is fed by nothing that the file calls past it, and small electronics are often grounded so.
    bool look_at_leads_past(const CutOff& k) {
        if (s_.reference[k.pole.index] || joins_batteries(k) || !is_the_main_one(k)) return false;
        const PartId part = c_.at(k.contact).part;
        const Reach reach = walk(k.pole, part, false, true);
        std::vector<PartId> past;
        std::optional<TerminalId> first;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!works(p) || is_kept_alive(c_.at(p.part)) || is_wished(p.part, k)) continue;
            const TerminalId end = live_end(reach, p.a) ? p.a : p.b;
            if (!live_end(reach, end) || std::ranges::find(past, p.part) != past.end()) continue;
            if (!first) first = end;
            past.push_back(p.part);
        }
        if (past.empty()) return false;
        const std::vector<EdgeRef> path = reach.path_to(*first);
        const std::vector<TerminalId> stops = reach.stops_to(*first);
        Finding f;
        f.rule = cut_off_bypassed.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format("{} does not cut off {}: {} fed from before it.", called(c_, part),
                                                named_alone(past), past.size() == 1 ? "it is" : "they are"));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "is led past"));
        f.subjects.push_back(name_of(c_, part));
        for (PartId p : past) f.subjects.push_back(name_of(c_, p));
        for (std::size_t i = 0; i < path.size(); ++i)
            if (path[i].is_wire()) {
                f.cites.push_back(cite_wire_end(c_, path[i].wire, stops[i], "past " + name_of(c_, part)));
                f.subjects.push_back(subject_of(c_, path[i].wire));
                break;
            }
        f.why = "With the main switch off that wiring stays live, and can burn or run with nobody near.";
        f.limit = fmt::format("what is to stay alive is a memory, a clock, an alarm behind {} or less (common "
                              "practice, no source)",
                              text(keeps_a_memory));
        f.cures.push_back({fmt::format("Feed {} from behind {}, from {}.", named_alone(past), name_of(c_, part),
                                       name_of(c_, k.far))});
        f.cures.push_back(
            {fmt::format("If that is meant, say so: type expect {} on with {} {}, and the positions in which it works.",
                         name_of(c_, past.front()), name_of(c_, part), position_out(k))});
        f.path = stops_in_words(c_, stops);
        report_.findings.push_back(std::move(f));
        return true;
    }
    std::string named_alone(const std::vector<PartId>& parts) const {
        std::vector<std::string> names = names_of(c_, parts);
        const std::size_t more = names.size() > most_named ? names.size() - most_named : 0;
        names.resize(names.size() - more);
        if (more > 0) names.push_back(fmt::format("{} more", more));
        return list_of(names);
    }
    std::string position_out(const CutOff& k) const {
        const Control& control = c_.at(c_.at(k.contact).control);
        for (std::size_t i = 0; i < control.positions.size(); ++i)
            if ((c_.at(k.contact).closed_in >> i & 1U) == 0) return control.positions[i];
        return "off";
    }

    /// Does the file expect it to work with the switch out?
    bool is_wished(PartId load, const CutOff& k) const {
        return std::ranges::any_of(c_.expectations, [&](const Expectation& e) {
            const bool works = e.what == Expectation::What::on || e.what == Expectation::What::at_least ||
                               e.what == Expectation::What::between;
            return works && e.part == load && std::ranges::any_of(e.when.at, [&](const Wish::At& at) {
                       return at.control == c_.at(k.contact).control &&
                              (at.positions & c_.at(k.contact).closed_in) == 0;
                   });
        });
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const Sides sides_;
    std::map<std::pair<TerminalId, bool>, Reach> from_poles_; ///< by pole, and over small fuses or not
    std::optional<Reach> without_;                            ///< the last one that was made for one switch alone
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule cut_off_bypassed = {
    "cut-off-bypassed",
    Severity::fault,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a battery's main switch that something leads past, so that it does not cut off",
    "a fault where a lead joins its two sides, or two feeds meet behind other switches; advice where that has a small "
    "fuse, or where single loads are fed from "
    "before it",
    {
        "With the battery's main switch off, what lies behind it stays joined to the battery over another lead, or "
        "single loads are fed from before it. Or a feed from before it meets one from behind it at what both of them "
        "work, "
        "and current goes round through the hand switch.",
        "A main switch is for the moment in which everything has to be dead: work on the wiring, a fire, a car that "
        "is laid up. One that is led past is trusted and does nothing.",
        "Put that lead behind the switch. What is to stay alive gets a feed of its own, behind a small fuse.",
        "A switch counts as one that cuts off where it has cables for more than 60 A on both sides, or is called so "
        "(isolator, main switch, battery switch). Silent: loads called a clock, a memory, an alarm or \"keep alive\"; "
        "feeds behind 15 A and less to single loads; what the file expects to work with the switch off; another "
        "battery, which needs a switch of its own. All common practice, no source.",
        R"(loom 1
battery, 60 Ah
switch S9 "main switch", 300 A
starter M1, 150 A
switch S1 "start", push, 30 A
fuse F1, 10 A
wire W1 from battery:+ to S9:1, 35 mm2 red, 0.3 m, starter cable
wire W2 from S9:2 to M1:30, 35 mm2 red, 1 m, starter cable
wire W3 from battery:+ to M1:30, 35 mm2 red, 1 m, starter cable
wire W4 from M1:30 to F1, 2.5 mm2 red, 0.15 m
wire W5 from F1 to S1, 2.5 mm2 red, 1 m
wire W6 from S1 to M1:50, 2.5 mm2 red, 1 m
)",
        R"(loom 1
battery, 60 Ah
switch S9 "main switch", 300 A
starter M1, 150 A
switch S1 "start", push, 30 A
fuse F1, 10 A
wire W1 from battery:+ to S9:1, 35 mm2 red, 0.3 m, starter cable
wire W2 from S9:2 to M1:30, 35 mm2 red, 1 m, starter cable
wire W4 from M1:30 to F1, 2.5 mm2 red, 0.15 m
wire W5 from F1 to S1, 2.5 mm2 red, 1 m
wire W6 from S1 to M1:50, 2.5 mm2 red, 1 m
)",
    },
    run,
};

} // namespace loomproof::rules
