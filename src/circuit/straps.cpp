#include "circuit/straps.hpp"

#include "circuit/kind.hpp"
#include "reference/carrying.hpp"
#include "reference/wire_sizes.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof {

namespace {

constexpr int thinnest = 16; ///< mm2
/// Metric battery cables on the shelf (common practice, no source).
constexpr int cables[] = {thinnest, 25, 35, 50, 70, 95};

Amps taken_by(const Circuit& c, const Part& part) {
    Amps most{};
    for (const Attribute& a : part.attributes) {
        if (!a.value.known() || !a.life.at(c.last_revision())) continue;
        if (a.key == Attr::current || a.key == Attr::fast_current) most = std::max(most, Amps{a.value.nominal});
        if (a.key == Attr::power || a.key == Attr::power2)
            most = std::max(most, Amps{a.value.nominal / c.vehicle.system.si});
    }
    return part.kind == Kind::starter ? most * 0.5 : most;
}

bool carried_by(int mm2, Amps amps) {
    const auto cable = reference::find_metric(mm2);
    if (!cable) return true;
    const auto carries =
        reference::what_a_wire_can_carry(cable->copper, reference::default_insulation_class, reference::table_ambient);
    return !carries || carries->amps >= amps;
}

} // namespace

std::string strap_not_judged(const Circuit& c, TerminalId pole) {
    const auto returns_by_itself = [&](const Part& part) {
        return std::ranges::any_of(c.wires, [&](const Wire& w) {
            return w.life.at(c.last_revision()) &&
                   ((w.a == pole && &c.part_of(w.b) == &part) || (w.b == pole && &c.part_of(w.a) == &part));
        });
    };
    const Part* most = nullptr;
    Amps largest{};
    for (const Part& part : c.parts) {
        if ((!spec_of(part.kind).is_load && part.kind != Kind::starter) || !part.life.at(c.last_revision()) ||
            part.poisoned)
            continue;
        if (const Amps amps = taken_by(c, part); amps > largest && !returns_by_itself(part)) {
            largest = amps;
            most = &part;
        }
    }
    if (!most || carried_by(thinnest, largest)) return {};
    return fmt::format("whether yours carries the {:.0f} A of {} is not checked",
                       most->kind == Kind::starter ? largest.si * 2 : largest.si, most->name);
}

std::string strap_size(const Circuit& c) {
    Amps largest{};
    for (const Part& part : c.parts)
        if (part.life.at(c.last_revision()) && !part.poisoned) largest = std::max(largest, taken_by(c, part));
    std::string size;
    SquareMetres copper{};
    for (const int mm2 : cables) {
        const auto cable = reference::find_metric(mm2);
        if (!cable) continue;
        size = reference::spelled(*cable);
        copper = cable->copper;
        if (carried_by(mm2, largest)) break;
    }
    const Role ground = c.vehicle.positive_ground ? Role::plus : Role::minus;
    const auto live = [&](TerminalId t) {
        const Kind kind = c.part_of(t).kind;
        return (kind == Kind::battery && c.at(t).role != ground) || (kind == Kind::starter && c.at(t).stamp == "30");
    };
    for (const Wire& w : c.wires)
        if (w.life.at(c.last_revision()) && (live(w.a) || live(w.b)) && w.area.known() && !w.size.empty() &&
            w.area.nominal > copper) {
            copper = w.area.nominal;
            size = w.size;
        }
    return size;
}

} // namespace loomproof
