#pragma once
/// Questions to a person, or to a file of answers.

#include "app/console.hpp"

#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

class Asking {
  public:
    explicit Asking(Console& console) : console_(&console) {}

    /// From now on the answers come from a file, one a line. False, after saying why, where it cannot be read.
    bool answers_from(const std::string& file);
    /// Shows what stands in the console's `out`, then what may be typed besides an answer, waits for a line, and gives it without its end.
    /// Nothing: there are no more answers.
    std::optional<std::string> answer(const char* words = "?, don't know, back, stop");

    /// "answers.txt, line 3": where the last answer stands; empty where a person types.
    std::string where() const { return from_file_ ? fmt::format("{}, line {}", file_, next_) : std::string{}; }
    bool at_end() const { return from_file_ && next_ >= from_file_->size(); }

  private:
    Console* console_;
    std::optional<std::vector<std::string>> from_file_;
    std::string file_;
    std::size_t next_ = 0; ///< answers taken so far
};

} // namespace loomproof::app
