// The questions that rules ask of the graph, on nets small enough to answer by hand, and on random nets against the plainest
// way to the same answer. (Larger nets are compared with networkx in tests/peers.)
#include "circuit/graph.hpp"

#include "support/handmade.hpp"
#include "support/random.hpp"

#include <algorithm>
#include <cstdint>
#include <functional>
#include <limits>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>

using namespace loomproof;
using support::Handmade;
using test::Random;

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

bool all(EdgeRef, TerminalId) { return true; }

struct Net {
    const Circuit& circuit;
    Graph graph;
    explicit Net(const Handmade& h) : circuit(h.circuit), graph(View::now(h.circuit)) {}

    double length(EdgeRef e) const { return e.is_wire() ? circuit.at(e.wire).length.or_else(Metres{0}).si : 0; }
    double rating(EdgeRef e) const {
        if (e.is_wire() || circuit.at(e.primitive).element != Element::protector) return infinity;
        return circuit.at(e.primitive).rating.or_else(Amps{0}).si;
    }
    std::string name(EdgeRef e) const {
        return e.is_wire() ? circuit.at(e.wire).name : circuit.at(circuit.at(e.primitive).part).name;
    }
    std::vector<std::string> names(const std::vector<EdgeRef>& edges) const {
        std::vector<std::string> result;
        for (EdgeRef e : edges) result.push_back(name(e));
        return result;
    }
    Reach walk(TerminalId start, const Passes& passes = all, Positions positions = Positions::any) const {
        return graph.walk(
            std::vector{start}, passes, [&](EdgeRef e) { return length(e); }, positions);
    }
    Graph::Cut cut(TerminalId from, TerminalId to, const Passes& passes = all) const {
        return graph.smallest_cut(std::vector{from}, to, passes, [&](EdgeRef e) { return rating(e); });
    }
};

using Names = std::vector<std::string>;

} // namespace

TEST_CASE("an edge says what its wire or its primitive says") {
    Handmade h;
    h.splice("A");
    h.fuse("F1", 10);
    h.wire("A", "F1:1", {.metres = 2.5});
    h.wire("A", "F1:2");
    const Net net(h);
    std::size_t asked = 0;
    static_cast<void>(net.graph.components([&](const Edge& e, TerminalId) {
        const auto [a, b] = e.is_wire() ? std::pair{h.circuit.at(e.wire).a, h.circuit.at(e.wire).b}
                                        : std::pair{h.circuit.at(e.primitive).a, h.circuit.at(e.primitive).b};
        CHECK(e.a == a);
        CHECK(e.b == b);
        CHECK(e.metres == net.length(e));
        CHECK(e.element == (e.is_wire() ? Element::joint : h.circuit.at(e.primitive).element));
        ++asked;
        return true;
    }));
    CHECK(asked == net.graph.view().wires().size() + net.graph.view().primitives().size());
    CHECK(asked >= 3);
}

TEST_CASE("the walk takes the shortest way, through plug and splice, and names its stops") {
    Handmade h;
    h.splice("A");
    h.splice("B");
    h.splice("C");
    h.wire("A", "B", {.metres = 3, .name = "long"});
    h.wire("A", "C", {.metres = 1, .name = "first"});
    h.wire("C", "B", {.metres = 1.5, .name = "second"});
    const Net net(h);
    const Reach reach = net.walk(h.at("A"));
    REQUIRE(reach.reached(h.at("B")));
    CHECK(reach.distance(h.at("B")) == doctest::Approx(2.5));
    CHECK(net.names(reach.path_to(h.at("B"))) == Names{"first", "second"});
    CHECK(reach.stops_to(h.at("B")) == std::vector{h.at("A"), h.at("C"), h.at("B")});
    CHECK(reach.path_to(h.at("A")).empty());
    CHECK(reach.in_order() == std::vector{h.at("A"), h.at("C"), h.at("B")});
    CHECK_FALSE(reach.step(h.at("A")).edge.exists());
    CHECK(reach.step(h.at("B")).from == h.at("C"));
    CHECK_FALSE(reach.reached(h.at("body")));
}

TEST_CASE("of two equal wires side by side the walk takes the one written first, and of equal ways the one with fewer "
          "pieces") {
    Handmade h;
    h.splice("A");
    h.splice("B");
    h.splice("C");
    h.wire("A", "B", {.metres = 1, .name = "W1"});
    h.wire("A", "B", {.metres = 1, .name = "W2"});
    h.wire("B", "C", {.metres = 1, .name = "W3"});
    h.wire("C", "A", {.metres = 2, .name = "W4"});
    const Net net(h);
    CHECK(net.names(net.walk(h.at("A")).path_to(h.at("B"))) == Names{"W1"});
    CHECK(net.names(net.walk(h.at("A")).path_to(h.at("C"))) == Names{"W4"});
}

TEST_CASE("the walk asks in which direction it takes an edge") {
    Handmade h;
    h.diode("V1");
    const Net net(h);
    const Passes with_the_arrow = [&](EdgeRef e, TerminalId from) { return net.circuit.at(e.primitive).a == from; };
    CHECK(net.walk(h.at("V1:1"), with_the_arrow).reached(h.at("V1:2")));
    CHECK_FALSE(net.walk(h.at("V1:2"), with_the_arrow).reached(h.at("V1:1")));
}

TEST_CASE("a way does not use a relay at rest and pulled in at once") {
    Handmade h;
    h.relay("K1", true);
    h.splice("end");
    h.wire("K1:87a", "end", {.metres = 1, .name = "W1"});
    const Net net(h);
    CHECK(net.walk(h.at("K1:87")).reached(h.at("end")));
    const Reach reach = net.walk(h.at("K1:87"), all, Positions::one_per_control);
    CHECK(reach.reached(h.at("K1:30")));
    CHECK_FALSE(reach.reached(h.at("K1:87a")));
    CHECK_FALSE(reach.reached(h.at("end")));
}

TEST_CASE("the shorter way to a place may be barred further on where the longer one is not") {
    // K1:87 to SP is short through the relay, long by W2. From SP the way goes on through the relay's rest contact.
    Handmade h;
    h.relay("K1", true);
    h.relay("K2", true);
    h.splice("SP");
    // The two contacts of one control, apart from each other: K1's make contact here, K1's rest contact there.
    h.wire("K1:30", "SP", {.metres = 0.1, .name = "W1"});
    h.wire("K1:87", "SP", {.metres = 5, .name = "W2"});
    const Net net(h);
    const Reach reach = net.walk(h.at("K1:87"), all, Positions::one_per_control);
    REQUIRE(reach.reached(h.at("SP")));
    CHECK(reach.distance(h.at("SP")) == doctest::Approx(0.1));
    // 87a lies behind 30, which is reached pulled in (0 m) or by SP and W1 backwards with the relay free (5.1 m).
    REQUIRE(reach.reached(h.at("K1:87a")));
    CHECK(reach.distance(h.at("K1:87a")) == doctest::Approx(5.1));
    CHECK(net.names(reach.path_to(h.at("K1:87a"))) == Names{"W2", "W1", "K1"});
}

TEST_CASE("components ignore direction and leave out what does not pass") {
    Handmade h;
    h.fuse("F1", 10);
    h.diode("V1");
    h.wire("F1:2", "V1:1", {.name = "W1"});
    const Net net(h);
    const auto no_fuse = [&](EdgeRef e, TerminalId) {
        return e.is_wire() || net.circuit.at(e.primitive).element != Element::protector;
    };
    const auto component = net.graph.components(no_fuse);
    CHECK(component[h.at("body").index] == 0);
    CHECK(component[h.at("F1:1").index] == 1);
    CHECK(component[h.at("F1:2").index] == 2);
    CHECK(component[h.at("V1:2").index] == 2);
}

TEST_CASE("three terminals with a doubled strap: only the single one is a bridge") {
    // The net on which a search that bars the way back by vertex gives the doubled strap as a bridge.
    Handmade h;
    h.splice("A");
    h.splice("B");
    h.splice("C");
    h.wire("A", "B", {.name = "single"});
    h.wire("B", "C", {.name = "strap1"});
    h.wire("B", "C", {.name = "strap2"});
    const Net net(h);
    CHECK(net.names(net.graph.bridges(all)) == Names{"single"});
    const Graph::Blocks blocks = net.graph.cyclic_blocks(all);
    CHECK_FALSE(blocks.wire[0].has_value());
    REQUIRE(blocks.wire[1].has_value());
    CHECK(blocks.wire[1] == blocks.wire[2]);
    CHECK(net.graph.loop_through({WireId{1}, {}}, all) == std::vector{h.at("B"), h.at("C"), h.at("B")});
    CHECK(net.graph.loop_through({WireId{0}, {}}, all).empty());
}

TEST_CASE(
    "two loops that share one terminal are two blocks; a wire with both ends on one terminal is a loop by itself") {
    Handmade h;
    for (const char* name : {"A", "B", "C", "D", "E"}) h.splice(name);
    h.wire("A", "B");
    h.wire("B", "C");
    h.wire("C", "A");
    h.wire("C", "D");
    h.wire("D", "E");
    h.wire("E", "C");
    h.wire("E", "E");
    const Net net(h);
    const Graph::Blocks blocks = net.graph.cyclic_blocks(all);
    for (std::size_t w : {1U, 2U}) CHECK(blocks.wire[w] == blocks.wire[0]);
    for (std::size_t w : {4U, 5U}) CHECK(blocks.wire[w] == blocks.wire[3]);
    CHECK(blocks.wire[0] != blocks.wire[3]);
    REQUIRE(blocks.wire[6].has_value());
    CHECK(blocks.wire[6] != blocks.wire[3]);
    CHECK(net.graph.bridges(all).empty());
    CHECK(net.graph.loop_through({WireId{6}, {}}, all) == std::vector{h.at("E"), h.at("E")});
    CHECK(net.graph.loop_through({WireId{0}, {}}, all) == std::vector{h.at("A"), h.at("B"), h.at("C"), h.at("A")});
}

TEST_CASE("two fuses side by side let through both ratings; a smaller one before them wins") {
    Handmade h;
    h.splice("battery");
    h.splice("far");
    h.splice("load");
    h.fuse("F0", 25);
    for (const char* f : {"F1", "F2"}) h.fuse(f, 15);
    h.wire("battery", "F0:1");
    h.wire("F0:2", "far");
    for (const char* f : {"F1", "F2"}) {
        h.wire("far", std::string(f) + ":1");
        h.wire(std::string(f) + ":2", "load");
    }
    const Net net(h);
    CHECK(net.cut(h.at("far"), h.at("load")).capacity == 30);
    CHECK(net.names(net.cut(h.at("far"), h.at("load")).edges) == Names{"F1", "F2"});
    CHECK(net.cut(h.at("battery"), h.at("load")).capacity == 25);
    CHECK(net.names(net.cut(h.at("battery"), h.at("load")).edges) == Names{"F0"});
}

TEST_CASE("where nothing limits, the cut is infinite, never a large number; where nothing leads there, it is zero") {
    Handmade h;
    h.splice("A");
    h.splice("B");
    h.fuse("F1", 10);
    h.wire("A", "F1:1");
    h.wire("F1:2", "B");
    h.wire("A", "B", {.name = "past the fuse"});
    const Net net(h);
    CHECK(net.cut(h.at("A"), h.at("B")).capacity == infinity);
    CHECK(net.cut(h.at("A"), h.at("B")).edges.empty());
    CHECK(net.cut(h.at("A"), h.at("body")).capacity == 0);
    const auto without = [&](EdgeRef e, TerminalId) { return net.name(e) != "past the fuse"; };
    CHECK(net.cut(h.at("A"), h.at("B"), without).capacity == 10);
}

TEST_CASE("the cut counts only edges taken the way they pass") {
    Handmade h;
    h.splice("A");
    h.splice("B");
    h.diode("V1");
    h.fuse("F1", 5);
    h.wire("A", "F1:1");
    h.wire("F1:2", "B");
    h.wire("V1:2", "A");
    h.wire("V1:1", "B");
    const Net net(h);
    const Passes arrow = [&](EdgeRef e, TerminalId from) {
        return e.is_wire() || net.circuit.at(e.primitive).element != Element::junction ||
               net.circuit.at(e.primitive).a == from;
    };
    CHECK(net.cut(h.at("A"), h.at("B"), arrow).capacity == 5);
    CHECK(net.cut(h.at("B"), h.at("A"), arrow).capacity == infinity);
}

TEST_CASE("ratings that are no binary fractions add up as printed") {
    // 0.1 + 0.2 + 7.5: the flow is counted in whole thousandths, the sum is that of the ratings.
    std::vector<NetEdge> edges{{0, 1, 0.1, 0.1}, {0, 1, 0.2, 0.2}, {0, 1, 7.5, 7.5}, {1, 2, infinity, 0}};
    const NetCut cut = smallest_cut(3, edges, 0, 2);
    CHECK(cut.capacity == doctest::Approx(7.8).epsilon(1e-15));
    CHECK(cut.edges == std::vector<std::uint32_t>{0, 1, 2});
    CHECK(smallest_cut(3, edges, 2, 0).capacity == 0);
}

TEST_CASE(
    "an edge is on some way between two nodes exactly if it is not on a dead end, a side loop or a loop at one node") {
    //   0 === 1 --- 2 --- 3    4 hangs on 1, a loop 5-6 hangs on 2, 7 is apart
    const std::vector<NetEdge> edges{{0, 1}, {0, 1}, {1, 2}, {2, 3}, {1, 4}, {2, 5}, {5, 6}, {6, 2}, {7, 7}, {1, 1}};
    CHECK(on_some_way(8, edges, 0, 3) ==
          std::vector<bool>{true, true, true, true, false, false, false, false, false, false});
    CHECK(on_some_way(8, edges, 5, 6) ==
          std::vector<bool>{false, false, false, false, false, true, true, true, false, false});
    CHECK(on_some_way(8, edges, 0, 7) == std::vector<bool>(10, false));
}

// ---- random nets ---------------------------------------------------------------------------------------------------------

namespace {

/// Few splices, many wires between them (also doubled, also to themselves), some fuses and some relays with a rest contact.
Handmade random_net(std::uint64_t seed) {
    Random random{seed};
    Handmade h;
    std::vector<std::string> places;
    const std::size_t splices = 2 + random.below(5);
    for (std::size_t i = 0; i < splices; ++i) {
        places.push_back("S" + std::to_string(i));
        h.splice(places.back());
    }
    const auto anywhere = [&] { return places[random.below(places.size())]; };
    const std::size_t relays = random.below(3);
    for (std::size_t i = 0; i < relays; ++i) {
        const std::string k = "K" + std::to_string(i);
        h.relay(k, true);
        for (const char* pin : {":30", ":87", ":87a"})
            h.wire(k + pin, anywhere(), {.metres = static_cast<double>(random.below(4))});
    }
    const std::size_t fuses = random.below(5);
    for (std::size_t i = 0; i < fuses; ++i) {
        const std::string f = "F" + std::to_string(i);
        h.fuse(f, static_cast<double>(1 + random.below(9)));
        h.wire(f + ":1", anywhere(), {.metres = static_cast<double>(random.below(4))});
        h.wire(f + ":2", anywhere(), {.metres = static_cast<double>(random.below(4))});
    }
    const std::size_t wires = random.below(6);
    for (std::size_t i = 0; i < wires; ++i)
        h.wire(anywhere(), anywhere(), {.metres = static_cast<double>(random.below(4))});
    return h;
}

/// Asked of the circuit itself, not of what the graph has copied from it.
using Asked = std::function<bool(EdgeRef, TerminalId)>;

/// Everything that may carry a fault; coils do not.
Asked without_loads(const Circuit& c) {
    return [&c](EdgeRef e, TerminalId) { return e.is_wire() || c.at(e.primitive).element != Element::resistance; };
}

std::vector<EdgeRef> edges_of(const Net& net, const Asked& passes) {
    std::vector<EdgeRef> edges;
    for (WireId w : net.graph.view().wires()) edges.push_back({w, {}});
    for (PrimitiveId p : net.graph.view().primitives())
        if (passes({{}, p}, net.circuit.at(p).a)) edges.push_back({{}, p});
    return edges;
}

std::pair<TerminalId, TerminalId> ends(const Circuit& c, EdgeRef e) {
    return e.is_wire() ? std::pair{c.at(e.wire).a, c.at(e.wire).b}
                       : std::pair{c.at(e.primitive).a, c.at(e.primitive).b};
}

/// Distances by relaxing until nothing changes, over the edges that `lets` through.
template <class Lets>
std::vector<double> distances(const Net& net, TerminalId start, const std::vector<EdgeRef>& edges, Lets lets) {
    std::vector<double> d(net.circuit.terminals.size(), infinity);
    d[start.index] = 0;
    for (bool changed = true; changed;) {
        changed = false;
        for (EdgeRef e : edges) {
            if (!lets(e)) continue;
            const auto [a, b] = ends(net.circuit, e);
            for (const auto& [from, to] : {std::pair{a, b}, std::pair{b, a}})
                if (d[from.index] + net.length(e) < d[to.index]) {
                    d[to.index] = d[from.index] + net.length(e);
                    changed = true;
                }
        }
    }
    return d;
}

} // namespace

TEST_CASE("blocks hung up at one node tell the same ways as a search for each other node") {
    Random random{7};
    const auto below = [&](std::uint32_t n) { return static_cast<std::uint32_t>(random.below(n)); };
    for (int net = 0; net < 200; ++net) {
        const std::uint32_t nodes = 2 + below(9);
        std::vector<NetEdge> edges;
        for (std::uint32_t e = below(14); e > 0; --e) edges.push_back({below(nodes), below(nodes)});
        const std::uint32_t from = below(nodes);
        const WaysFrom ways(nodes, edges, from);
        for (std::uint32_t to = 0; to < nodes; ++to) {
            if (to == from) continue;
            const std::vector<bool> on = on_some_way(nodes, edges, from, to);
            std::vector<std::uint32_t> numbers;
            for (std::uint32_t e = 0; e < edges.size(); ++e)
                if (on[e]) numbers.push_back(e);
            REQUIRE(ways.to(to) == numbers);
            // The node cut in two, each of its edges left on one half or the other: no way to a half passes anything that was not around.
            std::vector<NetEdge> cut = edges;
            for (NetEdge& e : cut)
                for (std::uint32_t* end : {&e.a, &e.b})
                    if (*end == to && below(2) == 1) *end = nodes;
            const std::vector<std::uint32_t> around = ways.around(to);
            for (const std::uint32_t half : {to, nodes}) {
                const std::vector<bool> half_on = on_some_way(nodes + 1, cut, from, half);
                for (std::uint32_t e = 0; e < edges.size(); ++e)
                    if (half_on[e]) REQUIRE(std::ranges::binary_search(around, e));
            }
        }
    }
}

TEST_CASE("random nets: the walk finds the distances that plain relaxation finds, in every position of the relays") {
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        const Handmade h = random_net(seed);
        const Net net(h);
        const Asked passes = without_loads(h.circuit);
        const std::vector<EdgeRef> edges = edges_of(net, passes);
        const TerminalId start = h.at("S0");

        const Reach free = net.walk(start, passes);
        const std::vector<double> plain = distances(net, start, edges, [](EdgeRef) { return true; });
        // The least over all positions: with at most two relays of three positions each, nine nets.
        std::vector<double> least(plain.size(), infinity);
        for (std::uint64_t first = 0; first < 3; ++first)
            for (std::uint64_t second = 0; second < 3; ++second) {
                const auto d = distances(net, start, edges, [&](EdgeRef e) {
                    if (e.is_wire() || net.circuit.at(e.primitive).element != Element::contact) return true;
                    const std::uint64_t position = net.circuit.at(e.primitive).control.index == 0 ? first : second;
                    return (net.circuit.at(e.primitive).closed_in >> position & 1) != 0;
                });
                for (std::size_t t = 0; t < d.size(); ++t) least[t] = std::min(least[t], d[t]);
            }
        const Reach held = net.walk(start, passes, Positions::one_per_control);
        for (std::size_t t = 0; t < plain.size(); ++t) {
            CHECK((free.reached(TerminalId{t}) ? free.distance(TerminalId{t}) : infinity) == plain[t]);
            CHECK((held.reached(TerminalId{t}) ? held.distance(TerminalId{t}) : infinity) == least[t]);
            if (!held.reached(TerminalId{t})) continue;
            double along = 0;
            for (EdgeRef e : held.path_to(TerminalId{t})) along += net.length(e);
            CHECK(along == held.distance(TerminalId{t}));
        }
    }
}

TEST_CASE("random nets: an edge is a bridge exactly if taking it out parts its ends; blocks are cycles") {
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        const Handmade h = random_net(seed);
        const Net net(h);
        const Asked passes = without_loads(h.circuit);
        const std::vector<EdgeRef> edges = edges_of(net, passes);
        std::vector<EdgeRef> expected;
        for (EdgeRef e : edges) {
            const auto component =
                net.graph.components([&](EdgeRef x, TerminalId from) { return !(x == e) && passes(x, from); });
            const auto [a, b] = ends(h.circuit, e);
            if (component[a.index] != component[b.index]) expected.push_back(e);
        }
        CHECK(net.graph.bridges(passes) == expected);
        const Graph::Blocks blocks = net.graph.cyclic_blocks(passes);
        for (EdgeRef e : edges) {
            const bool bridge = std::ranges::find(expected, e) != expected.end();
            const auto& block = e.is_wire() ? blocks.wire[e.wire.index] : blocks.primitive[e.primitive.index];
            CHECK(block.has_value() == !bridge);
            const auto loop = net.graph.loop_through(e, passes);
            CHECK(loop.empty() == bridge);
            if (!loop.empty()) {
                CHECK(loop.front() == loop.back());
                CHECK(std::set(loop.begin() + 1, loop.end()).size() == loop.size() - 1);
            }
        }
    }
}

TEST_CASE("random nets: the smallest cut is the least sum over all sets of fuses that part the two") {
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        CAPTURE(seed);
        const Handmade h = random_net(seed);
        const Net net(h);
        const Asked passes = without_loads(h.circuit);
        std::vector<EdgeRef> fuses;
        for (EdgeRef e : edges_of(net, passes))
            if (net.rating(e) != infinity) fuses.push_back(e);
        double least = infinity;
        for (std::size_t set = 0; set < std::size_t{1} << fuses.size(); ++set) {
            double sum = 0;
            std::vector<EdgeRef> taken;
            for (std::size_t i = 0; i < fuses.size(); ++i)
                if (set >> i & 1) {
                    taken.push_back(fuses[i]);
                    sum += net.rating(fuses[i]);
                }
            const auto component = net.graph.components([&](EdgeRef x, TerminalId from) {
                return std::ranges::find(taken, x) == taken.end() && passes(x, from);
            });
            if (component[h.at("S0").index] != component[h.at("S1").index]) least = std::min(least, sum);
        }
        const Graph::Cut cut = net.cut(h.at("S0"), h.at("S1"), passes);
        CHECK(cut.capacity == least);
        double sum = 0;
        for (EdgeRef e : cut.edges) sum += net.rating(e);
        if (least != infinity) CHECK(sum == least);
    }
}
