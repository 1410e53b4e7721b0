#pragma once
/// The streams of one run: results go to standard output in one piece at the end, remarks to standard error at once.

#include "report/ink.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace loomproof::app {

class Console {
  public:
    /// Looks at the streams: width and colour where standard output is a terminal (no colour with NO_COLOR or TERM=dumb),
    /// else 80 columns without colour. Closed streams are replaced so that no file is taken for one, and a pipe that
    /// nobody reads any more no longer ends the program.
    Console();

    /// What the command has to say; commands add to it.
    std::string out;

    const report::Screen& screen() const { return screen_; }
    bool keyboard_is_input() const;

    /// A remark for the person: the program's name, then the sentence, on standard error. Control characters do not get through.
    void say(std::string_view sentence) const;

    /// Writes `out` at once and empties it, for somebody who waits for it. False as in finish().
    bool show();
    /// The next line of standard input without its end; nothing where it is at its end.
    std::optional<std::string> read_line();

    /// Writes `out`. False, after saying why, where it could not be written; a reader that went away is no failure.
    bool finish() const;

  private:
    report::Screen screen_;
};

} // namespace loomproof::app
