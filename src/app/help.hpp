#pragma once
/// Help texts, made from the table of commands. At most 80 columns, each ends with a line end.

#include "app/command.hpp"

#include <string>

namespace loomproof::app {

/// Four lines for somebody who typed the program's name alone.
std::string first_words();
/// The whole program on one screen.
std::string help();
std::string help(const Command&);

} // namespace loomproof::app
