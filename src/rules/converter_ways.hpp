#pragma once
/// Converters and chargers: what lies on their ends, and what they take at their input.

#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace loomproof::rules {

/// Not existing where the part has no such end.
TerminalId end_called(const Circuit&, PartId, std::string_view stamp);

/// What current from or to this end passes: wires, fuses, closed and open contacts, meters, diodes in its direction; not through loads, nor
/// beyond the body.
Reach reach_of_charge(const Study&, TerminalId from, bool over_diodes);

/// Batteries, by their live poles, that such a walk reached; in text order.
std::vector<BatteryPoles> batteries_in(const Study&, const Reach&);

/// Does a starter, an alternator or a dynamo hang on what this battery feeds, fuses and contacts passed?
bool is_the_engines(const Study&, const BatteryPoles&);

/// Of a converter that charges one battery from another: what its input takes while it delivers its most.
struct ConverterInput {
    PartId part;
    TerminalId in;
    Amps least; ///< its output's watts over the input's volts: nothing is lost inside
    Amps usual; ///< with what one loses inside
    std::vector<EdgeRef> feed; ///< from the battery's pole to the input
    std::vector<EdgeRef> back; ///< from its minus to the body; empty where that is not drawn
};
/// Nothing where its amps are not said, where no battery feeds it (a panel does), or where its output charges none: loads take from it
/// what they take.
std::optional<ConverterInput> converter_input(const Study&, PartId);

/// What of its input a converter gives out: 85 to 90 % (common practice, no source).
inline constexpr double usual_efficiency = 0.87;

/// A converter whose plus and minus, or whose in and out, are exchanged, and a charger or panel the wrong way round: reported under
/// reversed-polarity.
void judge_converter_ends(const Study&, Report&);

/// Wires, fuses and contacts that do not stand what a converter takes, reported under charging-wire, and what is lost on the way to it and
/// home.
void judge_converter_inputs(const Study&, Report&);

} // namespace loomproof::rules
