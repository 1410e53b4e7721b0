#pragma once
/// Every rule by name. Their order is table.cpp's.

#include "rules/rule.hpp"

namespace loomproof::rules {

extern const Rule accepted_finding_stale;
extern const Rule alive_when_off;
extern const Rule always_powered;
extern const Rule ammeter_in_path;
extern const Rule as_built_by_maker;
extern const Rule back_feed;
extern const Rule both_filaments_at_once;
extern const Rule breaking_capacity;
extern const Rule coil_contact_exchanged;
extern const Rule coil_in_series;
extern const Rule coil_never_pulls_in;
extern const Rule coil_never_releases;
extern const Rule coil_unsuppressed;
extern const Rule colour_changes;
extern const Rule common_and_output_swapped;
extern const Rule diode_misplaced;
extern const Rule diode_wrong_way;
extern const Rule cut_off_bypassed;
extern const Rule double_fed;
extern const Rule engine_cannot_be_stopped;
extern const Rule excitation_lost;
extern const Rule expectation_not_met;
extern const Rule factory_function_changed;
extern const Rule flasher_load;
extern const Rule fuel_pump_runs_on;
extern const Rule fuse_above_wire;
extern const Rule fuse_near_limit;
extern const Rule ground_drop;
extern const Rule ground_fused;
extern const Rule ground_loop;
extern const Rule ground_missing;
extern const Rule ground_undersized;
extern const Rule insulation_class;
extern const Rule joint_practice;
extern const Rule lead_left_live;
extern const Rule link_too_large;
extern const Rule monitored_output;
extern const Rule capacitor_charge;
extern const Rule charging_wire;
extern const Rule keep_alive_lost;
extern const Rule rheostat_heat;
extern const Rule too_few_volts;
extern const Rule motor_generates;
extern const Rule never_powered;
extern const Rule not_reversible;
extern const Rule one_end_protected;
extern const Rule one_fault_all_dark;
extern const Rule order_dependent;
extern const Rule outputs_crossed;
extern const Rule part_not_wired;
extern const Rule part_overloaded;
extern const Rule plug_hole_conflict;
extern const Rule pulsed_trigger;
extern const Rule relay_chatter;
extern const Rule relay_holds_itself;
extern const Rule rest_contact_misused;
extern const Rule restraint_circuit_touched;
extern const Rule reversed_polarity;
extern const Rule same_colour_in_connector;
extern const Rule shared_ground_offset;
extern const Rule shared_protection;
extern const Rule short_circuit;
extern const Rule socket_mismatch;
extern const Rule source_overloaded;
extern const Rule start_opens_fuse;
extern const Rule starter_unintended;
extern const Rule still_to_wire;
extern const Rule switched_side_mismatch;
extern const Rule terminal_not_wired;
extern const Rule terminal_wired_twice;
extern const Rule unfused_feed;
extern const Rule voltage_drop;
extern const Rule wire_overloaded;
extern const Rule wrong_voltage;

} // namespace loomproof::rules
