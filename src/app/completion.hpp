#pragma once
/// What a shell needs to complete a command line, and the page for `man`: both from the table of commands.

#include <string>
#include <string_view>

namespace loomproof::app {

/// For "bash", "zsh" or "fish"; empty for another.
std::string completion(std::string_view shell);

/// The manual page in the language of man(7).
std::string manual_page();

} // namespace loomproof::app
