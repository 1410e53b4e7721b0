#include "base/number.hpp"
#include "circuit/outputs.hpp"
#include "rules/batteries_parted.hpp"
#include "rules/between_batteries.hpp"
#include "rules/called_so.hpp"
#include "rules/closing_contact.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_above_part.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/seat.hpp"
#include "rules/spread.hpp"
#include "rules/survey.hpp"
#include "rules/unknown.hpp"
#include "rules/unrated.hpp"
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

extern const Rule part_overloaded; // rule_list.hpp lists it

namespace {

/// What nobody needs to ask about where the part does not say what it carries (common practice, no source): a switch, a plug-in relay. Nor
/// about what has cables on it that carry more than that: a battery's main switch, a winch contactor is made for them.
constexpr Amps switch_carries{20}, relay_carries{usual_relay_carries};
/// The smallest switches that are sold for a dash carry less than that (common practice, no source).
constexpr Amps asks_from{5};

/// What nobody said of contacts, holes and the battery moves a current by more than that (common practice, no source).
constexpr double tolerance = 1.02;

/// The smallest resistors that are sold stand a quarter of a watt (common practice, no source).
constexpr Watts least_worth_a_word{0.25};

struct Hot {
    Watts heat;
    Ohms ohms;
    solve::StateId at = 0;
};

struct Over {
    PrimitiveId primitive;
    Peak peak;
    Amps rating;
    bool stated = true;
    std::optional<Weighed> weighed{}; ///< where not all loads behind it are known exactly
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), report_(report), weighing_(s, survey) {}

    void run() {
        std::vector<Over> all;
        for (PrimitiveId id : s_.now.primitives())
            if (!c_.at(c_.at(id).part).poisoned)
                if (const auto over = judged(id)) all.push_back(*over);
        // One finding for a part: its worst.
        for (std::size_t i = 0; i < all.size(); ++i) {
            std::vector<Over> same;
            for (const Over& o : all)
                if (c_.at(o.primitive).part == c_.at(all[i].primitive).part) same.push_back(o);
            if (same.front().primitive == all[i].primitive) say(same);
        }
        for (PartId p : s_.now.parts())
            if (c_.at(p).kind == Kind::resistor) look_at_resistor(p);
        look_at_seats();
        judge_closing_contacts(s_, survey_, report_);
        for (const LivePole& source : s_.limited) look_at_charging(source);
        unrated_.say(s_, report_);
        say_resistors();
        for (const Over& o : open_)
            report_.not_checked.push_back(
                {part_overloaded.id, fmt::format("whether {} stands its load", what_it_is(c_, c_.at(o.primitive))),
                 o.weighed->why, o.weighed->measure});
        for (const LoadSeen& load : survey_.loads)
            if (const auto unknown = of_unknown_current(s_, {c_.at(load.load).part}); !unknown.empty())
                report_.not_checked.push_back(open_for_unknown_load(
                    s_, part_overloaded.id,
                    fmt::format("what switches and plugs on the way to {} carry", name_of(c_, unknown.front())),
                    unknown));
        if (!survey_.behaviour.jointly)
            report_.not_checked.push_back(open_for_positions(
                s_, part_overloaded.id, "what each switch, relay and plug carries in every switch position"));
    }

  private:
    std::optional<Over> judged(PrimitiveId id) {
        const Primitive& p = c_.at(id);
        const bool contact = p.element == Element::contact && p.purpose != Purpose::feed_condition;
        const bool diode = p.element == Element::junction && p.purpose != Purpose::suppressor;
        if (!contact && !diode && p.purpose != Purpose::hole) return std::nullopt;
        if (p.purpose == Purpose::hole && !p.rating.known()) ask_for_rating_of_hole(p, survey_.part[id.index]);
        // What breaks a current wears by it each time; what only conducts gets warm if it lasts.
        const auto peak =
            contact ? Survey::most(survey_.part[id.index], survey_.part_passing[id.index]) : survey_.part[id.index];
        if (!peak) return std::nullopt;
        if (p.rating.known() && p.rating.nominal.si > 0) {
            Over over{id, *peak, p.rating.nominal, p.rating.how != Knowledge::assumed,
                      weighing_.weigh_current(
                          {{}, id}, *peak, p.rating.nominal.si * tolerance, [&] { return what_it_is(c_, p); },
                          "is made for it", "takes more than it is made for")};
            if (peak->amps > p.rating.nominal * tolerance ||
                (over.weighed && over.weighed->verdict == Weighed::Verdict::fails))
                return over;
            if (over.weighed && over.weighed->undecided() &&
                std::ranges::find(open_, p.part, [&](const Over& o) { return c_.at(o.primitive).part; }) == open_.end())
                open_.push_back(over);
            return std::nullopt;
        }
        if (!contact || c_.at(p.part).kind == Kind::starter) return std::nullopt;
        // A winch's button is held for minutes, that of a horn or a washer for moments.
        const auto lasting = Survey::most(survey_.part[id.index], survey_.part_held[id.index]);
        ask_for_rating(p, lasting, *peak);
        const Amps usual = c_.at(p.control).type == Control::Type::relay ? relay_carries : switch_carries;
        const bool cables = has_cable(s_, p.a) && has_cable(s_, p.b);
        const bool takes_much = lasting && lasting->amps > usual * tolerance;
        // A main switch is made for such cables; another may not be, and a starter loads it for moments only.
        if (cables && !is_cut_off(c_.at(p.part)) && !s_.now.is_factory(p.part) &&
            (takes_much || (c_.at(p.part).kind == Kind::switching && peak->amps > usual * tolerance)))
            unrated_.ask(p.part, peak->amps);
        if (cables || !takes_much) return std::nullopt;
        return Over{id, *lasting, usual, false};
    }

    /// A switch that somebody added and of which nobody said what it may switch: quiet up to what any dash switch stands.
    void ask_for_rating(const Primitive& p, const std::optional<Peak>& lasting, const Peak& most) {
        if (c_.at(p.part).kind != Kind::switching || !p.control.exists() ||
            c_.at(p.control).type != Control::Type::hand || s_.now.is_factory(p.part) || !lasting ||
            lasting->amps < asks_from || lasting->amps > switch_carries * tolerance ||
            (is_cut_off(c_.at(p.part)) && has_cable(s_, p.a) && has_cable(s_, p.b)))
            return;
        unrated_.ask(p.part, most.amps); // what it is judged by, once it says what it is made for
    }
    /// Holes of small plugs carry less than that, those of large ones more (common practice, no source).
    void ask_for_rating_of_hole(const Primitive& p, const std::optional<Peak>& lasting) {
        if (!lasting || lasting->amps < relay_carries || s_.now.is_factory(p.part)) return;
        unrated_.ask(p.part, lasting->amps);
    }

    /// Each figure of a resistor that nobody said, one line for all that lack it.
    void say_resistors() {
        if (!without_ohms_.empty())
            report_.not_checked.push_back(
                {part_overloaded.id, fmt::format("what flows through {}", list_of(names_of(c_, without_ohms_))),
                 fmt::format("nobody said how many ohms {}", verb(without_ohms_.size(), "it has", "they have")),
                 fmt::format("Take one end off, meter on ohms across it, and write it behind the name: resistor {}, 10 "
                             "ohm, 50 W.",
                             name_of(c_, without_ohms_.front()))});
        if (without_watts_.empty()) return;
        std::vector<PartId> parts;
        std::vector<std::string> heats;
        for (const auto& [part, hot] : without_watts_) {
            parts.push_back(part);
            heats.push_back(fmt::format("{} turns {} into heat {}", name_of(c_, part), text(rounded(hot.heat, 2)),
                                        when(s_, survey_.behaviour, hot.at)));
        }
        report_.not_checked.push_back(
            {part_overloaded.id,
             fmt::format("whether {} {} {} heat", list_of(names_of(c_, parts)), verb(parts.size(), "stands", "stand"),
                         verb(parts.size(), "its", "their")),
             fmt::format("nobody said what {} made for, and {}", verb(parts.size(), "it is", "they are"),
                         list_of(heats)),
             fmt::format(
                 "Read W on it, and write it behind its ohms: resistor {}, {}, 50 W. Less than its heat: it burns out.",
                 name_of(c_, parts.front()), text(without_watts_.front().second.ohms))});
    }

    Finding start(const Over& o, PartId part) const {
        Finding f;
        f.rule = part_overloaded.id;
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "carries " + text(rounded(o.peak.amps, 3))));
        f.subjects.push_back(name_of(c_, part));
        for (const std::string& name : passed_on_the_way(s_, survey_.behaviour.point(o.peak.at), o.peak.amps))
            if (name != f.subjects.front()) f.subjects.push_back(name);
        return f;
    }

    void say(const std::vector<Over>& same) {
        const Over& worst = *std::ranges::max_element(same, {}, [](const Over& o) { return o.peak.amps / o.rating; });
        const Primitive& p = c_.at(worst.primitive);
        const bool plug = p.purpose == Purpose::hole;
        const TerminalId pin = output_pin(c_, p); // of an electronic unit: neither a contact nor exchanged alone
        Finding f = start(worst, p.part);
        f.severity = plug ? Severity::danger : Severity::fault;
        if (worst.weighed) f.measure = worst.weighed->measure;
        f.certainty = worst.weighed ? worst.weighed->certainty()
                      : worst.stated
                          ? sureness(s_, survey_, hang_behind(s_, {{}, worst.primitive}), worst.peak.amps, worst.rating)
                          : Certainty::undecided;
        const std::string when_so = when(s_, survey_.behaviour, worst.peak.at),
                          amps = text(rounded(worst.peak.amps, 3));
        std::string others;
        if (plug && same.size() > 1) {
            std::vector<std::string> holes;
            for (const Over& o : same)
                if (o.primitive != worst.primitive) holes.push_back(c_.at(c_.at(o.primitive).a).stamp);
            others = fmt::format(" So {} {} {}.", verb(holes.size(), "does", "do"), verb(holes.size(), "hole", "holes"),
                                 list_of(holes));
        }
        if (worst.stated)
            f.headline = sentence_start(fmt::format("{} {} {} {}, but is made for {}.{}", what_it_is(c_, p),
                                                    pin.exists() ? "gives" : "takes", amps, when_so, text(worst.rating),
                                                    others));
        else
            f.headline = sentence_start(
                fmt::format("{} takes {} {}, and nobody said what it is made for.", what_it_is(c_, p), amps, when_so));
        if (plug)
            f.why =
                "A hole that takes too much gets hot, its spring goes soft, and then it gets hotter: plugs burn so.";
        else if (p.element == Element::junction)
            f.why = "It gets hot and fails: then it passes current both ways, or none.";
        else if (pin.exists())
            f.why = "It gets too hot: the unit shuts it off, or it fails for good, and is not to be had alone.";
        else
            f.why = "Its contacts wear away or weld together: then it does not close any more, or does not open.";
        f.limit = worst.stated ? fmt::format("{}, as the file says", text(worst.rating))
                  : p.rating.known()
                      ? fmt::format("{}, as its make contact (common practice, no source)", text(worst.rating))
                      : fmt::format("{} is what {} usually carries (common practice, no source)", text(worst.rating),
                                    usual_words(p));
        if (!worst.stated)
            f.measure =
                fmt::format("Read the rating on {} and write it behind its name{}. {} or more: this goes away. "
                            "Less: it has to carry less.",
                            name_of(c_, p.part),
                            p.purpose == Purpose::rest_contact ? fmt::format(" (\"{} rest\")", amps) : "", amps);
        if (plug) {
            f.cures.push_back(
                {fmt::format("Fit a plug whose holes carry {}, or two holes side by side that share it.", amps)});
        } else if (p.element == Element::junction) {
            f.cures.push_back({fmt::format("Fit a diode for {} or more, on something that takes its heat away.",
                                           text(rounded(worst.peak.amps * 1.5, 2)))});
        } else if (pin.exists()) {
            for (const Attribute& side : c_.at(p.part).attributes)
                if ((side.key == Attr::plus_side || side.key == Attr::ground_side) && side.word == c_.at(pin).stamp &&
                    side.span.exists())
                    f.cites.push_back({side.span, "this output"});
            f.cures.push_back({fmt::format("Let a relay carry the load, and output {} drive its coil, with a resistor "
                                           "or diode across the coil.",
                                           c_.at(pin).stamp)});
            f.cures.push_back({"Take what was added off this output, and feed it otherwise."});
        } else if (c_.at(p.part).kind == Kind::relay) {
            say_relay(p, worst, f);
        } else {
            f.cures.push_back({"Let a relay switch the load, and the switch the relay."});
            f.cures.push_back({fmt::format("Fit a switch for {} or more.", with_the_engine_running(worst.peak.amps))});
        }
        report_.findings.push_back(std::move(f));
    }

    /// One that joins two batteries and stays in while the starter turns takes what that asks for: no larger one is meant there.
    void say_relay(const Primitive& p, const Over& over, Finding& f) const {
        const bool cranks = std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const auto amps = c_.at(id).element == Element::machine && c_.at(c_.at(id).part).kind == Kind::starter
                                  ? survey_.behaviour.amps_through(over.peak.at, id)
                                  : std::nullopt;
            return amps && std::abs(amps->si) > 20; // less is no starter
        });
        const bool joins = cranks && joins_batteries(over.primitive);
        if (joins)
            f.cures.push_back({fmt::format("Keep it out while the starter turns: feed the coil of {} from what is live "
                                           "only while the alternator charges (its lamp terminal, D+), or from an end "
                                           "of the ignition switch that goes dead while cranking.",
                                           name_of(c_, p.part))});
        // As sold (common practice, no source).
        static constexpr double sold[] = {5,  10, 15,  20,  25,  30,  35,  40,  50,  60,
                                          70, 80, 100, 120, 150, 200, 250, 300, 400, 500};
        double least = over.peak.amps.si * 1.1; // 14 V and more with the engine running; a larger one itself loses less
        if (joins)                              // and what the fuses between them let through
            for (TerminalId end : {p.a, p.b})
                for (WireId w : s_.now.wires_at(end)) least = std::max(least, s_.protection[w.index].lets_through.si);
        const auto* const next = std::ranges::lower_bound(sold, std::ceil(least));
        const Amps rating{next == std::end(sold) ? std::ceil(least) : *next};
        f.cures.push_back({fmt::format("Fit a relay for {} or more{}.", text(rating),
                                       rating.si > 70 ? ", with studs: plug-in ones end at some 70 A" : "")});
        if (!cranks) f.cures.push_back({"Divide the load between two relays."});
    }

    bool joins_batteries(PrimitiveId contact) const {
        const std::vector<BatteryPoles> all = battery_poles(s_);
        for (const BatteryPoles& a : all)
            for (const BatteryPoles& b : all)
                if (const auto parted = a.source != b.source ? joins_between(s_, a, b) : std::nullopt;
                    parted && std::ranges::find(*parted, EdgeRef{{}, contact}) != parted->end())
                    return true;
        return false;
    }

    /// A tenth more than from the battery alone, in whole amps: a running engine brings 14 V and more.
    static std::string with_the_engine_running(Amps amps) { return text(Amps{std::ceil(amps.si * 1.1)}); }

    std::string usual_words(const Primitive& p) const {
        return c_.at(p.control).type == Control::Type::relay ? "a plug-in relay" : "a switch";
    }

    /// What fuses sit in, and the tails of their holders and of relays' bases.
    void look_at_seats() {
        std::map<PartId, Peak> through;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const bool counts = p.element == Element::protector || p.purpose == Purpose::make_contact ||
                                p.purpose == Purpose::rest_contact;
            const auto& peak = survey_.part[id.index];
            if (!counts || !peak || c_.at(p.part).poisoned) continue;
            const auto [most, fresh] = through.emplace(p.part, *peak);
            if (!fresh && peak->amps > most->second.amps) most->second = *peak;
        }
        for (const auto& [part, peak] : through) look_at_seat(part, peak);
    }

    void look_at_seat(PartId part, const Peak& most) {
        const auto seat = seat_of(s_.now, part);
        const auto tails = tails_of(s_.now, part);
        const bool relay = c_.at(part).kind == Kind::relay;
        if (seat && most.amps > seat->carries.nominal * 1.005)
            say_seat(part, most, seat->words, seat->carries.nominal, seat->said,
                     fmt::format("{}, as the file says", text(seat->carries.nominal)),
                     fmt::format("Move it to a holder made for {} or more.", with_the_engine_running(most.amps)));
        if (tails && most.amps > tails->carries.amps * 1.005)
            say_seat(part, most, fmt::format("the tails of {} ({})", relay ? "its base" : "its holder", tails->size),
                     tails->carries.amps, tails->said, reference::sentence(tails->carries),
                     fmt::format("Fit a {} with thicker tails.", relay ? "base" : "holder"));
    }

    void say_seat(PartId part, const Peak& most, const std::string& what, Amps carries, Span said, std::string limit,
                  std::string cure) {
        Finding f = start({{}, most, {}, true}, part);
        f.severity = Severity::danger;
        f.cites.push_back({said, "made for " + text(carries)});
        f.certainty = sureness(s_, survey_, std::nullopt, most.amps, carries);
        f.headline = fmt::format("{} passes {} {}, but {} {} for {}.", name_of(c_, part), text(rounded(most.amps, 3)),
                                 when(s_, survey_.behaviour, most.at), what,
                                 what.starts_with("the tails") ? "are good" : "is made", text(carries));
        f.why = "It gets hot where nothing opens: blades lose their spring, plastic melts, insulation softens.";
        f.limit = std::move(limit);
        f.cures.push_back({std::move(cure)});
        f.cures.push_back({"Divide the load between two circuits."});
        report_.findings.push_back(std::move(f));
    }

    void look_at_resistor(PartId part) {
        const Attribute* marked = s_.now.find(part, Attr::rating);
        if (c_.at(part).poisoned) return;
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const auto& peak = survey_.part[id.index];
            if (p.part != part || !peak) continue;
            if (!p.resistance.known()) {
                if (!s_.now.is_factory(part)) without_ohms_.push_back(part);
                continue;
            }
            const Watts heat{peak->amps.si * peak->amps.si * p.resistance.nominal.si};
            if (!marked || !marked->value.known()) {
                // A resistance wire, a ballast of the maker's is made for it.
                if (heat > least_worth_a_word && !s_.now.is_factory(part) && !s_.now.find(part, Attr::high_end))
                    without_watts_.push_back({part, {heat, p.resistance.nominal, peak->at}});
                continue;
            }
            const Watts rated{marked->value.nominal};
            if (heat <= rated * 1.01) continue;
            Finding f = start({id, *peak, {}, true}, part);
            f.severity = Severity::fault;
            f.certainty = sureness(s_, survey_, std::nullopt, peak->amps, peak->amps * std::sqrt(rated / heat));
            f.headline =
                sentence_start(fmt::format("{} turns {} into heat {}, but is made for {}.", called(c_, part),
                                           text(rounded(heat, 2)), when(s_, survey_.behaviour, peak->at), text(rated)));
            f.why = "It gets hotter than it stands, burns out, and scorches what lies beside it.";
            f.limit = fmt::format("{}, as the file says", text(rated));
            f.cures.push_back(
                {fmt::format("Fit one for {} or more, where its heat can get away.", text(rounded(heat * 1.5, 2)))});
            report_.findings.push_back(std::move(f));
        }
    }

    struct OnTheWay {
        PrimitiveId primitive;
        Amps rating;
    };

    /// Plugs, dash meters, switches and relays without which what charges would not reach a battery: a flat one takes all that it gives.
    void look_at_charging(const LivePole& source) {
        const Amps most = c_.at(source.source).current.nominal;
        if (!c_.at(source.source).current.known() || c_.at(c_.at(source.source).part).poisoned) return;
        const auto from = [&](PartId without) {
            return Spread(s_.now, {.starts = {source.pole}, .without_part = without, .not_into = &s_.reference});
        };
        const auto charges = [&](const Spread& spread) {
            return std::ranges::find_if(s_.strong_sources, [&](TerminalId pole) { return spread.reached(pole); });
        };
        const Spread all = from({});
        const auto battery = charges(all);
        if (battery == s_.strong_sources.end()) return;
        std::vector<OnTheWay> weak;
        for (EdgeRef e : all.edges(all.ways_to(*battery).front())) {
            if (e.is_wire()) continue;
            const Primitive& p = c_.at(e.primitive);
            if (!p.rating.known() || p.rating.nominal >= most || c_.at(p.part).poisoned) continue;
            if (p.element == Element::protector) return; // opens
            const bool contact = p.element == Element::contact && p.purpose != Purpose::feed_condition &&
                                 p.rating.nominal.si > 0 && p.rating.nominal * tolerance < most &&
                                 c_.at(c_.at(source.source).part).kind == Kind::alternator;
            if (p.purpose != Purpose::hole && p.element != Element::meter && !contact) continue;
            if (const Spread rest = from(p.part); charges(rest) == s_.strong_sources.end())
                weak.push_back({e.primitive, p.rating.nominal});
        }
        if (!weak.empty()) say_charging(source, weak, most);
    }

    void say_charging(const LivePole& source, std::vector<OnTheWay>& weak, Amps most) {
        std::ranges::stable_sort(weak, {}, [&](const OnTheWay& w) {
            return std::pair(c_.at(w.primitive).purpose != Purpose::hole, w.rating.si);
        });
        const Primitive& worst = c_.at(weak.front().primitive);
        const bool plug = worst.purpose == Purpose::hole, contact = worst.element == Element::contact;
        const PartId machine = c_.at(source.source).part;
        const std::string name = c_.at(machine).named ? name_of(c_, machine) : "the " + name_of(c_, machine);
        std::vector<std::string> others;
        Finding f;
        f.rule = part_overloaded.id;
        f.severity = plug ? Severity::danger : Severity::fault;
        f.certainty = Certainty::possible;
        f.place = where_it_lies(c_, worst.part);
        f.cites.push_back(cite_part(c_, worst.part, "made for " + text(weak.front().rating)));
        for (const OnTheWay& w : weak) {
            const Primitive& p = c_.at(w.primitive);
            if (std::ranges::find(f.subjects, name_of(c_, p.part)) == f.subjects.end()) {
                f.subjects.push_back(name_of(c_, p.part));
                if (p.part != worst.part) f.cites.push_back(cite_part(c_, p.part, "made for " + text(w.rating)));
            }
            if (w.primitive != weak.front().primitive) others.push_back(what_it_is(c_, p));
        }
        f.cites.push_back(cite_part(c_, machine, "gives up to " + text(most)));
        f.subjects.push_back(name_of(c_, machine));
        f.headline = sentence_start(fmt::format(
            "{} stands on the only way from {} to the battery: it can take {}, but is made for {}.{}",
            what_it_is(c_, worst), name, text(most), text(weak.front().rating),
            others.empty() ? "" : fmt::format(" So {} {}.", verb(others.size(), "does", "do"), list_of(others))));
        f.why = plug ? "A flat battery takes all that is given. A hole that takes too much gets hot, its spring goes "
                       "soft, and then it gets hotter: plugs burn so."
                : contact
                    ? "A flat battery takes all that is given. Contacts that pass too much get hot and weld "
                      "together, or burn open: then the alternator loses its battery while it charges."
                    : "A flat battery takes all that is given. Beyond its scale a meter bends, and its joints get hot "
                      "behind the dash.";
        f.limit = fmt::format("{}, as the file says", text(weak.front().rating));
        f.cures.push_back(
            {fmt::format("Give {} a wire of its own straight to the battery, protected at the battery's end, and take "
                         "the old wire off {}; if that goes to the battery instead, it needs a fuse of its own there.",
                         name, name_of(c_, source.pole))});
        f.cures.push_back({contact ? fmt::format("Fit a {} made for {} or more.",
                                                 c_.at(worst.part).kind == Kind::relay ? "relay" : "switch", text(most))
                                   : fmt::format("Fit plugs and meters made for {} or more.", text(most))});
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    Report& report_;
    const Weighing weighing_;
    std::vector<Over> open_; ///< one for a part
    Unrated unrated_;
    std::vector<PartId> without_ohms_; ///< resistors of which nobody said it
    std::vector<std::pair<PartId, Hot>>
        without_watts_; ///< and those that get hot and of which nobody said how hot they may
};

void run(const Study& s, Report& report) {
    const Survey* survey = survey_or_say(s, report, part_overloaded.id,
                                         "what each switch, relay and plug carries in every switch position");
    if (!survey) return;
    Judge(s, *survey, report).run();
    judge_fuses_above_parts(s, report);
    judge_contacts_between_batteries(s, report);
}

} // namespace

const Rule part_overloaded = {
    "part-overloaded",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a switch, relay contact, plug, outlet, slot, holder, diode or resistor that carries more than it is made for",
    "danger for the holes of plugs, for slots, holders and their tails, which burn; else a fault; undecided where "
    "nobody said what a heavily loaded "
    "contact is made for; advice where only the fuse before it is too large, a fault before an outlet from twice its "
    "amps on",
    {
        "In some switch position, or while a flat battery is charged, more goes through this part than it is made for. "
        "Or the fuse before a contact, a plug or an outlet is more than one size above what that is made for; or a "
        "flat "
        "battery can take more over a contact from another one.",
        "Contacts weld or wear away, diodes and resistors burn out, and the holes of plugs get so hot that the plug "
        "burns.",
        "Let a relay take the load off the switch; fit a part that is made for it; divide the load; or a smaller fuse.",
        "What the file says of the part: amps behind a switch, relay, diode or outlet, \"each\" behind a plug, watts "
        "behind "
        "a resistor. Before an outlet a fuse of the next size is let pass, and 10 A before any (common practice, no "
        "source). A contact of which it says nothing is asked about from 20 A on (switch) or 30 A (relay), a winch's "
        "or crane's also where its button springs back; where cables for more than 60 A are on it, and of "
        "holes of plugs from 30 A on, you are told that it is not checked: common practice, no source. A relay's "
        "make contact that starts a motor may close on 2.2 to 4.5 times its rating, a rest contact on 1 to 2.4 times "
        "(limiting making currents in two "
        "makers' sheets, relays of 40 A and more); between the two, and for smaller relays, it is not checked and you "
        "are told so.",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
switch S1 "dash switch", 10 A
load E1 "heater", 20 A
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to S1, 4 mm2 red, 1 m
wire from S1 to E1:+, 4 mm2 red, 1 m
wire from E1:- to ground, 4 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
switch S1 "dash switch", 25 A
load E1 "heater", 20 A
wire from battery:+ to F1, 4 mm2 red, 0.1 m
wire from F1 to S1, 4 mm2 red, 1 m
wire from S1 to E1:+, 4 mm2 red, 1 m
wire from E1:- to ground, 4 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
