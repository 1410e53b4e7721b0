#include "rules/duty.hpp"

#include "base/number.hpp"
#include "reference/short_time.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

namespace loomproof::rules {

namespace {

/// Share of the time that it is on, where nothing cools fast: what ranks two duties.
double share(const Duty& d) { return d.on / d.period; }

} // namespace

std::optional<Duty> duty_of(const Study& s, PartId part) {
    const Part& p = s.circuit.at(part);
    const Attribute* said = s.now.find(part, Attr::duty);
    if (!said || !said->value.known()) return std::nullopt;
    for (const Attribute& a : p.attributes) // the second figure of the same clause
        if (a.key == Attr::high_end && a.life.at(s.now.revision()) && a.span.begin == said->span.begin) {
            const Seconds on{said->value.high}, period{a.value.low};
            if (!(on.si > 0) || !(period > on)) return std::nullopt;
            return Duty{on, period,
                        fmt::format("{} in {}", text(Seconds{said->value.nominal}), text(Seconds{a.value.nominal}))};
        }
    return std::nullopt;
}

std::optional<Duty> duty_behind(const Study& s, const Survey& survey, EdgeRef edge, const Peak& peak) {
    const bool any = std::ranges::any_of(s.now.parts(), [&](PartId p) { return duty_of(s, p).has_value(); });
    if (!any) return std::nullopt;
    const auto behind = hang_behind(s, edge);
    if (!behind) return std::nullopt;
    const solve::Point& point = survey.behaviour.point(peak.at);
    std::optional<Duty> most;
    for (const LoadSeen& load : survey.loads) {
        const PartId part = s.circuit.at(load.load).part;
        const auto& amps = point.primitive_amps[load.load.index];
        if (!amps || std::abs(amps->si) < 0.01 * peak.amps.si || std::ranges::find(*behind, part) == behind->end())
            continue;
        const auto duty = duty_of(s, part);
        if (!duty) return std::nullopt;
        if (!most || share(*duty) > share(*most) || (share(*duty) == share(*most) && duty->on > most->on)) most = duty;
    }
    return most;
}

Amps carries_with(const Duty& duty, SquareMetres copper, const reference::Carrying& carrying) {
    if (!(carrying.amps.si > 0)) return carrying.amps;
    const double constant =
        reference::time_to_reach(copper, carrying.amps, carrying.place, carrying.insulation_class).si;
    if (!(constant > 0) || !std::isfinite(constant)) return carrying.amps;
    const double rise = (1 - std::exp(-duty.on.si / constant)) / (1 - std::exp(-duty.period.si / constant));
    return carrying.amps / std::sqrt(std::min(1.0, rise));
}

} // namespace loomproof::rules
