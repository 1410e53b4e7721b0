// Spread against trying every combination of switch positions one by one.
#include "rules/spread.hpp"

#include "rules/sides.hpp"
#include "support/handmade.hpp"
#include "support/random.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using rules::Demands;
using rules::Spread;
using rules::SpreadWish;
using support::Handmade;

namespace {

/// A knot of switches, selectors, relays, diodes, fuses and loads, wired at random.
Handmade knot(std::uint64_t seed) {
    test::Random random(seed);
    Handmade h;
    std::vector<std::string> ends;
    for (int i = 0; i < 3; ++i) {
        const std::string n = std::to_string(i);
        switch (random.below(3)) {
        case 0:
            h.toggle("S" + n);
            for (const char* e : {":1", ":2"}) ends.push_back("S" + n + e);
            break;
        case 1:
            h.selector("S" + n, 3);
            for (const char* e : {":common", ":1", ":2", ":3"}) ends.push_back("S" + n + e);
            break;
        default:
            h.relay("S" + n, true);
            for (const char* e : {":30", ":87", ":87a"}) ends.push_back("S" + n + e);
        }
        h.splice("SP" + n);
        ends.push_back("SP" + n);
    }
    h.diode("V1");
    h.fuse("F1", 10);
    h.load("E1", 5);
    for (const char* e : {"V1:1", "V1:2", "F1:1", "F1:2", "E1:1", "E1:2"}) ends.push_back(e);
    for (int i = 0; i < 12; ++i) h.wire(ends[random.below(ends.size())], ends[random.below(ends.size())]);
    return h;
}

/// What conducts in these positions, walked without any memory of the way.
std::vector<bool> reached_in(const View& view, TerminalId start, const std::vector<std::size_t>& positions,
                             bool with_current) {
    const Circuit& c = view.circuit();
    std::vector<bool> seen(c.terminals.size());
    std::vector<TerminalId> queue{start};
    seen[start.index] = true;
    for (std::size_t i = 0; i < queue.size(); ++i) {
        const auto go = [&](TerminalId to) {
            if (!seen[to.index]) queue.push_back(to);
            seen[to.index] = true;
        };
        for (WireId w : view.wires_at(queue[i])) go(c.at(w).other(queue[i]));
        for (PrimitiveId id : view.primitives_at(queue[i])) {
            const Primitive& p = c.at(id);
            const TerminalId to = p.a == queue[i] ? p.b : p.a;
            if (p.element == Element::joint || p.element == Element::protector) go(to);
            if (p.element == Element::contact && (p.closed_in >> positions[p.control.index] & 1)) go(to);
            if (p.element == Element::junction && queue[i] == (with_current ? p.a : p.b)) go(to);
        }
    }
    return seen;
}

/// Calls `f` with every combination of positions.
template <class F> void each_combination(const Circuit& c, F&& f) {
    std::vector<std::size_t> positions(c.controls.size());
    while (true) {
        f(positions);
        std::size_t i = 0;
        for (; i < positions.size(); ++i) {
            if (++positions[i] < c.controls[i].positions.size()) break;
            positions[i] = 0;
        }
        if (i == positions.size()) return;
    }
}

bool met(const Demands& demands, const std::vector<std::size_t>& positions) {
    return std::ranges::all_of(demands, [&](const auto& d) { return (d.second >> positions[d.first.index] & 1) != 0; });
}

} // namespace

TEST_CASE("a spread reaches what some combination of positions reaches, and nothing else") {
    for (std::uint64_t seed = 0; seed < 400; ++seed) {
        CAPTURE(seed);
        const Handmade h = knot(seed);
        const View view = View::now(h.circuit);
        const TerminalId start = h.at("SP0");
        const bool with_current = seed % 2 == 0;
        const Spread spread(view, {.starts = {start}, .with_current = with_current});
        std::vector<bool> reached(h.circuit.terminals.size());
        each_combination(h.circuit, [&](const std::vector<std::size_t>& positions) {
            const auto now = reached_in(view, start, positions, with_current);
            for (std::size_t t = 0; t < now.size(); ++t) {
                reached[t] = reached[t] || now[t];
                // Wherever the demands of one of its ways are met, the terminal is reached.
                for (std::uint32_t way : spread.ways_to(TerminalId{t}))
                    if (met(spread.demands(way), positions)) CHECK(now[t]);
            }
        });
        for (std::size_t t = 0; t < reached.size(); ++t) CHECK(spread.reached(TerminalId{t}) == reached[t]);
    }
}

TEST_CASE("two ways fit together exactly if one combination of positions meets both") {
    for (std::uint64_t seed = 400; seed < 440; ++seed) {
        CAPTURE(seed);
        const Handmade h = knot(seed);
        const View view = View::now(h.circuit);
        const Spread one(view, {.starts = {h.at("SP0")}}),
            other(view, {.starts = {h.at("SP1")}, .with_current = false});
        for (std::size_t t = 0; t < h.circuit.terminals.size(); ++t) {
            for (std::uint32_t a : one.ways_to(TerminalId{t})) {
                for (std::uint32_t b : other.ways_to(TerminalId{t})) {
                    bool both = false;
                    each_combination(h.circuit, [&](const auto& positions) {
                        both = both || (met(one.demands(a), positions) && met(other.demands(b), positions));
                    });
                    CHECK(rules::fit_together(one.demands(a), other.demands(b)) == both);
                }
            }
        }
    }
}

TEST_CASE("a way is told stop by stop, from its start") {
    Handmade h;
    h.battery("battery");
    h.fuse("F1", 10);
    h.toggle("S1");
    h.load("E1", 5);
    h.wire("battery:+", "F1:1");
    h.wire("F1:2", "S1:1");
    h.wire("S1:2", "E1:1");
    const Spread spread(View::now(h.circuit), {.starts = {h.at("battery:+")}});
    REQUIRE(spread.reached(h.at("E1:1")));
    CHECK_FALSE(spread.reached(h.at("E1:2")));
    const std::uint32_t way = spread.ways_to(h.at("E1:1")).front();
    CHECK(spread.start(way) == h.at("battery:+"));
    CHECK(spread.edges(way).size() == 5);
    CHECK(rules::stops_in_words(h.circuit, spread.stops(way)) ==
          std::vector<std::string>{"battery:+", "F1", "S1", "E1"});
    CHECK(rules::positions_in_words(h.circuit, spread.demands(way)) == "S1 on");
}

TEST_CASE("what a wish leaves out is not passed: contacts, protectors, diodes, a part, a terminal") {
    Handmade h;
    h.battery("battery");
    h.fuse("F1", 10);
    h.diode("V1");
    h.toggle("S1");
    h.splice("SP1");
    h.wire("battery:+", "F1:1");
    h.wire("F1:2", "V1:1");
    h.wire("V1:2", "S1:1");
    h.wire("S1:2", "SP1");
    const View view = View::now(h.circuit);
    const std::vector<TerminalId> starts{h.at("battery:+")};
    const auto reaches = [&](SpreadWish wish) {
        wish.starts = starts;
        return Spread(view, wish).reached(h.at("SP1"));
    };
    CHECK(reaches({}));
    CHECK_FALSE(reaches({.over_contacts = false}));
    CHECK_FALSE(reaches({.over_protectors = false}));
    CHECK_FALSE(reaches({.over_diodes = false}));
    CHECK_FALSE(reaches({.with_current = false}));
    CHECK_FALSE(reaches({.without_part = h.part("F1")}));
    CHECK_FALSE(reaches({.without_terminal = h.at("S1:1")}));
    std::vector<bool> stop(h.circuit.terminals.size());
    stop[h.at("S1:1").index] = true;
    CHECK_FALSE(reaches({.not_beyond = &stop}));
    CHECK_FALSE(reaches({.not_into = &stop}));
    CHECK_FALSE(reaches({.no_diode_into = [&] {
        static std::vector<bool> band;
        band.assign(h.circuit.terminals.size(), false);
        band[h.at("V1:2").index] = true;
        return &band;
    }()}));
}
