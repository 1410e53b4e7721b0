#include "base/number.hpp"
#include "reference/fuses.hpp"
#include "rules/clearing.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule capacitor_charge; // rule_list.hpp lists it

namespace {

/// From here on a capacitor is one that stores, not one against noise: 1000 uF at 12 V hold 0.07 J (common practice, no source).
constexpr double stores{1e-3}; // F
/// What contacts, holes and the capacitor itself add to wires and battery (common practice, no source: 5 mohm a switch, 2 mohm a relay).
constexpr Ohms contacts_and_itself{0.010};
/// A contact welds where more than that flows as it closes, over what it carries (sheets of two makers of relays: 2.2 to 4.5 times for motors).
constexpr double making = 4.5;

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (PartId id : s_.now.parts()) {
            if (c_.at(id).kind != Kind::capacitor || c_.at(id).poisoned) continue;
            const Attribute* farads = s_.now.find(id, Attr::capacitance);
            if (farads && farads->value.known()) {
                if (farads->value.nominal >= stores) look_at(id, farads->value.nominal);
            } else if (!s_.now.is_factory(id)) {
                unsaid_.push_back(id);
            }
        }
        if (!unsaid_.empty())
            report_.not_checked.push_back(
                {capacitor_charge.id, fmt::format("what {} takes as it is charged", list_of(names_of(c_, unsaid_))),
                 fmt::format("nobody said how large {} {}", verb(unsaid_.size(), "it", "they"),
                             verb(unsaid_.size(), "is", "are")),
                 fmt::format(
                     "Read F or uF on it, and write it behind the name: capacitor {}, 2.2 uF. Less than 1000 uF: "
                     "nothing to look at. More: what it takes at first is worked out.",
                     name_of(c_, unsaid_.front()))});
    }

  private:
    /// One end live and the other on ground: what charges it, and over what.
    void look_at(PartId id, double farads) {
        const auto& ends = c_.at(id).terminals;
        for (const auto& [live, other] : {std::pair{ends.front(), ends.back()}, std::pair{ends.back(), ends.front()}}) {
            if (!s_.reference[other.index]) continue;
            for (const LivePole& l : s_.strong) {
                const Primitive& source = c_.at(l.source);
                if (c_.at(source.part).kind != Kind::battery || !source.resistance.known() || !source.voltage.known())
                    continue;
                const Reach reach = s_.graph.walk(
                    std::vector<TerminalId>{l.pole},
                    [&](EdgeRef e, TerminalId from) { return carries_fault(s_, e, from, Protectors::pass); },
                    [&](EdgeRef e) { return resistance_along(c_, std::vector<EdgeRef>{e}, Celsius{20}).si; },
                    Positions::one_per_control);
                if (!reach.reached(live)) continue;
                return judge(id, farads, source, reach.path_to(live));
            }
        }
    }

    void judge(PartId id, double farads, const Primitive& source, const std::vector<EdgeRef>& way) {
        for (EdgeRef e : way) {
            if (e.is_wire() && (!c_.at(e.wire).area.known() || !c_.at(e.wire).length.known()))
                return report_.not_checked.push_back(
                    {capacitor_charge.id, fmt::format("what {} takes as it is charged", name_of(c_, id)),
                     fmt::format("nobody said how long and how thick {} is", name_of(c_, e.wire)), "Measure it."});
            if (!e.is_wire() && c_.at(e.primitive).element == Element::junction)
                return; // over a diode: slower than here
        }
        const Ohms ohms = source.resistance.nominal + resistance_along(c_, way, Celsius{20}) + contacts_and_itself;
        const Amps first{source.voltage.nominal.si / ohms.si};
        // It sinks by itself with R C; its heat is that of the first current for half of that time (I^2 t).
        const Seconds lasts{ohms.si * farads / 2};
        for (EdgeRef e : way) {
            if (e.is_wire()) continue;
            const Primitive& p = c_.at(e.primitive);
            if (p.element == Element::protector) fuse(id, farads, e.primitive, first, lasts);
            if (p.element != Element::contact || p.purpose == Purpose::feed_condition || !(lasts > Seconds{1e-3}))
                continue;
            if (!p.rating.known())
                report_.not_checked.push_back(
                    {capacitor_charge.id,
                     fmt::format("whether {} stands to close onto the empty {}", called(c_, p.part), name_of(c_, id)),
                     fmt::format("nobody said what it is made for, and {} flow at first", text(rounded(first, 2))),
                     fmt::format("Read A on it, and write it behind its name. Less than {}: its contacts may weld.",
                                 text(rounded(first / making, 2)))});
            else if (first > p.rating.nominal * making)
                contact(id, farads, p, first);
        }
    }

    Finding start(PartId id, double farads, Certainty certainty) const {
        Finding f;
        f.rule = capacitor_charge.id;
        f.severity = Severity::fault;
        f.certainty = certainty;
        f.cites.push_back(cite_part(c_, id, fmt::format("{} empty", figure(rounded(farads, 3)) + " F")));
        f.cures.push_back(
            {fmt::format("Charge {} before it is connected, over a resistor of some 30 ohm and 25 W or a 21 "
                         "W lamp, until its volts are the battery's; then connect it.",
                         name_of(c_, id))});
        f.subjects.push_back(name_of(c_, id));
        return f;
    }

    void fuse(PartId id, double farads, PrimitiveId fuse, Amps first, Seconds lasts) {
        const Primitive& p = c_.at(fuse);
        if (!p.rating.known() || !(p.rating.nominal.si > 0)) return;
        const reference::Protector style = style_of(s_, fuse, p.rating.nominal);
        const auto band = reference::opening_time(style, p.rating.nominal, first);
        if (!band)
            return report_.not_checked.push_back({capacitor_charge.id,
                                                  fmt::format("whether {} stands the current that charges {}",
                                                              protector_words(c_, fuse), name_of(c_, id)),
                                                  goes_on(reference::why_no_curve(style, p.rating.nominal)), ""});
        if (!(lasts > band->shortest)) return;
        const auto middle = reference::middle(*band);
        Finding f = start(id, farads, Certainty::possible);
        f.headline = sentence_start(
            fmt::format("{} {} when the empty {} is connected: it takes about {} at first.", protector_words(c_, fuse),
                        middle && lasts > *middle ? "opens" : "may open", name_of(c_, id), text(rounded(first, 2))));
        f.place = where_it_lies(c_, p.part);
        f.cites.insert(f.cites.begin(), cite_rating(s_, fuse, text(p.rating.nominal)));
        f.why = fmt::format("An empty capacitor is a short until it is full: here the same heat as {} for {}.",
                            text(rounded(first, 2)), text(rounded(lasts, 2)));
        f.limit = fmt::format(
            "at {} {} opens after {}; the first current is the battery's volts over all ohms of the way, and "
            "sinks with those times {} F",
            text(rounded(first, 2)), with_article(device_kind(s_, fuse, p.rating.nominal)), band_in_words(*band),
            figure(rounded(farads, 3)));
        f.subjects.push_back(name_of(c_, p.part));
        report_.findings.push_back(std::move(f));
    }

    void contact(PartId id, double farads, const Primitive& p, Amps first) {
        Finding f = start(id, farads, Certainty::possible);
        f.headline = sentence_start(fmt::format("{} closes onto the empty {}, which takes about {} at first.",
                                                called(c_, p.part), name_of(c_, id), text(rounded(first, 2))));
        f.place = where_it_lies(c_, p.part);
        f.cites.insert(f.cites.begin(), cite_part(c_, p.part, text(p.rating.nominal)));
        f.why = "Its contacts may weld as they close, and then nothing switches off any more.";
        f.limit = fmt::format("{} times the {} that it carries (the most that two makers' sheets of relays allow for a "
                              "motor that starts)",
                              figure(making), text(p.rating.nominal));
        f.cures.push_back({fmt::format("Let {} hang before it, where it stays charged.", name_of(c_, id))});
        f.subjects.push_back(name_of(c_, p.part));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    std::vector<PartId> unsaid_; ///< capacitors of which nobody said how large they are
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule capacitor_charge = {
    "capacitor-charge",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a large capacitor that opens a fuse or welds a contact as it is charged",
    "always a possible fault; only from 1000 uF on",
    {
        "An empty capacitor is a short until it is full. What it takes in the first moment opens a fuse on its way, or "
        "is "
        "more than a contact on its way stands as it closes.",
        "The fuse opens when the capacitor is connected, or a contact welds and never switches off again.",
        "Charge it over a resistor or a lamp before it is connected, or let it hang where it stays charged.",
        "The first current is the battery's volts over all ohms of the way, with 10 mohm for contacts and itself "
        "(common "
        "practice); it sinks with R C. Fuses: their published band at that current. Contacts: 4.5 times what they "
        "carry "
        "(sheets of two makers of relays).",
        R"(loom 1
battery, 100 Ah
fuse F1, 5 A
capacitor C1 "amplifier", 2 F
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to C1:1, 6 mm2 red, 1 m
wire from C1:2 to ground, 6 mm2 black, 0.5 m
)",
        R"(loom 1
battery, 100 Ah
fuse F1, 5 A
capacitor C1 "amplifier", 2.2 uF
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to C1:1, 6 mm2 red, 1 m
wire from C1:2 to ground, 6 mm2 black, 0.5 m
)",
    },
    run,
};

} // namespace loomproof::rules
