#pragma once
/// The program: reads the command line, runs one command, prints what it has to say.

namespace loomproof::app {

/// Returns the exit status: 0 nothing found that counts, 1 something found, 2 could not do the job. Never throws.
int run(int argc, const char* const* argv) noexcept;

} // namespace loomproof::app
