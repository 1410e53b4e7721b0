#include "base/number.hpp"
#include "base/words.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule breaking_capacity; // rule_list.hpp lists it

namespace {

/// What plug-in fuses break at 32 V (scope of ISO 8820-3). Bolted ones differ too much for one figure: 1000 A to 6000 A.
constexpr Amps plug_in{1000};
/// And the volts that most are made for; the standard covers some of 58 V too.
constexpr Volts made_for{32};
/// Lead-acid batteries side by side of that many ampere hours and more are no starter battery (common practice, no source): one of those is
/// fused with plug-in fuses in every car.
constexpr double bank_ah = 200;

/// Fuses that the same batteries reach, with the most that a short right behind each takes.
struct Hit {
    PrimitiveId fuse;
    Amps amps;
    Amps breaks;
    std::vector<EdgeRef> way;
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        std::map<std::vector<PartId>, std::vector<Hit>> by_bank;
        for (const LivePole& l : s_.strong)
            if (c_.at(c_.at(l.source).part).kind == Kind::battery && !c_.at(c_.at(l.source).part).poisoned &&
                l.pole != inner_pole(c_.at(l.source)))
                walks_.push_back({l, walk_from(l.pole)});
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::protector || c_.at(p.part).kind != Kind::fuse || c_.at(p.part).poisoned) continue;
            look_at(id, by_bank);
        }
        for (auto& [batteries, hits] : by_bank) say(batteries, hits);
        look_at_volts();
    }

  private:
    struct Walk {
        LivePole from;
        Reach reach;
    };

    /// Over wires and contacts, up to the first fuse of each way: a second one sees less, and what the first lets through is for its maker to say.
    Reach walk_from(TerminalId pole) const {
        return s_.graph.walk(
            std::vector<TerminalId>{pole},
            [&](EdgeRef e, TerminalId from) { return carries_fault(s_, e, from, Protectors::stop); },
            [&](EdgeRef e) { return resistance_along(c_, std::vector<EdgeRef>{e}, Celsius{20}).si; },
            Positions::one_per_control);
    }

    /// The pole of a battery in a row at which the one below it begins: a short there does not go through this battery.
    TerminalId inner_pole(const Primitive& source) const { return s_.from_plus() ? source.b : source.a; }

    /// What drives a short at the pole of a battery: that battery, and the ones in a row below it down to ground, with the straps between.
    struct Row {
        Volts volts;
        Ohms inside;
        std::vector<PartId> batteries; ///< the topmost first
        bool known = true;
    };
    Row row_of(const Walk& top) const {
        Row row;
        for (const Walk* w = &top; w;) {
            const Primitive& source = c_.at(w->from.source);
            row.known = row.known && source.resistance.known() && source.voltage.known();
            row.volts = row.volts + source.voltage.nominal;
            row.inside = row.inside + source.resistance.nominal;
            row.batteries.push_back(source.part);
            const TerminalId below = inner_pole(source);
            const Walk* next = nullptr;
            for (const Walk& other : walks_)
                if (std::ranges::find(row.batteries, c_.at(other.from.source).part) == row.batteries.end() &&
                    !s_.reference[below.index] && other.reach.reached(below) &&
                    (!next || other.reach.distance(below) < next->reach.distance(below)))
                    next = &other;
            if (next) row.inside = row.inside + resistance_along(c_, next->reach.path_to(below), Celsius{20});
            w = next;
        }
        return row;
    }

    double ah(PartId battery) const {
        const Attribute* a = s_.now.find(battery, Attr::capacity);
        return a && a->value.known() ? a->value.nominal / 3600 : 0;
    }

    void look_at(PrimitiveId fuse, std::map<std::vector<PartId>, std::vector<Hit>>& by_bank) const {
        const Primitive& p = c_.at(fuse);
        const Stated<Amps> told = s_.now.amps(p.part, Attr::short_current);
        const std::string type = s_.now.word(p.part, Attr::fuse_type);
        const bool open = !told.known() && (type == "bolted" || type == "glass");
        const Amps breaks = told.known() ? told.nominal : plug_in;
        for (TerminalId end : {p.a, p.b}) {
            std::vector<PartId> batteries;
            std::vector<std::pair<Ohms, Ohms>> sources; // inside, and the wires up to here
            double hours = 0;
            Volts volts;
            bool lithium = false;
            Hit hit{fuse, {}, breaks, {}};
            std::vector<WireId> unmeasured; // without resistance for now: at least what flows is known
            for (const Walk& w : walks_) {
                const Primitive& source = c_.at(w.from.source);
                if (s_.now.has(source.part, Attr::rating) || !w.reach.reached(end)) continue;
                const Row row = row_of(w);
                if (!row.known || std::ranges::find(batteries, source.part) != batteries.end()) continue;
                const auto edges = w.reach.path_to(end);
                const Ohms wires = resistance_along(c_, edges, Celsius{20});
                for (EdgeRef e : edges)
                    if (e.is_wire() && (!c_.at(e.wire).area.known() || !c_.at(e.wire).length.known()) &&
                        std::ranges::find(unmeasured, e.wire) == unmeasured.end())
                        unmeasured.push_back(e.wire);
                for (PartId battery : row.batteries)
                    if (std::ranges::find(batteries, battery) == batteries.end()) batteries.push_back(battery);
                sources.emplace_back(row.inside, wires);
                hours += ah(source.part);
                lithium = lithium || equal_ignoring_case(s_.now.word(source.part, Attr::chemistry), "lithium");
                volts = std::max(volts, row.volts);
                if (hit.way.empty()) hit.way = edges;
            }
            if (batteries.empty() || (!lithium && hours < bank_ah)) continue;
            // The nearest battery's wires are shared by all; what the others have besides is their own.
            const Ohms shared = std::ranges::min(sources, {}, &std::pair<Ohms, Ohms>::second).second;
            double siemens = 0;
            for (const auto& [inside, wires] : sources) siemens += 1 / (inside + wires - shared).si;
            hit.amps = Amps{volts.si / (1 / siemens + shared.si)};
            if (hit.amps > breaks * 1.1 && !unmeasured.empty() && !(open && !lithium)) {
                std::vector<std::string> wires;
                for (WireId w : unmeasured) wires.push_back(name_of(c_, w));
                return report_.not_checked.push_back(
                    {breaking_capacity.id,
                     fmt::format("whether {} can break what {} {} into a short", name_of(c_, p.part),
                                 list_of(names_of(c_, batteries)), verb(batteries.size(), "gives", "give")),
                     fmt::format("nobody said how long and how thick {} {}", list_of(wires),
                                 verb(wires.size(), "is", "are")),
                     fmt::format("Measure {} along the route and read the size: without {} the short takes {}, and {} "
                                 "breaks {}{}.",
                                 verb(wires.size(), "it", "them"), verb(wires.size(), "it", "them"),
                                 text(rounded(hit.amps, 2)), name_of(c_, p.part), text(breaks),
                                 open ? " at a guess; its sheet says" : "")});
            }
            if (hit.amps > breaks * 1.1) {
                // Lead-acid banks behind bolted fuses are everyday practice; lithium is what they are asked for.
                if (open && !lithium) return;
                if (open)
                    return report_.not_checked.push_back(
                        {breaking_capacity.id,
                         fmt::format("whether {} can break what {} gives into a short", name_of(c_, p.part),
                                     list_of(names_of(c_, batteries))),
                         "nobody said what it can break",
                         fmt::format("Read the breaking capacity in its data sheet, more than {} is wanted, and write "
                                     "it down: \"breaks 2000 A\".",
                                     text(rounded(hit.amps, 2)))});
                by_bank[batteries].push_back(hit);
                return;
            }
        }
    }

    /// Plug-in fuses on more volts than they are made for: no current is too small for an arc that does not go out. One that says what it can
    /// break was looked up.
    void look_at_volts() {
        const bool in_a_row = std::ranges::any_of(s_.strong, [&](const LivePole& l) {
            return l.pole == (s_.from_plus() ? c_.at(l.source).b : c_.at(l.source).a);
        });
        if (c_.vehicle.system.si <= made_for.si && !in_a_row) return;
        std::vector<PrimitiveId> fuses;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (p.element != Element::protector || c_.at(p.part).kind != Kind::fuse || c_.at(p.part).poisoned) continue;
            const std::string type = s_.now.word(p.part, Attr::fuse_type);
            if (!s_.now.amps(p.part, Attr::short_current).known() && type != "bolted" && type != "glass")
                fuses.push_back(id);
        }
        if (fuses.empty()) return;
        const Survey* survey = survey_or_say(s_, report_, breaking_capacity.id, "whether fuses stand the volts");
        if (!survey || survey->behaviour.states.empty()) return;
        const solve::Point point = survey->behaviour.point(0);
        std::vector<PartId> above;
        Volts most;
        for (PrimitiveId id : fuses)
            for (TerminalId end : {c_.at(id).a, c_.at(id).b})
                if (const auto& v = point.volts[end.index]; v && std::abs(v->si) > made_for.si) {
                    if (std::ranges::find(above, c_.at(id).part) == above.end()) above.push_back(c_.at(id).part);
                    most = std::max(most, Volts{std::abs(v->si)});
                }
        if (above.empty()) return;
        Finding f;
        f.rule = breaking_capacity.id;
        f.severity = Severity::danger;
        f.certainty = Certainty::undecided;
        f.headline = sentence_start(fmt::format("{} {} on {}, and most plug-in fuses are made for {}.",
                                                list_of(names_of(c_, above)), verb(above.size(), "sits", "sit"),
                                                text(rounded(most, 3)), text(made_for)));
        f.place = where_it_lies(c_, above.front());
        for (PartId part : above) f.cites.push_back(cite_part(c_, part, "a plug-in fuse"));
        f.why = "When it opens, the arc inside does not go out at so many volts: it burns on, and the body with it, "
                "however "
                "small the current is.";
        f.limit = "32 V or 58 V, whichever the fuse is made for (ISO 8820-3)";
        f.measure =
            "Read the volts on the fuse or in its data sheet. 32 V: it may not be used here. 58 V: it may, up to "
            "58 V; then write down what it can break: \"breaks 1000 A\".";
        f.cures.push_back({"Fit fuses and holders whose data sheet prints more than the volts of the full battery."});
        f.subjects = names_of(c_, above);
        report_.findings.push_back(std::move(f));
    }

    void say(const std::vector<PartId>& batteries, const std::vector<Hit>& hits) {
        const Hit& worst = *std::ranges::max_element(hits, {}, [](const Hit& h) { return h.amps / h.breaks; });
        std::vector<PartId> fuses;
        for (const Hit& h : hits) fuses.push_back(c_.at(h.fuse).part);
        const PartId first = c_.at(worst.fuse).part;
        const bool told = std::ranges::all_of(
            batteries, [&](PartId b) { return s_.now.has(b, Attr::resistance) || s_.now.has(b, Attr::short_current); });
        Finding f;
        f.rule = breaking_capacity.id;
        f.severity = Severity::danger;
        f.certainty = told ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(fmt::format(
            "{} can break {}, but a short right behind it takes about {} out of {}{}.", called(c_, first),
            text(worst.breaks), text(rounded(worst.amps, 2)), list_of(names_of(c_, batteries)),
            fuses.size() == 1 ? "" : fmt::format("; the same for {}", counted(fuses.size() - 1, "more fuse"))));
        f.place = where_it_lies(c_, first);
        f.cites.push_back(cite_part(c_, first, "breaks " + text(worst.breaks)));
        for (PartId b : batteries) f.cites.push_back(cite_part(c_, b));
        for (PartId part : fuses)
            if (part != first) f.cites.push_back(cite_part(c_, part));
        f.why = "A fuse that opens on more than it can break goes on burning inside: the arc stays, the body bursts or "
                "takes fire, and nothing else is there to open.";
        const bool stated = s_.now.amps(first, Attr::short_current).known();
        f.limit = fmt::format("{}; the current as if the fuse were a piece of copper (IEC 60269-1: prospective "
                              "current), with the wires up to it and what the battery has inside at 20 degC{}",
                              stated ? text(worst.breaks) + ", as the file says"
                                     : "1000 A at 32 V for plug-in fuses (ISO 8820-3)",
                              told ? "" : ", which was assumed");
        f.cures.push_back({fmt::format("Fit a fuse or breaker made for that at the post of {}: the data sheet must "
                                       "print a breaking capacity (interrupting rating) above {} at this voltage "
                                       "(\"breaks 20000 A\"). Where the maker of the battery asks for one, take that.",
                                       name_of(c_, batteries.front()), text(rounded(worst.amps, 2)))});
        f.cures.push_back({"If the electronics in the battery cut off shorts by themselves, the maker's sheet says so: "
                           "most ask for such a fuse nevertheless."});
        if (!told)
            f.measure =
                fmt::format("Read in the battery's data sheet its inner resistance or short-circuit current, and write "
                            "it down (\"5 mohm\", \"short-circuit 2400 A\"): below {} nothing is said here.",
                            text(worst.breaks));
        std::vector<TerminalId> stops{pole_of(batteries.front())};
        for (EdgeRef e : worst.way) stops.push_back(other_end(c_, e, stops.back()));
        f.path = stops_in_words(c_, stops);
        f.subjects = names_of(c_, fuses);
        for (PartId b : batteries) f.subjects.push_back(name_of(c_, b));
        report_.findings.push_back(std::move(f));
    }

    TerminalId pole_of(PartId battery) const {
        return std::ranges::find_if(walks_, [&](const Walk& w) { return c_.at(w.from.source).part == battery; })
            ->from.pole;
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::vector<Walk> walks_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule breaking_capacity = {
    "breaking-capacity",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a battery that can give more into a short than its first fuse can break, or more volts than a plug-in fuse is "
    "made "
    "for",
    "always a danger; amps only with lithium batteries and banks of 200 Ah and more; volts undecided until the fuse "
    "was looked at",
    {
        "The first fuse behind this battery can break a certain current. A short right behind it takes more. Or a "
        "plug-in "
        "fuse, most of which are made for 32 V, sits on 36 V or 48 V.",
        "Such a fuse does not clear the short: its arc goes on burning until the fuse bursts or what is around it "
        "takes fire.",
        "At the battery's post a fuse whose data sheet prints a breaking capacity above that. Smaller fuses may follow "
        "behind it.",
        "1000 A at 32 V for plug-in fuses, some at 58 V (ISO 8820-3), for others what the file says; the "
        "current as if the fuse were copper (IEC 60269-1). One lead-acid starter "
        "battery is left alone, as every car has plug-in fuses behind one; so is a battery that says what its "
        "electronics limit it to.",
        R"(loom 1
battery, 100 Ah, lithium, 3 mohm
fuse F1, 30 A
heater E1, 20 A
switch S1, 30 A
wire from battery:+ to F1, 6 mm2 red, 0.15 m
wire from F1 to S1, 6 mm2 red, 1 m
wire from S1 to E1, 6 mm2 red, 1 m
wire from E1 to ground, 6 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 100 Ah, lithium, 3 mohm
fuse F1, 30 A, bolted, breaks 20000 A
heater E1, 20 A
switch S1, 30 A
wire from battery:+ to F1, 6 mm2 red, 0.15 m
wire from F1 to S1, 6 mm2 red, 1 m
wire from S1 to E1, 6 mm2 red, 1 m
wire from E1 to ground, 6 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
