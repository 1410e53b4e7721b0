#include "sizing/size.hpp"

#include <algorithm>

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
