// What check found is marked on the drawing where the part is, and said at the foot of every sheet.
#include "draw/picture.hpp"
#include "draw/remarks.hpp"

#include "circuit/read.hpp"
#include "draw/bench.hpp"
#include "draw/draw.hpp"
#include "draw/from_circuit.hpp"
#include "draw/measure.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"
#include "support/text.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <regex>
#include <set>
#include <tuple>

using namespace loomproof;
using tests::count;
using namespace loomproof::draw;

namespace {

Finding found(Severity severity, std::string headline, std::vector<std::string> subjects) {
    Finding f;
    f.severity = severity;
    f.headline = std::move(headline);
    f.subjects = std::move(subjects);
    return f;
}

test::Bench two_lamps() {
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    for (const char* n : {"1", "2"}) {
        const std::string fuse = std::string("F") + n, lamp = std::string("E") + n;
        b.pair(SymbolKind::fuse, fuse);
        b.pair(SymbolKind::lamp, lamp);
        b.wire(2.5, "RD", {"battery:+", fuse});
        b.wire(1, "GN", {fuse, "X1:" + std::string(n), lamp});
        b.wire(1, "BN", {lamp, "GND1"});
    }
    b.wire(16, "BK", {"battery:-", "GND1"});
    return b;
}

struct Written {
    std::string kind, text;
    double x = 0, y = 0;
};
std::vector<Written> written_on(const std::string& svg) {
    static const std::regex one("<text class=\"([^\"]*)\" x=\"([^\"]*)\" y=\"([^\"]*)\"[^>]*>([^<]*)<");
    std::vector<Written> out;
    for (std::sregex_iterator at(svg.begin(), svg.end(), one), end; at != end; ++at)
        out.push_back({(*at)[1], (*at)[4], std::stod((*at)[2]), std::stod((*at)[3])});
    return out;
}

// What stands beside the words of a finding in the contents: its sheet, and its path or 0.
std::pair<std::size_t, int> place_in_contents(const SheetSet& set, const std::string& finding) {
    static const std::regex place("sheet.([0-9]+)(, path.([0-9]+))?");
    for (const SheetDrawing& page : set.contents) {
        const std::vector<Written> all = written_on(page.drawing.svg);
        for (const Written& words : all)
            for (const Written& where : all) {
                std::smatch found;
                if (words.text != finding || where.y != words.y || !std::regex_match(where.text, found, place))
                    continue;
                return {std::stoul(found[1]), found[3].matched ? std::stoi(found[3]) : 0};
            }
    }
    return {0, 0};
}

// Where the upright runs stand of all wires that are called so or end at what is called so.
std::vector<double> runs_of(const std::string& svg, const std::string& name) {
    static const std::regex corner("[ML]([-0-9.]+) [-0-9.]+");
    std::vector<double> xs;
    for (std::size_t at = svg.find("<g id=\"w-"); at != std::string::npos; at = svg.find("<g id=\"w-", at + 1)) {
        const std::string group = svg.substr(at, svg.find("</g>", at) - at), head = group.substr(0, group.find('>'));
        const bool is_it = head.find("\"w-" + name + "\"") != std::string::npos ||
                           head.find("\"w-" + name + "-2f") != std::string::npos ||
                           head.find("\"s-" + name + "\"") != std::string::npos;
        const std::size_t path = group.find(" d=\"");
        if (!is_it || path == std::string::npos) continue;
        const std::string data = group.substr(path + 4, group.find('"', path + 4) - path - 4);
        for (std::sregex_iterator i(data.begin(), data.end(), corner), end; i != end; ++i)
            xs.push_back(std::stod((*i)[1]));
    }
    return xs;
}

} // namespace

TEST_CASE("each finding is marked at the first of its subjects that is drawn; a note gets no mark") {
    Sketch sketch = two_lamps().sketch;
    sketch.wires[0].name = "W1";
    sketch.wires[1].name.clear();
    sketch.wires[1].hint = "the green wire from F1 to E1, 0.5 m";
    remark(sketch,
           {found(Severity::danger, "W1 burns.", {"w1", "F1"}),
            found(Severity::fault, "E2 stays dark.", {"K7", "E2:1"}), found(Severity::note, "By the way.", {"F2"}),
            found(Severity::advice, "Hole.", {"X1:2"}),
            found(Severity::advice, "Nameless.", {"the green wire from F1 to E1"}),
            found(Severity::fault, "Nowhere.", {"S9"})},
           "Check: 1 danger, 2 faults, 2 advice, 1 note.");
    REQUIRE(sketch.remarks.size() == 5);
    CHECK(sketch.remarks[0].text == "Danger: W1 burns.");
    using Marks = std::vector<std::string>;
    CHECK(sketch.wires[0].remarks == Marks{"D1"});
    CHECK(sketch.wires[1].remarks == Marks{"A4"});
    for (const Symbol& s : sketch.symbols)
        CHECK(s.remarks == (s.name == "E2" ? Marks{"F2"} : s.name == "X1:2" ? Marks{"A3"} : Marks{}));
    CHECK(sketch.remarks[3].shown);
    CHECK_FALSE(sketch.remarks[4].shown);
}

TEST_CASE("what follows from a finding and is worse is said with it") {
    Finding cause = found(Severity::fault, "K2 is wired wrong.", {"F1"});
    cause.consequences = {found(Severity::danger, "The engine cannot be stopped.", {}),
                          found(Severity::advice, "It hums.", {})};
    cause.certainty = Certainty::undecided;
    Sketch sketch = two_lamps().sketch;
    remark(sketch, {cause}, "Check: 1 fault.");
    CHECK(sketch.remarks[0].text ==
          "Fault (undecided): K2 is wired wrong. And so danger: The engine cannot be stopped.");
}

TEST_CASE("a page with findings shows their marks and says them at its foot; a clean one says what check says") {
    Sketch sketch = two_lamps().sketch;
    sketch.wires[0].name = "W1";
    std::vector<Finding> findings;
    for (int i = 0; i < 10; ++i) findings.push_back(found(Severity::fault, "One of many.", {"F2"}));
    findings.push_back(found(Severity::danger, "W1 burns.", {"W1"}));
    for (const bool clean : {true, false}) {
        Sketch drawn = sketch;
        remark(drawn, clean ? std::vector<Finding>{} : findings, clean ? "Check: nothing." : "Check: 1 danger.");
        const Result<Drawing> drawing = draw::draw(drawn);
        REQUIRE(drawing);
        const std::string& svg = drawing->svg;
        CHECK(count(svg, clean ? ">Check: nothing.<" : ">Check: 1 danger.<") == 1);
        // Each mark at its thing, and again before its words.
        CHECK(count(svg, "class=\"mark-number\"") == (clean ? 0 : 22));
        CHECK(count(svg, ">Danger: W1 burns.<") == (clean ? 0 : 1));
        const test::Measure m = test::measure(svg);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
        CHECK(m.outside == 0);
    }
}

TEST_CASE("every sheet of several says what check says, and which marks are on it; the contents where they are") {
    Sketch sketch = test::made_up(12, 5);
    REQUIRE(sketch.wires.size() > 60);
    std::vector<Finding> findings;
    for (const std::size_t s : {std::size_t{3}, sketch.symbols.size() / 2, sketch.symbols.size() - 3})
        findings.push_back(
            found(Severity::fault, "Something at " + sketch.symbols[s].name + ".", {sketch.symbols[s].name}));
    remark(sketch, findings, "Check: 3 faults.");
    const Result<SheetSet> set = draw_set(sketch, paper::a4);
    REQUIRE(set);
    REQUIRE(set->sheets.size() > 2);
    std::size_t said = 0;
    for (const SheetDrawing& sheet : set->sheets) {
        const std::string& svg = sheet.drawing.svg;
        CHECK(svg.find("Check: 3 faults.") != std::string::npos);
        const std::size_t here = count(svg, ">Fault: Something");
        CHECK((svg.find("None of the marks is on this sheet.") != std::string::npos) == (here == 0));
        CHECK(count(svg, "class=\"mark-number\"") >= 2 * here);
        said += here;
        const test::Measure m = test::measure(svg);
        for (const std::string& line : m.overlaps) CHECK_MESSAGE(false, line);
    }
    CHECK(said >= 3);
    CHECK(count(set->contents.front().drawing.svg, ">Fault: Something") == 3);
}

TEST_CASE("the contents name the sheet on which a finding's mark stands, and a path that what it is about has") {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    files.push_back(support::source_path("netlists/demo-vehicle.loom"));
    int marks = 0;
    for (const auto& file : files) {
        CAPTURE(file.string());
        const Reading reading = support::read_circuit_file(file);
        if (!reading.readable || reading.circuit.wires.empty()) continue;
        Sketch sketch = sketch_of(View::now(reading.circuit));
        // Long wires are where it went wrong: the battery's, and some of the others; some parts.
        std::vector<Finding> findings;
        std::set<std::string> met;
        const auto find = [&](const std::string& name) {
            if (!name.empty() && findings.size() < 20 && met.insert(name).second)
                findings.push_back(found(Severity::fault, "About " + name + ".", {name}));
        };
        for (const draw::Wire& w : sketch.wires)
            if (sketch.symbols[static_cast<std::size_t>(w.a.symbol)].kind == SymbolKind::battery ||
                sketch.symbols[static_cast<std::size_t>(w.b.symbol)].kind == SymbolKind::battery)
                find(w.name);
        for (std::size_t w = 3; w < sketch.wires.size(); w += 9) find(sketch.wires[w].name);
        for (std::size_t s = 5; s < sketch.symbols.size(); s += 11) find(sketch.symbols[s].name);
        remark(sketch, findings, "Check: faults.");
        const Result<SheetSet> set = draw_set(sketch, paper::a4);
        REQUIRE(set);
        if (set->contents.empty()) continue;
        for (const Remark& r : sketch.remarks) {
            CAPTURE(r.text);
            const auto [sheet, path] = place_in_contents(*set, r.text);
            if (!r.shown) continue;
            REQUIRE(sheet > 0);
            REQUIRE(sheet <= set->sheets.size());
            const std::vector<Written> all = written_on(set->sheets[sheet - 1].drawing.svg);
            double lowest = 0; // the numbers stand under the circuit, what check says under them
            for (const Written& w : all)
                if (w.kind == "path") lowest = std::max(lowest, w.y);
            std::string seen;
            bool near = false, there = false;
            for (const Written& mark : all) {
                if (mark.kind != "mark-number" || mark.text != number_of_mark(r.mark) || mark.y > lowest) continue;
                there = true;
                seen += ", mark at " + std::to_string(mark.x);
                double nearest = 1e9, named = 1e9;
                for (const Written& w : all)
                    if (w.kind == "path") {
                        nearest = std::min(nearest, std::abs(w.x - mark.x));
                        if (w.text == std::to_string(path)) named = std::abs(w.x - mark.x);
                    }
                near = near || named <= nearest + 0.02;
            }
            // The wire itself has that path; other wires pass beside a mark on a level run.
            const std::string about = r.text.substr(sizeof "Fault: About " - 1, r.text.size() - sizeof "Fault: About ");
            const std::vector<double> runs = runs_of(set->sheets[sheet - 1].drawing.svg, about);
            if (about.starts_with('W') && there && !runs.empty()) {
                near = false;
                for (const Written& w : all)
                    if (w.kind == "path" && w.text == std::to_string(path))
                        near = std::any_of(runs.begin(), runs.end(), [&](double x) { return std::abs(x - w.x) < 1; });
            } else if (!near)
                for (const Written& w : all)
                    if (w.kind == "path" && w.text == std::to_string(path))
                        near = std::any_of(runs.begin(), runs.end(), [&](double x) { return std::abs(x - w.x) < 1; });
            CHECK_MESSAGE((path == 0 ? !there : near), "sheet " << sheet << ", path " << path << seen);
            ++marks;
        }
    }
    CHECK(marks > 100);
    MESSAGE(marks << " marks");
}

TEST_CASE("what check found is marked where it is, though wires crowd there: labels give way") {
    const Reading reading = support::read_circuit_file(support::source_path("netlists/demo-vehicle.loom"));
    REQUIRE(reading.readable);
    Sketch sketch = sketch_of(View{reading.circuit, static_cast<Revision>(reading.circuit.revisions.size() - 1)});
    for (draw::Wire& wire : sketch.wires)
        if (wire.name == "W80") wire.remarks = {"D1"};
    sketch.remarks = {{"D1", "Danger: nothing protects it."}};
    REQUIRE(remember_places(sketch, sketch_of(View::factory(reading.circuit))));
    const Result<SheetSet> set = draw_set(sketch, paper::a4);
    REQUIRE(set);
    REQUIRE(set->overview);
    CHECK(set->overview->drawing.svg.find("had no room") == std::string::npos);
}
