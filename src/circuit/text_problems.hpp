#pragma once
/// Mistakes in the text as findings. Inside matter of the reader; the ids are listed in text_ids().

#include "findings/finding.hpp"
#include "netlist/text_ids.hpp"

#include <span>
#include <string>

namespace loomproof {

/// Every id that reading a text can give beyond those of netlist/, with one line for `explain`.
std::span<const TextId> circuit_text_ids();

Finding text_problem(const char* id, Span at, std::string headline, std::string cure = {}, std::string label = {});

} // namespace loomproof
