#pragma once
/// The rows of kind.hpp's table, one file for each family.

#include "circuit/kind.hpp"

namespace loomproof {

extern const KindSpec battery_kind, alternator_kind, starter_kind, supply_kind, beyond_kind, existing_wire_kind;
extern const KindSpec fuse_kind, link_kind, breaker_kind;
extern const KindSpec switch_kind, relay_kind;
extern const KindSpec lamp_kind, led_kind, motor_kind, horn_kind, solenoid_kind, heater_kind, socket_kind, load_kind,
    electronics_kind;
extern const KindSpec diode_kind, resistor_kind, capacitor_kind, ammeter_kind, shunt_kind;
extern const KindSpec flasher_kind, sensor_kind, sender_kind, gauge_kind, solar_kind, charger_kind, converter_kind,
    dynamo_kind, regulator_kind;
extern const KindSpec connector_kind, splice_kind, bus_kind, metal_kind, ground_kind, touch_kind, box_kind, wish_kind;
extern const KindSpec cut_kind, loose_end_kind, unknown_end_kind, engine_kind, not_known_kind;

inline constexpr std::uint16_t any_number = 0xffff;

/// Working current and voltage of a load from what was said: amps, else watts, else ohms; at the stated voltage, else the system's.
struct Working {
    Stated<Amps> current;
    Stated<Volts> voltage;
    Stated<Ohms> resistance;
};
Working working_point(PartBuilder&, Attr power = Attr::power);

/// An outside condition that may hold at any time, under which `from` and `to` are joined.
void add_free_contact(PartBuilder&, const std::string& condition, TerminalId from, TerminalId to, Purpose,
                      const Stated<Amps>& rating);

/// Joined as long as something that is drawn stands in a position: an attribute driven_when that says "KEY S1 run". False where none begins
/// with `key`.
bool add_commanded_contact(PartBuilder&, const std::string& key, TerminalId from, TerminalId to, Purpose,
                           const Stated<Amps>& rating);

/// A load between two terminals that takes what was said (for Attr::power2: what was said of the second winding or filament).
void add_load(PartBuilder&, Element, TerminalId from, TerminalId to, Attr power = Attr::power);

/// Ties the ground-side end to the metal it is bolted to, where the file says so (`grounded by its mounting`).
void mount(PartBuilder&, TerminalId end);

/// Converts a stated figure to a quantity type, keeping how it is known.
template <class Q> Stated<Q> as(const Stated<double>& s) {
    return {s.how, Q{s.nominal}, Q{s.low}, Q{s.high}, s.span, s.basis};
}

} // namespace loomproof
