#pragma once
/// Case files: circuits with marks. `//! unfused-feed` at the end of a line says that this line has that finding.

#include "findings/finding.hpp"
#include "netlist/source.hpp"

#include <filesystem>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace loomproof::cases {

/// A rule's id and a line, from 1.
using Mark = std::pair<std::string, std::size_t>;

/// The marks of a text: `//! one-rule`, or `//! one-rule, another`.
std::set<Mark> marks_in(const std::string& text);

/// A check of one text under the name by which people see it.
class Checking {
  public:
    Checking(const std::string& name, const std::string& text);
    Checking(const Checking&) = delete;
    Checking& operator=(const Checking&) = delete;

    /// What was found: mistakes of the text, and findings by their main citation; consequences stand under their cause and are not counted.
    std::set<Mark> found() const;
    /// The text as it is after carrying out what each finding of a rule proposes, one text for each finding that proposes something.
    std::vector<std::string> mended(const std::string& rule) const;
    /// How many findings of a rule there are.
    std::size_t count(const std::string& rule) const;
    /// "rule (line): headline" of each, for messages.
    std::string said() const;

  private:
    std::size_t line_of(const Finding&) const;
    std::vector<const Finding*> all() const;

    Sources sources_;
    std::vector<Finding> mistakes_, findings_;
};

/// Lines of two texts that differ, marks and blanks at line ends left out: a changed line counts once, so does one that only one of them has.
std::size_t lines_that_differ(const std::string&, const std::string&);

/// Folders in a folder, by name; files of a folder with that extension, by name.
std::vector<std::filesystem::path> folders_in(const std::filesystem::path&);
std::vector<std::filesystem::path> files_in(const std::filesystem::path&, const std::string& extension);

} // namespace loomproof::cases
