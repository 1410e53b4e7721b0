#pragma once
/// Looking for words in what a program said.

#include <cstddef>
#include <string>

namespace loomproof::tests {

inline bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// How often the part stands in the text; `part` is not empty.
inline std::size_t count(const std::string& text, const std::string& part) {
    std::size_t n = 0;
    for (std::size_t at = 0; (at = text.find(part, at)) != std::string::npos; at += part.size()) ++n;
    return n;
}

} // namespace loomproof::tests
