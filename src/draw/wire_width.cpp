#include "draw/wire_width.hpp"

namespace loomproof::draw {

bool is_pale(const Wire& wire) { return wire.colour.main == "WH"; }

double heavier_edge(const Wire& wire) { return is_pale(wire) && !wire.added ? 0.5 : 0; }

double half_width(const Wire& wire) {
    if (wire.mounting) return 1;
    const double core = wire.mm2 >= 10 ? 6.5 : wire.mm2 >= 4 ? 5.0 : 4.0;
    constexpr double edge = 0.8;
    constexpr double doubled_edge = 2.4; // around a wire that a job added
    return core / 2 + edge + (wire.added ? doubled_edge : heavier_edge(wire));
}

} // namespace loomproof::draw
