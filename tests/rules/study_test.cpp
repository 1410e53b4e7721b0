// The solid reference and the live poles: on either polarity, in series, with several batteries, and with poles that nobody tied.
#include "rules/study.hpp"

#include "support/handmade.hpp"

#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using rules::Study;
using support::Handmade;

namespace {

std::vector<std::string> poles(const Study& s) {
    std::vector<std::string> names;
    for (TerminalId t : s.strong_sources) names.push_back(s.circuit.part_of(t).name + ":" + s.circuit.at(t).stamp);
    return names;
}

using Names = std::vector<std::string>;

} // namespace

TEST_CASE("the reference is what hangs on the ground pole by wires, joints and straps alone") {
    Handmade h;
    h.battery("battery");
    h.ground("GND1");
    h.toggle("S1");
    h.fuse("F1", 10);
    h.load("E1", 5);
    h.splice("SP1");
    h.wire("battery:-", "GND1");
    h.wire("GND1", "SP1");
    h.wire("SP1", "S1:1"); // beyond a switch, a fuse, a load: no reference
    h.wire("SP1", "F1:1");
    h.wire("SP1", "E1:2");
    const Study s(h.circuit);
    for (const char* t : {"battery:-", "GND1", "body", "SP1", "S1:1", "F1:1", "E1:2"})
        CHECK_MESSAGE(s.reference[h.at(t).index], t);
    for (const char* t : {"battery:+", "S1:2", "F1:2", "E1:1"}) CHECK_MESSAGE(!s.reference[h.at(t).index], t);
    CHECK(poles(s) == Names{"battery:+"});
    CHECK(s.from_plus());
}

TEST_CASE("positive ground: the minus pole is live") {
    Handmade h;
    h.circuit.vehicle.positive_ground = true;
    h.battery("battery");
    h.wire("battery:+", "body");
    h.supply("Z1", 10);
    const Study s(h.circuit);
    CHECK(s.reference[h.at("battery:+").index]);
    CHECK(poles(s) == Names{"battery:-", "Z1:feed"});
    CHECK_FALSE(s.from_plus());
}

TEST_CASE("two batteries in series: both poles of the upper one are live, and its minus is no reference") {
    Handmade h;
    h.battery("A");
    h.battery("B");
    h.wire("A:-", "body");
    h.wire("A:+", "B:-");
    const Study s(h.circuit);
    CHECK(poles(s) == Names{"A:+", "B:+", "B:-"});
    CHECK_FALSE(s.reference[h.at("B:-").index]);
    CHECK(s.reference[h.at("A:-").index]);
}

TEST_CASE("two batteries side by side: one plus each; a ground pole that nobody tied is a reference of its own") {
    Handmade h;
    h.battery("A");
    h.battery("B");
    h.wire("A:-", "body");
    const Study s(h.circuit);
    CHECK(poles(s) == Names{"A:+", "B:+"});
    CHECK(s.reference[h.at("B:-").index]);
}

TEST_CASE("a feed that is not drawn is strong behind its own fuse; an alternator limits itself") {
    Handmade h;
    h.supply("T1", 10, "main beam on", Kind::existing_wire);
    h.alternator("G2", 65);
    const Study s(h.circuit);
    CHECK(poles(s) == Names{"T1:feed"});
    REQUIRE(s.limited.size() == 1);
    CHECK(s.limited.front().pole == h.at("G2:B+"));
    CHECK(s.reference[h.at("body").index]);
    CHECK(s.reference[h.at("G2:-").index]);
}

TEST_CASE("a pole that is joined straight to the reference is not live: that is a short, and another rule's") {
    Handmade h;
    h.battery("A");
    h.wire("A:-", "body");
    h.wire("A:+", "body");
    const Study s(h.circuit);
    CHECK(poles(s).empty());
}

TEST_CASE("an empty circuit has neither") {
    const Handmade h;
    const Study s(h.circuit);
    CHECK(s.strong_sources.empty());
    CHECK(s.limited.empty());
    CHECK(s.leads.empty());
}
