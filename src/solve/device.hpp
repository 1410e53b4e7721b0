#pragma once
/// Two-terminal devices as the solver sees them: current from a to b as a function of the volts between a and b.
///
/// Every characteristic here is continuous and never falls (more volts, never less current), so the network's energy is convex and
/// Newton with a line search always finds the one operating point. What is not of that kind (constant power, a regulator's
/// modes) is an outer iteration or a choice made before. Inside this room quantities are plain SI doubles.

#include <cstddef>
#include <cstdint>

namespace loomproof::solve {

struct Device {
    enum class Law : std::uint8_t {
        open,     ///< conducts nothing: an open contact
        resistor, ///< i = v / ohms
        conductor, ///< a wire or fuse that its own current warms: v = ohms i (1 + (i/amps)^2), resistance at most `most` times `ohms`
        filament, ///< a lamp: i = amps (v/volts)^0.55, cold clamp near zero
        diode,    ///< conducts from a to b
        source,   ///< volts behind ohms, a = plus: i = (v - volts) / ohms
        battery, ///< a source that takes little back: behind `ohms` while it delivers, behind `most` ohms while it is charged
        generator, ///< a = plus: gives up to `amps` at `volts` behind `ohms`, never takes current back
        sink,      ///< takes `amps` from a to b while v is above its brown-out, nothing below: electronics, LED lamps
        current,   ///< takes `amps` from a to b whatever the volts
    };
    static constexpr std::size_t laws = static_cast<std::size_t>(Law::current) + 1;
    Law law = Law::open;
    double ohms = 0;  ///< resistor, conductor (not warmed), source, battery, generator: > 0
    double volts = 0; ///< filament: rated; source, battery, generator: electromotive; sink: rated
    double amps =
        0; ///< filament: rated; generator: most; sink, current: taken; conductor: where its resistance has doubled
    double most = 0; ///< conductor: the largest resistance, as a multiple of `ohms`, >= 1; battery: ohms while charged

    static Device open() { return {}; }
    static Device resistor(double ohms) { return {Law::resistor, ohms, 0, 0, 0}; }
    static Device conductor(double ohms, double doubled_at, double most) {
        return {Law::conductor, ohms, 0, doubled_at, most};
    }
    static Device filament(double volts, double amps) { return {Law::filament, 0, volts, amps, 0}; }
    static Device diode() { return {Law::diode, 0, 0, 0, 0}; }
    static Device source(double volts, double ohms) { return {Law::source, ohms, volts, 0, 0}; }
    static Device battery(double volts, double ohms, double charged_ohms) {
        return {Law::battery, ohms, volts, 0, charged_ohms};
    }
    static Device generator(double volts, double ohms, double most) { return {Law::generator, ohms, volts, most, 0}; }
    static Device sink(double volts, double amps) { return {Law::sink, 0, volts, amps, 0}; }
    static Device current(double amps) { return {Law::current, 0, 0, amps, 0}; }
};

/// A cold filament conducts this many times as well as at its rated volts (10 to 15 times: common practice, from memory).
inline constexpr double cold_over_hot = 12;

struct Response {
    double amps;
    double siemens; ///< slope, >= 0
};

/// Current and slope at `v` volts from a to b.
///
/// - Lamp: current follows (V/Vrated)^0.55 (an encyclopedia, citing a lamp maker and a standard handbook); near zero volts the cold
///   filament conducts `cold_over_hot` times as well as the hot one.
/// - Diode: i = Is (exp(v / 45 mV) - 1) with 0.75 V at 1 A, as silicon power rectifiers have (from memory), continued in a straight line
///   above 200 A so that a search far from the answer stays finite.
/// - Conductor: copper at t degrees has (1 + 0.00393 (t - t0)) of its resistance at t0, and a wire's rise goes with the square of its
///   current; so the voltage is a cubic of the current, which only grows, and self-heating needs no iteration around the solver.
/// - Sink: nothing below half the rated volts, all from 70 % on (common practice, no source).
Response respond(const Device&, double v);

} // namespace loomproof::solve
