#include "report/page.hpp"

#include "report/columns.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::report {

namespace {

constexpr std::size_t least_room = 24; ///< narrower columns than this cannot be read

/// The text in lines behind `lead`, the later ones behind blanks.
std::string hanging(const Screen& screen, std::string lead, std::string_view text) {
    const std::size_t indent = columns(lead);
    const std::size_t room = std::max(least_room, screen.width - std::min(screen.width, indent));
    std::string out;
    for (const std::string& line : wrap(text, room, room)) {
        out += lead + line + '\n';
        lead.assign(indent, ' ');
    }
    return out;
}

} // namespace

std::string paragraph(const Screen& screen, std::string_view text) { return hanging(screen, "", text); }

std::string labelled(const Screen& screen, std::string_view label, std::string_view text, std::size_t indent) {
    if (text.empty()) return {};
    const std::size_t width = label_width - 2;
    const std::string lead = label == "or" ? fmt::format("{:>{}} ", label, indent + width - 1)
                                           : fmt::format("{:{}}{:{}}", "", indent, label, width);
    return hanging(screen, lead, text);
}

std::string in_columns(const Screen& screen, const std::vector<std::pair<std::string, std::string>>& rows) {
    std::size_t widest = 0;
    for (const auto& [left, right] : rows) widest = std::max(widest, columns(left));
    std::string out;
    if (widest + 5 + least_room > screen.width) { // no room beside: what it is stands below its name
        for (const auto& [left, right] : rows) out += hanging(screen, "  ", left) + hanging(screen, "      ", right);
        return out;
    }
    for (const auto& [left, right] : rows)
        out += hanging(screen, "  " + printable(left) + std::string(widest - columns(left) + 3, ' '), right);
    return out;
}

} // namespace loomproof::report
