#pragma once
/// How people know a figure. The only form in which a value passes from the text to the circuit.

#include "base/span.hpp"

#include <string>

namespace loomproof {

enum class Knowledge {
    unknown, ///< nobody said; `basis` may say what to measure
    given,   ///< stated plainly: 2 m
    about,   ///< about 2 m: +-20 %
    measured,
    marked,  ///< as printed on the part
    guessed, ///< +-50 %, named wherever it mattered
    assumed, ///< a default of the trade; `basis` names its source
};

/// A figure with its spread. For a known value low <= nominal <= high; for an unknown one all three are zero.
template <class Q> struct Stated {
    Knowledge how = Knowledge::unknown;
    Q nominal{};
    Q low{};
    Q high{};
    Span span{};       ///< the value's own text; does not exist for assumed values
    std::string basis; ///< for assumed values: where the figure comes from, in words

    bool known() const { return how != Knowledge::unknown; }
    /// The value as written, or `fallback` where it is unknown.
    Q or_else(Q fallback) const { return known() ? nominal : fallback; }

    static Stated exactly(Q q, Span at = {}) { return {Knowledge::given, q, q, q, at, {}}; }
    static Stated assume(Q q, std::string basis_) { return {Knowledge::assumed, q, q, q, {}, std::move(basis_)}; }
};

} // namespace loomproof
