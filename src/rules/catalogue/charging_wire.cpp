#include "base/number.hpp"
#include "circuit/kind.hpp"
#include "rules/converter_ways.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule charging_wire; // rule_list.hpp lists it

namespace {

/// Panels up to that many watts are sold for hanging straight on a battery: it gasses no more than it stands (common practice, no source).
constexpr Watts keeps_fresh{10};

/// What charges at a limit of its own, and where that comes out.
struct Charger {
    PartId part;
    TerminalId out;
    Amps amps;
    std::string basis; ///< where the figure comes from; empty where the file says it
    bool sure = true;
};

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (PartId id : s_.now.parts()) {
            if (c_.at(id).poisoned) continue;
            if (c_.at(id).kind == Kind::converter && !s_.now.is_factory(id)) look_for_a_circle(id);
            if (is_worked_out(id)) continue; // wire-overloaded and the others see what flows
            if (const auto charger = charger_of(id)) look_at(*charger);
            if (c_.at(id).kind == Kind::solar) look_at_panel(id);
        }
    }

  private:
    bool is_worked_out(PartId id) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId p) {
            return c_.at(p).part == id && c_.at(p).purpose == Purpose::conversion;
        });
    }

    /// What it gives goes back into the battery that it takes from.
    void look_for_a_circle(PartId id) {
        const TerminalId in = end_called(c_, id, "in"), out = end_called(c_, id, "out");
        const auto feeding = batteries_in(s_, reach_of_charge(s_, in, false)),
                   charged = batteries_in(s_, reach_of_charge(s_, out, true));
        if (feeding.size() != 1 || charged.size() != 1 || feeding.front().source != charged.front().source) return;
        const PartId battery = c_.at(feeding.front().source).part;
        std::vector<PartId> others;
        for (const BatteryPoles& b : battery_poles(s_))
            if (c_.at(b.source).part != battery) others.push_back(c_.at(b.source).part);
        Finding f;
        f.rule = charging_wire.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} takes from {} and gives back to {}: it charges nothing.",
                                                called(c_, id), called(c_, battery), name_of(c_, battery)));
        f.place = where_it_lies(c_, id);
        f.cites.push_back(cite_terminal(s_.now, out, "to " + name_of(c_, battery)));
        f.cites.push_back(cite_terminal(s_.now, in, "from " + name_of(c_, battery)));
        f.why = "What goes round is lost in it as heat.";
        if (others.size() == 1)
            f.why += fmt::format(" {} gets nothing from it.", sentence_start(called(c_, others.front())));
        f.limit = "none: its output belongs on another battery, or on loads of its own";
        f.cures.push_back(
            {fmt::format("Lead its output to {}, over a fuse beside that battery.",
                         others.size() == 1 ? name_of(c_, others.front()) : "the battery that it shall charge")});
        f.subjects = {name_of(c_, id), name_of(c_, battery)};
        report_.findings.push_back(std::move(f));
    }

    std::optional<Charger> charger_of(PartId id) const {
        const char* out = nullptr;
        switch (c_.at(id).kind) {
        case Kind::solar:
        case Kind::charger: out = "+"; break;
        case Kind::converter: out = "out"; break;
        case Kind::dynamo: out = "D"; break;
        default: return std::nullopt;
        }
        Charger charger{id, end_called(c_, id, out), {}, {}, true};
        const Stated<Amps> amps = s_.now.amps(id, Attr::rating);
        const Stated<Watts> watts = s_.now.watts(id, Attr::power);
        const Stated<Volts> volts = s_.now.volts(id, Attr::voltage);
        if (amps.known()) {
            charger.amps = amps.nominal;
            charger.sure = amps.how != Knowledge::guessed && amps.how != Knowledge::about;
        } else if (watts.known() && volts.known() && volts.nominal.si > 0) {
            charger.amps = watts.nominal / volts.nominal;
            charger.basis = fmt::format(": {} over {}", text(watts.nominal), text(volts.nominal));
        } else if (watts.known()) { // at most: whatever its volts, it is not below the battery's while it charges
            charger.amps = watts.nominal / c_.vehicle.system;
            charger.basis = fmt::format(", at most: {} over {}", text(watts.nominal), text(c_.vehicle.system));
            charger.sure = false;
        } else {
            say_unsaid(id, charger.out);
            return std::nullopt;
        }
        if (!charger.out.exists() || !(charger.amps.si > 0)) return std::nullopt;
        // Loads take from a converter what they take; only a battery takes all that it gives.
        if (c_.at(id).kind == Kind::converter && battery_in(reach_of_charge(s_, charger.out, true)) == s_.strong.end())
            return std::nullopt;
        return charger;
    }

    /// Loads take from a converter what they take; only a battery takes all that it gives.
    void say_unsaid(PartId id, TerminalId out) const {
        if (!out.exists() || s_.now.wires_at(out).empty() || s_.now.is_factory(id)) return;
        if (c_.at(id).kind == Kind::converter && battery_in(reach_of_charge(s_, out, true)) == s_.strong.end()) return;
        const bool solar = c_.at(id).kind == Kind::solar;
        report_.not_checked.push_back(
            {charging_wire.id,
             fmt::format("whether the wires and fuses behind {} carry what it delivers", name_of(c_, id)),
             "nobody said how much that is",
             fmt::format("Read {} on it, and write it behind the name: {} {}, {}.", solar ? "W" : "A",
                         spec_of(c_.at(id).kind).title, name_of(c_, id), solar ? "100 W" : "25 A")});
    }

    /// Is the current at this terminal for a box that nothing here looks into (a regulator's D, a converter's input)? What else hangs on its stud
    /// carries a part of it, or nothing.
    bool goes_into_a_box(TerminalId t, PartId charger) const {
        return c_.at(t).part != charger && c_.at(t).role == Role::signal && s_.now.primitives_at(t).empty() &&
               spec_of(c_.part_of(t).kind).not_solved != nullptr;
    }

    /// What carries all that comes out: from there on, as long as there is one way only. Nothing where that ends in a load: then there flows what
    /// the load takes.
    std::vector<EdgeRef> in_series(const Charger& charger) const {
        std::vector<EdgeRef> way;
        TerminalId t = charger.out;
        EdgeRef last;
        while (way.size() < 64) {
            std::vector<EdgeRef> on;
            for (WireId w : s_.now.wires_at(t)) on.push_back({w, {}});
            for (PrimitiveId p : s_.now.primitives_at(t))
                if (c_.at(p).part != charger.part) on.push_back({{}, p});
            std::erase_if(on, [&](EdgeRef e) { return e == last; });
            if (on.size() != 1) return way;
            if (!on.front().is_wire()) {
                const Primitive& p = c_.at(on.front().primitive);
                const bool passes = p.element == Element::protector || p.element == Element::contact ||
                                    p.element == Element::meter || p.element == Element::junction ||
                                    (p.element == Element::joint && p.purpose != Purpose::mounting);
                const bool takes = p.element == Element::resistance || p.element == Element::filament ||
                                   p.element == Element::machine || p.element == Element::constant_power;
                if (takes) return {};
                if (!passes) return way;
            }
            last = on.front();
            way.push_back(last);
            t = other_end(c_, last, t);
            if (s_.reference[t.index] || goes_into_a_box(t, charger.part)) return way;
        }
        return way;
    }

    void look_at(const Charger& charger) {
        struct Weak {
            EdgeRef edge;
            Amps stands;
        };
        std::vector<Weak> wires, fuses, contacts;
        for (EdgeRef e : in_series(charger)) {
            if (e.is_wire()) {
                if (c_.at(e.wire).poisoned) continue;
                if (const auto carries = what_it_carries(c_, e.wire); carries && charger.amps > carries->amps * 1.005)
                    wires.push_back({e, carries->amps});
            } else if (const Primitive& p = c_.at(e.primitive);
                       p.element == Element::protector && p.rating.known() && charger.amps > p.rating.nominal * 1.001) {
                fuses.push_back({e, p.rating.nominal});
            } else if (p.element == Element::contact && p.purpose != Purpose::feed_condition && p.rating.known() &&
                       p.rating.nominal.si > 0 && charger.amps > p.rating.nominal * 1.02) {
                contacts.push_back({e, p.rating.nominal});
            }
        }
        const auto least = [](const std::vector<Weak>& all) {
            return *std::ranges::min_element(all, {}, &Weak::stands);
        };
        if (!wires.empty()) {
            const Weak worst = least(wires);
            Finding f = start(charger, Severity::danger);
            f.headline = sentence_start(fmt::format("{}{} takes all that {} delivers, {}, but carries {}.",
                                                    described(c_, worst.edge.wire),
                                                    c_.at(worst.edge.wire).named ? "," : "", name_of(c_, charger.part),
                                                    text(rounded(charger.amps, 3)), text(worst.stands)));
            f.place = place_of(c_, worst.edge.wire);
            f.cites.push_back(cite_size(c_, worst.edge.wire, "carries " + text(worst.stands)));
            f.cites.push_back(cite_part(c_, charger.part, "delivers " + text(rounded(charger.amps, 3))));
            f.why = "It charges for hours with that, and a fuse that lets it through does not protect the wire: its "
                    "copper gets hotter than its insulation stands.";
            if (const auto carries = what_it_carries(c_, worst.edge.wire)) f.limit = reference::sentence(*carries);
            if (const auto size = size_that_carries(c_, worst.edge.wire, charger.amps))
                f.cures.push_back(thicker(
                    c_, worst.edge.wire, *size,
                    fmt::format("Use {} or thicker for {}{}.", reference::spelled(*size), name_of(c_, worst.edge.wire),
                                wires.size() > 1 ? ", and see to the others on its way likewise" : "")));
            for (const Weak& w : wires) f.subjects.push_back(c_.at(w.edge.wire).name);
            report_.findings.push_back(std::move(f));
        }
        if (!contacts.empty()) {
            const Weak worst = least(contacts);
            const PartId part = c_.at(worst.edge.primitive).part;
            Finding f = start(charger, Severity::fault);
            f.headline = sentence_start(fmt::format("{} passes all that {} delivers, {}, but is made for {}.",
                                                    called(c_, part), name_of(c_, charger.part),
                                                    text(rounded(charger.amps, 3)), text(worst.stands)));
            f.place = where_it_lies(c_, part);
            f.cites.push_back(cite_part(c_, part, "made for " + text(worst.stands)));
            f.cites.push_back(cite_part(c_, charger.part, "delivers " + text(rounded(charger.amps, 3))));
            f.why = "A flat battery takes that for hours. Its contacts get hot, wear away or weld together: then "
                    "nothing parts the two any more.";
            f.limit = fmt::format("{}, as the file says", text(worst.stands));
            f.cures.push_back(
                {fmt::format("Fit a {} for {} or more.", c_.at(part).kind == Kind::relay ? "relay" : "switch",
                             text(rounded(charger.amps, 3)))});
            f.cures.push_back({"Let it deliver less, where it can be set."});
            f.subjects.push_back(name_of(c_, part));
            report_.findings.push_back(std::move(f));
        }
        if (!fuses.empty()) {
            const Weak worst = least(fuses);
            const PartId part = c_.at(worst.edge.primitive).part;
            Finding f = start(charger, Severity::fault);
            f.headline = sentence_start(fmt::format("{} opens: {} delivers {}.", called(c_, part),
                                                    name_of(c_, charger.part), text(rounded(charger.amps, 3))));
            f.place = where_it_lies(c_, part);
            f.cites.push_back(cite_part(c_, part, text(worst.stands)));
            f.cites.push_back(cite_part(c_, charger.part, "delivers " + text(rounded(charger.amps, 3))));
            f.why = "All that it delivers goes through it, for hours. Nothing is charged from then on.";
            f.limit = fmt::format("{}, as the file says", text(worst.stands));
            f.cures.push_back(
                {fmt::format("A larger one, where the wires on both sides of it carry that: {} over 0.8 is {}.",
                             text(rounded(charger.amps, 3)), text(rounded(charger.amps / 0.8, 2)))});
            f.cures.push_back({"Let it deliver less, where it can be set."});
            report_.findings.push_back(std::move(f)); // not about the fuse's own wires: fuse-above-wire speaks of those
        }
    }

    Finding start(const Charger& charger, Severity severity) const {
        Finding f;
        f.rule = charging_wire.id;
        f.severity = severity;
        f.certainty = charger.sure ? Certainty::certain : Certainty::possible;
        if (!charger.sure)
            f.measure =
                fmt::format("Read on the label of {} what it delivers at most, in amps (taken{}).",
                            name_of(c_, charger.part), charger.basis.empty() ? " as the file says" : charger.basis);
        f.subjects.push_back(name_of(c_, charger.part));
        return f;
    }

    std::vector<LivePole>::const_iterator battery_in(const Reach& r) const {
        return std::ranges::find_if(s_.strong, [&](const LivePole& l) {
            return c_.at(c_.at(l.source).part).kind == Kind::battery && r.reached(l.pole);
        });
    }

    /// A panel on a battery with nothing between that ends the charge.
    void look_at_panel(PartId panel) {
        const Stated<Watts> watts = s_.now.watts(panel, Attr::power);
        const Stated<Amps> amps = s_.now.amps(panel, Attr::rating);
        const Stated<Volts> volts = s_.now.volts(panel, Attr::voltage);
        std::optional<Watts> power;
        if (watts.known())
            power = watts.nominal;
        else if (amps.known())
            power = Watts{amps.nominal.si * (volts.known() ? volts.nominal.si : c_.vehicle.system.si)};
        if (power && *power <= keeps_fresh) return;
        const TerminalId out = end_called(c_, panel, "+");
        const Reach straight = reach_of_charge(s_, out, false), blocked = reach_of_charge(s_, out, true);
        const auto at_all = battery_in(blocked);
        if (at_all == s_.strong.end()) return;
        const bool back = battery_in(straight) != s_.strong.end();
        const PartId battery = c_.at(at_all->source).part;
        Finding f;
        f.rule = charging_wire.id;
        f.severity = Severity::fault;
        f.certainty = power ? Certainty::certain : Certainty::possible;
        f.headline = sentence_start(fmt::format("{} lies on {} with nothing between that ends the charge{}.",
                                                called(c_, panel), name_of(c_, battery),
                                                back ? ", nor keeps current from going back at night" : ""));
        f.place = where_it_lies(c_, panel);
        f.cites.push_back(cite_part(c_, panel));
        f.cites.push_back(cite_part(c_, battery));
        f.why = fmt::format("In the sun it pushes the battery past its charging volts: lead-acid ones gas and dry out, "
                            "lithium ones cut off or burn.{}",
                            back ? " In the dark the battery gives into the panel." : "");
        f.limit = fmt::format("{} of panel straight on a battery (common practice, no source)", text(keeps_fresh));
        f.cures.push_back({"Put a charge regulator between, made for panel and battery: converter G9 \"charge "
                           "regulator\", with the panel on in and the battery on out."});
        if (!power) f.measure = fmt::format("Read the watts on the label of {}.", name_of(c_, panel));
        std::vector<TerminalId> stops = blocked.stops_to(at_all->pole);
        f.path = stops_in_words(c_, stops);
        f.subjects = {name_of(c_, panel), name_of(c_, battery)};
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule charging_wire = {
    "charging-wire",
    Severity::danger,
    Quantifier::exists,
    Harm::burns_or_runs_on,
    "a charger, panel, converter or dynamo that delivers more than its wire, fuse, switch or relay stands, or that "
    "nothing ends",
    "a danger where a wire gets too hot, else a fault",
    {
        "What charges delivers up to a limit of its own, for hours. A wire on its way carries less, a switch or relay "
        "is "
        "made for less, a fuse on its way opens below that, or a solar panel of more than 10 W lies straight on a "
        "battery. Or a converter gives back to the battery that it takes from.",
        "The fuse at the battery protects against what the battery gives; what the charger gives stays below it and "
        "heats the wire. A panel without a regulator boils the battery in the sun and takes from it at night.",
        "A thicker wire, a fuse that holds what is delivered, a relay made for it, a charge regulator between panel "
        "and battery.",
        "What a wire carries: its table. Fuses: their rating. 10 W of panel straight on a battery: common practice, no "
        "source. Amps as the file says, else its watts over its volts or over the system's. What a converter takes and "
        "gives that is fed by a battery is worked out: wire-overloaded, fuse-near-limit and part-overloaded see it.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
charger G6 "shore power", 25 A
wire from battery:+ to F1, 1 mm2 red, 0.1 m
wire from F1 to G6:+, 1 mm2 red, 2 m
wire from G6:- to ground, 4 mm2 black, 1 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 30 A
charger G6 "shore power", 25 A
wire from battery:+ to F1, 6 mm2 red, 0.1 m
wire from F1 to G6:+, 6 mm2 red, 2 m
wire from G6:- to ground, 6 mm2 black, 1 m
)",
    },
    run,
};

} // namespace loomproof::rules
