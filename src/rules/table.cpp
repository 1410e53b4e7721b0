#include "rules/all.hpp"

#include <algorithm>

namespace loomproof::rules {

namespace {

#define LOOMPROOF_ROW(name) &name,
constexpr const Rule* rows[] = {LOOMPROOF_RULES(LOOMPROOF_ROW)};
#undef LOOMPROOF_ROW

} // namespace

std::span<const Rule* const> table() { return rows; }

const Rule* find_rule(std::string_view id) {
    const auto row = std::ranges::find_if(rows, [&](const Rule* r) { return r->id == id; });
    return row == std::end(rows) ? nullptr : *row;
}

} // namespace loomproof::rules
