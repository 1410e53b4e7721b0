/// Positions of controls and expectations: what is understood, what is asked back.

#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "circuit/wishes.hpp"

#include <doctest/doctest.h>

using namespace loomproof;

namespace {

const std::string car = R"(loom 1
battery, 60 Ah
switch S1 "ignition" { off* | accessory connects 30 with 15R | run connects 30 with 15R and 15 | start connects 30 with 15 and 50, springs back }
switch S5, thermal
switch S6 {
  section lights { off* | side connects 1 with 58 | head connects 1 with 58 and 56 }
  section dip { dip* connects 56 with 56b | main connects 56 with 56a | off connects 56 with 57 }
}
switch S4, push
relay K1, 4-pin
existing wire T1, live when "main beam on"
lamp E1, 60/55 W, filaments main and dip
motor M2, 9 A
still to wire: S1:30
)";

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& more = {}) { reading = read_circuit_text(sources, "test.loom", car + more); }
    std::string wish(const std::string& text) const {
        const Circuit& c = reading.circuit;
        const Result<Wish> w = read_wish(c, text);
        if (!w) return "? " + w.error();
        std::string out;
        for (const Wish::At& at : w->at) {
            const Control& control = c.at(at.control);
            out +=
                (out.empty() ? "" : ", ") + name_of(c, control.part) + (control.name.empty() ? "" : " " + control.name);
            for (std::size_t i = 0; i < control.positions.size(); ++i)
                if (at.positions >> i & 1) out += " " + control.positions[i];
        }
        if (w->engine_running) out += *w->engine_running ? " engine running" : " engine stopped";
        return out;
    }
};

} // namespace

TEST_CASE("positions as people say them") {
    const Read r;
    CHECK(r.reading.findings.empty());
    CHECK(r.wish("") == "");
    CHECK(r.wish("S1 run") == "S1 run");
    CHECK(r.wish("s1 RUN, S5 on") == "S1 run, S5 on");
    CHECK(r.wish("S1 run or start and S5 hot") == "S1 run start, S5 on");
    CHECK(r.wish("S5 cold, S4 pressed") == "S5 off, S4 on");
    CHECK(r.wish("S6 head") == "S6 lights head");
    CHECK(r.wish("S6.dip main") == "S6 dip main");
    CHECK(r.wish("S6 lights off") == "S6 lights off");
    CHECK(r.wish("K1 pulled in") == "K1 pulled in");
    CHECK(r.wish("K1 at rest") == "K1 rest");
    CHECK(r.wish("\"main beam on\"") == "T1 main beam on yes");
    CHECK(r.wish("no \"Main beam on\", engine running") == "T1 main beam on no engine running");
    CHECK(r.wish("\"Main beam on\" no, engine running") == "T1 main beam on no engine running");
}

TEST_CASE("positions that are not understood are asked back, with what there is") {
    const Read r;
    CHECK(r.wish("S1 go") == "? S1 has no position \"go\". Its positions: off, accessory, run and start.");
    CHECK(r.wish("S8 on") == "? Nothing here is called S8. Did you mean S1?");
    CHECK(r.wish("S6 off") == "? S6 has that position in two sections. Name the section too: S6 lights off");
    CHECK(r.wish("M2 on") == "? M2 has no positions. Name a switch, a relay, or a condition in quotes.");
    CHECK(r.wish("S1") == "? The position of S1 is missing. Type: when S1 start");
    CHECK(r.wish("\"rain\"") == "? Nothing here hangs on \"rain\". Known here: \"main beam on\".");
    CHECK(r.wish("S1 run\nS5 on").substr(0, 2) == "? ");
}

TEST_CASE("expectations are read with their parts") {
    const Read r("expect M2 on when S1 run, S5 on\nexpect M2 off when S1 off or accessory\nexpect E1.main at least "
                 "12.8 V when S6 head, S6 dip main\nexpect M2 between 5 V and 7 V\n"
                 "never E1.main with E1.dip\nexpect never E1:main with M2\n");
    CHECK(r.reading.findings.empty());
    const auto& all = r.reading.circuit.expectations;
    REQUIRE(all.size() == 6);
    using What = Expectation::What;
    CHECK(all[0].what == What::on);
    CHECK(all[0].when.at.size() == 2);
    CHECK(all[1].what == What::off);
    CHECK(all[1].when.at[0].positions == 0b11);
    CHECK(all[2].what == What::at_least);
    CHECK(all[2].low.nominal.si == 12.8);
    CHECK(r.reading.circuit.at(all[2].filament).stamp == "main");
    CHECK(all[3].what == What::between);
    CHECK(all[3].high.nominal.si == 7);
    CHECK(all[3].when.at.empty());
    CHECK(all[4].what == What::never_with);
    CHECK(r.reading.circuit.at(all[4].other_filament).stamp == "dip");
    CHECK_FALSE(all[5].other_filament.exists());
    CHECK(all[5].text == "expect never E1:main with M2");
}

TEST_CASE("expectations that are not understood are faults of the text, and judged by nobody") {
    for (const auto& [text, headline] : {std::pair{"expect M2 fast", "What is expected of M2 is not understood."},
                                         {"expect M9 on", "Nothing here is called M9; M2 is near."},
                                         {"expect M2 on when S1 go", "S1 has no position \"go\"."},
                                         {"expect M2 at least 12", ""},
                                         {"expect E1.high on", "E1 has no filament \"high\"."},
                                         {"never E1", "Never together with what?"},
                                         {"expect M2 on in summer", "\"in\" is not known in an expectation."}}) {
        const Read r(std::string(text) + "\n");
        INFO(text);
        REQUIRE(r.reading.findings.size() >= 1);
        if (*headline) CHECK(r.reading.findings.front().headline == headline);
        for (const Expectation& e : r.reading.circuit.expectations) CHECK(e.what == Expectation::What::not_understood);
    }
}
