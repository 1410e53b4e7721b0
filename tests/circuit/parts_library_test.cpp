/// Every file of the parts library reads without a question, and every type in it can be used.

#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "reference/fuses.hpp"
#include "support/places.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <vector>

using namespace loomproof;

namespace {

struct Type {
    std::string name, kind, line;
};

/// The types of a file, by its lines: type NAME is a KIND, ...
std::vector<Type> types_of(const std::string& text) {
    std::vector<Type> out;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        const std::size_t is = line.find(" is a ");
        if (!line.starts_with("type ") || is == std::string::npos) continue;
        std::string name = line.substr(5, is - 5);
        std::erase(name, '"');
        out.push_back({name, line.substr(is + 6, line.find(',', is) - is - 6), line});
    }
    return out;
}

std::vector<std::string> files() {
    std::vector<std::string> out;
    for (const auto& entry : std::filesystem::directory_iterator(support::source_path("netlists/parts")))
        if (entry.path().extension() == ".loom") out.push_back(entry.path().filename().string());
    std::ranges::sort(out);
    return out;
}

Result<std::string> load(const std::string& path) {
    if (path == "main.loom") return std::string{};
    return support::read_file(support::source_path("netlists/" + path));
}

Reading read_with(Sources& sources, const std::string& main) {
    return read_circuit(sources, "main.loom", [&](const std::string& path) {
        return path == "main.loom" ? Result<std::string>(main) : load(path);
    });
}

std::string headlines(const Reading& r) {
    std::string out;
    for (const Finding& f : r.findings) out += f.headline + "\n";
    return out;
}

} // namespace

TEST_CASE("every file of the parts library reads, says where its figures come from, and every type in it can be used") {
    REQUIRE(files().size() >= 5);
    std::size_t used = 0;
    for (const std::string& file : files()) {
        CAPTURE(file);
        const std::string text = support::read_file(support::source_path("netlists/parts/" + file));
        const bool sourced = text.find("confirmed") != std::string::npos ||
                             text.find("from memory") != std::string::npos ||
                             text.find("computed") != std::string::npos;
        CHECK(sourced);
        std::string main = "loom 1\nuse \"parts/" + file + "\"\n";
        std::size_t n = 0;
        for (const Type& t : types_of(text)) {
            const std::string number = std::to_string(++n);
            main += t.kind == "wire" ? "wire W" + number + " from ground to nothing, as \"" + t.name + "\"\n"
                                     : t.kind + " T" + number + (t.kind == "connector" ? ", 2 holes" : "") + ", as \"" +
                                           t.name + "\"\n";
        }
        used += n;
        CHECK(n > 0);
        Sources sources;
        CHECK(headlines(read_with(sources, main)) == "");
    }
    CHECK(used > 100);
}

TEST_CASE("lamps take the watts of their category, at 12 V") {
    // Rated watts in UN Regulation 37: P21/5W and H17 from the sheets, H1, H3 and H4 from an encyclopedia's copy or from memory.
    const std::map<std::string, std::pair<double, double>> rated = {{"H1", {55, 0}},   {"H4", {60, 55}},
                                                                    {"H17", {35, 35}}, {"P21/5W", {21, 5}},
                                                                    {"W5W", {5, 0}},   {"H4 24 V", {75, 70}}};
    for (const auto& [name, watts] : rated) {
        CAPTURE(name);
        Sources sources;
        const Reading r = read_with(sources, "loom 1\nuse \"parts/lamps.loom\"\nlamp E1 as \"" + name + "\"\n");
        const View view = View::now(r.circuit);
        CHECK(view.watts(PartId{0}, Attr::power).nominal.si == watts.first);
        CHECK(view.volts(PartId{0}, Attr::voltage_at).nominal.si == (name.ends_with("24 V") ? 24 : 12));
        if (watts.second > 0) CHECK(view.watts(PartId{0}, Attr::power2).nominal.si == watts.second);
    }
}

TEST_CASE("plug-in fuses of the library are ones that are made, in the colour that their line says") {
    const std::string text = support::read_file(support::source_path("netlists/parts/fuses.loom"));
    for (const Type& t : types_of(text)) {
        CAPTURE(t.line);
        const auto style = reference::find_protector(t.name.starts_with("maxi") ? "maxi" : "blade");
        const auto made = reference::find_fuse(style.value(), Amps{std::stod(t.name.substr(t.name.find(' ')))});
        REQUIRE(made);
        std::string said = t.line.substr(t.line.find("// ") + 3), table(made->colour);
        CHECK(said.substr(0, 3) == table.substr(0, 3)); // "clear" and "clear (natural)", "tan or amber" and "tan"
    }
}
