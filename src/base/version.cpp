#include "base/version.hpp"

namespace loomproof {

std::string_view version() noexcept { return LOOMPROOF_VERSION; }

} // namespace loomproof
