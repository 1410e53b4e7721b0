#pragma once
/// What each wire and each primitive of a circuit is to the solver, and what is taken where nobody said.
///
/// One place for all figures of the solver that are not physics and not the user's, each with its source. "Common practice, no
/// source" means what it says.

#include "circuit/view.hpp"
#include "solve/device.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::solve {

/// What a current goes through on its way from plus to ground: all but metal, contacts, fuses and diodes.
inline bool takes_current(const Primitive& p) {
    switch (p.element) {
    case Element::resistance:
    case Element::filament:
    case Element::machine:
    case Element::constant_power: return true;
    default: return false;
    }
}
/// Of that, what a part is for: no coils, windings, leaks, inputs.
inline bool does_something(const Primitive& p) {
    return takes_current(p) && (p.element != Element::resistance || p.purpose == Purpose::plain);
}

/// The outside of a calculation: nothing of this is a switch position.
struct Conditions {
    /// The alternator charges. Where none is described, the batteries are taken to be charged all the same.
    bool engine_running = false;
    /// It only idles: an alternator gives what it can at idle (unknown: as at speed).
    bool idling = false;
    /// Of the batteries, 0 to 1. Rested volts of a flooded 12 V battery at 1, 3/4, 1/2, 1/4, 0: 12.6, 12.4, 12.2, 12.0, 11.6 (a battery
    /// forum's table, confirmed).
    double charge = 1;
    /// The first moment after switching on: filaments cold (12 times the hot conductance), motors not yet turning.
    bool starting = false;
    /// Coils as warm as they get: 60 K above their place (from memory). Else at 20 degC, to which relay limits refer.
    bool hot_coils = false;
    /// Wires and fuses as warm as their own steady current makes them, but where a starter turns: that lasts seconds. Else at the temperature
    /// of their place, as in the first seconds.
    bool warmed = true;
    bool operator==(const Conditions&) const = default;
};

// Resistances that nobody states (ohm).
/// A relay's contact: 20 mV at 10 A, typical of new ones (a maker's sheet, confirmed).
inline constexpr double relay_contact_ohms = 0.002;
/// A switch's contact: half of the 0.1 V that a workshop allows at 10 A (common practice, no source).
inline constexpr double switch_contact_ohms = 0.005;
/// Either of them: no contact loses more than the 0.1 V that a workshop allows at the current that it is made for (common practice, no
/// source). An isolator of 300 A with 5 mohm would turn 450 W into heat.
inline constexpr double contact_drop_volts = 0.1;
/// One hole of a plug, clean (from memory: 1 to 5 mohm new, 10 allowed when aged).
inline constexpr double plug_hole_ohms = 0.003;
/// A bolted ground, a part's mounting (common practice, no source).
inline constexpr double bolted_ohms = 0.001;
/// From the battery to where a feed begins that is not drawn, in two halves (common practice, no source).
inline constexpr double feed_ohms = 0.02;
/// A shunt or ammeter (common practice, no source).
inline constexpr double meter_ohms = 0.001;
/// A fuse of which no figure is at hand, and a breaker: volts across it at its rating (0.08 to 0.18 V in makers' sheets of blade fuses, from memory).
inline constexpr double protector_drop_volts = 0.1;
/// Resistance of a fuse at its rating over that when cold (1.3 to 1.7 in the same sheets, from memory).
inline constexpr double fuse_hot_over_cold = 1.5;
inline constexpr double unknown_fuse_ohms = 0.008; ///< one of which not even the rating is known: as a usual 10 A fuse

/// A charged battery takes some 5 A at 14.2 V: 1.6 V above its rest over 50 times the inner resistance of one of 60 Ah (common practice, from
/// memory).
inline constexpr double charging_over_inner = 50;
/// A regulator holds its volts to some 0.1 V over the alternator's range (from memory).
inline constexpr double alternator_ohms = 0.002;
inline constexpr double alternator_amps = 65; ///< where nobody said (common practice)
/// Charging volts of a 12 V system: 13.8 to 14.8, typically 14.2 (common practice, from memory).
inline constexpr double charging_volts = 14.2;
/// L of an alternator that runs: what the rotor's own diodes deliver, above B+ (from memory).
inline constexpr double exciter_ohms = 1, exciter_amps = 1;

/// Starting current over running current of a motor of which only the latter is known: 65 A to 17 A in a maker's life test of relays
/// (confirmed), 3 to 8 by kind of motor (common practice, from memory). A starter: 2.5 times its loaded cranking current (2 to 3, same).
inline constexpr double motor_start_factor = 3.8, starter_start_factor = 2.5;
/// A starter's solenoid takes this share of its pull-in current once it has pulled in: then only its hold-in winding is fed (10 of 30 to
/// 50 A, from memory).
inline constexpr double hold_in_share = 1.0 / 3;

/// A relay that reads its own volts, while it is at rest (2 to 15 mA: common practice, from memory).
inline constexpr double sensing_amps = 0.005;

// What is taken where a figure is unknown that has no usual value: the result then hangs on it, and says so.
inline constexpr double unknown_length = 1;  ///< m
inline constexpr double unknown_area = 1e-6; ///< m2
inline constexpr double unknown_amps = 1;    ///< A, of a load at its volts

/// Copper beyond this is no longer a wire in a loom: its resistance is not followed further (degC).
inline constexpr double hottest_copper = 300;

/// A figure of the circuit that is unknown and was replaced by something in order to go on.
struct NotKnown {
    WireId wire; ///< one of the two exists
    PartId part;
    std::string what;  ///< "length", "size", "what it takes"
    std::string taken; ///< "1 m"
};

/// Volts at which what a load takes is stated: its own figure, else the system's.
double rated_volts(const Circuit&, const Primitive&);

/// Rested volts of a battery by what it is made of and its charge, scaled to its nominal volts.
double rested_volts(const std::string& chemistry, double nominal, double charge);

/// The device of a wire. What is unknown is added to `not_known` once for each figure.
Device wire_device(const View&, WireId, const Conditions&, std::vector<NotKnown>* not_known = nullptr);

/// What a primitive is. Contacts as they are when closed; a coil of a starter's solenoid as it is at rest.
struct PrimitiveModel {
    enum class Kind {
        contracted, ///< no resistance at all: both ends are one node
        device,
        sink, ///< takes constant power while it works: `device` is set anew from the volts across it
    };
    Kind kind = Kind::device;
    Device device;
    double watts = 0; ///< sink
    Device pulled_in; ///< a starter's solenoid that has pulled in; else as `device`
};
/// The winding of a dynamo that stands: between D and its ground.
bool is_armature(const Circuit&, const Primitive&);

PrimitiveModel primitive_model(const View&, PrimitiveId, const Conditions&, std::vector<NotKnown>* not_known = nullptr);

/// A motor that something turns as fast as it turns at its working current: its own volts behind the ohms of its armature. A permanent
/// magnet motor that stands takes its starting current, volts over armature ohms, and at work the volts that are left are its own (Lessons
/// in Electric Circuits; where its starting current is not known, motor_start_factor).
Device driven_motor(const View&, PrimitiveId);

/// Resistance of a coil at 20 degC; zero for what is no coil.
double coil_ohms(const Circuit&, PrimitiveId);

/// From the lamp terminal of an alternator that runs to its B+. The main diodes and those of the rotor hang on the same windings, so both ends
/// stand one diode below these and are alike, however far B+ is pulled down by its load: the principle of the charge lamp, which is dark
/// because both its sides are alike (alternator handbooks, from memory). The rotor's diodes take nothing back.
Device exciter();

/// Rows for the list of assumptions: switches and relays whose contacts are taken to lose less than a usual one, because they are made for
/// more amps. In text order.
std::vector<Assumption> contacts_assumed(const View&);

/// "3 mohm for a hole of a plug": the ohms that are taken for joints and contacts of which nobody said any, each sort once, as far as `amps`
/// (by primitive) flow over one of them.
std::vector<std::string> ohms_taken(const View&, const std::vector<std::optional<Amps>>& amps);

} // namespace loomproof::solve
