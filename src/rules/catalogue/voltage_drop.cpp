#include "base/number.hpp"
#include "reference/wire_sizes.hpp"
#include "rules/fault_current.hpp"
#include "rules/hangs_on.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"
#include "rules/wire_limits.hpp"
#include "solve/predict.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule voltage_drop; // rule_list.hpp lists it

namespace {

/// What a workshop allows between battery and load, at 12 V (trade practice): in the feed, and in the ground.
constexpr double feed_allowed = 0.5, ground_allowed = 0.2;
/// Of the source's volts: beyond this lamps are dim and motors slow (common practice).
constexpr double much = 0.1;
/// What a wire must lose to be named in a cure (V).
constexpr double at_least_named = 0.02;

struct Loss {
    PrimitiveId load;
    solve::StateId at = 0;
    solve::Lost lost;
    Volts feed, ground;
    bool fault = false;
    bool held = true;                 ///< in a position that somebody holds, not one of moments
    std::optional<Weighed> weighed{}; ///< where something on its way is not known exactly
    Volts all() const { return feed + ground; }
    /// The thing that takes most.
    EdgeRef most() const {
        const auto by_volts = [](const solve::Share& a, const solve::Share& b) { return a.volts < b.volts; };
        const auto f = std::ranges::max_element(lost.feed, by_volts);
        const auto g = std::ranges::max_element(lost.ground, by_volts);
        if (f == lost.feed.end()) return g == lost.ground.end() ? EdgeRef{} : g->what;
        return g == lost.ground.end() || f->volts >= g->volts ? f->what : g->what;
    }
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), sides_(s), ends_(s), weighing_(s, survey) {
        some_wire_unsaid_ = weighing_.some_wire_unsaid();
    }

    void run() {
        for (const LoadSeen& load : survey_.loads) {
            const Primitive& p = c_.at(load.load);
            const Kind kind = c_.at(p.part).kind;
            if (kind == Kind::beyond || kind == Kind::starter || c_.at(p.part).poisoned || !load.ever()) continue;
            // With what was taken for a length that nobody said little may be lost where much is.
            const bool much_lost = load.lost.si > std::min(feed_allowed * scale(), allowed(p.part));
            if (!much_lost && !some_wire_unsaid_) continue;
            if (!p.current.known() && !p.resistance.known()) {
                if (much_lost)
                    report_.not_checked.push_back(open_for_unknown_load(
                        s_, voltage_drop.id, fmt::format("volts at {}", name_of(c_, p.part)), {p.part}));
                continue;
            }
            // A position that somebody holds decides; one that lasts moments only where the load has no other.
            const bool held = load.lost_held.si > 0;
            look_at(load.load, held ? load.lost_held_at : load.lost_at, held);
        }
        // Loads that lose it at the same place are one finding.
        std::vector<bool> said(losses_.size(), false);
        for (std::size_t i = 0; i < losses_.size(); ++i) {
            if (said[i]) continue;
            std::vector<const Loss*> same;
            for (std::size_t k = i; k < losses_.size(); ++k)
                if (!said[k] && losses_[k].most() == losses_[i].most()) {
                    same.push_back(&losses_[k]);
                    said[k] = true;
                }
            say(same);
        }
        say_open();
        if (!survey_.behaviour.jointly)
            report_.not_checked.push_back(
                open_for_positions(s_, voltage_drop.id, "volts at each load in every switch position"));
    }

  private:
    double scale() const { return std::max(1.0, c_.vehicle.system.si / 12); } // 6 V cars lose more of theirs

    /// What the file says about this load, else about all; null: nothing.
    const Limit* said_limit(PartId part) const {
        const Limit* found = nullptr;
        for (const Limit& l : c_.limits)
            if (l.rule == voltage_drop.id && (l.thing == c_.at(part).name || (l.thing.empty() && found == nullptr)))
                found = &l;
        return found;
    }
    /// Volts that may be lost on the way to a load and home.
    double allowed(PartId part) const {
        const Limit* said = said_limit(part);
        return said != nullptr ? said->volts.nominal.si : (feed_allowed + ground_allowed) * scale();
    }

    void look_at(PrimitiveId load, solve::StateId at, bool held) {
        const auto way = solve::lost_on_the_way(s_.now, survey_.behaviour.point(at), load);
        if (!way) return;
        const solve::Lost& lost = *way;
        Loss l{load, at, lost, {}, {}, false, held, {}};
        for (const solve::Share& s : lost.feed) l.feed += s.volts;
        for (const solve::Share& s : lost.ground) l.ground += s.volts;
        const bool beyond = l.all().si > much * lost.at_source.si;
        l.fault = beyond && held;
        const bool too_much = beyond || l.all().si > allowed(c_.at(load).part) * 1.01;
        if ((!too_much && !over_an_unsaid_wire(lost)) || over_what_has_its_own_limit(lost)) return;
        if (over_an_unread_wire(lost)) {
            const std::string what = fmt::format("volts at {}", name_of(c_, c_.at(load).part));
            report_.not_checked.push_back(open_until_mended(voltage_drop.id, what));
            return;
        }
        l.weighed = weighed(l);
        if (l.weighed) l.fault = l.fault && l.weighed->bounds.low > much * lost.at_source.si;
        if (l.weighed && l.weighed->verdict == Weighed::Verdict::holds) return;
        if (l.weighed && said_nothing_) {
            open_.push_back(std::move(l));
            return;
        }
        if (!too_much && !(l.weighed && l.weighed->verdict == Weighed::Verdict::fails)) return;
        losses_.push_back(std::move(l));
    }

    /// Its figures stand in a line that cannot be read.
    bool over_an_unread_wire(const solve::Lost& lost) const {
        const auto unread = [&](const solve::Share& s) { return s.what.is_wire() && c_.at(s.what.wire).poisoned; };
        return std::ranges::any_of(lost.feed, unread) || std::ranges::any_of(lost.ground, unread);
    }

    bool over_an_unsaid_wire(const solve::Lost& lost) const {
        const auto unsaid = [&](const solve::Share& s) {
            return s.what.is_wire() && weighing_.unsaid_wire(s.what.wire);
        };
        return std::ranges::any_of(lost.feed, unsaid) || std::ranges::any_of(lost.ground, unsaid);
    }

    /// One line for all loads that wait for the same figure; the one that may lose most says what decides.
    void say_open() {
        const auto decides = [](const Loss& l) { return l.weighed->unknown[l.weighed->decides.front()].edge; };
        std::vector<bool> said(open_.size(), false);
        for (std::size_t i = 0; i < open_.size(); ++i) {
            if (said[i]) continue;
            const Loss* worst = &open_[i];
            std::vector<std::string> names;
            for (std::size_t k = i; k < open_.size(); ++k) {
                if (said[k] || decides(open_[k]) != decides(open_[i])) continue;
                said[k] = true;
                if (std::string name = name_of(c_, c_.at(open_[k].load).part);
                    std::ranges::find(names, name) == names.end())
                    names.push_back(std::move(name));
                if (open_[k].weighed->bounds.high > worst->weighed->bounds.high) worst = &open_[k];
            }
            report_.not_checked.push_back({voltage_drop.id, fmt::format("volts at {}", list_of(names)),
                                           worst->weighed->why, worst->weighed->measure});
        }
    }

    /// Diodes take their volts by nature; winches and starters are allowed more.
    bool over_what_has_its_own_limit(const solve::Lost& lost) const {
        const auto has = [&](const solve::Share& s) {
            return s.what.is_wire() ? c_.at(s.what.wire).winch_cable || c_.at(s.what.wire).starter_cable
                                    : c_.at(s.what.primitive).element == Element::junction;
        };
        return std::ranges::any_of(lost.feed, has) || std::ranges::any_of(lost.ground, has);
    }

    /// What is lost, over all that is not known exactly of the load and of the wires on its way; nothing where all is.
    std::optional<Weighed> weighed(const Loss& l) {
        const PartId part = c_.at(l.load).part;
        std::vector<solve::Unknown> open = weighing_.of_loads(std::nullopt); // others share its way
        for (const auto* way : {&l.lost.feed, &l.lost.ground})
            for (const solve::Share& s : *way)
                if (s.what.is_wire())
                    if (const auto u = weighing_.of_wire(s.what.wire)) open.push_back(*u);
        if (open.empty()) return std::nullopt;
        const solve::Positions positions = survey_.behaviour.states[l.at].positions;
        const solve::Figure lost = [&view = s_.now, positions, load = l.load](solve::Model& m) {
            const auto here = solve::lost_on_the_way(view, m.point(positions), load);
            double volts = 0;
            if (here)
                for (const auto* way : {&here->feed, &here->ground})
                    for (const solve::Share& s : *way) volts += s.volts.si;
            return volts;
        };
        const Volts most{allowed(part)};
        Weighed w = weighing_.weigh(open, lost, most.si * 1.01,
                                    {"the loss", [](double volts) { return text(rounded(Volts{volts}, 2)); },
                                     fmt::format("the loss stays below {}", text(most)),
                                     fmt::format("{} gets too little", name_of(c_, part))});
        said_nothing_ = w.undecided() &&
                        std::ranges::any_of(w.decides, [&](std::size_t i) { return weighing_.nothing_said(open[i]); });
        return w;
    }

    /// A joint that a job made in the run of a wire leaves its copper the maker's, as long as no load was hung on it.
    bool is_makers(WireId w) const {
        if (!s_.now.is_factory(w) && !(c_.at(w).cut_from.exists() && s_.now.is_factory(c_.at(w).cut_from)))
            return false;
        const auto behind = hang_behind(s_, {w, {}});
        return !behind || std::ranges::none_of(*behind, [&](PartId part) {
            return !s_.now.is_factory(part) && std::ranges::any_of(survey_.loads, [&](const LoadSeen& load) {
                return c_.at(load.load).part == part;
            });
        });
    }
    /// As the maker built it: the load and all wires on the way.
    bool as_built(const Loss& l) const {
        if (!s_.now.is_factory(c_.at(l.load).part)) return false;
        for (const auto* way : {&l.lost.feed, &l.lost.ground})
            for (const solve::Share& s : *way)
                if (s.what.is_wire() ? !is_makers(s.what.wire)
                                     : c_.at(c_.at(s.what.primitive).part).origin.provenance == Provenance::job)
                    return false;
        return true;
    }

    std::string name_of_share(EdgeRef e) const {
        if (e.is_wire()) return name_of(c_, e.wire);
        const Primitive& p = c_.at(e.primitive);
        if (p.purpose == Purpose::hole) return hole_words(c_, p);
        if (p.purpose == Purpose::mounting) return "the bolt of " + name_of(c_, p.part);
        if (c_.at(p.a).internal && p.element == Element::protector) return "what lies before " + name_of(c_, p.part);
        return name_of(c_, p.part);
    }

    /// "W3 0.6 V, W2 0.3 V, F1 0.1 V, the rest 0.05 V".
    std::string shares(const std::vector<solve::Share>& way) const {
        std::vector<std::pair<std::string, double>> all;
        for (const solve::Share& s : way) {
            const std::string name = name_of_share(s.what);
            const auto known = std::ranges::find(all, name, &std::pair<std::string, double>::first);
            if (known == all.end())
                all.emplace_back(name, s.volts.si);
            else
                known->second += s.volts.si;
        }
        std::ranges::stable_sort(all, std::greater{}, &std::pair<std::string, double>::second);
        double rest = 0;
        std::string out;
        for (std::size_t i = 0; i < all.size(); ++i) {
            if (i >= 4 || all[i].second < 0.01) {
                rest += all[i].second;
                continue;
            }
            out +=
                fmt::format("{}{} {}", out.empty() ? "" : ", ", all[i].first, text(rounded(Volts{all[i].second}, 2)));
        }
        if (rest >= 0.005) out += fmt::format("{}the rest {}", out.empty() ? "" : ", ", text(rounded(Volts{rest}, 2)));
        return out;
    }

    void say(const std::vector<const Loss*>& same) {
        const Loss& worst = **std::ranges::max_element(same, {}, [](const Loss* l) { return l->all(); });
        const Primitive& p = c_.at(worst.load);
        std::vector<std::string> others;
        for (const Loss* l : same)
            if (const std::string name = name_of(c_, c_.at(l->load).part);
                l != &worst && name != name_of(c_, p.part) && std::ranges::find(others, name) == others.end())
                others.push_back(name);
        Finding f;
        f.rule = voltage_drop.id;
        f.severity = worst.fault ? Severity::fault : Severity::advice;
        f.certainty = worst.weighed ? worst.weighed->certainty() : Certainty::certain;
        if (worst.weighed) f.measure = worst.weighed->measure;
        f.headline = sentence_start(fmt::format(
            "{} gets {} of {} {}: {} are lost on the way{}.", called(c_, p.part), text(rounded(worst.lost.at_load, 3)),
            text(rounded(worst.lost.at_source, 3)), when(s_, survey_.behaviour, worst.at),
            text(rounded(worst.all(), 2)),
            others.empty()       ? ""
            : others.size() <= 4 ? "; much the same for " + list_of(others)
                                 : fmt::format("; much the same for {}", counted(others.size(), "more load"))));
        f.place = where_it_lies(c_, p.part);
        f.cites.push_back(cite_part(c_, p.part, fmt::format("gets {}", text(rounded(worst.lost.at_load, 3)))));
        if (const EdgeRef most = worst.most(); most.is_wire())
            f.cites.push_back(cite_size(c_, most.wire, "takes most of it"));
        const std::string feed = shares(worst.lost.feed), ground = shares(worst.lost.ground);
        f.why = fmt::format("In the feed {}{}; in the ground {}{}.", text(rounded(worst.feed, 2)),
                            feed.empty() ? "" : ": " + feed, text(rounded(worst.ground, 2)),
                            ground.empty() ? "" : ": " + ground);
        f.why += p.element == Element::filament
                     ? fmt::format(" A lamp gives {:.0f} % of its light so.",
                                   std::pow(worst.lost.at_load.si / worst.lost.at_source.si, 3.4) * 100)
                     : "";
        if (p.purpose == Purpose::conversion) {
            f.why += " With fewer volts it takes more amps for the same watts.";
            if (p.control.exists())
                f.why += " Many chargers switch off where too few are left, as they take the engine for stopped: it "
                         "starts and stops without end (common practice).";
        }
        if (!worst.held) f.why += " It is on in such positions only, which nobody holds for long.";
        f.limit = fmt::format("{} in the feed and {} in the ground, together (trade practice); a fault above {:.0f} % "
                              "of the volts at the battery",
                              text(Volts{feed_allowed * scale()}), text(Volts{ground_allowed * scale()}), much * 100);
        if (const Limit* said = said_limit(p.part))
            f.limit = fmt::format("{} in feed and ground together, as the file says: {}; a fault above {:.0f} % of the "
                                  "volts at the battery",
                                  text(said->volts.nominal), said->because, much * 100);
        say_cures(f, worst);
        f.subjects.push_back(name_of(c_, p.part));
        for (const std::string& o : others) f.subjects.push_back(o);
        if (worst.most().is_wire()) f.subjects.push_back(c_.at(worst.most().wire).name);
        const solve::Point& point = survey_.behaviour.point(worst.at);
        for (const std::string& name :
             passed_on_the_way(s_, point, Amps{std::abs(point.primitive_amps[worst.load.index]->si)}))
            f.subjects.push_back(name);
        f.hangs_on = what_it_hangs_on(s_, sides_, ends_, p.part).names;
        report_.add(std::move(f), as_built(worst) && !worst.fault);
    }

    void say_cures(Finding& f, const Loss& worst) const {
        // What loses most comes first: thicker, it brings the loss down to what is allowed, all else as it is. A ground wire where the feed
        // loses no more than it may.
        const bool ground_alone = worst.ground.si > ground_allowed * scale() && worst.feed.si <= feed_allowed * scale();
        const double too_much = worst.all().si - allowed(c_.at(worst.load).part);
        std::vector<std::pair<WireId, double>> by_wire;
        for (const auto* way : {&worst.lost.feed, &worst.lost.ground})
            for (const solve::Share& s : *way) {
                if (!s.what.is_wire() || !c_.at(s.what.wire).area.known() || (ground_alone && way == &worst.lost.feed))
                    continue;
                const auto known = std::ranges::find(by_wire, s.what.wire, &std::pair<WireId, double>::first);
                if (known == by_wire.end())
                    by_wire.emplace_back(s.what.wire, s.volts.si);
                else
                    known->second += s.volts.si;
            }
        std::ranges::stable_sort(by_wire, std::greater{}, &std::pair<WireId, double>::second);
        const reference::WireSize* to = nullptr;
        for (const auto& [wire, volts] : by_wire) {
            constexpr double most_times = 3; // beyond that one wire alone is no sensible cure
            if (too_much <= 0 || volts * (most_times - 1) < too_much * most_times) continue;
            const SquareMetres wanted{c_.at(wire).area.nominal.si * volts / (volts - too_much)};
            const auto sizes = reference::wire_sizes(system_of(c_.at(wire)));
            const auto size = std::ranges::find_if(
                sizes, [&](const reference::WireSize& one) { return one.copper >= wanted && reference::is_sold(one); });
            if (size == sizes.end()) continue;
            to = &*size;
            f.cures.push_back(
                thicker(c_, wire, *to, fmt::format("Use {} for {}.", reference::spelled(*to), name_of(c_, wire))));
            break;
        }
        if (!to && !by_wire.empty()) {
            const std::string most = name_of(c_, by_wire.front().first);
            const bool rest = by_wire.size() > 1 && by_wire[1].second > at_least_named;
            f.cures.push_back({rest ? fmt::format("Use thicker wire for {} and for what comes next in that list.", most)
                                    : fmt::format("Use thicker wire for {}.", most)});
        }
        if (ground_alone)
            f.cures.push_back({fmt::format("Give {} a shorter way to ground.", name_of(c_, c_.at(worst.load).part))});
        else if (c_.at(worst.load).purpose == Purpose::conversion)
            f.cures.push_back({"Mount it nearer to the battery that feeds it."});
        else
            f.cures.push_back(
                {"Let a relay near the load take its current straight from the battery over a short thick wire."});
    }
    static reference::SizeSystem system_of(const Wire& w) {
        if (w.size.find("awg") != std::string::npos) return reference::SizeSystem::awg;
        if (w.size.find("sae") != std::string::npos) return reference::SizeSystem::sae;
        return reference::SizeSystem::metric;
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    std::vector<Loss> losses_, open_; ///< what is too much; what hangs on a figure that nobody said
    bool some_wire_unsaid_ = false;
    const Sides sides_;
    const Ends ends_;
    const Weighing weighing_;
    bool said_nothing_ = false; ///< of the load just weighed: it hangs on a figure of which nobody said anything
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, voltage_drop.id, "volts at each load");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule voltage_drop = {
    "voltage-drop",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a load that gets too few of the battery's volts",
    "a fault above 10 % of the volts at the battery; advice above 0.7 V: 0.5 V in the feed and 0.2 V in the ground "
    "together",
    {
        "Wires, joints and contacts on the way to this load, and back, take more of the volts than they should. The "
        "finding lists what takes how much, the most "
        "first.",
        "Lamps are dim (a tenth of the volts is a third of the light), motors are slow, relays hum.",
        "Thicker wire where most is lost, or a relay near the load with a short feed of its own. Where the ground "
        "alone loses it: thicker "
        "ground wire, or a shorter way to ground.",
        "0.5 V in the feed and 0.2 V in the ground at 12 V are trade practice; they are taken together. So is 10 % in "
        "all, in a position that somebody holds: of brake, reverse and both indicators no more than two at once. "
        "Resistances: copper at the temperature that its own current gives "
        "it; contacts, holes and bolts as clean as new.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1, 16 A
lamp E1 "work lamp", 100 W
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S1, 1.5 mm2 red, 4 m
wire from S1 to E1, 1.5 mm2 red, 5 m
wire from E1:- to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1, 16 A
lamp E1 "work lamp", 100 W
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to S1, 6 mm2 red, 4 m
wire from S1 to E1, 6 mm2 red, 5 m
wire from E1:- to ground, 6 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
