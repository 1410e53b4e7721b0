#include "base/number.hpp"
#include "circuit/outputs.hpp"
#include "reference/fuses.hpp"
#include "reference/short_time.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_above_part.hpp"
#include "rules/loads_behind.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule fuse_above_wire; // rule_list.hpp lists it

namespace {

/// 33 CFR 183.455(c)(1): lawful on boats below 50 V.
constexpr double lawful_share = 1.5;

/// A wire that carries less than what is let through it.
struct Excess {
    WireId wire;
    reference::Carrying carries;
    LoadsBehind behind;
    Clearing clearing;
    Severity severity = Severity::advice;
    Certainty certainty = Certainty::certain;
    bool load_too_large = false;
    /// A smaller fuse at its far end, over which all that hangs on it goes: only a short on the wire itself is left to heat it.
    std::optional<Amps> fused_behind{};
    /// What its insulation stands of the very rating, which every device carries for good, where that is a matter of seconds: then no time
    /// curve can help it.
    std::optional<Seconds> stands_rating{};
};

/// Wires behind the same devices: one cause, one finding.
struct Group {
    std::vector<PrimitiveId> devices;
    Amps lets_through;
    bool as_built = false;
    bool positions_tried = true;
    std::vector<Excess> wires; ///< the worst first
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (WireId w : s_.now.wires()) look_at(w);
        say_unknown();
        for (Group& g : groups_) say(g);
        say_calm();
    }

  private:
    void look_at(WireId w) {
        const Protection& p = s_.protection[w.index];
        if (!p.fed || p.unprotected || c_.at(w).poisoned) return;
        if (!p.of_unknown_rating.empty()) {
            for (PrimitiveId d : p.of_unknown_rating)
                if (std::ranges::find(unrated_, d) == unrated_.end()) unrated_.push_back(d);
            return;
        }
        const bool protector = std::ranges::any_of(
            p.devices, [&](PrimitiveId d) { return c_.at(d).element == Element::protector || limits_itself(d); });
        if (!protector) return; // a source that limits itself: unfused-feed
        // A source that limits itself (alternator) beside a link does not make the link a fuse.
        const bool links = std::ranges::all_of(p.devices, [&](PrimitiveId d) {
            return !limits_itself(d) &&
                   (c_.at(d).element != Element::protector || c_.at(c_.at(d).part).kind == Kind::link);
        });
        if (links) {
            for (PrimitiveId d : p.devices)
                if (c_.at(d).element == Element::protector && std::ranges::find(links_, d) == links_.end())
                    links_.push_back(d);
            return; // judged by area: link-too-large
        }
        const auto carries = what_it_carries(c_, w);
        if (!carries) {
            unsized_.push_back(w);
            return;
        }
        if (p.lets_through <= carries->amps || is_short_lead_to_its_fuse(w, p)) return;
        if (!p.perhaps_less.empty() &&
            p.at_least <= carries->amps) { // a fuse nearer to it of which nobody said what it is
            for (PrimitiveId d : p.perhaps_less)
                if (std::ranges::find(unrated_, d) == unrated_.end()) unrated_.push_back(d);
            return;
        }
        Excess e{w, *carries, loads_behind(s_, {w, {}}, p.end), clearing_of_short(s_, w)};
        weigh(e, p);
        file(std::move(e), p);
    }

    /// A thinner branch may run as far to its own fuse as a lead may from the battery.
    bool is_short_lead_to_its_fuse(WireId w, const Protection& p) const {
        const Wire& wire = c_.at(w);
        const Metres allowed = wire.sleeved ? allowed_sleeved_lead : allowed_lead;
        if (!wire.length.known() || wire.length.high > allowed) return false;
        return fused_behind(w, p).has_value();
    }

    /// The rating of the fuse that is all there is at the far end, where it is not above what the wire carries.
    std::optional<Amps> fused_behind(WireId w, const Protection& p) const {
        const TerminalId far = c_.at(w).other(p.end);
        const auto& there = s_.now.primitives_at(far);
        if (s_.now.wires_at(far).size() != 1 || there.size() != 1 || c_.at(there.front()).element != Element::protector)
            return std::nullopt;
        const Stated<Amps> rating = rating_of(s_, there.front());
        const auto carries = what_it_carries(c_, w);
        if (!rating.known() || !carries || rating.nominal > carries->amps) return std::nullopt;
        return rating.nominal;
    }

    /// A danger if a short may outlive the wire, or if what hangs on it can take more than the wire carries.
    void weigh(Excess& e, const Protection& p) const {
        e.fused_behind = fused_behind(e.wire, p);
        e.load_too_large =
            !e.fused_behind && e.behind.only_way && std::min(e.behind.sum, p.lets_through) > e.carries.amps;
        const bool far_above = p.lets_through > e.carries.amps * lawful_share;
        const auto danger = [&](Certainty c) {
            e.severity = Severity::danger;
            e.certainty = c;
        };
        if (e.clearing.verdict == Clearing::Verdict::too_late)
            danger(Certainty::certain);
        else if (e.load_too_large)
            danger(e.behind.largest > e.carries.amps ? Certainty::certain : Certainty::possible);
        else if (e.clearing.verdict == Clearing::Verdict::may_be_late)
            danger(Certainty::possible);
        else if (e.clearing.verdict == Clearing::Verdict::no_curve && far_above) {
            e.stands_rating = stands_rating(e, p.lets_through);
            danger(e.stands_rating ? Certainty::certain : Certainty::undecided);
        }
    }

    /// From cold, to be on the safe side; nothing where it stands the rating for longer than the law of short times is published for.
    std::optional<Seconds> stands_rating(const Excess& e, Amps rating) const {
        const auto limit = stands_once(c_, e.wire);
        if (!limit || !c_.at(e.wire).area.known()) return std::nullopt;
        const Seconds stands = reference::time_to_reach(c_.at(e.wire).area.nominal, rating, e.carries.place, *limit);
        return stands <= reference::adiabatic_validity ? std::optional(stands) : std::nullopt;
    }

    void file(Excess e, const Protection& p) {
        const bool as_built = untouched(e.wire, p);
        auto group = std::ranges::find_if(
            groups_, [&](const Group& g) { return g.devices == p.devices && g.as_built == as_built; });
        if (group == groups_.end())
            group = groups_.insert(groups_.end(), {p.devices, p.lets_through, as_built, true, {}});
        group->positions_tried = group->positions_tried && p.positions_tried;
        group->wires.push_back(std::move(e));
    }

    /// The maker's own: wire, way to it and fuses; and no job raised a fuse or added load.
    bool untouched(WireId w, const Protection& p) {
        if (!s_.now.is_factory(w)) return false;
        for (EdgeRef e : s_.live.path_to(p.end))
            if (e.is_wire() && !s_.now.is_factory(e.wire)) return false;
        for (PrimitiveId d : p.devices) {
            const PartId part = c_.at(d).part;
            const Stated<Amps> before = s_.factory.amps(part, Attr::rating);
            if (!s_.now.is_factory(part) || !before.known() || rating_of(s_, d).nominal > before.nominal) return false;
        }
        if (!factory_) factory_.emplace(c_, Revision{0});
        const LoadsBehind before = loads_behind(*factory_, {w, {}}, p.end), now = loads_behind(s_, {w, {}}, p.end);
        return before.only_way == now.only_way && now.sum <= before.sum;
    }

    /// A reason goes on after a colon, and gets its full stop there.
    static std::string lower_start(std::string_view reason) {
        std::string said(reason);
        if (!said.empty() && said[0] >= 'A' && said[0] <= 'Z') said[0] = static_cast<char>(said[0] - 'A' + 'a');
        if (said.ends_with('.')) said.pop_back();
        return said;
    }

    // ---- words ----------------------------------------------------------------------------------------------------------

    /// An output of a unit: its electronics hold a short at their limit, so that nothing has to open.
    bool limits_itself(PrimitiveId d) const { return c_.at(d).element == Element::contact; }
    bool all_limit_themselves(const Group& g) const {
        return std::ranges::all_of(g.devices, [&](PrimitiveId d) { return limits_itself(d); });
    }
    bool drawn(PrimitiveId device) const { return !c_.at(c_.at(device).a).internal; }

    std::string device_words(PrimitiveId d) const {
        const PartId part = c_.at(d).part;
        if (const TerminalId pin = output_pin(c_, c_.at(d)); pin.exists())
            return fmt::format("output {} of {}", c_.at(pin).stamp, name_of(c_, part));
        if (c_.at(d).element == Element::protector && !drawn(d)) return "the fuse before " + name_of(c_, part);
        return name_of(c_, part);
    }

    std::string devices_words(const Group& g) const {
        std::vector<std::string> names;
        for (PrimitiveId d : g.devices) names.push_back(device_words(d));
        return sentence_start(list_of(names));
    }

    std::string headline(const Group& g) const {
        const Excess& worst = g.wires.front();
        std::vector<std::string> others;
        for (const Excess& e : g.wires)
            if (&e != &worst) others.push_back(name_of(c_, e.wire));
        std::string more;
        if (others.size() == 1) more = fmt::format("; {} behind it carries less too", others.front());
        if (others.size() > 1 && others.size() <= 4)
            more = fmt::format("; {} behind it carry less too", list_of(others));
        if (others.size() > 4) more = fmt::format("; {} behind it carry less too", counted(others.size(), "more wire"));
        return fmt::format("{} {}{} through, but {}{} carries {}{}.", devices_words(g),
                           g.devices.size() == 1 ? "lets " : "together let ",
                           (g.positions_tried ? "" : "at most ") + text(g.lets_through), described(c_, worst.wire),
                           c_.at(worst.wire).named ? "," : "", text(worst.carries.amps), more);
    }

    std::string short_words(const Group& g, const Clearing& short_) const {
        const std::string fuse = g.devices.size() == 1 ? device_words(g.devices.front()) : "the last of them";
        const std::string current = text(rounded(short_.current, 2));
        const std::string taken = short_.assumed_current ? fmt::format("At ten times the rating, {},", current)
                                                         : fmt::format("A dead short takes at most {}:", current);
        if (!short_.opens_by) return fmt::format("{} too little to be sure that {} opens at all.", taken, fuse);
        return fmt::format("{} {} opens within {} and the wire stands it for {}.", taken, fuse,
                           text(rounded(*short_.opens_by, 2)), text(rounded(short_.stands, 2)));
    }

    std::string why(const Group& g) const {
        const Excess& e = g.wires.front();
        if (e.load_too_large) {
            const Amps load = std::min(e.behind.sum, g.lets_through);
            const std::string takes = fmt::format(
                "What hangs on it takes {}{}", e.certainty == Certainty::certain ? "" : "at most ", text(e.behind.sum));
            const std::string let = load == e.behind.sum
                                        ? "the fuse lets it"
                                        : fmt::format("the fuse lets {} of that through for good", text(load));
            return fmt::format("{}, and {}: the wire gets {} hot, and its insulation stands {}.", takes, let,
                               text(Celsius{std::round(reference::copper_temperature(e.carries, load).degrees)}),
                               text(e.carries.insulation_class));
        }
        if (all_limit_themselves(g))
            return fmt::format("A short is held at {} by the electronics, but between {} and that the wire heats "
                               "beyond its class, and nothing opens.",
                               text(g.lets_through), text(e.carries.amps));
        switch (e.clearing.verdict) {
        case Clearing::Verdict::too_late:
        case Clearing::Verdict::may_be_late: return short_words(g, e.clearing);
        case Clearing::Verdict::in_time:
            if (e.fused_behind)
                return fmt::format("{} What hangs behind it opens the {} fuse at its far end; but a poor short on this "
                                   "wire itself, between {} and {}, heats it beyond its class, and no fuse opens.",
                                   short_words(g, e.clearing), text(*e.fused_behind), text(e.carries.amps),
                                   text(g.lets_through));
            return fmt::format(
                "{} But an overload between {} and {} heats the wire beyond its class, and no fuse opens.",
                short_words(g, e.clearing), text(e.carries.amps), text(g.lets_through));
        default:
            if (e.stands_rating)
                return fmt::format("{} {} {} for good, whatever the time curve, and at that current the "
                                   "insulation of the wire is spoiled after {}: in a poor short nothing opens in time.",
                                   devices_words(g), verb(g.devices.size(), "carries", "carry"), text(g.lets_through),
                                   text(rounded(*e.stands_rating, 2)));
            return fmt::format("An overload between {} and {} heats the wire beyond its class, and nothing opens. "
                               "Whether a short is cleared in time is not known.",
                               text(e.carries.amps), text(g.lets_through));
        }
    }

    const Attribute* limit_of(PrimitiveId output) const {
        const TerminalId pin = output_pin(c_, c_.at(output));
        for (const Attribute& a : c_.at(c_.at(output).part).attributes)
            if (a.key == Attr::limited_to && pin.exists() && a.word == c_.at(pin).stamp && a.life.at(s_.now.revision()))
                return &a;
        return nullptr;
    }

    /// The most that an alternator or charger gives, which lies away from `near` and sends it over this: a smaller fuse there would open under
    /// charge, and leave the alternator without its battery.
    Amps charged_over(EdgeRef edge, TerminalId near) const {
        const Reach reach = s_.graph.walk(
            std::vector{other_end(c_, edge, near)},
            [&](EdgeRef e, TerminalId from) { return e != edge && carries_fault(s_, e, from, Protectors::pass); },
            [](EdgeRef) { return 0.0; });
        Amps most;
        for (const LivePole& source : s_.limited)
            if (reach.reached(source.pole)) most = std::max(most, c_.at(source.source).current.nominal);
        return most;
    }

    /// Everything that the fuse has to carry, not only what hangs on the thin wire.
    struct Load {
        Amps known;
        bool outlets_alone = false; ///< who plugs in too much is to find the fuse open: it may be as small as they are
        std::vector<PartId> more;   ///< of which nobody said what they take, or what else they feed
    };
    bool outlets_alone(const LoadsBehind& behind) const {
        return !behind.parts.empty() &&
               std::ranges::all_of(behind.parts, [&](PartId p) { return c_.at(p).kind == Kind::socket; });
    }
    std::optional<Load> load_of(PrimitiveId fuse) const {
        if (!drawn(fuse) || limits_itself(fuse)) return std::nullopt;
        const EdgeRef edge{{}, fuse};
        const LoadsBehind behind = loads_behind(s_, edge, fed_end(s_, edge));
        if (!behind.only_way) return std::nullopt;
        Load load{std::max(behind.sum, charged_over(edge, fed_end(s_, edge))), outlets_alone(behind), behind.unknown};
        // A unit that feeds others may have more hanging on it than is drawn.
        for (const Output& o : outputs_of(s_.now))
            if (o.plus && o.contact.exists() && std::ranges::find(behind.parts, o.part) != behind.parts.end() &&
                std::ranges::find(load.more, o.part) == load.more.end())
                load.more.push_back(o.part);
        return load;
    }

    /// "Put a 15 A fuse in F1", "Fit a 15 A fuse or breaker in place of Q1".
    std::string smaller(PrimitiveId device, Amps rating) const {
        const PartId part = c_.at(device).part;
        if (c_.at(part).kind == Kind::fuse) return fmt::format("Put a {} fuse in {}", text(rating), name_of(c_, part));
        return fmt::format("Fit a {} fuse or breaker in place of {}", text(rating), name_of(c_, part));
    }

    void say_cures(const Group& g, Finding& f) const {
        const Excess& worst = g.wires.front();
        const Amps least = std::ranges::min(g.wires, {}, [](const Excess& e) { return e.carries.amps; }).carries.amps;
        const auto fuse = reference::largest_fuse_up_to(least);
        const std::optional<Load> load = g.devices.size() == 1 ? load_of(g.devices.front()) : std::nullopt;
        // A tight fit trades one advice for another; it is worth that only where something may burn.
        const double tight = worst.severity == Severity::danger ? 1 : 0.8;
        const bool fits = load && fuse && load->known <= fuse->rating * tight;
        // One fuse, one figure: part-overloaded speaks of the same one.
        auto good_for_all = fuse;
        if (const auto part = fits ? least_part_behind(s_, g.devices.front()) : std::nullopt; part && *part < least)
            if (const auto for_part = reference::largest_fuse_up_to(*part);
                for_part && load->known <= for_part->rating * (load->outlets_alone ? 1 : 0.8))
                good_for_all = for_part;
        if (fits && load->more.empty())
            f.cures.push_back({fmt::format(
                "{}{}.", smaller(g.devices.front(), good_for_all->rating),
                load->outlets_alone || load->known <= good_for_all->rating * 0.8
                    ? ""
                    : fmt::format("; what hangs on it takes at most {}, so that is a tight fit", text(load->known)))});
        if (const auto size = size_that_carries(c_, worst.wire, g.lets_through))
            f.cures.push_back(
                thicker(c_, worst.wire, *size,
                        fmt::format("Use {} or thicker for {}{}.", reference::spelled(*size), called(c_, worst.wire),
                                    g.wires.size() > 1 ? ", and see to the others likewise" : "")));
        if (g.devices.size() > 1)
            f.cures.push_back({"Feed the wire over one of these fuses only, if the other is there by mistake."});
        else if (fuse && f.cures.size() < 2 && worst.behind.only_way && worst.behind.sum <= fuse->rating * tight &&
                 charged_over({worst.wire, {}}, s_.protection[worst.wire.index].end) <= fuse->rating) {
            // Thick wire to a coil or a small lamp is nobody's cure: the better one comes first.
            const bool little =
                load && load->more.empty() && worst.behind.unknown.empty() && worst.behind.sum * 2.0 <= fuse->rating;
            // An outlet or a contact behind it may be made for less than the wire carries.
            auto own = fuse;
            const TerminalId far = other_end(c_, {worst.wire, {}}, s_.protection[worst.wire.index].end);
            if (const auto weakest = weakest_behind(s_, far, {worst.wire, {}});
                weakest && weakest->made_for < own->rating)
                own = reference::largest_fuse_up_to(weakest->made_for);
            if (own && worst.behind.sum <= own->rating * (outlets_alone(worst.behind) ? 1 : tight))
                f.cures.insert(
                    little ? f.cures.begin() : f.cures.end(),
                    {fmt::format("Give it a fuse of its own, {} or less, where it begins.", text(own->rating))});
        }
        if (fits && !load->more.empty())
            f.cures.push_back(
                {fmt::format("{}, but only if {}, with all that {}, {} content with that: nobody said what {}.",
                             smaller(g.devices.front(), good_for_all->rating), list_of(names_of(c_, load->more)),
                             verb(load->more.size(), "it feeds", "they feed"), verb(load->more.size(), "is", "are"),
                             verb(load->more.size(), "it takes", "they take"))});
    }

    void say(Group& g) {
        std::ranges::stable_sort(g.wires, {}, [](const Excess& e) {
            const int certainty = e.certainty == Certainty::certain ? 0 : e.certainty == Certainty::undecided ? 1 : 2;
            return std::tuple(e.severity, certainty, e.carries.amps);
        });
        const Excess& worst = g.wires.front();
        Finding f;
        f.rule = fuse_above_wire.id;
        f.severity = worst.severity;
        f.certainty = worst.certainty;
        f.headline = headline(g);
        f.place = place_of(c_, worst.wire);
        f.cites.push_back(cite_size(c_, worst.wire, "carries " + text(worst.carries.amps)));
        for (PrimitiveId d : g.devices) {
            const Attribute* rating = limits_itself(d) ? limit_of(d) : s_.now.find(c_.at(d).part, Attr::rating);
            f.cites.push_back({rating && rating->value.span.exists() ? rating->value.span : c_.at(c_.at(d).part).span,
                               "lets it through"});
        }
        f.why = why(g);
        f.limit = reference::sentence(worst.carries);
        if (worst.severity == Severity::advice && g.lets_through <= worst.carries.amps * lawful_share)
            f.limit += fmt::format(" On boats a fuse up to 150 % of that, {}, is lawful (33 CFR 183.455).",
                                   text(rounded(worst.carries.amps * lawful_share, 3)));
        say_cures(g, f);
        if (worst.clearing.verdict == Clearing::Verdict::no_curve && !worst.stands_rating) {
            f.measure = fmt::format("Look up the time curve of {}: at {} it has to open before the wire is spoiled.",
                                    device_words(worst.clearing.device), "the current of a dead short");
            report_.not_checked.push_back({fuse_above_wire.id,
                                           fmt::format("whether {} opens in time for {}",
                                                       device_words(worst.clearing.device), called(c_, worst.wire)),
                                           lower_start(worst.clearing.why), ""});
        }
        f.subjects.push_back(subject_of(c_, worst.wire));
        for (PrimitiveId d : g.devices) f.subjects.push_back(name_of(c_, c_.at(d).part));
        if (g.devices.size() > 1)
            f.hangs_on.assign(f.subjects.begin() + 1,
                              f.subjects.end()); // that they feed it together may be the mistake
        if (!g.as_built && worst.severity == Severity::advice && worst.clearing.verdict == Clearing::Verdict::in_time)
            calm_.push_back({std::move(f), fmt::format("{} ({} behind {})", name_of(c_, worst.wire),
                                                       text(worst.carries.amps), text(g.lets_through))});
        else
            report_.add(std::move(f), g.as_built);
        say_unknown_loads(g);
    }

    /// A dead short clears in time, and the load is not too much: one word about all such wires.
    struct Calm {
        Finding alone;
        std::string in_short;
    };
    void say_calm() {
        if (calm_.empty()) return;
        Finding f = std::move(calm_.front().alone);
        if (calm_.size() > 1) {
            std::vector<std::string> each{calm_.front().in_short};
            f.cures.clear();
            for (std::size_t i = 1; i < calm_.size(); ++i) {
                Calm& other = calm_[i];
                each.push_back(other.in_short);
                if (f.cites.size() < 4) f.cites.push_back(other.alone.cites.front());
                f.subjects.insert(f.subjects.end(), other.alone.subjects.begin(), other.alone.subjects.end());
            }
            f.headline = fmt::format(
                "{} wires are thinner than their fuses ask for, though each fuse opens in time in a dead short: {}.",
                calm_.size(), list_of(each));
            f.why = "An overload between the two figures heats the wire beyond its class, and no fuse opens.";
            f.limit = "what each wire can carry for long: 33 CFR 183.425 Table 5, written for boats, and common "
                      "practice below 18 AWG";
            f.cures.push_back({"A smaller fuse where the load allows it, or thicker wire the next time it is out."});
        }
        report_.findings.push_back(std::move(f));
    }

    void say_unknown_loads(const Group& g) {
        const Excess& worst = g.wires.front();
        if (!worst.behind.only_way || worst.behind.unknown.empty() || worst.load_too_large) return;
        std::vector<std::string> names;
        for (PartId p : worst.behind.unknown) names.push_back(name_of(c_, p));
        report_.not_checked.push_back(
            {fuse_above_wire.id, fmt::format("whether the load is too much for {}", called(c_, worst.wire)),
             fmt::format("nobody said what {} {}", list_of(names), names.size() == 1 ? "takes" : "take"),
             "Look for A or W on the label, or measure the current."});
    }

    void say_unknown() {
        for (PrimitiveId d : unrated_) {
            const std::string name = name_of(c_, c_.at(d).part);
            if (drawn(d))
                report_.not_checked.push_back(
                    {fuse_above_wire.id, fmt::format("what {} lets through", name), "nobody said what it is rated at",
                     fmt::format("Read the rating on {} and write it behind its name.", name)});
            else if (c_.at(d).element == Element::protector)
                report_.not_checked.push_back(
                    {fuse_above_wire.id, fmt::format("what protects {}", name), "nobody said which fuse it comes from",
                     fmt::format(
                         "Pull fuses until {} goes dead, and write \"behind 15 A\" with the rating of that fuse.",
                         name)});
            else
                report_.not_checked.push_back({fuse_above_wire.id, fmt::format("how much {} gives at most", name),
                                               "nobody said", "Read the rating on its case."});
        }
        for (PrimitiveId d : links_)
            report_.not_checked.push_back(
                {fuse_above_wire.id, fmt::format("overload of the wires behind {}", name_of(c_, c_.at(d).part)),
                 lower_start(reference::why_no_curve(reference::Protector::link, Amps{1})), ""});
        if (unsized_.empty()) return;
        std::vector<std::string> names;
        for (WireId w : unsized_) names.push_back(name_of(c_, w));
        report_.not_checked.push_back({fuse_above_wire.id, fmt::format("whether the fuse suits {}", list_of(names)),
                                       "nobody said what size " + std::string(names.size() == 1 ? "it is" : "they are"),
                                       "Read the size on the reel or on the insulation, or measure the bare strands."});
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::optional<Study> factory_;
    std::vector<Group> groups_;
    std::vector<Calm> calm_;
    std::vector<PrimitiveId> unrated_, links_;
    std::vector<WireId> unsized_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule fuse_above_wire = {
    "fuse-above-wire",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a fuse larger than what a wire behind it can carry",
    "danger if a short may spoil the wire before the fuse opens, or if the load can exceed the wire; else advice",
    {
        "The wire can be fed through more than it carries. What protects a wire is found by taking it out: the "
        "smallest sum of fuse ratings between "
        "the sources and each of its ends; the larger end counts. So two 15 A fuses that feed one end count as 30 A, "
        "and parallel cables each on "
        "its own fuse are protected by that one.",
        "The fuse is there for the wire. Between what the wire carries and what the fuse lets through, the wire heats "
        "up and nothing opens.",
        "Put a smaller fuse in, or thicker wire; or give the thin wire a fuse of its own where it begins.",
        "33 CFR 183.425 Table 5 for what a wire carries, smaller sizes by common practice; the fuse's time band by ISO "
        "8820-3 against the heat that the "
        "insulation stands (IEC 60364-5-54). A fuse up to 150 % of what the wire carries is lawful on boats below 50 V "
        "(33 CFR 183.455(c)(1)).",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
load E1 "compressor", 24 A
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire W2 from F1 to E1:+, 1 mm2 red, 2 m
wire from E1:- to ground, 4 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
load E1 "compressor", 24 A
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire W2 from F1 to E1:+, 4 mm2 red, 2 m
wire from E1:- to ground, 4 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
