#include "app/help.hpp"

#include "report/page.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

/// Help is the same everywhere, but for narrow screens.
report::Screen at_most_80(const report::Screen& given) {
    report::Screen out;
    out.width = std::clamp<std::size_t>(given.width, 40, 80);
    return out;
}

std::string typed(const Argument& a) {
    const std::string name = std::string(a.name) + (a.many ? " ..." : "");
    return a.needed ? name : fmt::format("[{}]", name);
}
std::string typed(const Option& o) {
    return o.value == nullptr ? std::string(o.name) : fmt::format("{} {}", o.name, o.value);
}

std::string typed(const Command& c) {
    std::string out = fmt::format("loomproof {}", c.name);
    for (const Argument& a : c.arguments) out += ' ' + typed(a);
    return out;
}

} // namespace

std::string first_words() {
    return "Loomproof proofs a vehicle's wiring loom (harness) before the battery goes on.\n"
           "First file:   loomproof begin              (asks at most 12 questions)\n"
           "Check a file: loomproof check my-car.loom  (size 120 W, 3 m: wire and fuse alone)\n"
           "More:         loomproof --help\n";
}

std::string help(const report::Screen& given) {
    const report::Screen screen = at_most_80(given);
    std::vector<std::pair<std::string, std::string>> rows;
    for (const Command& c : commands()) rows.emplace_back(typed(c), c.summary);
    return report::paragraph(
               screen,
               "Loomproof proofs a vehicle's wiring loom (harness) before the battery goes back on. It reads a circuit "
               "file and says what can burn, what will not work, and how to mend it.") +
           '\n' + report::in_columns(screen, rows) + '\n' +
           report::in_columns(screen, {{"-h, --help", "this text; behind a command, what that command takes"},
                                       {"--version", "the version of this program"}}) +
           '\n' +
           report::paragraph(
               screen, "A circuit file is plain text, one thing a line; netlists/README.md shows how to write it. In "
                       "place of a "
                       "file, - reads standard input.") +
           report::paragraph(screen, "Exit status: 0 nothing found, 1 something found, 2 could not do the job.") +
           "Loomproof advises, it does not certify.\n";
}

std::string help(const Command& c, const report::Screen& given) {
    const report::Screen screen = at_most_80(given);
    std::string usage = typed(c);
    std::size_t line_begin = 0;
    // Options that no longer fit go on under the first.
    const auto add = [&](const std::string& text) {
        const std::size_t under = screen.width < 80 ? 4 : typed(c).size() + 1;
        if (usage.size() - line_begin + 1 + text.size() > static_cast<std::size_t>(screen.width)) {
            usage += '\n';
            line_begin = usage.size();
            usage += std::string(under - 1, ' ');
        }
        usage += ' ' + text;
    };
    std::vector<std::pair<std::string, std::string>> rows;
    for (const Argument& a : c.arguments) rows.emplace_back(a.name, a.help);
    for (const Option& o : c.options) {
        add(fmt::format("[{}]", typed(o)));
        rows.emplace_back(typed(o), o.help);
    }
    rows.emplace_back("-h, --help", "this text");
    return usage + "\n\n" + report::paragraph(screen, c.about) + '\n' + report::in_columns(screen, rows);
}

} // namespace loomproof::app
