#include "rules/battery_hours.hpp"

#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/sides.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/core.h>

namespace loomproof::rules {

std::string span_in_words(double seconds) {
    const auto whole = [](double x) { return static_cast<long>(std::floor(x + 0.5)); };
    if (seconds < 3600) return fmt::format("{} min", std::max(1L, whole(seconds / 60)));
    if (seconds < 36 * 3600) {
        const long minutes = whole(seconds / 300) * 5;
        return minutes % 60 == 0 ? fmt::format("{} h", minutes / 60)
                                 : fmt::format("{} h {} min", minutes / 60, minutes % 60);
    }
    return counted(static_cast<std::size_t>(whole(seconds / 86400)), "day");
}

PartId battery_of(const Study& s, PartId load) {
    PartId nearest;
    double metres = 0;
    for (const BatteryPoles& battery : battery_poles(s)) {
        const Reach reach = s.graph.walk(
            std::vector{battery.live},
            [&](EdgeRef e, TerminalId t) { return carries_fault_at_rest(s, e, t, Protectors::pass); }, &Edge::metres);
        for (TerminalId t : s.circuit.at(load).terminals)
            if (reach.reached(t) && !s.reference[t.index] && (!nearest.exists() || reach.distance(t) < metres)) {
                nearest = s.circuit.at(battery.source).part;
                metres = reach.distance(t);
            }
    }
    return nearest;
}

std::string half_empty(const Study& s, Amps amps, PartId battery) {
    const Circuit& c = s.circuit;
    for (PartId p : s.now.parts())
        if (const Attribute* a = c.at(p).kind == Kind::battery && (!battery.exists() || p == battery)
                                     ? s.now.find(p, Attr::capacity)
                                     : nullptr;
            a && a->value.known())
            return fmt::format(" Half of what {} holds is gone in {}.", c.at(p).named ? called(c, p) : "the battery",
                               span_in_words(a->value.nominal / 2 / amps.si));
    return "";
}

std::string half_empty_of_any(const Study& s, Amps amps, PartId battery) {
    constexpr double usual = 60 * 3600; // 60 Ah, of a small car (common practice, no source)
    const std::string known = half_empty(s, amps, battery);
    return known.empty() ? fmt::format(" Half of what a battery of 60 Ah holds is gone in {}.",
                                       span_in_words(usual / 2 / amps.si))
                         : known;
}

} // namespace loomproof::rules
