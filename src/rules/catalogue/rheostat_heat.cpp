#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"
#include "rules/survey.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule rheostat_heat; // rule_list.hpp lists it

namespace {

using solve::StateId;

/// Places of the slider that are tried between its two ends. Heat has one hump over the ohms (load and source before it taken together), so a
/// finer grid moves the most by less than a hundredth.
constexpr int places = 48;

struct Worst {
    Watts heat;
    Ohms ohms;
    StateId at = 0;
};

class Judge {
  public:
    Judge(const Study& s, const Survey& survey, Report& report)
        : s_(s), c_(s.circuit), survey_(survey), b_(survey.behaviour), report_(report) {}

    void run() {
        for (PrimitiveId id : s_.now.primitives()) {
            const Primitive& p = c_.at(id);
            if (c_.at(p.part).kind != Kind::resistor || c_.at(p.part).poisoned || !p.resistance.known()) continue;
            const Attribute* most = s_.now.find(p.part, Attr::high_end);
            const Attribute* first = s_.now.find(p.part, Attr::resistance);
            if (!most || !first || !most->value.known()) continue;
            const Ohms far{std::max(first->value.nominal, most->value.nominal)};
            const auto& peak = survey_.part[id.index];
            if (peak && far > p.resistance.nominal) look_at(id, far, *peak);
        }
    }

  private:
    /// The state in which most flows at the least ohms, gone through from one end of the slider to the other.
    Worst worst_of(PrimitiveId id, Ohms far, StateId at) const {
        const double near = std::max(1e-6, c_.at(id).resistance.nominal.si);
        const EdgeRef edge{{}, id};
        solve::Model& model = b_.model();
        Worst worst{{}, {}, at};
        const double begin = std::max(near, far.si * 1e-3);
        for (int i = 0; i <= places; ++i) {
            const double ohms = begin * std::pow(far.si / begin, static_cast<double>(i) / places);
            model.scale(edge, ohms / near);
            const solve::Point point = model.point(b_.states[at].positions);
            const auto& amps = point.primitive_amps[id.index];
            if (!point.settled || !amps) continue;
            if (const Watts heat{amps->si * amps->si * ohms}; heat > worst.heat) worst = {heat, Ohms{ohms}, at};
        }
        model.scale(edge, 1);
        return worst;
    }

    void look_at(PrimitiveId id, Ohms far, const Peak& peak) {
        const PartId part = c_.at(id).part;
        const Worst worst = worst_of(id, far, peak.at);
        const Attribute* marked = s_.now.find(part, Attr::rating);
        if (!marked || !marked->value.known()) {
            if (worst.heat > Watts{1})
                report_.not_checked.push_back(
                    {rheostat_heat.id, fmt::format("whether {} stands its heat", name_of(c_, part)),
                     "nobody said what it may turn into heat",
                     fmt::format("Read the watts on it: turned to {} it makes {}.", text(rounded(worst.ohms, 2)),
                                 text(rounded(worst.heat, 2)))});
            return;
        }
        const Watts rated{marked->value.nominal};
        if (worst.heat <= rated * 1.01) return;
        Finding f;
        f.rule = rheostat_heat.id;
        f.severity = Severity::fault;
        f.certainty = sureness(s_, survey_, std::nullopt, peak.amps, peak.amps * std::sqrt(rated / worst.heat));
        f.headline = sentence_start(fmt::format("{} turns {} into heat when it is turned to {} {}, but is made for {}.",
                                                called(c_, part), text(rounded(worst.heat, 2)),
                                                text(rounded(worst.ohms, 2)), when(s_, b_, worst.at), text(rated)));
        f.place = where_it_lies(c_, part);
        f.cites.push_back(cite_part(c_, part, text(rated)));
        f.why = "Neither of its ends is the worst: most heat is made where its ohms are those of what lies in its row. "
                "It gets hotter than it stands, burns out, and scorches what lies beside it.";
        f.limit = fmt::format("{}, as the file says", text(rated));
        f.cures.push_back(
            {fmt::format("Fit one for {} or more, where its heat can get away.", text(rounded(worst.heat * 1.5, 2)))});
        f.cures.push_back({"Dim with electronics in place of it: those make little heat."});
        f.subjects.push_back(name_of(c_, part));
        report_.findings.push_back(std::move(f));
    }

    const Study& s_;
    const Circuit& c_;
    const Survey& survey_;
    const solve::Behaviour& b_;
    Report& report_;
};

void run(const Study& s, Report& report) {
    const bool any = std::ranges::any_of(s.now.parts(), [&](PartId id) {
        return s.circuit.at(id).kind == Kind::resistor && s.now.has(id, Attr::high_end);
    });
    if (!any) return;
    if (const Survey* survey = survey_of_bad_positions(s, report, rheostat_heat.id, "how hot rheostats get"))
        Judge(s, *survey, report).run();
}

} // namespace

const Rule rheostat_heat = {
    "rheostat-heat",
    Severity::fault,
    Quantifier::exists,
    Harm::other,
    "a rheostat that makes more heat than it stands somewhere between its ends",
    "always a fault, where the file says its watts",
    {
        "Somewhere between its two ends this rheostat turns more into heat than it is made for.",
        "It burns out, and scorches what lies beside it. Its two ends may both be harmless: most heat is made between.",
        "One for more watts, a smaller load, or electronics in its place.",
        "Its watts, as the file says. Each place of its slider is calculated in the switch position in which most "
        "flows.",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
switch S1, 5 A
rheostat R5 "dimmer", 0 ohm to 20 ohm, 5 W
lamp E1 "instruments", 2 A
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S1, 1.5 mm2 red, 0.5 m
wire from S1 to R5, 1.5 mm2 red, 0.5 m
wire from R5 to E1, 1.5 mm2 red, 0.5 m
wire from E1 to ground, 1.5 mm2 black, 0.3 m
)",
        R"(loom 1
battery, 60 Ah
fuse F1, 5 A
switch S1, 5 A
rheostat R5 "dimmer", 0 ohm to 20 ohm, 20 W
lamp E1 "instruments", 2 A
wire from battery:+ to F1, 1.5 mm2 red, 0.1 m
wire from F1 to S1, 1.5 mm2 red, 0.5 m
wire from S1 to R5, 1.5 mm2 red, 0.5 m
wire from R5 to E1, 1.5 mm2 red, 0.5 m
wire from E1 to ground, 1.5 mm2 black, 0.3 m
)",
    },
    run,
};

} // namespace loomproof::rules
