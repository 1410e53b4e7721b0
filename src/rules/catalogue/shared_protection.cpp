#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/standing.hpp"
#include "rules/survey.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule shared_protection; // rule_list.hpp lists it

namespace {

/// Beyond this the pieces that lie side by side are a net of its own, such as a ring main; each open piece costs a solution.
constexpr std::size_t most_wires = 40;
/// So many times its own resistance is as good as broken.
constexpr double broken = 1e9;
/// A fuse that carries so many times its rating opens within seconds (blade and bolted fuses at 200 %: published curves).
constexpr double opens_soon = 2;
/// Fuses side by side in one box or holder are joined by no more wire than this (common practice, no source).
constexpr Metres side_by_side{0.3};

/// What one wire takes once the other is open.
struct Left {
    WireId open, takes_all;
    Amps amps, carries;
    solve::StateId at = 0;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report) {}

    void run() {
        const auto passes = [&](EdgeRef e, TerminalId) { return is_feed(e); };
        const Graph::Blocks blocks = s_.graph.cyclic_blocks(passes);
        std::map<std::uint32_t, std::vector<WireId>> by_block;
        for (WireId w : s_.now.wires())
            if (const auto& block = blocks.wire[w.index]) by_block[*block].push_back(w);
        for (const auto& [block, wires] : by_block)
            if (wires.size() <= most_wires) look_at(wires);
        look_at_fuses();
    }

  private:
    /// Wires, joints and protectors on the live side. Doubled grounds do good and are left alone.
    bool is_feed(EdgeRef e) const {
        const TerminalId a = e.is_wire() ? c_.at(e.wire).a : c_.at(e.primitive).a;
        if (s_.reference[a.index] || !s_.live.reached(a)) return false;
        if (e.is_wire()) return !c_.at(e.wire).poisoned;
        const Element element = c_.at(e.primitive).element;
        return element == Element::joint || element == Element::protector;
    }

    void look_at(const std::vector<WireId>& wires) {
        std::vector<solve::StateId> states;
        for (WireId w : wires)
            if (const auto& peak = survey_.wire[w.index];
                peak && peak->amps > Amps{1} && std::ranges::find(states, peak->at) == states.end())
                states.push_back(peak->at);
        std::optional<Left> worst;
        solve::Model& model = survey_.behaviour.model();
        for (solve::StateId at : states)
            for (WireId open : wires) {
                const auto& before = survey_.wire[open.index];
                if (!before || before->amps < Amps{0.5}) continue;
                model.scale({open, {}}, broken);
                const solve::Point point = model.point(survey_.behaviour.states[at].positions);
                model.scale({open, {}}, 1);
                if (!point.settled) continue;
                for (WireId w : wires) judge(open, w, at, point, worst);
            }
        if (worst) say(*worst);
    }

    void judge(WireId open, WireId w, solve::StateId at, const solve::Point& point, std::optional<Left>& worst) const {
        if (w == open || c_.at(w).winch_cable || c_.at(w).starter_cable) return;
        const auto carries = what_it_carries(c_, w);
        const auto& now = survey_.wire[w.index];
        if (!carries || !now || now->amps > carries->amps) return; // it is too much already: wire-overloaded
        const Amps amps{std::abs(amps_in(point, {w, {}}))};
        if (amps <= carries->amps * 1.01 || protected_by_itself(amps, carries->amps, point)) return;
        if (!worst || amps / carries->amps > worst->amps / worst->carries * 1.001)
            worst = Left{open, w, amps, carries->amps, at};
    }

    /// Does a fuse that the same current passes open for it: one that the wire carries, or one far overloaded?
    bool protected_by_itself(Amps amps, Amps carries, const solve::Point& point) const {
        for (PrimitiveId id : survey_.protectors) {
            const double here = std::abs(amps_in(point, {{}, id}));
            if (here < amps.si * 0.98) continue;
            const Stated<Amps> rating = rating_of(s_, id);
            if (!rating.known()) return true; // fuse-above-wire asks for it
            if (rating.nominal <= carries * 1.01 || here > opens_soon * rating.nominal.si) return true;
        }
        return false;
    }

    void say(const Left& left) {
        Finding f;
        f.rule = shared_protection.id;
        f.severity = Severity::danger;
        const std::string open = name_of(c_, left.open), other = name_of(c_, left.takes_all);
        f.certainty = sureness(s_, survey_, std::nullopt, left.amps, left.carries);
        f.headline = sentence_start(fmt::format(
            "{} and {} share one load: if {} comes off or breaks, {} takes {} {}, but carries {}.", open, other, open,
            other, text(rounded(left.amps, 3)), when(s_, survey_.behaviour, left.at), text(left.carries)));
        f.place = place_of(c_, left.takes_all);
        f.cites.push_back(cite_size(c_, left.takes_all, "carries " + text(left.carries)));
        f.cites.push_back({c_.at(left.open).span, "if this one opens"});
        f.why = "Nothing tells that one of the two is gone: all goes on working, no fuse opens, and what is left gets "
                "hotter than its insulation stands.";
        if (const auto carries = what_it_carries(c_, left.takes_all)) f.limit = reference::sentence(*carries);
        if (const auto size = size_that_carries(c_, left.takes_all, left.amps))
            f.cures.push_back(thicker(c_, left.takes_all, *size,
                                      "Let one wire carry it all: " + reference::spelled(*size) + " or thicker."));
        else
            f.cures.push_back({"Let one wire carry it all: thicker wire in place of both."});
        f.cures.push_back({fmt::format("Give each of the two a fuse of its own where it begins, {} or less: then the "
                                       "one that is left opens.",
                                       text(left.carries))});
        f.subjects = {other, open};
        for (PrimitiveId d : s_.protection[left.takes_all.index].devices)
            f.subjects.push_back(name_of(c_, c_.at(d).part));
        report_.add(std::move(f), s_.now.is_factory(left.open) && s_.now.is_factory(left.takes_all));
    }

    /// Fuses with hardly any wire between them at either end act as one large fuse.
    void look_at_fuses() {
        const auto net = s_.graph.components([&](EdgeRef e, TerminalId) {
            return is_feed(e) &&
                   // A wire of which nobody said how long it is may be as short: then it is measured.
                   (e.is_wire() ? !c_.at(e.wire).length.known() || c_.at(e.wire).length.nominal < side_by_side
                                : c_.at(e.primitive).element == Element::joint);
        });
        const auto ends = [&](PrimitiveId id) { return std::minmax(net[c_.at(id).a.index], net[c_.at(id).b.index]); };
        std::vector<bool> said(survey_.protectors.size(), false);
        for (std::size_t i = 0; i < survey_.protectors.size(); ++i) {
            const Primitive& p = c_.at(survey_.protectors[i]);
            if (said[i] || c_.at(p.a).internal || !is_feed({{}, survey_.protectors[i]})) continue;
            const std::pair<std::uint32_t, std::uint32_t> here = ends(survey_.protectors[i]);
            if (here.first == here.second) continue;
            std::vector<PrimitiveId> all;
            for (std::size_t k = i; k < survey_.protectors.size(); ++k) {
                const Primitive& other = c_.at(survey_.protectors[k]);
                if (c_.at(other.a).internal) continue;
                const std::pair<std::uint32_t, std::uint32_t> there = ends(survey_.protectors[k]);
                if (there != here) continue;
                all.push_back(survey_.protectors[k]);
                said[k] = true;
            }
            if (all.size() > 1) judge_fuses(all, unsaid_between(all));
        }
    }

    /// Wires at the ends of these fuses of which nobody said how long they are.
    std::vector<WireId> unsaid_between(const std::vector<PrimitiveId>& all) const {
        std::vector<WireId> wires;
        for (PrimitiveId id : all)
            for (TerminalId t : {c_.at(id).a, c_.at(id).b})
                for (WireId w : s_.now.wires_at(t))
                    if (!c_.at(w).length.known() && std::ranges::find(wires, w) == wires.end()) wires.push_back(w);
        return wires;
    }

    void judge_fuses(const std::vector<PrimitiveId>& all, const std::vector<WireId>& unsaid) {
        std::optional<solve::StateId> at;
        double most = 0;
        for (PrimitiveId id : all)
            if (const auto& peak = survey_.part[id.index]) {
                double sum = 0;
                const solve::Point& point = survey_.behaviour.point(peak->at);
                for (PrimitiveId each : all) sum += std::abs(amps_in(point, {{}, each}));
                if (sum > most) {
                    most = sum;
                    at = peak->at;
                }
            }
        if (!at) return;
        double largest = 0, sum = 0;
        std::vector<PartId> parts;
        for (PrimitiveId id : all) {
            const Stated<Amps> rating = rating_of(s_, id);
            if (!rating.known()) return;
            largest = std::max(largest, rating.nominal.si);
            sum += rating.nominal.si;
            parts.push_back(c_.at(id).part);
        }
        const double left = sum - largest; // the largest opens, and the others go on
        if (most <= left * 1.01) return;
        const std::string names = list_of(names_of(c_, parts));
        Finding f;
        f.rule = shared_protection.id;
        f.severity = Severity::advice;
        f.certainty =
            !unsaid.empty() ? Certainty::undecided : sureness(s_, survey_, std::nullopt, Amps{most}, Amps{left});
        f.headline =
            fmt::format("{}{} sit side by side before one load and act as one fuse of about {}; once one of them "
                        "opens, {} {} go on through {}.",
                        unsaid.empty() ? "" : "It may be that ", names, text(Amps{sum}), text(rounded(Amps{most}, 3)),
                        when(s_, survey_.behaviour, *at), all.size() == 2 ? "the other" : "the rest");
        if (!unsaid.empty()) {
            std::vector<std::string> wires;
            for (WireId w : unsaid) wires.push_back(called(c_, w));
            f.measure = fmt::format("Measure {} along the route: less than {}, and it is so. More: the wires share the "
                                    "current between the fuses.",
                                    list_of(wires), text(side_by_side));
        }
        f.place = where_it_lies(c_, parts.front());
        for (PrimitiveId id : all) f.cites.push_back(cite_rating(s_, id, text(rating_of(s_, id).nominal)));
        f.why = fmt::format(
            "They never share evenly: the cleaner contact takes more. What is left then carries {} over {}: "
            "just above its rating a fuse may hold for hours and bake its holder.",
            text(rounded(Amps{most}, 3)), text(Amps{left}));
        f.limit = fmt::format("{}, what is left without the largest; a fuse holds 110 % for good and 135 % for up to "
                              "half an hour (ISO 8820-3, from memory)",
                              text(Amps{left}));
        f.cures.push_back({fmt::format(
            "Put one fuse of {} in their place, if the wires, contacts and plugs behind are made for that.",
            text(Amps{std::ceil(most / 0.8 / 5) * 5}))});
        f.cures.push_back({"Let each feed loads of its own."});
        f.subjects = names_of(c_, parts);
        (std::ranges::all_of(parts, [&](PartId p) { return s_.now.is_factory(p); }) ? report_.as_built
                                                                                    : report_.findings)
            .push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    if (const Survey* survey = survey_of_bad_positions(s, report, shared_protection.id,
                                                       "what wires side by side take when one of them opens"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule shared_protection = {
    "shared-protection",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "wires or fuses side by side of which one alone is too weak for what is left to it",
    "a danger where a wire takes more than it carries and nothing opens; advice for fuses doubled to make a larger one",
    {
        "Two wires share one load, or two fuses sit side by side before it. If one of them opens, all of it goes "
        "through the "
        "other, and that is more than it carries.",
        "A broken wire is not noticed, because all goes on working over the other: that one gets too hot, and the fuse "
        "before both is too large to open. Fuses never share evenly, and the one that is left may sit just above its "
        "rating "
        "for hours.",
        "One wire that carries it all, or a fuse for each wire where it begins, not above what that wire carries. One "
        "fuse "
        "in place of two. Left alone are doubled grounds, and wires side by side of which each has its own fuse.",
        "Each piece is opened in turn and the circuit solved anew; compared with what the other wires carry (33 CFR "
        "183 "
        "Table 5) and with the ratings of the fuses.",
        R"(loom 1
battery, 60 Ah
fuse F1, 50 A, maxi
switch S1, 60 A
heater E1 "screen", 38 A
wire from battery:+ to F1, 10 mm2 red, 0.1 m
wire from F1 to S1, 10 mm2 red, 1 m
wire W3 from S1:2 to E1:1, 2.5 mm2 red, 1 m
wire W4 from S1:2 to E1:1, 2.5 mm2 red, 1 m
wire from E1 to ground, 10 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 50 A, maxi
switch S1, 60 A
heater E1 "screen", 38 A
wire from battery:+ to F1, 10 mm2 red, 0.1 m
wire from F1 to S1, 10 mm2 red, 1 m
wire W3 from S1:2 to E1:1, 10 mm2 red, 1 m
wire from E1 to ground, 10 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
