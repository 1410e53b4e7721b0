#include "report/ink.hpp"

namespace loomproof::report {

namespace {
std::string_view sequence(Ink ink) {
    switch (ink) {
    case Ink::plain: return "";
    case Ink::danger: return "\x1b[1;31m";
    case Ink::fault: return "\x1b[1;35m";
    case Ink::advice: return "\x1b[1;36m";
    case Ink::note: return "\x1b[1m";
    case Ink::strong: return "\x1b[1m";
    case Ink::faint: return "\x1b[2m";
    }
    return "";
}
} // namespace

std::string inked(const Screen& screen, Ink ink, std::string_view text) {
    const std::string_view start = sequence(ink);
    if (!screen.colour || start.empty() || text.empty()) return std::string(text);
    return std::string(start) + std::string(text) + "\x1b[0m";
}

} // namespace loomproof::report
