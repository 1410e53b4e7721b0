#pragma once
/// What a part is for, told by what people call it: its label and its name. The lists of words stand here and nowhere else; all are common
/// practice, without a source. Where the words say nothing, nothing is concluded.

#include "circuit/circuit.hpp"

#include <string_view>

namespace loomproof::rules {

/// Meant to be on at all times: by the clause "keep alive", or by its label (a clock, an alarm).
bool is_kept_alive(const Part&);
/// Said in so many words, not told by what it is called: "keep alive", behind it or in its label.
bool is_said_to_be_kept_alive(const Part&);

/// A clock, an alarm, a memory, a radio that plays on: what is called so and takes more at rest is none (common practice, no source).
inline constexpr Amps most_of_a_clock{1};
/// Its switch sits in or on it, so that nobody draws it: an outlet's, a winch's hand control, a float, a thermostat, a remote.
bool has_its_own_switch(const Part&);
/// Its text says that something in it switches it as it sees fit, with nobody near: a thermostat, a timer, electronics.
bool works_by_itself(const Part&);
/// Something that cools by itself day and night: a fridge, a cool box, a freezer.
bool is_fridge(const Part&);

/// What makes sound strong: its remote wire switches it, as no switch stands the current of its feed.
bool is_amplifier(const Part&);

/// A heater that burns fuel: it has to run on until it has cooled down, and its own control switches it.
bool burns_fuel(const Part&);

/// A motor that lifts fuel.
bool is_fuel_pump(const Part&);

/// A motor that keeps a boat afloat.
bool is_bilge_pump(const Part&);

/// A motor that cools the engine or moves air: it should rest with the engine, where a pump or a fridge works by itself at any time.
bool is_fan(const Part&);

/// A switch that a crash throws, not a hand: an inertia, impact or roll-over switch.
bool is_crash_switch(const Part&);

/// The contact-breaker of an ignition, which the engine itself opens and closes, whatever kind of switch it is written as.
bool is_points(const Part&);

/// A switch that is to make everything behind it dead: an isolator, a main switch.
bool is_cut_off(const Part&);
/// One for the whole battery.
bool is_main_cut_off(const Part&);

/// A switch that makes more than one thing live, whatever word its owner has for an isolator.
bool is_called_feeding(std::string_view text);

/// A battery for what works while the engine stands (leisure, house, a winch), not for starting it.
bool is_for_what_stands(const Part&);

/// The battery that starts the engine, by its text.
bool is_the_first(const Part&);
/// A relay that joins batteries so that both start the engine.
bool is_called_helping(const Part&);
/// Meant for what such a battery (is_for_what_stands) feeds: a load or a bus that bears its word, or one that means the same. What is
/// there for the battery itself, its charger or its gauge, is not.
bool is_called_as(const Part&, const Part& battery);
/// A battery that is charged where this file does not show it: a spare, one on a trailer, one that is taken out for it.
bool is_charged_elsewhere(const Part&);
/// A load or an electronic unit by its line, that charges a battery by what it is called.
bool is_called_charging(const Part&);

/// Of the airbags or belt tensioners. Fuses and boxes are left out: what else hangs on them is the maker's business.
bool is_called_a_restraint(const Part&);

/// A unit, sensor or motor of the brakes' or the steering's electronics, or a line of a data network: what is spliced into its wires may disturb it.
bool is_called_brake_or_steering_electronics(const Part&);

/// A switch or a position of it that is for starting the engine: what it is called.
bool is_called_starting(std::string_view text);

/// Something outside that the driver's key brings about: "ignition on", "key turned".
bool is_called_ignition(std::string_view text);

/// A position of a switch in which its hand asks for nothing: "off", "rest", "neutral".
bool is_called_resting(std::string_view position);

/// A switch, or a position of one, that takes something away while it is operated: a stop, kill or lock-out switch.
bool is_called_stopping(std::string_view text);

/// A motor that pulls, lifts or closes something on whoever is near: a winch, a window, a tail lift.
bool is_called_pulling(const Part&);
/// Of these, one whose button is held for minutes, not for the seconds in which a window or a seat is where it should be: a winch, a crane.
bool is_called_hauling(const Part&);

/// Its button may be held for minutes: a water pump's, a fan's, a winch's, a heater's, a lamp's. A window, a washer, a glow plug takes seconds
/// (common practice, no source); so does a motor of which nobody says what it is for.
bool may_be_held_for_minutes(const Part&);

/// What a driver does for moments only, as bits: the brake, reverse, the left and the right indicator (hazard lights are both). Of a switch, its
/// position or an outside condition by what it is called; 0 where it is none of these.
unsigned moments_of(std::string_view text);

/// A load of ignition, fuel, brakes or steering: a bad joint before it can cost a life.
bool moves_or_stops_the_car(const Part&);

} // namespace loomproof::rules
