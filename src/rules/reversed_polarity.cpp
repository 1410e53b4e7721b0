#include "rules/all.hpp"
#include "rules/phrases.hpp"
#include "rules/sides.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

struct Ways {
    std::uint32_t plus, minus;
};

/// Plus at one end while minus is at the other, in some position; the first such pair.
std::optional<Ways> together(const Sides& sides, TerminalId plus, TerminalId minus) {
    for (std::uint32_t p : sides.plus().ways_to(plus))
        for (std::uint32_t m : sides.minus().ways_to(minus))
            if (fit_together(sides.plus().demands(p), sides.minus().demands(m))) return Ways{p, m};
    return std::nullopt;
}

class Judge {
  public:
    Judge(const Study& s, Report& report) : s_(s), c_(s.circuit), report_(report), sides_(s) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (!minds(p) || c_.at(p.part).poisoned || sides_.untraced(p.a) || sides_.untraced(p.b)) continue;
            if (together(sides_, p.a, p.b)) continue; // it works in some position; the other way round is then meant, or back-fed
            if (const auto wrong = together(sides_, p.b, p.a)) say(p, *wrong);
        }
    }

  private:
    bool minds(const Primitive& p) const {
        if (c_.at(p.a).stamp != "+" || c_.at(p.b).stamp != "-") return false; // pins called supply and ground follow the body's pole
        const Kind kind = c_.at(p.part).kind;
        return kind == Kind::led || kind == Kind::electronics || (kind == Kind::motor && !s_.now.has(p.part, Attr::reversible));
    }

    void say(const Primitive& p, const Ways& wrong) {
        const Kind kind = c_.at(p.part).kind;
        Finding f;
        f.rule = reversed_polarity.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(fmt::format("{} is the wrong way round: plus comes to its end {}, ground is on its end {}.", called(c_, p.part), stamp_of(c_, p.b), stamp_of(c_, p.a)));
        f.place = where_it_lies(c_, p.part);
        const auto cite = [&](TerminalId t, const char* label) {
            f.cites.push_back(cite_terminal(s_.now, t, label));
            if (!s_.now.wires_at(t).empty()) f.subjects.push_back(c_.at(s_.now.wires_at(t).front()).name);
        };
        f.subjects.push_back(name_of(c_, p.part));
        const bool from_plus = s_.from_plus();
        cite(p.b, from_plus ? "fed" : "on ground");
        cite(p.a, from_plus ? "on ground" : "fed");
        f.why = kind == Kind::motor       ? "A motor with magnets turns backwards: a fan blows against the draught of the drive, a pump moves nothing."
                : kind == Kind::led       ? "Diodes block: it stays dark, and some do not stand it."
                                          : "Electronic units do not stand it: many are spoilt at once, others blow the fuse.";
        const std::string when_so = positions_in_words(c_, sides_.plus().demands(wrong.plus));
        if (!when_so.empty()) f.why += fmt::format(" That is so with {}.", when_so);
        f.limit = "the part's own marks, as the file names its ends";
        f.cures.push_back({fmt::format("Exchange its two wires: what is on {} goes to {}, and the other way round.", stamp_of(c_, p.b), stamp_of(c_, p.a))});
        if (kind == Kind::motor) f.cures.push_back({"If it may turn either way, or has a wound field, write \"reversible\" behind it."});
        f.path = stops_in_words(c_, sides_.plus().stops(wrong.plus));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    Report& report_;
    Sides sides_;
};

void run(const Study& s, Report& report) { Judge(s, report).run(); }

} // namespace

const Rule reversed_polarity = {
    "reversed-polarity",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "an LED lamp, electronic unit or motor the wrong way round",
    "always a fault",
    {
        "Plus comes to the end that belongs on ground, and the other way round, in every switch position in which anything comes to it.",
        "LED lamps stay dark, electronic units are spoilt, motors with magnets turn backwards.",
        "Exchange the two wires.",
        "The part's own marks, as the file names its ends. Lamps, horns, heaters and resistors work either way round; so does a motor that the file calls "
        "reversible. Cars with plus on the body are judged by potential, not by colour.",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "light bar", 16 A
led E1 "light bar", 60 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1:-, 2.5 mm2 red, 1 m
wire from E1:+ to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 15 A
switch S1 "light bar", 16 A
led E1 "light bar", 60 W
wire from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire from F1 to S1, 2.5 mm2 red, 1 m
wire from S1 to E1:+, 2.5 mm2 red, 1 m
wire from E1:- to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
