#include "base/number.hpp"
#include "reference/short_time.hpp"
#include "rules/duty.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule wire_overloaded; // rule_list.hpp lists it

namespace {

struct Hot {
    WireId wire;
    reference::Carrying carries;
    Peak peak;
    bool passing = false;
    std::optional<Duty> duty{};
    std::optional<Weighed> weighed{}; ///< where not all loads behind it are known exactly
};

/// Wires that the same current goes through: one cause, one finding.
struct Group {
    std::vector<Hot> wires;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), weighing_(s, survey) {}

    void run() {
        for (WireId w : s_.now.wires())
            if (!c_.at(w).poisoned) look_at(w);
        for (Group& g : groups_) say(g);
        say_open();
    }

  private:
    void look_at(WireId w) {
        const auto& lasting = survey_.wire[w.index];
        const auto& passing = survey_.wire_passing[w.index];
        const auto carries = what_it_carries(c_, w);
        const bool brief = c_.at(w).winch_cable || c_.at(w).starter_cable; // whatever it feeds, it does so for seconds
        if (!carries) {
            if (!c_.at(w).area.known() &&
                ((lasting && lasting->amps > Amps{1}) || (passing && passing->amps > Amps{1})))
                unsized_.push_back(w);
            return;
        }
        if (lasting && !brief) {
            const auto duty = duty_behind(s_, survey_, {w, {}}, *lasting);
            const Amps stands = duty ? carries_with(*duty, c_.at(w).area.nominal, *carries) : carries->amps;
            Hot hot{w,
                    *carries,
                    *lasting,
                    false,
                    duty,
                    weighing_.weigh_current(
                        {w, {}}, *lasting, stands.si * 1.005, [&] { return subject_of(c_, w); }, "carries it",
                        "gets hotter than its insulation stands")};
            if (lasting->amps > stands * 1.005 || (hot.weighed && hot.weighed->verdict == Weighed::Verdict::fails))
                return file(hot);
            if (hot.weighed && hot.weighed->undecided()) note_open(std::move(hot));
        }
        const auto most = brief ? Survey::most(lasting, passing) : passing;
        if (most && gets_hot(w, *carries, most->amps)) file({w, *carries, *most, true});
    }

    /// Of all wires that one load decides over: the one that is nearest to its limit.
    void note_open(Hot&& hot) {
        const auto reaches = [](const Hot& h) { return h.weighed->bounds.high / h.carries.amps.si; };
        const auto load = [](const Hot& h) { return h.weighed->unknown[h.weighed->decides.front()].edge; };
        const auto same = std::ranges::find_if(open_, [&](const Hot& h) { return load(h) == load(hot); });
        if (same == open_.end())
            open_.push_back(std::move(hot));
        else if (reaches(hot) > reaches(*same))
            *same = std::move(hot);
    }

    /// In what a button is held for.
    bool gets_hot(WireId w, const reference::Carrying& carries, Amps amps) const {
        return amps > carries.amps && reference::time_to_reach(c_.at(w).area.nominal, amps, carries.place,
                                                               carries.insulation_class) < passing_seconds;
    }

    void file(const Hot& hot) {
        const auto same = std::ranges::find_if(groups_, [&](const Group& g) {
            const Hot& first = g.wires.front();
            return first.peak.at == hot.peak.at && first.passing == hot.passing &&
                   std::abs(first.peak.amps.si - hot.peak.amps.si) < 0.02 * first.peak.amps.si;
        });
        if (same == groups_.end())
            groups_.push_back({{hot}});
        else
            same->wires.push_back(hot);
    }

    static double share(const Hot& h) { return h.peak.amps / std::max(h.carries.amps, Amps{1e-3}); }

    void say(Group& g) {
        const Hot& worst = *std::ranges::max_element(g.wires, {}, share);
        std::vector<std::string> others;
        for (const Hot& h : g.wires)
            if (h.wire != worst.wire) others.push_back(name_of(c_, h.wire));
        const auto& behaviour = survey_.behaviour;
        Finding f;
        f.rule = wire_overloaded.id;
        f.severity = Severity::danger;
        const double hot = std::round(reference::copper_temperature(worst.carries, worst.peak.amps).degrees);
        std::string more;
        if (!others.empty() && others.size() <= 4)
            more = fmt::format(" So {} {}.", verb(others.size(), "does", "do"), list_of(others));
        if (others.size() > 4) more = fmt::format(" So do {}.", counted(others.size(), "more wire"));
        std::string much = text(worst.carries.amps);
        if (worst.duty)
            much =
                fmt::format("{} with {} of duty",
                            text(rounded(carries_with(*worst.duty, c_.at(worst.wire).area.nominal, worst.carries), 2)),
                            worst.duty->words);
        f.headline = sentence_start(fmt::format("{}{} takes {} {}, but carries {}.{}", described(c_, worst.wire),
                                                c_.at(worst.wire).named ? "," : "", text(rounded(worst.peak.amps, 3)),
                                                when(s_, behaviour, worst.peak.at), much, more));
        f.place = place_of(c_, worst.wire);
        f.cites.push_back(cite_size(c_, worst.wire, "carries " + text(worst.carries.amps)));
        const solve::Point& point = behaviour.point(worst.peak.at);
        const auto behind = hang_behind(s_, {worst.wire, {}});
        f.certainty = worst.weighed ? worst.weighed->certainty()
                                    : sureness(s_, survey_, behind, worst.peak.amps, worst.carries.amps);
        if (worst.weighed) f.measure = worst.weighed->measure;
        if (behind && !behind->empty())
            f.cites.push_back(
                cite_part(c_, most_of(*behind, point), behind->size() == 1 ? "takes it" : "takes part of it"));
        const Celsius stands = worst.carries.insulation_class;
        if (worst.passing)
            f.why = fmt::format(
                "That lasts seconds only, but within {} its copper is past {}, where its insulation softens.",
                text(rounded(reference::time_to_reach(c_.at(worst.wire).area.nominal, worst.peak.amps,
                                                      worst.carries.place, stands),
                             2)),
                text(stands));
        else if (worst.duty)
            f.why = fmt::format("Even with its rests its copper gets past the {} that its insulation stands.",
                                text(stands));
        else if (hot <= solve::hottest_copper)
            f.why = fmt::format("Its copper gets {} hot and its insulation stands {}: it softens, and the copper comes "
                                "through to what it lies on.",
                                text(Celsius{hot}), text(stands));
        else
            f.why = fmt::format("Its copper gets far hotter than the {} that its insulation stands: it smokes, and "
                                "burns what lies beside it.",
                                text(stands));
        if (behind && behind->size() > 1)
            if (const std::string names = takers(s_, *behind, point); !names.empty())
                f.why += " Behind it: " + names + ".";
        f.limit = reference::sentence(worst.carries);
        const TerminalId bare = whose_only_ground(worst.wire);
        if (bare.exists())
            f.cures.push_back({home_by_itself(c_, worst.wire, bare)});
        else if (const auto size = size_that_carries(c_, worst.wire, worst.peak.amps))
            f.cures.push_back(
                thicker(c_, worst.wire, *size,
                        fmt::format("Use {} or thicker for {}{}.", reference::spelled(*size), name_of(c_, worst.wire),
                                    others.empty() ? "" : ", and see to the others likewise")));
        const bool on_ground = s_.reference[c_.at(worst.wire).a.index] || s_.reference[c_.at(worst.wire).b.index];
        if (on_ground && !bare.exists()) {
            if (!behind || behind->size() != 1)
                f.cures.push_back({"Where several loads share it: give each a ground wire of its own."});
        } else if (const PartId converter = converter_on_the_way(worst.wire, point); converter.exists())
            f.cures.push_back({fmt::format("Let {} deliver less, where it can be set.", name_of(c_, converter))});
        else if (!on_ground)
            f.cures.push_back({"Let a relay near the load switch it, fed by a thick wire with a fuse of its own; what "
                               "is here now works the coil."});
        for (const Hot& h : g.wires) f.subjects.push_back(c_.at(h.wire).name);
        std::swap(f.subjects.front(), *std::ranges::find(f.subjects, c_.at(worst.wire).name));
        for (PrimitiveId d : s_.protection[worst.wire.index].devices) f.subjects.push_back(name_of(c_, c_.at(d).part));
        for (const std::string& name : passed_on_the_way(s_, point, worst.peak.amps)) f.subjects.push_back(name);
        report_.findings.push_back(std::move(f));
    }

    /// The ground end of a unit that has no way home but this screen or signal wire: what is missing is its own ground.
    TerminalId whose_only_ground(WireId w) const {
        const Wire& wire = c_.at(w);
        if (!wire.screen && !wire.signal) return {};
        for (TerminalId end : {wire.a, wire.b}) {
            if (c_.at(end).role != (s_.from_plus() ? Role::minus : Role::plus)) continue;
            const Reach home = s_.graph.walk(
                std::vector{end},
                [&](EdgeRef e, TerminalId) { return (!e.is_wire() || e.wire != w) && carries_ground(c_, e); },
                [](EdgeRef) { return 0.0; });
            const bool metal =
                std::ranges::any_of(home.in_order(), [&](TerminalId t) { return c_.part_of(t).kind == Kind::metal; });
            const auto poles = ground_poles(s_);
            if (!metal && std::ranges::none_of(poles, [&](TerminalId t) { return home.reached(t); })) return end;
        }
        return {};
    }

    /// The converter that most of what flows here goes into or comes from.
    PartId converter_on_the_way(WireId w, const solve::Point& point) const {
        const auto& here = point.wire_amps[w.index];
        for (PrimitiveId id : s_.now.primitives()) {
            const auto& amps = point.primitive_amps[id.index];
            if (c_.at(id).purpose == Purpose::conversion && here && amps &&
                std::abs(std::abs(amps->si) - std::abs(here->si)) < 0.2 * std::abs(here->si))
                return c_.at(id).part;
        }
        return {};
    }

    PartId most_of(const std::vector<PartId>& behind, const solve::Point& point) const {
        PartId most = behind.front();
        double amps = 0;
        for (const LoadSeen& load : survey_.loads)
            if (const auto& a = point.primitive_amps[load.load.index];
                a && std::abs(a->si) > amps && std::ranges::find(behind, c_.at(load.load).part) != behind.end()) {
                amps = std::abs(a->si);
                most = c_.at(load.load).part;
            }
        return most;
    }

    void say_open() {
        std::vector<PartId> decided; // loads of which it is told what each answer would mean
        for (const Hot& h : open_) {
            report_.not_checked.push_back({wire_overloaded.id,
                                           fmt::format("whether {} carries its load", subject_of(c_, h.wire)),
                                           h.weighed->why, h.weighed->measure});
            for (const solve::Unknown& u : h.weighed->unknown) decided.push_back(c_.at(u.edge.primitive).part);
        }
        for (const LoadSeen& load : survey_.loads)
            if (const auto unknown = of_unknown_current(s_, {c_.at(load.load).part});
                !unknown.empty() && std::ranges::find(decided, unknown.front()) == decided.end())
                report_.not_checked.push_back(open_for_unknown_load(
                    s_, wire_overloaded.id, fmt::format("what flows in the wires to {}", name_of(c_, unknown.front())),
                    unknown));
        if (!unsized_.empty()) {
            std::vector<std::string> names;
            for (WireId w : unsized_) names.push_back(c_.at(w).named ? name_of(c_, w) : described(c_, w));
            report_.not_checked.push_back(
                {wire_overloaded.id,
                 fmt::format("whether {} {} the load", list_of(names), verb(names.size(), "carries", "carry")),
                 fmt::format("nobody said what size {}", verb(names.size(), "it is", "they are")),
                 "Read the size on the reel or on the insulation, or measure the bare strands."});
        }
        if (!survey_.behaviour.jointly)
            report_.not_checked.push_back(
                open_for_positions(s_, wire_overloaded.id, "what each wire carries in every switch position"));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    std::vector<Group> groups_;
    const Weighing weighing_;
    std::vector<Hot> open_;
    std::vector<WireId> unsized_;
};

void run(const Study& s, Report& report) {
    const Survey* survey =
        survey_or_say(s, report, wire_overloaded.id, "what each wire carries in every switch position");
    if (!survey) return;
    Judge(s, *survey, report).run();
}

} // namespace

const Rule wire_overloaded = {
    "wire-overloaded",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a wire whose load is more than it can carry",
    "always a danger: its copper gets hotter than its insulation stands",
    {
        "What is switched on takes more through this wire than it can carry: its copper gets hotter than its "
        "insulation stands.",
        "Nothing opens: the fuse may be right for the load. The insulation softens, the wire shorts to what it lies "
        "on, and in a bundle it takes its "
        "neighbours with it.",
        "Use thicker wire all the way, the ground side too, or let a relay near the load switch it.",
        "33 CFR 183.425 Table 5 (written for boats), smaller sizes by common practice, less what a warm place takes "
        "off. Currents are worked out with a rested "
        "battery, in every switch position that can be reached. Positions that last seconds (a button held, a horn, a "
        "starter) and starter and winch "
        "cables count where the copper alone gets so hot within ten seconds (IEC 60949; ten seconds: common practice, "
        "no source). Where all that hangs on a wire says its duty (duty 30 s in 5 min), the wire is let cool in "
        "between: "
        "one time constant, from the heat that its copper holds.",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
switch S1 "heater", 40 A
load E1 "heater", 24 A
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to S1, 4 mm2 red, 1 m
wire from S1 to E1:+, 4 mm2 red, 1 m
wire W4 from E1:- to ground, 1 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
switch S1 "heater", 40 A
load E1 "heater", 24 A
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to S1, 4 mm2 red, 1 m
wire from S1 to E1:+, 4 mm2 red, 1 m
wire W4 from E1:- to ground, 4 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
