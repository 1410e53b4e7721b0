// The SVG as a file: what strangers' viewers, style sheets and scripts of the bench page may rely on.
#include "draw/svg.hpp"

#include "draw/bench.hpp"
#include "draw/draw.hpp"
#include "draw/labels.hpp"
#include "draw/measure.hpp"

#include <doctest/doctest.h>
#include <pugixml.hpp>

#include <algorithm>
#include <clocale>
#include <functional>
#include <locale>
#include <set>
#include <string>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

std::string svg_of(const Sketch& sketch, const Options& options = {}) {
    const Result<Drawing> drawing = draw::draw(sketch, options);
    REQUIRE_MESSAGE(drawing, drawing.error());
    return drawing->svg;
}

void each(pugi::xml_node node, const std::function<void(pugi::xml_node)>& visit) {
    visit(node);
    for (pugi::xml_node child : node.children()) each(child, visit);
}

pugi::xml_document parsed(const std::string& svg) {
    pugi::xml_document document;
    const pugi::xml_parse_result result = document.load_string(svg.c_str());
    REQUIRE_MESSAGE(result, result.description());
    return document;
}

// Names from files by people who try: markup, quotes, control characters, broken UTF-8, a very long one.
Sketch hostile() {
    test::Bench b;
    b.sketch.title = "</title><script>alert(1)</script> & \"quotes\"";
    b.add(SymbolKind::battery, "battery", {"+", "-"}, "<b>12 V</b>");
    b.pair(SymbolKind::fuse, "F1\"/><script>alert(1)</script>", "15 A",
           "a\x01"
           "b\x1f",
           "\xff\xfe"
           "broken");
    b.pair(SymbolKind::lamp, "E1 & <![CDATA[x]]>", "21 W", "]]>", "caf\xC3\xA9 \xE6\xBC\xA2\xE5\xAD\x97");
    b.foot("GND1", "javascript:alert(1)");
    b.sketch.symbols.pop_back();
    b.wire(2.5, "RD", {"battery:+", "F1\"/><script>alert(1)</script>"});
    b.wire(1, "GN", {"F1\"/><script>alert(1)</script>", "E1 & <![CDATA[x]]>"}, '<');
    b.wire(1, "BN", {"E1 & <![CDATA[x]]>", "GND1"});
    b.sketch.wires[0].label = "W1 \"<&>'\" onload=x";
    b.sketch.wires[1].colour.main = "url(http://example.org/x)";
    b.sketch.wires[1].key = "a b'c\"d";
    b.sketch.wires[1].hint = std::string(300, '<');
    return b.sketch;
}

} // namespace

TEST_CASE("hostile names stay text") {
    const std::string svg = svg_of(hostile());
    const pugi::xml_document document = parsed(svg);
    std::set<std::string> tags;
    each(document, [&](pugi::xml_node node) {
        if (node.type() == pugi::node_element) tags.insert(node.name());
        for (pugi::xml_attribute a : node.attributes()) {
            const std::string name = a.name(), value = a.value();
            CHECK_FALSE(name.starts_with("on"));
            CHECK(name != "href");
            if (name != "xmlns") CHECK(value.find("http") == std::string::npos);
        }
    });
    CHECK(tags == std::set<std::string>{"svg", "title", "desc", "style", "g", "path", "circle", "text"});
    for (const char c : svg) CHECK((static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t'));
    CHECK(std::string(document.child("svg").child_value("title")) == "</title><script>alert(1)</script> & \"quotes\"");
    const test::Measure m = test::measure(svg);
    CHECK(m.overlaps.empty());
    CHECK(m.ends_on_terminal == 2 * m.wires);
}

TEST_CASE("ids are unique and come from the keys") {
    std::set<std::string> ids;
    int found = 0;
    const pugi::xml_document document = parsed(svg_of(test::touring_car()));
    each(document, [&](pugi::xml_node node) {
        if (!node.attribute("id")) return;
        ++found;
        ids.insert(node.attribute("id").value());
    });
    CHECK(static_cast<int>(ids.size()) == found);
    CHECK(ids.contains("s-K1"));
    CHECK(ids.contains("w-W31"));
    CHECK(ids.contains("s-X1-3a1"));
    CHECK(id_of("K1:30") == "K1-3a30");
    CHECK(id_of("K1-30") != id_of("K1:30"));
    CHECK(id_of("a-b") != id_of("a b"));
}

TEST_CASE("size on paper: a quarter of a millimetre a unit, capitals two and a half millimetres at least") {
    const Result<Drawing> drawing = draw::draw(test::touring_car());
    REQUIRE(drawing);
    const pugi::xml_document document = parsed(drawing->svg);
    const pugi::xml_node svg = document.child("svg");
    CHECK(std::string(svg.attribute("width").value()).ends_with("mm"));
    CHECK(svg.attribute("width").as_double() == doctest::Approx(drawing->width_mm));
    const std::string box = svg.attribute("viewBox").value();
    CHECK(box.starts_with("0 0 "));
    CHECK(std::stod(box.substr(4)) == doctest::Approx(drawing->width_mm * 4));
    const std::string css = svg.child_value("style");
    for (const char* kind :
         {".label{font-size:14px", ".stamp{font-size:14px;font-weight:bold", ".name{font-size:17px;font-weight:bold"})
        CHECK_MESSAGE(css.find(kind) != std::string::npos, kind);
}

TEST_CASE("black and white tells nothing by colour") {
    const std::string svg = svg_of(test::touring_car(), {.black_and_white = true});
    CHECK(svg.find(".core{stroke:#fff!important}") != std::string::npos);
    CHECK(svg.find(".stripe{stroke:#222!important}") != std::string::npos);
}

// Labels and flags keep off as much as a wire is said to take; said too little, they stand as near to a white neighbour as to their own wire.
TEST_CASE("a wire takes as much room as its widest stroke") {
    test::Bench b;
    b.add(SymbolKind::battery, "battery", {"+", "-"});
    for (const double mm2 : {1.0, 6.0, 16.0})
        for (const char* const colour : {"BK", "WH", "WH/BU", "GY/WH"})
            for (const char job : {'\0', 'A'}) {
                const std::string lamp = "E" + std::to_string(b.sketch.symbols.size());
                b.pair(SymbolKind::lamp, lamp);
                b.wire(mm2, colour, {"battery:+", lamp}, job);
            }
    const pugi::xml_document document = parsed(svg_of(b.sketch));
    const std::string css = document.child("svg").child_value("style");
    const auto width_of = [&](const std::string& selector) {
        const std::string rule = selector + "{stroke-width:";
        const std::size_t at = css.find(rule);
        return at == std::string::npos ? 0 : std::stod(css.substr(at + rule.size()));
    };
    int seen = 0;
    each(document, [&](pugi::xml_node node) {
        const std::string classes = node.attribute("class").value();
        if (!classes.starts_with("wire ")) return;
        const std::size_t wire = static_cast<std::size_t>(seen++);
        CAPTURE(classes);
        double widest = 0;
        for (pugi::xml_node path : node.children("path")) {
            const std::string stroke = std::string(" .") + path.attribute("class").value();
            const bool pale = classes.ends_with(" pale");
            const std::string size = "." + classes.substr(5, classes.find(' ', 5) - 5);
            const double heavier = pale ? width_of(".pale" + size + stroke) : 0;
            widest = std::max(widest, heavier > 0 ? heavier : width_of(size + stroke));
        }
        CHECK(widest / 2 == doctest::Approx(half_width(b.sketch.wires[wire])));
    });
    CHECK(seen == 24);
}

TEST_CASE("a locale with a comma changes nothing") {
    struct Comma : std::numpunct<char> {
        char do_decimal_point() const override { return ','; }
        char do_thousands_sep() const override { return '.'; }
        std::string do_grouping() const override { return "\3"; }
    };
    const std::string before = svg_of(test::touring_car());
    const std::locale old = std::locale::global(std::locale(std::locale::classic(), new Comma));
    // The C library's own, too, where one is installed.
    for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8"})
        if (std::setlocale(LC_ALL, name) != nullptr) break;
    const std::string within = svg_of(test::touring_car());
    std::locale::global(old);
    CHECK(within == before);
}

TEST_CASE("nothing to draw, and hardly anything") {
    CHECK(parsed(svg_of({})).child("svg"));
    test::Bench b;
    b.pair(SymbolKind::fuse, "F1", "10 A red");
    const test::Measure m = test::measure(svg_of(b.sketch)); // a part without a wire says so at both ends
    CHECK(m.wires == 0);
    CHECK(m.overlaps.empty());
    CHECK(svg_of(b.sketch).find(">free<") != std::string::npos);
}
