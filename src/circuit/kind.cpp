#include "circuit/kind.hpp"

#include "base/words.hpp"
#include "circuit/kinds/kinds.hpp"

#include <array>

namespace loomproof {

namespace {
std::span<const KindSpec> rows() {
    static const std::array table = {
        battery_kind,  alternator_kind, starter_kind, supply_kind,    beyond_kind,  existing_wire_kind, fuse_kind,
        link_kind,     breaker_kind,    switch_kind,  relay_kind,     lamp_kind,    led_kind,           motor_kind,
        horn_kind,     solenoid_kind,   heater_kind,  socket_kind,    load_kind,    electronics_kind,   diode_kind,
        resistor_kind, capacitor_kind,  ammeter_kind, shunt_kind,     flasher_kind, sensor_kind,        sender_kind,
        gauge_kind,    solar_kind,      charger_kind, converter_kind, dynamo_kind,  regulator_kind,     connector_kind,
        splice_kind,   bus_kind,        metal_kind,   ground_kind,    touch_kind,   box_kind,           wish_kind,
        cut_kind,      loose_end_kind,
    };
    return table;
}
const KindSpec& made_by_reader(Kind kind) {
    return kind == Kind::unknown_end ? unknown_end_kind : kind == Kind::engine ? engine_kind : not_known_kind;
}
} // namespace

std::span<const KindSpec> kind_table() { return rows(); }

const KindSpec& spec_of(Kind kind) {
    for (const KindSpec& k : rows())
        if (k.kind == kind) return k;
    return made_by_reader(kind);
}

const KindSpec* find_kind(std::string_view keyword) {
    for (const KindSpec& k : rows()) {
        if (!k.keyword) continue;
        if (equal_ignoring_case(k.keyword, keyword)) return &k;
        std::string_view also = k.also;
        while (!also.empty()) {
            const std::size_t blank = also.find(' ');
            if (equal_ignoring_case(also.substr(0, blank), keyword)) return &k;
            also.remove_prefix(blank == std::string_view::npos ? also.size() : blank + 1);
        }
    }
    return nullptr;
}

std::span<const AttrSpec> common_attributes(const KindSpec& kind) {
    static constexpr std::size_t of_loads = 5;
    static constexpr AttrSpec common[] = {
        {"duty continuous", Attr::duty, "runs for hours"}, // as all is calculated
        {"duty {s} in {s}", Attr::duty, "how long at a time, and how often", nullptr,
         "how warm fuses, plugs and switches on the way to {} get in the time it runs: there it is taken to run for "
         "hours"},
        {"duty cranking", Attr::duty, "only while the starter turns", nullptr,
         "how warm the wires of {} get in the time it runs: it is taken to run for hours"},
        {"keep alive", Attr::told, "must never lose its feed", nullptr, "whether {} ever loses its feed"},
        {"works from {V}", Attr::told, "the least volts at which it works", nullptr,
         "whether {} always gets the volts that it works from"},
        {"restraint", Attr::restraint, "belongs to airbags or belt tensioners", "on"},
        {"in {place}", Attr::kept, "where it is"},
        {"grounded by its mounting", Attr::case_grounded, "its case is its ground", "on"},
        {"grounded by its mounting on {metal}", Attr::case_grounded, "its case is its ground", "on"},
        {"stamped {word} for {word}", Attr::stamped, "what is moulded on it in place of the usual stamp"},
        {"in {word} slot {word}", Attr::slot, "the slot of a box that it sits in"},
        {"double {word}", Attr::double_terminal, "a terminal made for two wires"},
        {"kept in {text}", Attr::kept, "where it lies now"},
        {"kept in {word}", Attr::kept, "where it lies now"},
    };
    return kind.is_load ? std::span<const AttrSpec>(common) : std::span<const AttrSpec>(common).subspan(of_loads);
}

} // namespace loomproof
