#pragma once
/// Results of things that may fail for reasons outside the program (files, tools): a value or one sentence.

#include <tl/expected.hpp>

#include <string>

namespace loomproof {

/// `error()` is a whole sentence for the user that names the file and the reason.
template <class T> using Result = tl::expected<T, std::string>;

inline auto failure(std::string sentence) { return tl::unexpected<std::string>(std::move(sentence)); }

} // namespace loomproof
