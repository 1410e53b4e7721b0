#pragma once
/// A wire that its current warms, up to the current at which its resistance has grown by nearly half: the same for one wire, and for two at once.

#include "solve/device.hpp"

#include <algorithm>

namespace loomproof::solve {

/// Of a conductor (device.hpp): `share` is its volts over those that its `amps` leave in it unwarmed, -1 to 1; `unwarmed` what it conducts
/// then. Its slope comes to nine digits: Newton's method asks for no more.
/// `Number`: a double, or several side by side that the processor works on together; each comes out to the same digits as alone.
template <class Number> struct WarmWire {
    Number amps, siemens;
    WarmWire(Number share, Number doubled_at, Number unwarmed) {
        // x + x^3 = share. A polynomial fitted to the least relative error (0.0017) comes close; Halley's step leaves the third power of that,
        // Newton's the square of what is left then: less than the last digit.
        const Number z = share * share;
        Number x = share * (0.9983 + z * (-0.878 + z * (1.3743 + z * (-1.2898 + z * 0.4787))));
        Number off = x + x * x * x - share, rises = 1.0 + 3.0 * x * x;
        x -= off * rises / (rises * rises - 3.0 * x * off);
        off = x + x * x * x - share, rises = 1.0 + 3.0 * x * x;
        const Number slope = 1.0 / rises; // of x; divisions take longest here, and this one serves twice
        amps = (x - off * slope) * doubled_at;
        siemens = slope * unwarmed;
    }
};

/// The square of the largest `share` that WarmWire answers for: above that the resistance grows no more, or too much for the polynomial.
inline double largest_share_squared(const Device& conductor) {
    return std::min(1.0, (conductor.most - 1) * conductor.most * conductor.most);
}

} // namespace loomproof::solve
