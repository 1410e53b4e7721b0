#pragma once
/// The parts of a check that stand below the findings. Inside matter of report/.

#include "report/check_text.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace loomproof::report {

/// Where the text of a section begins; its title stands before.
inline constexpr std::size_t section_indent = 16;

/// "I assumed": three columns (what, where the figure comes from, what to type to change it) where the widest row fits into the
/// terminal, else what to type stands below. The same value assumed for several things for the same reason is one row. Empty for none.
std::string assumed_section(const std::vector<Assumption>&, const Screen&);

/// "Accepted": what the file accepts, each with its reason. Empty for none.
std::string accepted_section(const std::vector<Finding>&, const Screen&);

/// "New functions": what each job added, a paragraph for each job. Empty for none.
std::string new_functions_section(const std::vector<rules::NewFunction>&, const Screen&);

/// "Still to wire": the ends in one paragraph. Empty for none.
std::string still_to_wire_section(const std::vector<std::string>&, const Screen&);

/// "Not checked": each with why and what to find out; those with the same reason together. At most `most` rows, then how many more.
std::string not_checked_section(const std::vector<rules::NotChecked>&, const Screen&, std::size_t most);

/// The text with a full stop, unless it ends a sentence already.
std::string as_sentence(std::string_view);

/// "a, b, c"
std::string with_commas(const std::vector<std::string>&);

} // namespace loomproof::report
