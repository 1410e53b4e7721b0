#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/sides.hpp"
#include "rules/spread.hpp"

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule diode_misplaced; // rule_list.hpp lists it

namespace {

/// All that one end of a diode is joined to by what always conducts both ways.
struct Net {
    const std::vector<std::uint32_t>& of; ///< by terminal
    std::uint32_t number;
    bool reached(TerminalId t) const { return of[t.index] == number; }
};

/// Something with two ends, each by the number of its net.
struct Between {
    PrimitiveId id;
    PartId part;
    std::uint32_t a, b;
    bool lies_across(const Net& plain, const Net& band) const {
        return (a == plain.number && b == band.number) || (b == plain.number && a == band.number);
    }
};

class Judge {
  public:
    Judge(const Study& s, Report& report)
        : s_(s), c_(s.circuit), report_(report), net_(s.graph.components([&](EdgeRef e, TerminalId) {
              if (e.is_wire()) return true;
              const Primitive& p = c_.at(e.primitive);
              return p.purpose != Purpose::suppressor &&
                     (p.element == Element::joint || p.element == Element::meter || p.element == Element::protector);
          })) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const auto between = [&] { return Between{id, p.part, net_[p.a.index], net_[p.b.index]}; };
            if (is_load(p)) loads_.push_back(between());
            if (may_be_switched(p)) contacts_.push_back(between());
        }
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            const bool by_itself =
                p.element == Element::junction && c_.at(p.part).kind == Kind::diode && !c_.at(p.part).poisoned;
            if (by_itself && !s_.now.wires_at(p.a).empty() && !s_.now.wires_at(p.b).empty()) look_at(p);
        }
    }

  private:
    void look_at(const Primitive& p) {
        const Net plain{net_, net_[p.a.index]}, band{net_, net_[p.b.index]};
        const std::string duty = s_.now.word(p.part, Attr::duty);
        if (plain.reached(p.b)) return say_bridged(p, way_past(p));
        if (const auto contact = contact_across(plain, band))
            return say_across_contact(p, *contact, plain.reached(c_.at(*contact).a));
        const std::optional<PrimitiveId> load = load_across(plain, band, p.part);
        if (duty == "clamps" && !load && !clamps_otherwise(plain, band))
            return say(
                p, "clamps", "no coil and no motor lies between its two ends",
                "The kick of the coil that it should take up goes on into the switch.",
                "Put it across the coil: its band where plus comes, its plain end on the other end of the coil.");
        if ((duty == "isolates" || duty == "one-way") && load)
            return say(p, duty,
                       fmt::format("it lies across {}, beside it and not before it", name_of(c_, c_.at(*load).part)),
                       "It keeps nothing apart: what is joined meets before it.",
                       fmt::format("Put it into the wire before {}, with its band towards it.",
                                   name_of(c_, c_.at(*load).part)));
    }

    std::vector<TerminalId> way_past(const Primitive& diode) const {
        const Spread past(
            s_.now, {.starts = {diode.a}, .over_contacts = false, .over_diodes = false, .without_part = diode.part});
        return past.stops(past.ways_to(diode.b).front());
    }

    /// A switch or relay whose two sides are the diode's two ends.
    std::optional<PrimitiveId> contact_across(const Net& plain, const Net& band) const {
        for (const Between& contact : contacts_)
            if (contact.lies_across(plain, band)) return contact.id;
        return std::nullopt;
    }
    bool may_be_switched(const Primitive& p) const {
        return p.element == Element::contact && p.purpose != Purpose::feed_condition && !c_.at(p.a).internal &&
               !c_.at(p.b).internal && !c_.at(p.part).poisoned && !(s_.reference[p.a.index] && s_.reference[p.b.index]);
    }

    std::optional<PrimitiveId> load_across(const Net& plain, const Net& band, PartId diode) const {
        for (const Between& load : loads_)
            if (load.part != diode && load.lies_across(plain, band)) return load.id;
        return std::nullopt;
    }

    /// From a feed to ground it clamps what comes on that feed (the kick of everything there); with an end on what is not drawn nothing is known.
    bool clamps_otherwise(const Net& plain, const Net& band) const {
        const auto open_ended = [&](const Net& side) {
            return std::ranges::any_of(s_.now.parts(), [&](PartId part) {
                const Kind kind = c_.at(part).kind;
                const bool hides = c_.at(part).poisoned || kind == Kind::unknown_end || kind == Kind::not_known ||
                                   kind == Kind::electronics || kind == Kind::existing_wire || kind == Kind::beyond ||
                                   kind == Kind::alternator || kind == Kind::regulator || kind == Kind::sensor;
                return hides &&
                       std::ranges::any_of(c_.at(part).terminals, [&](TerminalId t) { return side.reached(t); });
            });
        };
        return open_ended(plain) || open_ended(band) || std::ranges::any_of(s_.now.primitives(), [&](PrimitiveId id) {
                   const Primitive& p = c_.at(id);
                   return p.element == Element::source &&
                          ((plain.reached(p.a) && band.reached(p.b)) || (plain.reached(p.b) && band.reached(p.a)));
               });
    }

    Finding start(const Primitive& p) const {
        Finding f;
        f.rule = diode_misplaced.id;
        f.severity = Severity::fault;
        f.place = where_it_lies(c_, p.part);
        const Attribute* duty = s_.now.find(p.part, Attr::duty);
        f.cites.push_back(duty && duty->span.exists() ? Citation{duty->span, "does not, where it is"}
                                                      : cite_part(c_, p.part));
        for (TerminalId t : {p.a, p.b}) f.cites.push_back(cite_terminal(s_.now, t));
        f.subjects.push_back(name_of(c_, p.part));
        for (TerminalId t : {p.a, p.b})
            for (WireId w : s_.now.wires_at(t)) f.subjects.push_back(subject_of(c_, w));
        return f;
    }

    void say(const Primitive& p, const std::string& duty, const std::string& but, const char* why, std::string cure) {
        Finding f = start(p);
        f.headline = fmt::format("{} is where it cannot do what it is for ({}): {}.",
                                 sentence_start(called(c_, p.part)), duty, but);
        f.why = why;
        f.limit = "a diode that clamps lies across a coil, one that isolates lies in the wire (common practice)";
        f.cures.push_back({std::move(cure)});
        report_.findings.push_back(std::move(f));
    }

    void say_bridged(const Primitive& p, const std::vector<TerminalId>& stops) {
        Finding f = start(p);
        f.headline =
            fmt::format("{} does nothing: its two ends are joined past it.", sentence_start(called(c_, p.part)));
        f.why = "Current takes the wire beside it, both ways.";
        f.limit = "none: the two ends are one piece of wiring";
        f.path = stops_in_words(c_, stops);
        f.cures.push_back({"Take one wire of that path off, so that all current has to come through the diode."});
        report_.findings.push_back(std::move(f));
    }

    void say_across_contact(const Primitive& p, PrimitiveId contact, bool) {
        const PartId part = c_.at(contact).part;
        Finding f = start(p);
        f.headline = fmt::format("{} lies across a contact of {}: where it conducts, the contact switches nothing, and "
                                 "where it blocks, it does nothing.",
                                 sentence_start(called(c_, p.part)), called(c_, part));
        f.why = "A diode takes up the kick of a coil beside the coil, not at the contact.";
        f.limit = "a diode that clamps lies across a coil, one that isolates lies in the wire (common practice)";
        f.cures.push_back({"Put it across the coil that this contact switches: its band where plus comes."});
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    const std::vector<std::uint32_t> net_;  ///< by terminal
    std::vector<Between> loads_, contacts_; ///< in text order
};

void run(const Study& s, Report& report) {
    const bool some = std::ranges::any_of(s.now.parts(), [&](PartId p) { return s.circuit.at(p).kind == Kind::diode; });
    if (some && !s.circuit.has_mistakes) Judge(s, report).run();
}

} // namespace

const Rule diode_misplaced = {
    "diode-misplaced",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a diode whose place does not fit what it is for: clamp, isolate, one-way",
    "always a fault",
    {
        "This diode is meant to clamp and lies across no coil, or is meant to isolate and lies beside a load, or "
        "across a contact, or has a wire past it.",
        "It does nothing there, and what it should keep from happening happens.",
        "A clamp goes across the coil, its band where plus comes. A diode that isolates goes into the wire, its band "
        "where the current goes.",
        "What the file says that it is for (clamps, isolates, one-way) against where its ends are joined. The way "
        "round is judged by diode-wrong-way.",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
switch S1 "dash switch", 5 A
relay K1, 4-pin, 30 A, bare
diode V1, band on 1, clamps
splice SP1, crimp
splice SP2, crimp
fuse F2, 15 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 1 mm2 red, 0.1 m
wire W2 from F1 to SP2, 1 mm2 red, 1 m
wire W11 from SP2 to S1, 1 mm2 red, 0.1 m
wire W3 from S1 to SP1, 1 mm2 blue, 1 m
wire W4 from SP1 to K1:86, 1 mm2 blue, 0.3 m
wire W5 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W6 from SP2 to V1:1, 1 mm2 blue, 0.1 m
wire W12 from SP1 to V1:2, 1 mm2 blue, 0.1 m
wire W7 from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire W8 from F2 to K1:30, 2.5 mm2 red, 1 m
wire W9 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W10 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
switch S1 "dash switch", 5 A
relay K1, 4-pin, 30 A, bare
diode V1, band on 1, clamps
splice SP1, crimp
fuse F2, 15 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 1 mm2 red, 0.1 m
wire W2 from F1 to S1, 1 mm2 red, 1 m
wire W3 from S1 to SP1, 1 mm2 blue, 1 m
wire W4 from SP1 to K1:86, 1 mm2 blue, 0.3 m
wire W5 from K1:85 to ground, 1 mm2 black, 0.3 m
wire W6 from SP1 to V1:1, 1 mm2 blue, 0.1 m
wire W12 from V1:2 to ground, 1 mm2 black, 0.1 m
wire W7 from battery:+ to F2, 2.5 mm2 red, 0.1 m
wire W8 from F2 to K1:30, 2.5 mm2 red, 1 m
wire W9 from K1:87 to E1, 2.5 mm2 red, 1 m
wire W10 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
