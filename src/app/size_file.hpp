#pragma once
/// `size FILE`: wires and fuses for a circuit file.

#include "app/command.hpp"

#include <string>

namespace loomproof::app {

Exit size_file(const std::string& file, const Given&, Console&);

} // namespace loomproof::app
