#include "base/number.hpp"
#include "circuit/outputs.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/spread.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule coil_unsuppressed; // rule_list.hpp lists it

namespace {

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            // Where nobody said what the relay has across its coil it may have a resistor: most plug-in relays do.
            if (p.purpose != Purpose::coil || c_.at(p.part).kind != Kind::relay || c_.at(p.part).poisoned ||
                s_.now.word(p.part, Attr::suppression) != "bare")
                continue;
            const Spread a = joined_to(p.a), b = joined_to(p.b);
            if (suppressed(p, a, b)) continue;
            bool driven = false;
            for (const Spread* end : {&a, &b})
                if (const Output* output = driven_by(*end)) {
                    driven = true;
                    if (output->clamped) continue; // it takes up the kick itself
                    say(p, *output);
                    break;
                }
            if (!driven && c_.at(p.part).origin.provenance == Provenance::job && (switched_at(a) || switched_at(b)))
                on_switches_.push_back(p.part);
        }
        if (!on_switches_.empty()) say_once();
    }

  private:
    Spread joined_to(TerminalId t) const {
        return {s_.now,
                {.starts = {t},
                 .over_contacts = false,
                 .over_protectors = true,
                 .over_diodes = false,
                 .not_beyond = &s_.reference}};
    }

    /// The output of an electronic unit that ends here: one without a clamp of its own first.
    const Output* driven_by(const Spread& end) const {
        const Output* clamped = nullptr;
        for (const Output& o : outputs_) {
            if (!o.contact.exists() || !end.reached(o.at)) continue;
            if (!o.clamped) return &o;
            clamped = &o;
        }
        return clamped;
    }
    /// A contact that a hand moves ends here.
    bool switched_at(const Spread& end) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            return p.purpose == Purpose::switch_contact && c_.at(p.part).kind == Kind::switching &&
                   (end.reached(p.a) || end.reached(p.b));
        });
    }

    /// A diode or resistor from one end of the coil to the other.
    bool suppressed(const Primitive& coil, const Spread& a, const Spread& b) const {
        return std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
            const Primitive& p = c_.at(id);
            const bool takes_it =
                p.element == Element::junction ||
                (p.element == Element::resistance && p.purpose != Purpose::coil && p.purpose != Purpose::leak) ||
                p.element == Element::filament;
            return takes_it && p.part != coil.part &&
                   ((a.reached(p.a) && b.reached(p.b)) || (a.reached(p.b) && b.reached(p.a)));
        });
    }

    void say_once() {
        Finding f;
        f.rule = coil_unsuppressed.id;
        f.severity = Severity::note;
        const bool one = on_switches_.size() == 1;
        f.headline = sentence_start(fmt::format(
            "{} {} a bare coil on a plain switch: each time it is switched off the contact sparks.",
            one ? called(c_, on_switches_.front()) : list_of(names_of(c_, on_switches_)), one ? "has" : "have each"));
        f.place = where_it_lies(c_, on_switches_.front());
        for (PartId p : on_switches_) f.cites.push_back(cite_part(c_, p, "nothing across the coil"));
        f.why = "A switch of metal stands that for years; electronics on the same feed may not, and a radio crackles.";
        f.limit = "none: good practice is a resistor or a diode across each coil (common practice, no source)";
        f.cures.push_back(
            {"Where it matters, fit a relay with a resistor across its coil: it may be fed either way round."});
        f.subjects = names_of(c_, on_switches_);
        report_.findings.push_back(std::move(f));
    }

    void say(const Primitive& coil, const Output& output) {
        const PartId unit = output.part;
        Finding f;
        f.rule = coil_unsuppressed.id;
        f.severity = Severity::fault;
        f.certainty = Certainty::possible;
        f.headline = sentence_start(
            fmt::format("{} has a bare coil, and {} drives it: the kick of the coil may spoil that output.",
                        called(c_, coil.part), called(c_, unit)));
        f.place = where_it_lies(c_, coil.part);
        const Attribute* bare = s_.now.find(coil.part, Attr::suppression);
        f.cites.push_back(bare && bare->span.exists() ? Citation{bare->span, "nothing across the coil"}
                                                      : cite_part(c_, coil.part));
        f.cites.push_back(cite_part(c_, unit, "drives it"));
        f.why = "Each time the current is cut off, the coil gives back a hundred volts and more; an output without a "
                "clamp of its own breaks down sooner or later.";
        f.limit = "makers of electronic units ask for a diode or a resistor across the coil, where the unit has none "
                  "inside (common practice)";
        f.cures.push_back({"Fit a relay with a resistor across its coil: it may be fed either way round."});
        f.cures.push_back(
            {"Put a diode across the coil, its band where plus comes; the relay then lets go a little later."});
        f.measure = fmt::format("The papers of {} say whether its output has a clamp inside: then say so, \"clamped 40 "
                                "V\", and leave it as it is.",
                                name_of(c_, unit));
        f.subjects = {name_of(c_, coil.part), name_of(c_, unit)};
        const bool maker = s_.now.is_factory(coil.part) && s_.now.is_factory(unit);
        report_.add(std::move(f), maker);
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const std::vector<Output> outputs_ = outputs_of(s_.now);
    std::vector<PartId> on_switches_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule coil_unsuppressed = {
    "coil-unsuppressed",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a bare relay coil on an output of an electronic unit; those on plain switches in one note",
    "a fault on an output of a unit; a note where only switches of metal work the coil",
    {
        "The relay is marked bare, nothing lies across its coil, and an electronic unit switches it. Added relays that "
        "only a "
        "switch works stand in one note.",
        "A coil kicks when it is switched off. Switches of metal stand that for years; a transistor without a clamp "
        "does not.",
        "A relay with a resistor or diode across its coil, or a diode beside it, its band where plus comes.",
        "Common practice. Relays of which the file does not say that they are bare are left alone, and so are outputs "
        "that "
        "are said to be clamped, the maker's own relays on switches, and those that another relay works.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 15 A
electronics A1 "fan controller" {
  supply 1, 0.1 A
  ground 2
  output 6 ground side, 1 A "fan relay"
}
relay K1 "fan", 4-pin, 30 A, bare
motor M1 "fan", 8 A
splice SP1, crimp
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to SP1, 1.5 mm2 red, 1 m
wire from SP1 to A1:1, 1 mm2 red, 0.5 m
wire from A1:2 to ground, 1 mm2 black, 0.3 m
wire from SP1 to K1:86, 1 mm2 red, 0.5 m
wire from K1:85 to A1:6, 1 mm2 blue, 0.5 m
wire from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire from F2 to K1:30, 2.5 mm2 red, 1 m
wire from K1:87 to M1:+, 2.5 mm2 red, 1 m
wire from M1:- to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
fuse F2, 15 A
electronics A1 "fan controller" {
  supply 1, 0.1 A
  ground 2
  output 6 ground side, 1 A "fan relay"
}
relay K1 "fan", 4-pin, 30 A, resistor 680 ohm
motor M1 "fan", 8 A
splice SP1, crimp
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to SP1, 1.5 mm2 red, 1 m
wire from SP1 to A1:1, 1 mm2 red, 0.5 m
wire from A1:2 to ground, 1 mm2 black, 0.3 m
wire from SP1 to K1:86, 1 mm2 red, 0.5 m
wire from K1:85 to A1:6, 1 mm2 blue, 0.5 m
wire from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire from F2 to K1:30, 2.5 mm2 red, 1 m
wire from K1:87 to M1:+, 2.5 mm2 red, 1 m
wire from M1:- to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
