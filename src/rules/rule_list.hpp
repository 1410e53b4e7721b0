#pragma once
/// The one list of the rules, in the order in which they are listed; what is found is ranked by its own weight (fold.cpp).
///
/// Each name is a `const Rule` that a file of src/rules/catalogue defines. all.hpp declares them, table.cpp lists them.

// clang-format off
#define LOOMPROOF_RULES(rule) \
    /* Sources and protection */ \
    rule(unfused_feed) \
    rule(one_end_protected) \
    rule(fuse_above_wire) \
    rule(wire_overloaded) \
    rule(part_overloaded) \
    rule(socket_mismatch) \
    rule(start_opens_fuse) \
    rule(shared_protection) \
    rule(fuse_near_limit) \
    rule(voltage_drop) \
    rule(link_too_large) \
    rule(breaking_capacity) \
    rule(short_circuit) \
    rule(double_fed) \
    rule(cut_off_bypassed) \
    rule(wrong_voltage) \
    rule(source_overloaded) \
    rule(batteries_joined_for_good) \
    rule(never_charged) \
    rule(wrong_battery) \
    rule(joined_while_cranking) \
    rule(charged_past_a_load) \
    rule(ammeter_in_path) \
    rule(one_fault_all_dark) \
    rule(reversed_polarity) \
    /* Relays, switches, electronics */ \
    rule(coil_contact_exchanged) \
    rule(terminal_wired_twice) \
    rule(terminal_not_wired) \
    rule(diode_wrong_way) \
    rule(diode_misplaced) \
    rule(coil_in_series) \
    rule(common_and_output_swapped) \
    rule(rest_contact_misused) \
    rule(outputs_crossed) \
    rule(switched_side_mismatch) \
    rule(coil_never_pulls_in) \
    rule(coil_never_releases) \
    rule(relay_holds_itself) \
    rule(relay_chatter) \
    rule(order_dependent) \
    rule(coil_unsuppressed) \
    rule(pulsed_trigger) \
    rule(monitored_output) \
    rule(flasher_load) \
    rule(both_filaments_at_once) \
    /* Grounds */ \
    rule(ground_missing) \
    rule(ground_loop) \
    rule(ground_fused) \
    rule(ground_undersized) \
    rule(ground_drop) \
    rule(shared_ground_offset) \
    /* Function */ \
    rule(engine_cannot_be_stopped) \
    rule(starter_unintended) \
    rule(fuel_pump_runs_on) \
    rule(excitation_lost) \
    rule(motor_generates) \
    rule(charging_wire) \
    rule(keep_alive_lost) \
    rule(too_few_volts) \
    rule(rheostat_heat) \
    rule(capacitor_charge) \
    rule(expectation_not_met) \
    rule(lead_left_live) \
    rule(never_powered) \
    rule(always_powered) \
    rule(alive_when_off) \
    rule(runs_at_rest) \
    rule(back_feed) \
    rule(feeds_joined) \
    rule(factory_function_changed) \
    rule(part_not_wired) \
    rule(still_to_wire) \
    /* Plugs, joints, places, people */ \
    rule(restraint_circuit_touched) \
    rule(same_colour_in_connector) \
    rule(colour_changes) \
    rule(plug_hole_conflict) \
    rule(insulation_class) \
    rule(joint_practice) \
    rule(not_reversible) \
    /* The file itself */ \
    rule(accepted_finding_stale) \
    rule(as_built_by_maker)
// clang-format on
