#pragma once
/// What to type about a part or a wire: pages of help made from the table of kinds.

#include "report/ink.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace loomproof::app {

/// The page for a kind of part ("motor", "fan", "fusible link", "switches", "air compressor") or a statement ("wire", "job"); empty where the word is neither.
std::string typing_page(std::string_view word, const report::Screen&);

/// Every word that has such a page.
std::vector<std::string> words_with_typing_page();

} // namespace loomproof::app
