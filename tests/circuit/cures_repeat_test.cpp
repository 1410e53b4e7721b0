/// A cure repeats what was typed: the writer's own figures and names, never those of the manual's example.

#include "circuit/begun.hpp"
#include "circuit/examples.hpp"
#include "circuit/kind.hpp"
#include "circuit/read.hpp"

#include <doctest/doctest.h>

#include <string>
#include <utility>
#include <vector>

using namespace loomproof;

namespace {

const std::string base = R"(loom 1
vehicle "Van", 12 V
battery G1, 70 Ah
fuse F1, 10 A
fuse F2, 10 A
lamp E1, 55 W
motor M2, 5 A
)";

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& lines, const std::string& top = base) {
        reading = read_circuit_text(sources, "test.loom", top + lines + "\n");
    }
    std::string said() const {
        std::string out;
        for (const Finding& f : reading.findings) {
            out += f.headline + "\n";
            for (const Remedy& r : f.cures) out += "  " + r.text + "\n";
        }
        return out;
    }
    bool says(const std::string& what) const { return said().find(what) != std::string::npos; }
};

std::string replaced(std::string text, const std::string& what, const std::string& by) {
    for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += by.size())
        text.replace(at, what.size(), by);
    return text;
}

} // namespace

TEST_CASE("of every pattern with a figure: where its unit is left out the cure holds the typed figure") {
    std::size_t tried = 0;
    for (const KindSpec& kind : kind_table()) {
        if (!kind.keyword) continue;
        for (const AttrSpec& a : kind.attributes) {
            std::string pattern = a.pattern;
            bool figure = false;
            for (std::string_view element : elements_of(a.pattern)) {
                const auto unit = unit_of_gap(element);
                if (unit && *unit != Unit::count)
                    figure = true, pattern = replaced(pattern, std::string(element), "7.5");
            }
            if (!figure) continue;
            AttrSpec bare = a;
            bare.pattern = pattern.c_str();
            const std::string line = std::string(kind.keyword) + " Q9, " + as_typed(bare);
            const Read read(line);
            if (read.reading.findings.empty()) continue; // "7.5" of what nobody has to say the unit of
            ++tried;
            INFO(line << "\n" << read.said());
            bool with_unit = false;
            for (const Finding& f : read.reading.findings)
                for (const Remedy& r : f.cures)
                    for (const char* unit : {" A", " V", " W", " ohm", " m", " mm", " Ah", " degC", " mm2", " awg",
                                             " uF", " s", " Hz", " bar"})
                        with_unit = with_unit || r.text.find(std::string("7.5") + unit) != std::string::npos;
            CHECK(with_unit);
        }
    }
    CHECK(tried > 60);
}

TEST_CASE("a fuse's figure without its unit is repeated with it") {
    CHECK(Read("existing wire T1 \"main beam\", blue/white, behind 15").says("behind 15 A"));
    CHECK(Read("existing wire T1 \"main beam\", behind 7.5, live when \"main beam on\"")
              .says("Type: existing wire T1 \"main beam\", behind 7.5 A, live when \"main beam on\""));
    CHECK_FALSE(Read("existing wire T1 \"main beam\", behind 15 W").says("20 A"));
}

TEST_CASE("a cut repeats its wire, its metres and its ends") {
    const std::string wire = "wire W14 from F1:2 to M2:+, 2.5 mm2 red, 2 m\n";
    const Read unnamed(wire + "job \"Fan\" planned {\n  cut W14 0.2 m from M2\n}");
    INFO(unnamed.said());
    CHECK(unnamed.says("Type: cut W14 0.2 m from M2: W14x stays at F1, W14f stays at M2"));
    CHECK_FALSE(unnamed.says("X7"));
    CHECK(Read(wire + "job \"Fan\" planned {\n  cut W14 0.2 m from M2: W14x stays at F1, W14f stays at M2\n}")
              .reading.findings.empty());
    CHECK_FALSE(Read(wire + "job \"Fan\" planned {\n  cut W14 0.2 m\n}").says("X7"));
}

TEST_CASE("1,5mm of a wire is asked back in one step") {
    const Read read("wire from F1 to E1, 1,5mm red, 1 m");
    INFO(read.said());
    CHECK(read.says("wire from F1 to E1, 1.5 mm2 red, 1 m"));
    CHECK_FALSE(read.says("Write 1.5 mm."));
    CHECK(Read("wire from F1 to E1, 1,5 mm red, 1 m").says("wire from F1 to E1, 1.5 mm2 red, 1 m"));
    CHECK(Read("wire from F1 to E1, 1.5 mm2 red, 1 m").reading.findings.empty());
}

TEST_CASE("letters that are no colour are named, with the near one and the line") {
    for (const std::string& top : {base, replaced(base, "\nbattery", "\ncolours american\nbattery")}) {
        const Read white("wire from F1 to E1, 18 awg bk/wt, 1 m", top),
            blue("wire from F1 to E1, 1.5 mm2 BN/bl, 1 m", top);
        INFO(white.said() << blue.said());
        CHECK(white.says("\"wt\" is no colour"));
        CHECK(white.says("wire from F1 to E1, 18 awg bk/wh, 1 m"));
        CHECK(blue.says("\"bl\" is no colour"));
        CHECK(blue.says("wire from F1 to E1, 1.5 mm2 BN/bu, 1 m"));
        CHECK(white.reading.findings.size() == 1);
    }
    CHECK(Read("wire from F1 to E1, 12 awg rde, 1 m").says("Type: wire from F1 to E1, 12 awg red, 1 m"));
    CHECK(Read("wire from F1 to E1, 18 awg bk/wh, 1 m").reading.findings.empty());
}

TEST_CASE("what is unknown of a wire gets its unit") {
    CHECK(Read("wire from F1 to E1, 12 awg red, unknown").says("Type: wire from F1 to E1, 12 awg red, unknown m"));
    CHECK(Read("wire from F1 to E1, unknown, red, 2 m").says("Type: wire from F1 to E1, unknown mm2, red, 2 m"));
    CHECK(Read("wire from F1 to E1, ? red, 2 m").says("wire from F1 to E1, unknown mm2 red, 2 m"));
    CHECK(Read("wire from F1 to E1, 1.5 mm2 red, ?").says("wire from F1 to E1, 1.5 mm2 red, unknown m"));
    CHECK(Read("wire from F1 to E1, unknown mm2 red, 2 m").reading.findings.empty());
}

TEST_CASE("when a feed is live, in other words: the cure is a line that is read") {
    const std::pair<std::string, std::string> pairs[] = {
        {"existing wire T1 \"plug\", 12V when main beam on, behind 15 A",
         "existing wire T1 \"plug\", live when \"main beam on\", behind 15 A"},
        {"existing wire T1 \"plug\", live when main beam on", "existing wire T1 \"plug\", live when \"main beam on\""},
        {"supply Z1 \"box\", +12 V with ignition on, behind 40 A",
         "supply Z1 \"box\", live when \"ignition on\", behind 40 A"},
        {"existing wire T1 \"plug\", 12 V always", "existing wire T1 \"plug\", live always"}};
    for (const auto& [typed, meant] : pairs) {
        const Read slip(typed), right(meant);
        INFO(typed << "\n" << slip.said() << right.said());
        CHECK(slip.says("Type: " + meant));
        CHECK(slip.reading.findings.size() == 1);
        CHECK(right.reading.findings.empty());
    }
}

TEST_CASE("a ground by its place and a plus by its volts") {
    const Read ground("wire from M2:- to left wing, 1.5 mm2 black, 1 m");
    INFO(ground.said());
    CHECK(ground.says("ground GND1 \"left wing\""));
    CHECK(ground.says("wire from M2:- to GND1, 1.5 mm2 black, 1 m"));
    CHECK(Read("ground GND1 \"left wing\"\nwire from M2:- to GND1, 1.5 mm2 black, 1 m").reading.findings.empty());
    const Read plus("wire from +12V to F1, 1.5 mm2 red, 1 m");
    INFO(plus.said());
    CHECK(plus.says("wire from battery:+ to F1, 1.5 mm2 red, 1 m"));
    CHECK(plus.says("existing wire T1"));
    CHECK_FALSE(plus.says("to nothing"));
}
