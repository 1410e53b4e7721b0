#pragma once
/// A file checked, before anything is said about it.

#include "app/console.hpp"
#include "report/check_text.hpp"

#include <optional>
#include <string>

namespace loomproof::app {

/// Nothing, after saying why, where the file cannot be read.
std::optional<report::Checked> checked_file(const std::string& file, Sources&, Console&);

} // namespace loomproof::app
