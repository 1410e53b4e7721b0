#include "base/number.hpp"
#include "rules/converter_ways.hpp"
#include "rules/fault_current.hpp"
#include "rules/fuse_load.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule charging_wire; // rule_list.hpp lists it

namespace {

/// What a workshop allows from the battery to a load and home, at 12 V (trade practice, as in voltage-drop): a charger that sees too few volts
/// takes the engine for stopped.
constexpr double drop_allowed = 0.7;

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (PartId id : s_.now.parts()) {
            if (c_.at(id).kind != Kind::converter || c_.at(id).poisoned || s_.now.is_factory(id)) continue;
            if (goes_in_a_circle(id)) continue;
            if (const auto input = converter_input(s_, id)) look_at(*input);
        }
    }

  private:
    /// The weakest of a sort, by what it stands.
    struct Weak {
        EdgeRef edge;
        Amps stands;
    };

    /// Over feed and return each wire carries all of it, and more where other loads hang there too.
    void look_at(const ConverterInput& input) {
        std::optional<Weak> wire, fuse, contact;
        const auto offer = [](std::optional<Weak>& weakest, Weak w) {
            if (!weakest || w.stands < weakest->stands) weakest = w;
        };
        const auto pass = [&](EdgeRef e) {
            if (e.is_wire()) {
                if (c_.at(e.wire).poisoned) return;
                if (const auto carries = what_it_carries(c_, e.wire); carries && input.usual > carries->amps * 1.005)
                    offer(wire, {e, carries->amps});
                return;
            }
            const Primitive& p = c_.at(e.primitive);
            if (p.element == Element::protector) {
                if (const Stated<Amps> r = rating_of(s_, e.primitive); r.known() && input.usual > r.nominal * 1.001)
                    offer(fuse, {e, r.nominal});
            } else if (p.element == Element::contact && p.purpose != Purpose::feed_condition && p.rating.known() &&
                       p.rating.nominal.si > 0 && input.usual > p.rating.nominal * 1.02) {
                offer(contact, {e, p.rating.nominal});
            }
        };
        for (EdgeRef e : input.feed) pass(e);
        for (EdgeRef e : input.back) pass(e);
        if (wire) say_wire(input, *wire);
        if (contact) say_contact(input, *contact);
        if (fuse) say_fuse(input, *fuse);
        if (!wire) look_at_drop(input);
    }

    /// What it gives goes back into the battery that it takes from.
    bool goes_in_a_circle(PartId id) {
        const TerminalId in = end_called(c_, id, "in"), out = end_called(c_, id, "out");
        const auto feeding = batteries_in(s_, reach_of_charge(s_, in, false)),
                   charged = batteries_in(s_, reach_of_charge(s_, out, true));
        if (feeding.size() != 1 || charged.size() != 1 || feeding.front().source != charged.front().source)
            return false;
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
        return true;
    }

    std::string takes(const ConverterInput& input) const { return text(rounded(input.usual, 2)); }

    Finding start(const ConverterInput& input, Severity severity, Amps stands) const {
        Finding f;
        f.rule = charging_wire.id;
        f.severity = severity;
        if (!(input.least > stands)) {
            f.certainty = Certainty::possible;
            f.measure =
                fmt::format("Read on the label of {} what its input takes at most, in amps: more than {} settles it.",
                            name_of(c_, input.part), text(stands));
        }
        return f;
    }
    void cite_converter(Finding& f, const ConverterInput& input) const {
        f.cites.push_back(cite_part(c_, input.part, "takes some " + takes(input)));
        f.subjects.push_back(name_of(c_, input.part));
    }
    std::string basis(const ConverterInput& input) const {
        return fmt::format(
            "what it delivers is {} at its input's volts, and it gives out 85 to 90 % of what it takes (common "
            "practice, no source)",
            text(rounded(input.least, 3)));
    }

    void say_wire(const ConverterInput& input, const Weak& weak) {
        const WireId w = weak.edge.wire;
        Finding f = start(input, Severity::danger, weak.stands);
        f.headline = sentence_start(fmt::format("{}{} carries what the input of {} takes, some {}, but stands {}.",
                                                described(c_, w), c_.at(w).named ? "," : "", called(c_, input.part),
                                                takes(input), text(weak.stands)));
        f.place = place_of(c_, w);
        f.cites.push_back(cite_size(c_, w, "carries " + text(weak.stands)));
        cite_converter(f, input);
        f.why = "It charges for hours with that, and a fuse that lets it through does not protect the wire: its copper "
                "gets hotter "
                "than its insulation stands.";
        if (const auto carries = what_it_carries(c_, w))
            f.limit = reference::sentence(*carries) + " Of the input: " + basis(input) + ".";
        if (const auto size = size_that_carries(c_, w, input.usual))
            f.cures.push_back({fmt::format("Use {} or thicker for {}, and see to the others on its way likewise.",
                                           reference::spelled(*size), name_of(c_, w))});
        f.cures.push_back({"Let it deliver less, where it can be set."});
        f.subjects.push_back(subject_of(c_, w));
        report_.findings.push_back(std::move(f));
    }

    void say_contact(const ConverterInput& input, const Weak& weak) {
        const PartId part = c_.at(weak.edge.primitive).part;
        const bool relay = c_.at(part).kind == Kind::relay;
        Finding f = start(input, Severity::fault, weak.stands);
        f.headline =
            sentence_start(fmt::format("{} passes what the input of {} takes, some {}, but is made for {}.",
                                       called(c_, part), called(c_, input.part), takes(input), text(weak.stands)));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, "made for " + text(weak.stands)));
        cite_converter(f, input);
        f.why = "That flows for hours. Its contacts get hot, wear away or weld together.";
        f.limit = fmt::format("{}, as the file says; {}", text(weak.stands), basis(input));
        f.cures.push_back({fmt::format("Fit a {} for {} or more.", relay ? "relay" : "switch", takes(input))});
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    void say_fuse(const ConverterInput& input, const Weak& weak) {
        const PartId part = c_.at(weak.edge.primitive).part;
        Finding f = start(input, Severity::fault, weak.stands);
        f.headline = sentence_start(fmt::format("{} opens: the input of {} takes some {}.",
                                                protector_words(c_, weak.edge.primitive) == name_of(c_, part)
                                                    ? called(c_, part)
                                                    : protector_words(c_, weak.edge.primitive),
                                                called(c_, input.part), takes(input)));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_rating(s_, weak.edge.primitive, text(weak.stands)));
        cite_converter(f, input);
        f.why = "That flows for hours while the other battery is charged. Nothing is charged from then on.";
        f.limit = fmt::format("{}, as the file says; {}", text(weak.stands), basis(input));
        f.cures.push_back(
            {fmt::format("A larger one, where the wires on both sides of it carry that: {} over 0.8 is {}.",
                         takes(input), text(rounded(input.usual / 0.8, 2)))});
        f.cures.push_back({"Let it deliver less, where it can be set."});
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    /// At the amps that flow at least: with fewer volts it takes more, never less.
    void look_at_drop(const ConverterInput& input) {
        const double scale = std::max(1.0, c_.vehicle.system.si / 12);
        const Volts feed = input.least * resistance_along(c_, input.feed, Celsius{20}),
                    back = input.least * resistance_along(c_, input.back, Celsius{20});
        const Volts lost{feed.si + back.si};
        if (lost.si <= drop_allowed * scale) return ask_for_ohms(input);
        std::optional<WireId> worst;
        const auto ohms = [&](WireId w) {
            const std::vector<EdgeRef> one{{w, {}}};
            return resistance_along(c_, one, Celsius{20});
        };
        for (const auto* way : {&input.feed, &input.back})
            for (EdgeRef e : *way)
                if (e.is_wire() && (!worst || ohms(e.wire) > ohms(*worst))) worst = e.wire;
        if (!worst) return;
        Finding f;
        f.rule = charging_wire.id;
        f.severity = Severity::advice;
        f.headline = sentence_start(fmt::format("On the way to {} and home {} are lost at {}, most of it over {}.",
                                                called(c_, input.part), text(rounded(lost, 2)),
                                                text(rounded(input.least, 3)), described(c_, *worst)));
        f.place = place_of(c_, *worst);
        f.cites.push_back(cite_size(c_, *worst, "loses most of it"));
        cite_converter(f, input);
        f.why = "With fewer volts it takes more amps for the same watts, and many chargers switch off below some 13 V, "
                "as they take "
                "the engine for stopped: it starts and stops without end.";
        f.limit = fmt::format("{} from the battery and home (trade practice)", text(Volts{drop_allowed * scale}));
        f.cures.push_back({fmt::format("Use thicker wire for {}.", name_of(c_, *worst))});
        f.cures.push_back({"Mount it nearer to the battery that feeds it."});
        f.subjects.push_back(subject_of(c_, *worst));
        report_.findings.push_back(std::move(f));
    }

    /// A wire whose size or length nobody said counts as nothing: more may be lost than was found.
    void ask_for_ohms(const ConverterInput& input) {
        std::vector<std::string> unsaid;
        for (const auto* way : {&input.feed, &input.back})
            for (EdgeRef e : *way)
                if (e.is_wire() && (!c_.at(e.wire).area.known() || !c_.at(e.wire).length.known()))
                    unsaid.push_back(name_of(c_, e.wire));
        if (unsaid.empty()) return;
        report_.not_checked.push_back({charging_wire.id,
                                       fmt::format("what is lost on the way to {} and home", name_of(c_, input.part)),
                                       fmt::format("nobody said size and length of {}", list_of(unsaid)),
                                       "Measure the wire, and write both behind it."});
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
};

} // namespace

void judge_converter_inputs(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace loomproof::rules
