#pragma once
/// Every rule by name. Their order is table.cpp's.

#include "rules/rule.hpp"

namespace loomproof::rules {

extern const Rule accepted_finding_stale;
extern const Rule as_built_by_maker;
extern const Rule fuse_above_wire;
extern const Rule lead_left_live;
extern const Rule link_too_large;
extern const Rule one_end_protected;
extern const Rule unfused_feed;

} // namespace loomproof::rules
