#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/simplest.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"
#include "rules/wire_limits.hpp"
#include "solve/predict.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule ground_drop; // rule_list.hpp lists it

namespace {

/// Between a load's ground end and the battery's ground post, at 12 V, a workshop allows 0.2 V (trade practice). Twice that is worth a word; what lies
/// between is part of the sum that voltage-drop judges.
constexpr double workshop = 0.2, allowed = 2 * workshop;
/// What is lost at one wire and is not worth a word.
constexpr double at_least = 0.05;

struct Loss {
    PrimitiveId load;
    solve::StateId at = 0;
    Volts volts, limit, worst_share;
    EdgeRef worst;
    Amps amps;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s), weighing_(s, survey) {
        some_wire_unsaid_ = weighing_.some_wire_unsaid();
    }

    void run() {
        std::map<solve::StateId, solve::Point> points; // most loads lose most in the same few positions
        for (LoadSeen load : survey_.loads) {
            if (load.lost_held.si > 0) { // what is lost for moments only is not worth a word
                load.lost = load.lost_held;
                load.lost_at = load.lost_held_at;
            }
            const Primitive& p = c_.at(load.load);
            const Kind kind = c_.at(p.part).kind;
            if (kind == Kind::beyond || kind == Kind::starter || c_.at(p.part).poisoned ||
                (load.lost.si <= allowed * scale() && !some_wire_unsaid_) || !load.ever() || !p.current.known())
                continue;
            const solve::Point& point = point_at(points, load.lost_at);
            const auto lost = solve::lost_on_the_way(s_.now, point, load.load);
            if (!lost) continue;
            if (std::vector<solve::Unknown> unsaid = unsaid_on(*lost); !unsaid.empty())
                weigh(load, std::move(unsaid), *lost);
            else
                look_at(load, load.lost_at, *lost, point, losses_);
        }
        say_open();
        std::vector<bool> said(losses_.size(), false);
        for (std::size_t i = 0; i < losses_.size(); ++i) {
            if (said[i]) continue;
            std::vector<const Loss*> same;
            for (std::size_t k = i; k < losses_.size(); ++k)
                if (!said[k] && losses_[k].worst == losses_[i].worst) {
                    said[k] = true;
                    same.push_back(&losses_[k]);
                }
            say(same);
        }
    }

  private:
    const solve::Point& point_at(std::map<solve::StateId, solve::Point>& points, solve::StateId at) const {
        const auto known = points.find(at);
        return known != points.end() ? known->second : points.emplace(at, survey_.behaviour.point(at)).first->second;
    }

    /// Wires on the ground side of which nobody said how long or how thick they are.
    std::vector<solve::Unknown> unsaid_on(const solve::Lost& lost) const {
        std::vector<solve::Unknown> all;
        for (const solve::Share& share : lost.ground)
            if (share.what.is_wire())
                if (const auto u = weighing_.unsaid_wire(share.what.wire)) all.push_back(*u);
        return all;
    }
    /// May it be too much, with all that such wires can be? Then a meter says it soonest.
    void weigh(const LoadSeen& load, std::vector<solve::Unknown> unsaid, const solve::Lost& lost) {
        for (const solve::Share& share : lost.ground)
            if (share.what.is_wire() ? c_.at(share.what.wire).winch_cable || c_.at(share.what.wire).starter_cable
                                     : c_.at(share.what.primitive).element == Element::junction)
                return;
        const auto makers = [&](const solve::Unknown& u) { return s_.now.is_factory(u.edge.wire); };
        if (s_.now.is_factory(c_.at(load.load).part) && std::ranges::all_of(unsaid, makers)) return;
        const solve::Positions positions = survey_.behaviour.states[load.lost_at].positions;
        const solve::Figure volts = [&view = s_.now, positions, id = load.load](solve::Model& m) {
            const auto here = solve::lost_on_the_way(view, m.point(positions), id);
            double sum = 0;
            if (here)
                for (const solve::Share& share : here->ground) sum += share.volts.si;
            return sum;
        };
        const InWords words{"it", [](double v) { return text(rounded(Volts{v}, 2)); }, {}, {}};
        const Weighed w = weighing_.weigh(std::move(unsaid), volts, allowed * scale() * 1.02, words);
        if (w.verdict != Weighed::Verdict::holds) open_.push_back({load.load, load.lost_at, w});
    }
    /// One line for all: the same reading is taken at each.
    void say_open() {
        if (open_.empty()) return;
        std::vector<std::string> loads, wires;
        const auto note = [](std::vector<std::string>& all, std::string name) {
            if (std::ranges::find(all, name) == all.end()) all.push_back(std::move(name));
        };
        const Open* worst = &open_.front();
        for (const Open& o : open_) {
            note(loads, name_of(c_, c_.at(o.load).part));
            const WireId wire = o.weighed.unknown[o.weighed.decides.empty() ? 0 : o.weighed.decides.front()].edge.wire;
            note(wires, c_.at(wire).named ? name_of(c_, wire) : described(c_, wire));
            if (o.weighed.bounds.high > worst->weighed.bounds.high) worst = &o;
        }
        const Primitive& p = c_.at(worst->load);
        const TerminalId ground = ground_end(*worst);
        report_.not_checked.push_back(
            {ground_drop.id, fmt::format("volts lost between {} and the battery's ground post", list_of(loads)),
             fmt::format("nobody said how long and how thick {} {}", list_of(wires), verb(wires.size(), "is", "are")),
             fmt::format("Meter on volts from {} to the battery's ground post, {}: up to {} is good. More: use thicker "
                         "wire, or a ground nearer to {}.",
                         name_of(c_, ground), when(s_, survey_.behaviour, worst->at), text(Volts{allowed * scale()}),
                         name_of(c_, p.part))});
    }
    template <class Here> TerminalId ground_end(const Here& h) const {
        return s_.now.ground_pole() == Role::minus ? lower_end(h.load, h.at) : upper_end(h.load, h.at);
    }
    TerminalId lower_end(PrimitiveId load, solve::StateId at) const {
        const auto volts = survey_.behaviour.volts_over(at, load);
        return volts && volts->si < 0 ? c_.at(load).a : c_.at(load).b;
    }
    TerminalId upper_end(PrimitiveId load, solve::StateId at) const {
        return lower_end(load, at) == c_.at(load).a ? c_.at(load).b : c_.at(load).a;
    }

    double scale() const { return std::max(1.0, c_.vehicle.system.si / 12); }

    void look_at(const LoadSeen& load, solve::StateId at, const solve::Lost& lost, const solve::Point& point,
                 std::vector<Loss>& losses) const {
        Loss l{load.load, at, {}, {}, {}, {}, {}};
        for (const solve::Share& share : lost.ground) {
            if (share.what.is_wire() && (c_.at(share.what.wire).winch_cable || c_.at(share.what.wire).starter_cable))
                return;
            if (!share.what.is_wire() && c_.at(share.what.primitive).element == Element::junction) return;
            l.volts += share.volts;
            if (share.volts > l.worst_share) {
                l.worst_share = share.volts;
                l.worst = share.what;
            }
        }
        const auto& amps = point.primitive_amps[load.load.index];
        l.amps = Amps{amps ? std::abs(amps->si) : 0};
        l.limit = Volts{allowed * scale()};
        if (l.volts.si > l.limit.si * 1.02 && l.worst_share.si > at_least && l.worst.is_wire()) losses.push_back(l);
    }

    /// The same where as few switches as can be are on: nobody drives with the inertia switch tripped.
    Loss simpler(const Loss& loss) const {
        constexpr double as_much = 0.95;
        const LoadSeen& load = *std::ranges::find(survey_.loads, loss.load, &LoadSeen::load);
        Loss best = loss;
        simplest(survey_.behaviour, c_, loss.at, [&](solve::StateId at) {
            if (survey_.passing[at] || survey_.shorted[at]) return false;
            const solve::Point point = survey_.behaviour.point(at);
            const auto lost = solve::lost_on_the_way(s_.now, point, load.load);
            std::vector<Loss> here;
            if (lost) look_at(load, at, *lost, point, here);
            const bool holds =
                !here.empty() && here.front().worst == loss.worst && here.front().volts.si >= as_much * loss.volts.si;
            if (holds) best = here.front();
            return holds;
        });
        return best;
    }

    void say(const std::vector<const Loss*>& same) {
        const Loss* first = *std::ranges::max_element(same, {}, [](const Loss* l) { return l->volts / l->limit; });
        const Loss worst = simpler(*first);
        const Primitive& p = c_.at(worst.load);
        std::vector<std::string> others;
        for (const Loss* l : same)
            if (const std::string name = name_of(c_, c_.at(l->load).part);
                l != first && name != name_of(c_, p.part) && std::ranges::find(others, name) == others.end())
                others.push_back(name);
        const WireId wire = worst.worst.wire;
        if (s_.now.is_factory(wire) && s_.now.is_factory(p.part))
            return; // the maker's own is not worth a word here: voltage-drop notes what is much
        Finding f;
        f.rule = ground_drop.id;
        f.severity = Severity::advice;
        f.certainty = sure_share(s_, survey_, std::nullopt) > 0.9 ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(fmt::format(
            "Between {} and the battery's ground post lie {} {}, most of it in {}{}.", called(c_, p.part),
            text(rounded(worst.volts, 2)), when(s_, survey_.behaviour, worst.at), name_of(c_, wire),
            others.empty()       ? ""
            : others.size() <= 4 ? "; much the same for " + list_of(others)
                                 : fmt::format("; much the same for {}", counted(others.size(), "more load"))));
        f.place = place_of(c_, wire);
        f.cites.push_back(cite_size(c_, wire, fmt::format("takes {}", text(rounded(worst.worst_share, 2)))));
        f.cites.push_back(cite_part(c_, p.part));
        const auto through = survey_.behaviour.amps_through(worst.at, wire);
        f.why = fmt::format("{} flow there. What shares this ground shifts with it, and joints that age make it worse.",
                            text(rounded(Amps{through ? std::abs(through->si) : worst.amps.si}, 2)));
        f.limit = fmt::format(
            "{} on the ground side is what a workshop allows (trade practice); spoken of from twice that on",
            text(Volts{workshop * scale()}));
        if (c_.at(wire).screen || c_.at(wire).signal)
            f.cures.push_back({home_by_itself(c_, wire, ground_end(worst))});
        else if (c_.at(wire).area.known())
            f.cures.push_back({fmt::format("Use thicker wire for {}, or a ground nearer to it.", name_of(c_, wire))});
        f.subjects.push_back(name_of(c_, wire));
        f.subjects.push_back(name_of(c_, p.part));
        for (const std::string& o : others) f.subjects.push_back(o);
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Sides sides_;
    const Ends ends_;
    const Weighing weighing_;
    std::vector<Loss> losses_;
    struct Open {
        PrimitiveId load;
        solve::StateId at = 0;
        Weighed weighed;
    };
    std::vector<Open> open_; ///< what hangs on a wire of which nobody said enough
    bool some_wire_unsaid_ = false;
};

void run(const Study& s, Report& report) {
    if (const Survey* survey = survey_of_bad_positions(s, report, ground_drop.id, "volts lost on the ground side"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule ground_drop = {
    "ground-drop",
    Severity::advice,
    Quantifier::exists,
    Harm::other,
    "volts lost between a load and the battery's ground post",
    "always advice: above 0.4 V at 12 V",
    {
        "While this load is on, its ground end is not at the battery's ground but some tenths of a volt above: a wire "
        "there takes them.",
        "Lamps lose light, electronics and senders on the same ground read wrong, and lamps that share it dim with "
        "each other.",
        "Thicker ground wire, a ground point nearer to the load, or a ground of its own.",
        "0.2 V at 12 V is what a workshop allows on the ground side (trade practice); twice that is spoken of, more in "
        "proportion at 24 V. What lies between is part of the sum that voltage-drop judges. Copper at the temperature "
        "that its own current gives it, bolts as clean as new.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to S1, 4 mm2 red, 1 m
wire from S1 to E1, 4 mm2 red, 1 m
wire W4 from E1 to ground, 1 mm2 black, 5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to S1, 4 mm2 red, 1 m
wire from S1 to E1, 4 mm2 red, 1 m
wire W4 from E1 to ground, 4 mm2 black, 5 m
)",
    },
    run,
};

} // namespace loomproof::rules
