#pragma once
/// Two-terminal devices as the solver sees them: current from a to b as a function of the volts between a and b.
///
/// Every characteristic here is continuous and never falls (more volts, never less current), so the network's energy is convex and
/// Newton with a line search always finds the one operating point. What is not of that kind (constant power, a regulator's
/// modes) is an outer iteration or a choice made before. Inside this room quantities are plain SI doubles.

#include <cstdint>

namespace loomproof::solve {

struct Device {
    enum class Law : std::uint8_t {
        resistor,   ///< i = v / ohms
        filament,   ///< a lamp: i = amps (v/volts)^0.55, cold clamp near zero
        diode,      ///< conducts from a to b
        source,     ///< volts behind ohms, a = plus: i = (v - volts) / ohms
        generator,  ///< a = plus: gives up to `amps` at `volts` behind `ohms`, never takes current back
        sink,       ///< takes `amps` from a to b while v is above its brown-out, nothing below: electronics, LED lamps
        current,    ///< takes `amps` from a to b whatever the volts
    };
    Law law = Law::resistor;
    double ohms = 0;  ///< resistor, source, generator: > 0
    double volts = 0; ///< filament: rated; source, generator: electromotive; sink: rated
    double amps = 0;  ///< filament: rated; generator: most; sink, current: taken

    static Device resistor(double ohms) { return {Law::resistor, ohms, 0, 0}; }
    static Device filament(double volts, double amps) { return {Law::filament, 0, volts, amps}; }
    static Device diode() { return {Law::diode, 0, 0, 0}; }
    static Device source(double volts, double ohms) { return {Law::source, ohms, volts, 0}; }
    static Device generator(double volts, double ohms, double most) { return {Law::generator, ohms, volts, most}; }
    static Device sink(double volts, double amps) { return {Law::sink, 0, volts, amps}; }
    static Device current(double amps) { return {Law::current, 0, 0, amps}; }
};

struct Response {
    double amps;
    double siemens; ///< slope, >= 0
};

/// Current and slope at `v` volts from a to b.
///
/// - Lamp: current follows (V/Vrated)^0.55 (an encyclopedia, citing a lamp maker and a standard handbook); near zero volts the cold
///   filament conducts 12 times as well as the hot one (10 to 15 times is common practice, from memory).
/// - Diode: i = Is (exp(v / 45 mV) - 1) with 0.75 V at 1 A, as silicon power rectifiers have (from memory), continued in a straight line
///   above 200 A so that a search far from the answer stays finite.
/// - Sink: nothing below half the rated volts, all from 70 % on (common practice, no source).
Response respond(const Device&, double v);

} // namespace loomproof::solve
