#pragma once
/// Converters and chargers: what lies on their ends.

#include "rules/rule.hpp"
#include "rules/sides.hpp"

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

/// A converter whose plus and minus, or whose in and out, are exchanged, and a charger or panel the wrong way round: reported under
/// reversed-polarity.
void judge_converter_ends(const Study&, Report&);

} // namespace loomproof::rules
