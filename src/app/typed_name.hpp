#pragma once
/// A file's name as it has to be typed in a command: in quotes where a shell would take it for several words, or for something else.

#include <algorithm>
#include <string>

namespace loomproof::app {

/// "my car.loom" with its quotes, car.loom without; what double quotes do not keep together for every shell stands in single ones.
inline std::string typed_name(const std::string& name) {
    const auto plain = [](char ch) {
        return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z') || (ch >= '0' && ch <= '9') ||
               static_cast<unsigned char>(ch) >= 0x80 ||
               std::string_view("_-./\\:,+=@%").find(ch) != std::string_view::npos;
    };
    if (!name.empty() && std::ranges::all_of(name, plain))
        return name.front() == '-' && name != "-" ? "./" + name : name;
    if (name.find_first_of("\"$`\\!") == std::string::npos) return '"' + name + '"';
    std::string out = "'";
    for (const char ch : name) out += ch == '\'' ? std::string("'\\''") : std::string(1, ch);
    return out + '\'';
}

} // namespace loomproof::app
