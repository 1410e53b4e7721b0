#include "reference/stamps.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <iterator>

namespace loomproof::reference {

namespace {

constexpr Standing confirmed = Standing::confirmed;
constexpr Standing from_memory = Standing::from_memory;

constexpr Stamp rows[] = {
    // Ignition and battery
    {"1", "ignition coil, low-voltage side, to the breaker or control unit", confirmed, "", {}},
    {"4", "ignition coil, high-voltage output", confirmed, "", {}},
    {"15", "switched positive from the ignition switch, live with the ignition on", confirmed, "", {}},
    {"15a", "output of the ballast resistor, to coil and starter", confirmed, "", {}},
    {"17", "glow switch, start", confirmed, "", {}},
    {"19", "glow switch, preheat", confirmed, "", {}},
    {"30", "positive straight from the battery, never switched", confirmed, "", {}},
    {"30a", "positive from the second battery (12/24 V change-over)", confirmed, "", {}},
    {"31", "negative straight from the battery, or vehicle ground", confirmed, "", {}},
    {"31b", "negative or ground through a switch or relay", confirmed, "", {}},
    // Motors
    {"32", "motor, return line", confirmed, "", {}},
    {"33", "motor, main connection", confirmed, "", {}},
    {"33a", "motor, limit switch", confirmed, "", {}},
    {"33f", "motor, second lower speed", confirmed, "", {}},
    {"33g", "motor, third lower speed", confirmed, "", {}},
    {"33h", "motor, fourth lower speed", confirmed, "", {}},
    // Turn signals
    {"49", "flasher unit, input", confirmed, "", {}},
    {"49a", "flasher unit, output to the turn switch", confirmed, "", {}},
    {"49b", "flasher unit, output, second circuit", from_memory, "", {}},
    {"49c", "flasher unit, output, third circuit", from_memory, "", {}},
    {"C", "flasher unit, tell-tale lamp", confirmed, "", {}},
    {"L", "turn signals, left", confirmed, "", {}},
    {"R", "turn signals, right", confirmed, "", {}},
    // Starter
    {"50", "starter control, the start signal from the ignition switch", confirmed, "", {}},
    // Wipers
    {"53", "wiper motor, positive input", confirmed, "", {}},
    {"53a", "wiper, positive for the park position", from_memory, "", {}},
    {"53b", "wiper, shunt winding or second speed", from_memory, "", {}},
    {"53c", "washer pump", from_memory, "", {}},
    {"53e", "wiper, braking winding", from_memory, "", {}},
    {"53i", "wiper with permanent magnets, third brush for the higher speed", from_memory, "", {}},
    // Lighting
    {"54", "brake lamps", confirmed, "", {}},
    {"54g", "compressed-air valve of a trailer", from_memory, "", {}},
    {"55", "front fog lamps", confirmed, "", {}},
    {"56", "headlamp feed from the light switch", confirmed, "", {}},
    {"56a", "main beam and its tell-tale", confirmed, "", {}},
    {"56b", "dipped beam", confirmed, "", {}},
    {"56d", "headlamp flasher contact", confirmed, "", {}},
    {"57a", "parking lamps", confirmed, "", {}},
    {"57L", "parking lamp, left", confirmed, "", {}},
    {"57R", "parking lamp, right", confirmed, "", {}},
    {"58", "side, tail, number-plate and instrument lamps", confirmed, "", {}},
    {"58L", "side and tail lamps, left", from_memory, "", {}},
    {"58R", "side and tail lamps, right", from_memory, "", {}},
    {"58d", "dimmed instrument lighting", confirmed, "", {}},
    // Charging
    {"61", "charge tell-tale, the same line as D+", confirmed, "", {}},
    {"B+", "battery positive at the generator or regulator", confirmed, "", {}},
    {"B-", "battery negative at the generator", confirmed, "", {}},
    {"D+", "generator positive at the regulator, charge lamp and exciter", confirmed, "", {}},
    {"D-", "generator ground at the regulator", confirmed, "", {}},
    {"DF", "generator field", confirmed, "", {}},
    {"W", "alternator phase tap, for a rev counter", from_memory, "", {}},
    // Horn, radio
    {"71", "horn, control input", from_memory, "", {}},
    {"75", "radio, cigar lighter", confirmed, "", {}},
    // Switches
    {"81", "break or change-over switch, input", confirmed, "", {}},
    {"81a", "break or change-over switch, first output", confirmed, "", {}},
    {"81b", "break or change-over switch, second output", confirmed, "", {}},
    {"82", "make switch, input", confirmed, "", {}},
    {"82a", "make switch, first output", confirmed, "", {}},
    {"82b", "make switch, second output", confirmed, "", {}},
    // Relays. That 85 and 86 are the coil is confirmed; lists differ on which end is which.
    {"85", "relay coil, end of the winding, to negative or ground", confirmed, "", {}},
    {"86",
     "relay coil, start of the winding, to the control positive; sources differ on which end it is",
     confirmed,
     "",
     {}},
    {"87", "relay, break or change-over contact: input", confirmed,
     "contact that closes when the coil is fed, with 30 as the common", confirmed},
    {"87a", "relay, first output, break side", from_memory, "contact that is closed at rest", confirmed},
    {"87b", "relay, second output", from_memory,
     "second contact that closes with the coil, on some relays joined to 87", from_memory},
    {"88", "relay, make contact: input", from_memory, "", {}},
    {"88a", "relay, make contact: output", from_memory, "", {}},
};

} // namespace

std::span<const Stamp> stamps() { return rows; }

std::optional<Stamp> find_stamp(std::string_view text) {
    const auto* row = std::ranges::find_if(rows, [&](const Stamp& s) { return equal_ignoring_case(s.stamp, text); });
    if (row == std::end(rows)) return std::nullopt;
    return *row;
}

} // namespace loomproof::reference
