#pragma once
/// What predict and trace share: inside of predict.cpp, trace.cpp and predict_inside.cpp.

#include "solve/predict.hpp"

namespace loomproof::solve {

/// Whether the engine runs goes by the wish where that says so, or by an outside condition that only then holds; then it is in `conditions`.
Arrived as_wished(const View&, Wish, Conditions& conditions);

/// Does what is shown last seconds only? Then nothing gets warm by its own current: at 54 A/mm2 copper rises by rho J^2 / (c d), 14 K in a
/// second (the adiabatic law of reference/short_time.hpp), so a meter shows nearly the volts of cold wires while somebody cranks.
SoonOver soon_over(const View&, const Conditions&, const Positions&);

/// Closed contacts of which nobody said what they are made for, and over which more than contact_drop_volts are lost with the ohms that are
/// taken for one: figures hang on these. In text order, each part once.
std::vector<NotKnown> contacts_not_known(const View&, const std::vector<std::optional<Amps>>& amps);

} // namespace loomproof::solve
