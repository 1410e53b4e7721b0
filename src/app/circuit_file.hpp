#pragma once
/// What commands share that read a circuit file.

#include "app/command.hpp"
#include "circuit/circuit.hpp"
#include "circuit/read.hpp"
#include "netlist/source.hpp"

#include <functional>
#include <optional>
#include <string>

namespace loomproof::app {

/// Reads the file and what it uses ("-": standard input; says so where somebody has to type it). Nothing, after saying why,
/// where it cannot be read at all. `sources` must outlive the result.
/// `before_each`, where given, is called with the path of each file before that is read.
std::optional<Reading> read(const std::string& file, Sources& sources, const Console& console,
                            const std::function<void(const std::string&)>& before_each = {});

/// Is there no wire and no part in it that somebody wrote down?
bool describes_nothing(const Circuit&);

} // namespace loomproof::app
