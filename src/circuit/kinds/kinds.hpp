#pragma once
/// The rows of kind.hpp's table, one file for each family.

#include "circuit/kind.hpp"

namespace loomproof {

#define LOOMPROOF_ROW(name) extern const KindSpec name##_kind;
LOOMPROOF_KINDS(LOOMPROOF_ROW)
#undef LOOMPROOF_ROW

inline constexpr std::uint16_t any_number = 0xffff;

/// Working current and voltage of a load from what was said: amps, else watts, else ohms; at the stated voltage, else the system's.
struct Working {
    Stated<Amps> current;
    Stated<Volts> voltage;
    Stated<Ohms> resistance;
};
Working working_point(PartBuilder&, Attr power = Attr::power);

/// What makes a relay one that reads its own volts, each alone.
inline constexpr Attr says_it_senses[] = {Attr::senses, Attr::closes_at, Attr::opens_at};

/// An outside condition that may hold at any time (its positions are "no" and "yes"), under which `from` and `to` are joined.
void add_free_contact(PartBuilder&, const std::string& condition, TerminalId from, TerminalId to, Purpose,
                      const Stated<Amps>& rating, std::uint64_t closed_in = 0b10, const Stated<Ohms>& resistance = {},
                      const Stated<Amps>& limit = {});

/// Joined as long as something that is drawn stands in a position: an attribute driven_when that says "KEY S1 run". False where none begins
/// with `key`.
bool add_commanded_contact(PartBuilder&, const std::string& key, TerminalId from, TerminalId to, Purpose,
                           const Stated<Amps>& rating, const Stated<Amps>& limit = {});

/// A load between two terminals that takes what was said (for Attr::power2: what was said of the second winding or filament).
void add_load(PartBuilder&, Element, TerminalId from, TerminalId to, Attr power = Attr::power);

/// The end that is bolted to metal: the last one, but of what has + and - the plus where that is on the body.
TerminalId grounded_end(const PartBuilder&);

/// Ties the ground-side end to the metal it is bolted to, where the file says so (`grounded by its mounting`).
void mount(PartBuilder&, TerminalId end);

/// Converts a stated figure to a quantity type, keeping how it is known.
template <class Q> Stated<Q> as(const Stated<double>& s) {
    return {s.how, Q{s.nominal}, Q{s.low}, Q{s.high}, s.span, s.basis};
}

} // namespace loomproof
