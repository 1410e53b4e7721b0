#pragma once
/// Help on words that stand inside a line: what may be said about a part ("live when", "sleeved"), and what people call the things that
/// `begin` has a form for.

#include "report/page.hpp"

#include <string>
#include <string_view>

namespace loomproof::app {

class Console;

/// Lines of a circuit file in which these words may stand, with what they mean; empty where there are none.
std::string said_page(std::string_view words, const report::Screen&);

/// The form of `begin` for what is called so, and the kind of part that it is in a file; empty where there is none.
std::string form_page(std::string_view words, const Console&);

} // namespace loomproof::app
