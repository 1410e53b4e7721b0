#pragma once

#include <string_view>

namespace loomproof {

/// The version of this program as three numbers with dots, for instance "1.4.0": what `--version` prints and what
/// reports and sheets name as their maker. It is the version of the project, stated once in the build description;
/// it names no commit, date or machine, so two builds of the same text write the same bytes. Lives for ever.
std::string_view version() noexcept;

} // namespace loomproof
