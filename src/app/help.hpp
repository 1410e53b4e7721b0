#pragma once
/// Help texts, made from the table of commands. As wide as the screen, at most 80 columns; each ends with a line end.

#include "app/command.hpp"
#include "report/ink.hpp"

#include <string>

namespace loomproof::app {

/// Four lines for somebody who typed the program's name alone.
std::string first_words();
/// The whole program on one screen.
std::string help(const report::Screen&);
std::string help(const Command&, const report::Screen&);

} // namespace loomproof::app
