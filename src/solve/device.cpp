#include "solve/device.hpp"

#include "solve/warm_wire.hpp"

#include <cmath>

namespace loomproof::solve {

namespace {

constexpr double lamp_exponent = 0.55;

constexpr double diode_volts = 0.045; // emission coefficient times thermal voltage
constexpr double straight_above = 200;
/// What a device that lets nothing through still lets through: keeps the equations solvable, and is far below what any
/// meter on a vehicle shows.
constexpr double leak = 1e-12;

Response straight(double v, double ohms) {
    const double siemens = 1 / ohms;
    return {v * siemens, siemens};
}

Response filament(const Device& d, double v) {
    // Below this share of the rated volts the power law would conduct better than the cold filament does.
    static const double cold_share = std::pow(cold_over_hot, -1 / (1 - lamp_exponent));
    const double share = std::abs(v) / d.volts;
    const double hot = d.amps / d.volts;
    if (share <= cold_share) return {cold_over_hot * hot * v, cold_over_hot * hot};
    const double amps = d.amps * std::pow(share, lamp_exponent);
    return {std::copysign(amps, v), lamp_exponent * amps / std::abs(v)};
}

Response diode(double v) {
    static const double saturation = 1 / (std::exp(0.75 / diode_volts) - 1);
    static const double straight_volts = diode_volts * std::log(straight_above / saturation + 1);
    if (v > straight_volts) {
        const double slope = (straight_above + saturation) / diode_volts;
        return {straight_above + slope * (v - straight_volts), slope};
    }
    const double e = std::exp(v / diode_volts);
    return {saturation * (e - 1) + leak * v, saturation * e / diode_volts + leak};
}

/// v = ohms i (1 + (i/amps)^2), solved for i.
Response conductor(const Device& d, double v) {
    const double share = v * (1 / (d.ohms * d.amps)), y = std::abs(share);
    if (share * share <= largest_share_squared(d)) {
        const WarmWire<double> wire(share, d.amps, 1 / d.ohms);
        return {wire.amps, wire.siemens};
    }
    const double largest = std::sqrt(d.most - 1); // beyond this current the resistance grows no more
    if (y >= largest * d.most) return straight(v, d.ohms * d.most);
    double x = std::cbrt(y); // never below the root of x + x^3 = y: Newton comes down to it
    for (int i = 0; i < 20; ++i) {
        const double step = (x + x * x * x - y) / (1 + 3 * x * x);
        x -= step;
        // A step of a share r of x leaves at most a share r^2 3x^2 / (1 + 3x^2): less than the last digit.
        if (std::abs(step) <= 1e-8 * x) break;
    }
    return {std::copysign(x * d.amps, v), 1 / (d.ohms * (1 + 3 * x * x))};
}

} // namespace

Response respond(const Device& d, double v) {
    switch (d.law) {
    case Device::Law::open: return {0, 0};
    case Device::Law::conductor: return conductor(d, v);
    case Device::Law::resistor: return straight(v, d.ohms);
    case Device::Law::filament: return filament(d, v);
    case Device::Law::diode: return diode(v);
    case Device::Law::source: return straight(v - d.volts, d.ohms);
    case Device::Law::battery: return straight(v - d.volts, v > d.volts ? d.most : d.ohms);
    case Device::Law::generator: {
        const double given = (d.volts - v) / d.ohms;
        if (given <= 0) return {leak * (v - d.volts), leak};
        if (given >= d.amps) return {-d.amps + leak * v, leak};
        return {-given, 1 / d.ohms};
    }
    case Device::Law::sink: {
        const double off = 0.5 * d.volts, full = 0.7 * d.volts;
        if (v <= off) return {leak * v, leak};
        if (v >= full) return {d.amps + leak * v, leak};
        return {d.amps * (v - off) / (full - off) + leak * v, d.amps / (full - off) + leak};
    }
    case Device::Law::current: return {d.amps + leak * v, leak};
    }
    return {0, 0};
}

} // namespace loomproof::solve
