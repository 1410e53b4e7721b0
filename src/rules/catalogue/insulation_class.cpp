#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/wire_limits.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule insulation_class; // rule_list.hpp lists it

namespace {

/// Between a place and what insulation stands for good: so that 80 and 85 degC are too little at the 70 degC of an engine bay, and 105 degC is
/// usual there (common practice: wire makers' notes).
constexpr double headroom = 20;

/// Wires of one class in one place.
struct Group {
    PlaceId place;
    Celsius stands, here;
    std::vector<WireId> wires;
    bool makers = false;
};

void run(const Study& s, Report& report) {
    const Circuit& c = s.circuit;
    std::vector<Group> groups;
    for (WireId id : s.now.wires()) {
        const Wire& w = c.at(id);
        if (w.poisoned || !w.place.exists() || !w.insulation_class.known() ||
            w.insulation_class.how == Knowledge::assumed)
            continue;
        const Stated<Celsius> here = temperature_at(c, w.place);
        if (!here.known() || w.insulation_class.nominal.degrees >= here.nominal.degrees + headroom) continue;
        const bool makers = s.now.is_factory(id) || (w.cut_from.exists() && s.now.is_factory(w.cut_from));
        const auto same = std::ranges::find_if(groups, [&](const Group& g) {
            return g.place == w.place && g.stands == w.insulation_class.nominal && g.makers == makers;
        });
        if (same == groups.end())
            groups.push_back({w.place, w.insulation_class.nominal, here.nominal, {id}, makers});
        else
            same->wires.push_back(id);
    }
    for (const Group& g : groups) {
        std::vector<std::string> names;
        for (WireId w : g.wires) names.push_back(name_of(c, w));
        const bool one = names.size() == 1;
        Finding f;
        f.rule = insulation_class.id;
        f.severity = Severity::fault;
        f.headline = sentence_start(
            fmt::format("{} {} in {}, where it gets {}; the insulation stands {}.",
                        one                 ? described(c, g.wires.front()) + (c.at(g.wires.front()).named ? "," : "")
                        : names.size() <= 5 ? list_of(names)
                                            : counted(names.size(), "wire"),
                        verb(names.size(), "lies", "lie"), c.at(g.place).name, text(g.here), text(g.stands)));
        f.place = c.at(g.place).name;
        for (std::size_t i = 0; i < g.wires.size() && i < 3; ++i)
            f.cites.push_back({c.at(g.wires[i]).insulation_class.span.exists() ? c.at(g.wires[i]).insulation_class.span
                                                                               : c.at(g.wires[i]).span,
                               "stands " + text(g.stands)});
        f.why = "What its own current adds brings it to the end of what it stands: it gets hard, cracks, and the "
                "copper comes through.";
        f.limit = fmt::format("{:.0f} K above the place at least (common practice: 80 and 85 degC insulation is not "
                              "for engine bays, 105 degC is usual there)",
                              headroom);
        f.cures.push_back({"Use wire with 105 degC insulation, thin-wall PVC, or better: cross-linked, 125 degC."});
        f.cures.push_back({"Lead it another way, away from the heat."});
        for (WireId w : g.wires) f.subjects.push_back(subject_of(c, w));
        report.add(std::move(f), g.makers);
    }
}

} // namespace

const Rule insulation_class = {
    "insulation-class",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "insulation that stands less than its place asks for",
    "always a fault",
    {
        "The wire's insulation is made for little more than the temperature of the place in which it lies.",
        "It gets hard and cracks; on metal the bare copper is a short, at the engine after some summers.",
        "Wire with insulation for 105 degC or more, or another way.",
        "20 K between the place and the class of the insulation, so that a wire may carry something: common practice. "
        "Household and trailer wire (70 to 85 degC) is not for the engine bay; thin-wall PVC of 105 degC is "
        "what makers put there. Spoken of is only insulation that the file names.",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m, in engine-bay, PVC 85 degC
wire W3 from S1 to E1, 2.5 mm2 red, 1 m
wire W4 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 10 A
switch S1, 16 A
lamp E1 "work lamp", 55 W
wire W1 from battery:+ to F1, 2.5 mm2 red, 0.1 m
wire W2 from F1 to S1, 2.5 mm2 red, 1 m, in engine-bay, 105 degC
wire W3 from S1 to E1, 2.5 mm2 red, 1 m
wire W4 from E1 to ground, 2.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
