#pragma once
/// A circuit as it stands in the vehicle, without jobs that are only planned.

#include "app/command.hpp"
#include "circuit/view.hpp"

#include <string>
#include <vector>

namespace loomproof::app {

/// Up to the last revision that is not planned, or with --planned up to the last of all. A planned job before a fitted one cannot be
/// taken out of what was built upon it: it stays.
View as_it_is(const Circuit&, const Given&);

/// The planned jobs that are in the view, or those that came after it: their titles, in their order.
std::vector<std::string> planned_in(const View&);
std::vector<std::string> planned_after(const View&);

/// `Planned and not drawn: job "Driving lights". With it: --planned`; empty where nothing is left out. `not_done`: "not drawn".
std::string left_out(const View&, const std::string& not_done);

/// Why nothing can be shown: all that the file describes is planned. Empty where something is there.
std::string nothing_fitted(const View&, const std::string& file);

/// "E8 belongs to the planned job "Driving lights": add --planned."; empty where that part is there, or was there once.
std::string still_planned(const View&, PartId);

} // namespace loomproof::app
