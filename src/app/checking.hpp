#pragma once
/// A file checked, before anything is said about it.

#include "app/command.hpp"
#include "app/console.hpp"
#include "circuit/read.hpp"
#include "report/check_text.hpp"

#include <functional>
#include <optional>
#include <string>

namespace loomproof::app {

/// Nothing, after saying why, where the file cannot be read. Commands among the cures name the file as it is typed. `before_each`, where
/// given, is called with the path of each file before that is read.
std::optional<report::Checked> checked_file(const std::string& file, Sources&, Console&,
                                            const std::function<void(const std::string&)>& before_each = {});

/// The same of what was read already: of the study, which is the circuit as it is now or as it was at some revision.
report::Checked checked(const Reading&, const rules::Study&);

/// The command draw, for a file that was checked a moment ago, its texts in `of`: where they have not changed since, and what is drawn is what
/// was checked, it is not checked again. Everything keeps the place that it has in `page`, the SVG that the last call left there; empty at first.
Exit draw_again(const Given&, Console&, const report::Checked& found, const Sources& of, std::string& page);

} // namespace loomproof::app
