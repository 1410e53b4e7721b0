#pragma once

#include <string>
#include <string_view>

namespace loomproof::support {

/// Checks that `text` is, byte for byte, what the tracked file `relative` (a path inside the source tree, such as
/// "tests/cases/feed/stored.txt") holds. A difference fails the running test case and shows the first differing line
/// of both; a missing file fails it too. Only `tests/run --accept` writes: it sets LOOMPROOF_ACCEPT=1, and then the
/// file is renewed with `text` and the check passes. Look at what `git diff` shows before committing.
void check_stored(std::string_view relative, std::string_view text);

/// Whether stored outputs are being renewed in this run.
bool accepting();

/// The first line in which two texts differ, as "line 3: stored `a`, made `b`"; empty where they are the same. A text
/// that ends early shows as "(end)".
std::string first_difference(std::string_view stored, std::string_view made);

} // namespace loomproof::support
