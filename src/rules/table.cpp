#include "rules/all.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

/// The order in which rules are listed; what is found is ranked by its own weight (fold.cpp).
constexpr const Rule* rows[] = {
    // Sources and protection
    &unfused_feed,
    &one_end_protected,
    &fuse_above_wire,
    &wire_overloaded,
    &part_overloaded,
    &socket_mismatch,
    &start_opens_fuse,
    &shared_protection,
    &fuse_near_limit,
    &voltage_drop,
    &link_too_large,
    &breaking_capacity,
    &short_circuit,
    &double_fed,
    &cut_off_bypassed,
    &wrong_voltage,
    &source_overloaded,
    &ammeter_in_path,
    &one_fault_all_dark,
    &reversed_polarity,
    // Relays, switches, electronics
    &coil_contact_exchanged,
    &terminal_wired_twice,
    &terminal_not_wired,
    &diode_wrong_way,
    &diode_misplaced,
    &coil_in_series,
    &common_and_output_swapped,
    &rest_contact_misused,
    &outputs_crossed,
    &switched_side_mismatch,
    &coil_never_pulls_in,
    &coil_never_releases,
    &relay_holds_itself,
    &relay_chatter,
    &order_dependent,
    &coil_unsuppressed,
    &pulsed_trigger,
    &monitored_output,
    &flasher_load,
    &both_filaments_at_once,
    // Grounds
    &ground_missing,
    &ground_loop,
    &ground_fused,
    &ground_undersized,
    &ground_drop,
    &shared_ground_offset,
    // Function
    &engine_cannot_be_stopped,
    &starter_unintended,
    &fuel_pump_runs_on,
    &excitation_lost,
    &motor_generates,
    &charging_wire,
    &keep_alive_lost,
    &too_few_volts,
    &rheostat_heat,
    &capacitor_charge,
    &expectation_not_met,
    &lead_left_live,
    &never_powered,
    &always_powered,
    &alive_when_off,
    &back_feed,
    &factory_function_changed,
    &part_not_wired,
    &still_to_wire,
    // Plugs, joints, places, people
    &restraint_circuit_touched,
    &same_colour_in_connector,
    &colour_changes,
    &plug_hole_conflict,
    &insulation_class,
    &joint_practice,
    &not_reversible,
    // The file itself
    &accepted_finding_stale,
    &as_built_by_maker,
};

} // namespace

std::span<const Rule* const> table() { return rows; }

const Rule* find_rule(std::string_view id) {
    const auto row = std::ranges::find_if(rows, [&](const Rule* r) { return r->id == id; });
    return row == std::end(rows) ? nullptr : *row;
}

} // namespace loomproof::rules
