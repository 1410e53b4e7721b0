#include "reference/short_time.hpp"

#include <cmath>
#include <limits>

namespace loomproof::reference {

namespace {
/// Temperature below 0 C at which the resistance of copper, drawn on as a straight line, would vanish.
constexpr double copper_line = 234.5;
} // namespace

double adiabatic_k(Celsius start, Celsius end) {
    if (end <= start) return 0;
    return 226 * std::sqrt(std::log((end.degrees + copper_line) / (start.degrees + copper_line)));
}

Seconds time_to_reach(SquareMetres copper, Amps current, Celsius start, Celsius end) {
    const double k = adiabatic_k(start, end);
    if (k <= 0) return Seconds{0};
    if (current.si == 0) return Seconds{std::numeric_limits<double>::infinity()};
    const double root = k * in_square_millimetres(copper) / current.si;
    return Seconds{root * root};
}

Amps current_to_reach(SquareMetres copper, Seconds time, Celsius start, Celsius end) {
    return Amps{adiabatic_k(start, end) * in_square_millimetres(copper) / std::sqrt(time.si)};
}

} // namespace loomproof::reference
