#include "bench/layout_peer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <sys/resource.h>
#include <unistd.h>
#include <vector>

namespace loomproof::bench {
namespace {

struct P {
    double x, y;
};
using Line = std::vector<P>;

// A table with one cell a terminal: its ports are exact. Current enters at a cell's top and leaves at its bottom.
std::string graph_of(const draw::Sketch& sketch, Splines splines) {
    std::string text =
        fmt::format("digraph g {{ splines={}; nodesep=0.3; ranksep=0.5; node [shape=plain]; edge [dir=none];\n",
                    splines == Splines::polyline ? "polyline" : "ortho");
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s) {
        text +=
            fmt::format("n{} [label=<<TABLE BORDER=\"0\" CELLBORDER=\"0\" CELLSPACING=\"0\" CELLPADDING=\"0\"><TR>", s);
        for (std::size_t t = 0; t < sketch.symbols[s].terminals.size(); ++t)
            text += fmt::format("<TD PORT=\"t{}\" FIXEDSIZE=\"TRUE\" WIDTH=\"20\" HEIGHT=\"40\"></TD>", t);
        text += "</TR></TABLE>>];\n";
    }
    for (const draw::Wire& w : sketch.wires)
        text += fmt::format("n{}:t{}:s -> n{}:t{}:n;\n", w.a.symbol, w.a.terminal, w.b.symbol, w.b.terminal);
    return text + "}\n";
}

double figure(std::string_view& rest) {
    while (!rest.empty() && rest.front() == ' ') rest.remove_prefix(1);
    double value = 0;
    const auto read = std::from_chars(rest.data(), rest.data() + rest.size(), value);
    rest.remove_prefix(static_cast<std::size_t>(read.ptr - rest.data()));
    return value;
}

// "edge n1 n2 7 x y x y ...": control points; a polyline's corners are every third of them.
std::vector<Line> lines_of(const std::string& plain) {
    std::vector<Line> lines;
    for (std::size_t at = 0; at < plain.size();) {
        const std::size_t end = std::min(plain.find('\n', at), plain.size());
        std::string_view line(plain.data() + at, end - at);
        at = end + 1;
        if (!line.starts_with("edge ")) continue;
        for (int word = 0; word < 3; ++word) line.remove_prefix(std::min(line.find(' ') + 1, line.size()));
        const auto count = static_cast<int>(figure(line));
        Line points;
        for (int i = 0; i < count; ++i) {
            const double x = figure(line), y = figure(line);
            if (i % 3 == 0) points.push_back({x, y});
        }
        lines.push_back(std::move(points));
    }
    return lines;
}

double side(P a, P b, P c) { return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x); }

// Properly: two that only touch do not cross.
bool cross(P a, P b, P c, P d) {
    constexpr double nothing = 1e-9;
    return side(a, b, c) * side(a, b, d) < -nothing && side(c, d, a) * side(c, d, b) < -nothing;
}

int crossings(const std::vector<Line>& lines) {
    int count = 0;
    for (std::size_t i = 0; i < lines.size(); ++i)
        for (std::size_t j = i + 1; j < lines.size(); ++j)
            for (std::size_t k = 0; k + 1 < lines[i].size(); ++k)
                for (std::size_t l = 0; l + 1 < lines[j].size(); ++l)
                    count += cross(lines[i][k], lines[i][k + 1], lines[j][l], lines[j][l + 1]) ? 1 : 0;
    return count;
}

double seconds_of_children() {
    rusage use{};
    getrusage(RUSAGE_CHILDREN, &use);
    const auto part = [](const timeval& t) {
        return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) * 1e-6;
    };
    return part(use.ru_utime) + part(use.ru_stime);
}

} // namespace

std::optional<Peer> dot_draws(const draw::Sketch& sketch, Splines splines, int seconds_at_most) {
    const std::string file =
        (std::filesystem::temp_directory_path() / fmt::format("loomproof-bench-{}.gv", getpid())).string();
    std::ofstream(file) << graph_of(sketch, splines);
    const double before = seconds_of_children();
    FILE* pipe = popen(fmt::format("timeout {} dot -Tplain '{}' 2>/dev/null", seconds_at_most, file).c_str(), "r");
    if (pipe == nullptr) return std::nullopt;
    std::string plain;
    std::array<char, 65536> room{};
    for (std::size_t got; (got = std::fread(room.data(), 1, room.size(), pipe)) > 0;) plain.append(room.data(), got);
    const int status = pclose(pipe);
    std::filesystem::remove(file);
    if (status != 0 || plain.empty()) return std::nullopt;
    return Peer{crossings(lines_of(plain)), seconds_of_children() - before};
}

} // namespace loomproof::bench
