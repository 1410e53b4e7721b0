#include "circuit/hole_rows.hpp"

#include <algorithm>
#include <charconv>
#include <string>

namespace loomproof {

Result<HoleRows> hole_rows(std::string_view text, std::size_t holes) {
    HoleRows rows{{}};
    std::vector<bool> met(holes + 1, false);
    for (std::size_t at = 0; at < text.size();) {
        const char c = text[at];
        if (c == ' ' || c == ',' || c == '\t') {
            ++at;
            continue;
        }
        if (c == '/') {
            rows.emplace_back();
            ++at;
            continue;
        }
        const std::size_t end = std::min(text.find_first_of(" ,\t/", at), text.size());
        const std::string word(text.substr(at, end - at));
        at = end;
        if (word == "-") {
            rows.back().push_back(0);
            continue;
        }
        int hole = 0;
        const auto [stop, wrong] = std::from_chars(word.data(), word.data() + word.size(), hole);
        if (wrong != std::errc{} || stop != word.data() + word.size() || hole < 1 ||
            static_cast<std::size_t>(hole) > holes)
            return failure("The rows name a hole " + word + "; the plug has the holes 1 to " + std::to_string(holes) +
                           ".");
        if (met[static_cast<std::size_t>(hole)]) return failure("The rows name hole " + word + " twice.");
        met[static_cast<std::size_t>(hole)] = true;
        rows.back().push_back(hole);
    }
    for (std::size_t hole = 1; hole <= holes; ++hole)
        if (!met[hole]) return failure("The rows do not name hole " + std::to_string(hole) + ".");
    std::erase_if(rows, [](const std::vector<int>& row) { return row.empty(); });
    return rows;
}

} // namespace loomproof
