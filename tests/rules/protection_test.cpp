// What protects a wire: hand cases, closed forms, and the definition itself worked out the long way on random nets.
#include "rules/protection.hpp"

#include "rules/fault_current.hpp"
#include "rules/study.hpp"
#include "support/handmade.hpp"
#include "support/random.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using rules::Protection;
using rules::Study;
using support::Handmade;
using test::Random;

namespace {

struct Checked {
    Handmade& h;
    Study study;
    explicit Checked(Handmade& made) : h(made), study(made.circuit) {}
    const Protection& of(std::string_view wire) const {
        for (std::size_t i = 0; i < h.circuit.wires.size(); ++i)
            if (h.circuit.wires[i].name == wire) return study.protection[i];
        throw std::runtime_error("no such wire");
    }
    std::vector<std::string> devices(std::string_view wire) const {
        std::vector<std::string> names;
        for (PrimitiveId p : of(wire).devices) names.push_back(h.circuit.at(h.circuit.at(p).part).name);
        return names;
    }
};

using Names = std::vector<std::string>;

Handmade with_battery() {
    Handmade h;
    h.battery("battery");
    h.wire("battery:-", "body", {.name = "strap"});
    return h;
}

} // namespace

TEST_CASE("a wire is protected by the smallest fuse in the row before it, of two equal ones by the nearer") {
    Handmade h = with_battery();
    h.fuse("F1", 40);
    h.fuse("F2", 15);
    h.fuse("F3", 15);
    h.load("E1", 5);
    h.wire("battery:+", "F1:1", {.name = "W1"});
    h.wire("F1:2", "F2:1", {.name = "W2"});
    h.wire("F2:2", "F3:1", {.name = "W3"});
    h.wire("F3:2", "E1:1", {.name = "W4"});
    h.wire("E1:2", "body", {.name = "W5"});
    const Checked c(h);
    CHECK(c.of("W1").unprotected);
    CHECK(c.of("W2").lets_through == Amps{40});
    CHECK(c.of("W3").lets_through == Amps{15});
    CHECK(c.devices("W3") == Names{"F2"});
    CHECK(c.devices("W4") == Names{"F3"});
    CHECK_FALSE(c.of("W5").fed);
    CHECK_FALSE(c.of("strap").fed);
}

TEST_CASE("two fuses that feed one end together count together") {
    Handmade h = with_battery();
    h.splice("SP");
    h.load("E1", 20);
    for (const char* f : {"F1", "F2"}) {
        h.fuse(f, 15);
        h.wire("battery:+", std::string(f) + ":1");
        h.wire(std::string(f) + ":2", "SP", {.name = std::string("from ") + f});
    }
    h.wire("SP", "E1:1", {.name = "W"});
    const Checked c(h);
    CHECK(c.of("W").lets_through == Amps{30});
    CHECK(c.devices("W") == Names{"F1", "F2"});
    // The tail of one fuse: 15 A come from its own side, 15 A from the other; the larger end counts, not the sum.
    CHECK(c.of("from F1").lets_through == Amps{15});
}

TEST_CASE("parallel cables each on a fuse of its own: one fuse from one side, the other from the other") {
    // Two cables to an inverter, 150 A bolted fuse on each.
    Handmade h = with_battery();
    h.load("inverter", 185);
    for (const char* n : {"1", "2"}) {
        h.fuse(std::string("F") + n, 150);
        h.wire("battery:+", std::string("F") + n + ":1");
        h.wire(std::string("F") + n + ":2", "inverter:1", {.name = std::string("cable ") + n});
    }
    const Checked c(h);
    CHECK(c.of("cable 1").lets_through == Amps{150});
    CHECK(c.of("cable 2").lets_through == Amps{150});
}

TEST_CASE("doubled wires behind one fuse are protected by that fuse") {
    Handmade h = with_battery();
    h.fuse("F1", 30);
    h.load("E1", 20);
    h.wire("battery:+", "F1:1");
    h.wire("F1:2", "E1:1", {.name = "one"});
    h.wire("F1:2", "E1:1", {.name = "other"});
    const Checked c(h);
    CHECK(c.of("one").lets_through == Amps{30});
    CHECK(c.of("other").lets_through == Amps{30});
}

TEST_CASE("a wire between two batteries: the larger end counts; a fuse at one end only does not protect it") {
    Handmade h = with_battery();
    h.battery("B2");
    h.wire("B2:-", "body");
    h.fuse("F1", 80);
    h.fuse("F2", 100);
    h.wire("battery:+", "F1:1", {.name = "tail 1"});
    h.wire("F1:2", "F2:1", {.name = "link"});
    h.wire("F2:2", "B2:+", {.name = "tail 2"});
    const Checked both(h);
    CHECK(both.of("link").lets_through == Amps{100});
    CHECK(both.of("tail 1").unprotected);

    Handmade one = with_battery();
    one.battery("B2");
    one.wire("B2:-", "body");
    one.fuse("F1", 80);
    one.wire("battery:+", "F1:1");
    one.wire("F1:2", "B2:+", {.name = "link"});
    CHECK(Checked(one).of("link").unprotected);
}

TEST_CASE("an alternator adds its own limit at its own end") {
    Handmade h = with_battery();
    h.alternator("G2", 65);
    h.fuse("F1", 80);
    h.wire("battery:+", "F1:1");
    h.wire("F1:2", "G2:B+", {.name = "charge"});
    h.load("E1", 10);
    h.wire("G2:B+", "E1:1", {.name = "tap"});
    const Checked c(h);
    CHECK(c.of("charge").lets_through == Amps{80});
    // A tap at the alternator's post gets what the fuse and the alternator give together.
    CHECK(c.of("tap").lets_through == Amps{145});
    CHECK(c.devices("tap") == Names{"G2", "F1"});
}

TEST_CASE("a change-over relay feeds its common from one side at a time") {
    Handmade h = with_battery();
    h.relay("K1", true);
    h.load("E1", 10);
    h.fuse("F1", 15);
    h.fuse("F2", 20);
    h.wire("battery:+", "F1:1");
    h.wire("battery:+", "F2:1");
    h.wire("F1:2", "K1:87", {.name = "at 87"});
    h.wire("F2:2", "K1:87a", {.name = "at 87a"});
    h.wire("K1:30", "E1:1", {.name = "W"});
    const Checked c(h);
    CHECK(c.of("W").lets_through == Amps{20});
    CHECK(c.devices("W") == Names{"F2"});
    CHECK(c.of("W").positions_tried);
    CHECK(c.of("at 87").lets_through == Amps{15});
    CHECK(c.of("at 87a").lets_through == Amps{20});
}

TEST_CASE("two switches that can be on together do add up") {
    Handmade h = with_battery();
    h.load("E1", 10);
    for (const char* n : {"1", "2"}) {
        h.fuse(std::string("F") + n, 15);
        h.toggle(std::string("S") + n);
        h.wire("battery:+", std::string("F") + n + ":1");
        h.wire(std::string("F") + n + ":2", std::string("S") + n + ":1");
        h.wire(std::string("S") + n + ":2", "E1:1", {.name = std::string("from S") + n});
    }
    h.splice("SP");
    h.wire("E1:1", "SP", {.name = "W"});
    CHECK(Checked(h).of("W").lets_through == Amps{30});
    CHECK(Checked(h).of("from S1").lets_through == Amps{15});
}

TEST_CASE("diodes feed one way") {
    Handmade h = with_battery();
    h.diode("V1");
    h.fuse("F1", 10);
    h.fuse("F2", 30);
    h.splice("left");
    h.splice("right");
    h.wire("battery:+", "F1:1");
    h.wire("battery:+", "F2:1");
    h.wire("F1:2", "left", {.name = "L"});
    h.wire("F2:2", "right", {.name = "R"});
    h.wire("left", "V1:1", {.name = "plain"});
    h.wire("V1:2", "right", {.name = "band"});
    const Checked c(h);
    CHECK(c.of("L").lets_through == Amps{10});
    CHECK(c.of("plain").lets_through == Amps{10});
    CHECK(c.of("R").lets_through == Amps{30});
    CHECK(c.of("band").lets_through == Amps{30});
}

TEST_CASE("a rating that nobody stated is named, and only where it matters") {
    Handmade h = with_battery();
    h.fuse("F1", 40);
    h.fuse("F2", support::not_said);
    h.supply("T1");
    h.splice("SP");
    h.wire("battery:+", "F1:1");
    h.wire("F1:2", "F2:1", {.name = "before"});
    h.wire("F2:2", "SP", {.name = "behind"});
    h.splice("SP2");
    h.wire("T1", "SP2", {.name = "from T1"});
    const Checked c(h);
    CHECK(c.of("before").of_unknown_rating.empty());
    CHECK(c.of("before").lets_through == Amps{40});
    // F2 may be anything: 40 A at most, since F1 stands before it, and that is a bound.
    CHECK(c.of("behind").of_unknown_rating.empty());
    CHECK(c.of("behind").lets_through == Amps{40});
    CHECK(c.of("before").perhaps_less.empty());
    CHECK(c.of("behind").perhaps_less.size() == 1); // but it may well be less
    CHECK(c.of("before").at_least == Amps{40});
    CHECK(c.of("behind").at_least < Amps{0.1});
    REQUIRE(c.of("from T1").of_unknown_rating.size() == 1);
}

TEST_CASE("a fusible link lets through what melts it: 80 d^1.5") {
    // W. H. Preece, copper, 10244 d^1.5 with d in inches; the tables that follow from it give 100 A for 0.0457 in and 20 A for 0.0156 in
    // (published list of fusing currents).
    const auto wire = [](double inches) { return SquareMetres{3.14159265 / 4 * inches * inches * 25.4e-3 * 25.4e-3}; };
    CHECK(rules::link_melts_at(wire(0.0457)).si == doctest::Approx(100).epsilon(0.005));
    CHECK(rules::link_melts_at(wire(0.0156)).si == doctest::Approx(20).epsilon(0.005));
    CHECK(rules::link_melts_at(wire(0.0725)).si == doctest::Approx(200).epsilon(0.005));
}

TEST_CASE("many fuses in a row do not exhaust the stack") {
    Handmade h = with_battery();
    std::string before = "battery:+";
    for (int i = 0; i < 3000; ++i) {
        const std::string f = "F" + std::to_string(i);
        h.fuse(f, 10 + i % 7);
        h.wire(before, f + ":1");
        before = f + ":2";
    }
    h.splice("end");
    h.wire(before, "end", {.name = "last"});
    CHECK(Checked(h).of("last").lets_through == Amps{10});
}

// ---- the definition, worked out the long way -------------------------------------------------------------------------------

namespace {

/// A battery, perhaps a second one and an alternator, and a tangle of splices, fuses, diodes, switches and change-over relays.
Handmade tangle(std::uint64_t seed) {
    Random random{seed};
    Handmade h = with_battery();
    std::vector<std::string> places{"battery:+"};
    for (std::size_t i = 0, n = 2 + random.below(4); i < n; ++i) {
        places.push_back("S" + std::to_string(i));
        h.splice(places.back());
    }
    if (random.below(3) == 0) {
        h.battery("B2");
        h.wire("B2:-", "body");
        places.push_back("B2:+");
    }
    if (random.below(3) == 0) {
        h.alternator("G", 65);
        places.push_back("G:B+");
    }
    const auto anywhere = [&] { return places[random.below(places.size())]; };
    for (std::size_t i = 0, n = 1 + random.below(5); i < n; ++i) {
        const std::string f = "F" + std::to_string(i);
        h.fuse(f, static_cast<double>(5 * (1 + random.below(8))));
        h.wire(anywhere(), f + ":1");
        h.wire(f + ":2", anywhere());
    }
    for (std::size_t i = 0, n = random.below(2); i < n; ++i) {
        h.diode("V" + std::to_string(i));
        h.wire(anywhere(), "V" + std::to_string(i) + ":1");
        h.wire("V" + std::to_string(i) + ":2", anywhere());
    }
    for (std::size_t i = 0, n = random.below(3); i < n; ++i) {
        const std::string k = "K" + std::to_string(i);
        h.relay(k, true);
        for (const char* pin : {":30", ":87", ":87a"}) h.wire(k + pin, anywhere());
    }
    for (std::size_t i = 0, n = random.below(4); i < n; ++i) h.wire(anywhere(), anywhere());
    return h;
}

/// Takes the wire out and looks at both ends in every position of the relays.
double the_long_way(const Study& s, WireId wire) {
    const Circuit& c = s.circuit;
    // All sources of limited current and all strong ones together: a limited one lets its limit through from the ground side.
    double largest = 0;
    for (std::uint64_t first : {1U, 4U})
        for (std::uint64_t second : {1U, 4U})
            for (TerminalId end : {c.at(wire).a, c.at(wire).b}) {
                if (s.reference[end.index]) continue;
                std::vector<TerminalId> sources = s.strong_sources;
                if (std::ranges::find(sources, end) != sources.end()) return std::numeric_limits<double>::infinity();
                for (const auto& l : s.limited) sources.push_back(c.at(l.source).b);
                const auto passes = [&](EdgeRef e, TerminalId from) {
                    if (e.wire == wire) return false;
                    if (!e.is_wire()) {
                        const Primitive& p = c.at(e.primitive);
                        if (p.element == Element::source) return !p.strong && from == p.b;
                        if (p.element == Element::contact &&
                            (p.closed_in & (p.control.index == 0 ? first : second)) == 0)
                            return false;
                    }
                    return rules::carries_fault(s, e, from, rules::Protectors::pass);
                };
                const auto capacity = [&](EdgeRef e) {
                    if (e.is_wire()) return std::numeric_limits<double>::infinity();
                    const Primitive& p = c.at(e.primitive);
                    if (p.element == Element::protector) return p.rating.nominal.si;
                    return p.element == Element::source ? p.current.nominal.si
                                                        : std::numeric_limits<double>::infinity();
                };
                largest = std::max(largest, s.graph.smallest_cut(sources, end, passes, capacity).capacity);
            }
    return largest;
}

} // namespace

TEST_CASE("random nets: zones give what taking each wire out and looking at both ends in every position gives") {
    std::size_t in_loops = 0;
    for (std::uint64_t seed = 1; seed <= 600; ++seed) {
        CAPTURE(seed);
        Handmade h = tangle(seed);
        const Study s(h.circuit);
        for (WireId w : s.now.wires()) {
            CAPTURE(h.circuit.at(w).name);
            const Protection& p = s.protection[w.index];
            if (!p.fed) continue;
            const double expected = the_long_way(s, w);
            CHECK(p.unprotected == std::isinf(expected));
            if (!p.unprotected) CHECK(p.lets_through.si == expected);
            in_loops += p.devices.size() > 1 ? 1 : 0;
        }
    }
    CHECK(in_loops > 50); // the nets do hold the hard cases
}
