#pragma once
/// Every rule by name, as rule_list.hpp has them.

#include "rules/rule.hpp"
#include "rules/rule_list.hpp"

namespace loomproof::rules {

#define LOOMPROOF_DECLARE(name) extern const Rule name;
LOOMPROOF_RULES(LOOMPROOF_DECLARE)
#undef LOOMPROOF_DECLARE

} // namespace loomproof::rules
