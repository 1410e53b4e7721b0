#include "sizing/size.hpp"

#include "reference/bundles.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace loomproof::sizing {

using namespace reference;

Volts usual_loss(Volts system) {
    if (system.si > 20) return Volts{1};
    return Volts{system.si < 9 ? 0.25 : 0.5};
}

std::optional<Fuse> fuse_for(Amps steady, Celsius place) {
    for (const Protector style : {Protector::blade, Protector::maxi_blade}) {
        for (const FuseRating& rating : fuse_ratings(style)) {
            const auto left = ambient_share(style, rating.rating, place);
            if (!left) continue;
            const double share = fuse_habit * left->share;
            if (steady <= rating.rating * share * (1 + 1e-9)) return Fuse{rating, style, share};
        }
    }
    return std::nullopt;
}

bool is_sold(const WireSize& size) {
    static constexpr std::array<std::string_view, 15> metric{"0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120"};
    if (size.system == SizeSystem::metric) return std::ranges::find(metric, size.name) != metric.end();
    if (size.system == SizeSystem::awg) return find_bundle_row(size.name).has_value();
    return true;
}

SquareMetres thinnest_to_handle() { return find_metric(0.5).value().copper; }

std::optional<Wire> weighed(const WireSize& size, const Need& need) {
    const auto carrying = what_a_wire_can_carry(size.copper, need.insulation, need.place);
    if (!carrying) return std::nullopt;
    // A wire that is too thin for its current would be hotter still than its insulation stands: nothing is said beyond that.
    const Celsius warm = std::min(copper_temperature(*carrying, need.amps), std::max(need.insulation, need.place));
    return Wire{size, *carrying, warm, lost_over(at_temperature(size.resistance_20c, warm), need.copper, need.amps)};
}

bool does(const Wire& wire, const Need& need) {
    return wire.carrying.amps.si >= need.carries.si * (1 - 1e-9) && wire.lost.si <= need.allowed.si * (1 + 1e-9);
}

std::optional<Wire> thinnest(SizeSystem system, const Need& need) {
    bool too_lossy = false;
    for (const WireSize& size : wire_sizes(system)) {
        auto wire = is_sold(size) ? weighed(size, need) : std::nullopt;
        if (!wire || size.copper.si < need.least.si * (1 - 1e-9)) continue;
        if (does(*wire, need)) {
            wire->for_loss = too_lossy;
            return wire;
        }
        too_lossy = too_lossy || wire->carrying.amps >= need.carries;
    }
    return std::nullopt;
}

} // namespace loomproof::sizing
