// The questions that rules put to the graph, beside the same questions put to Boost.Graph's own algorithms and to networkx.
#include "bench/graph_rows.hpp"

#include "bench/measure.hpp"
#include "circuit/graph.hpp"
#include "circuit/read.hpp"
#include "support/scenario/scenario.hpp"

#include <boost/pending/disjoint_sets.hpp> // first: the others hide a name that it needs

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/biconnected_components.hpp>
#include <boost/graph/connected_components.hpp>
#include <boost/graph/dijkstra_shortest_paths.hpp>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#ifdef BENCH_SIMDJSON
#include <simdjson.h>
#endif

namespace loomproof::bench {

namespace {

struct Line {
    std::uint32_t a, b;
    double metres;
};

/// Every wire and primitive of a view as plain numbers.
std::vector<Line> lines_of(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<Line> all;
    for (WireId w : view.wires())
        all.push_back({c.at(w).a.index, c.at(w).b.index, c.at(w).length.known() ? c.at(w).length.nominal.si : 0});
    for (PrimitiveId p : view.primitives()) all.push_back({c.at(p).a.index, c.at(p).b.index, 0});
    return all;
}

/// Seconds of building, of shortest ways from one terminal, of blocks, of pieces that hang together.
using Times = std::array<double, 4>;
double sum(const Times& t) { return t[0] + t[1] + t[2] + t[3]; }

Times ours(const View& view, TerminalId from) {
    const Circuit& c = view.circuit();
    const auto pass = [](EdgeRef, TerminalId) { return true; };
    const auto metres = [&](EdgeRef e) {
        return e.is_wire() && c.at(e.wire).length.known() ? c.at(e.wire).length.nominal.si : 0.0;
    };
    Times t{};
    t[0] = seconds([&] { const Graph built(view); });
    const Graph graph(view);
    t[1] = seconds([&] { static_cast<void>(graph.walk(std::vector{from}, pass, metres)); });
    t[2] = seconds([&] { static_cast<void>(graph.cyclic_blocks(pass)); });
    t[3] = seconds([&] { static_cast<void>(graph.components(pass)); });
    return t;
}

Times boosts(const std::vector<Line>& lines, std::size_t terminals, std::uint32_t from) {
    struct Of {
        double metres = 0;
        std::size_t block = 0;
    };
    using Net = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property, Of>;
    Times t{};
    Net net;
    t[0] = seconds([&] {
        net = Net(terminals);
        for (const Line& l : lines) boost::add_edge(l.a, l.b, Of{l.metres, 0}, net);
    });
    std::vector<double> away(terminals, std::numeric_limits<double>::infinity());
    std::vector<std::size_t> before(terminals);
    t[1] = seconds([&] {
        boost::dijkstra_shortest_paths(
            net, from,
            boost::weight_map(boost::get(&Of::metres, net))
                .distance_map(boost::make_iterator_property_map(away.begin(), boost::get(boost::vertex_index, net)))
                .predecessor_map(
                    boost::make_iterator_property_map(before.begin(), boost::get(boost::vertex_index, net))));
    });
    t[2] = seconds([&] { boost::biconnected_components(net, boost::get(&Of::block, net)); });
    std::vector<std::size_t> piece(terminals);
    t[3] = seconds([&] { boost::connected_components(net, piece.data()); });
    return t;
}

/// The same in Python; nothing where it, or networkx, is not installed.
std::optional<Times> networkx(const std::string& here, const std::vector<Line>& lines, std::size_t terminals,
                              std::uint32_t from) {
    const std::string file = std::string(std::getenv("TMPDIR") ? std::getenv("TMPDIR") : "/tmp") + "/bench_graph.txt";
    {
        std::ofstream out(file);
        out << terminals << ' ' << from << '\n';
        for (const Line& l : lines) out << l.a << ' ' << l.b << ' ' << l.metres << '\n';
    }
    Times t{};
    bool read = false;
    if (FILE* answer = popen(("python3 '" + here + "/networkx_peer.py' '" + file + "' 2>/dev/null").c_str(), "r")) {
        read = std::fscanf(answer, "%lf %lf %lf %lf", &t[0], &t[1], &t[2], &t[3]) == 4;
        pclose(answer);
    }
    std::remove(file.c_str());
    return read ? std::optional(t) : std::nullopt;
}

std::string verdict(double ratio, double goal) {
    return goal > 0
               ? fmt::format("ratio {:7.1f}  goal >= {:.0f}  {}", ratio, goal, ratio >= goal ? "reached" : "MISSED")
               : fmt::format("ratio {:7.1f}  (no goal)", ratio);
}

} // namespace

void graph_rows(const std::string& here) {
    say("the graph: built, shortest ways from the battery over everything, blocks, pieces that hang together; ms");
    for (const auto& [wires, boost_goal, python_goal] :
         {std::tuple{1000, 4.0, 0.0}, {10000, 0.0, 0.0}, {100000, 7.0, 400.0}}) {
        const std::string text = scenario::write(scenario::make(1, wires, scenario::Profile::stress)).main();
        Sources sources;
        const Reading reading = read_circuit_text(sources, "stress", text);
        const View now = View::now(reading.circuit);
        TerminalId from;
        for (PrimitiveId p : now.primitives())
            if (reading.circuit.at(p).element == Element::source && !from.exists()) from = reading.circuit.at(p).a;
        const std::vector<Line> lines = lines_of(now);
        const std::size_t terminals = reading.circuit.terminals.size();
        const Times our = ours(now, from);
        const auto row = [&](const char* who, const Times& t, double goal) {
            say(fmt::format("  {:<9} built {:9.2f}  ways {:9.2f}  blocks {:9.2f}  pieces {:9.2f}  all {:9.2f}{}", who,
                            t[0] * 1e3, t[1] * 1e3, t[2] * 1e3, t[3] * 1e3, sum(t) * 1e3,
                            goal < 0 ? std::string() : "  " + verdict(sum(t) / sum(our), goal)));
        };
        say(fmt::format("{} wires, {} terminals, {} edges", now.wires().size(), terminals, lines.size()));
        row("ours", our, -1);
        row("Boost", boosts(lines, terminals, from.index), boost_goal);
        if (const auto theirs = networkx(here, lines, terminals, from.index))
            row("networkx", *theirs, python_goal);
        else
            say("  networkx is not installed: no row for it");
    }
}

void reading_rows() {
    say("text read into a circuit, beside the same wires read from JSON into records by simdjson; us a wire");
    for (const int wires : {1000, 10000, 100000}) {
        const std::string text = scenario::write(scenario::make(1, wires, scenario::Profile::stress)).main();
        Sources sources;
        Reading reading;
        const double read = seconds([&] { reading = read_circuit_text(sources, "stress", text); });
        const View now = View::now(reading.circuit);
        const auto n = static_cast<double>(now.wires().size());
#ifdef BENCH_SIMDJSON
        const Circuit& c = reading.circuit;
        std::string json = "[";
        for (WireId w : now.wires())
            json += fmt::format("{}{{\"from\":\"{}\",\"to\":\"{}\",\"mm2\":{},\"m\":{},\"colour\":\"{}\"}}",
                                json.size() > 1 ? "," : "", name_of(c, c.at(w).a), name_of(c, c.at(w).b),
                                c.at(w).area.known() ? c.at(w).area.nominal.si * 1e6 : 0,
                                c.at(w).length.known() ? c.at(w).length.nominal.si : 0, colour_words(c.at(w).colours));
        json += "]";
        struct Record {
            std::string from, to, colour;
            double mm2, m;
        };
        std::vector<Record> records;
        const simdjson::padded_string padded(json);
        const double theirs = seconds([&] {
            simdjson::ondemand::parser parser;
            simdjson::ondemand::document document = parser.iterate(padded);
            for (simdjson::ondemand::object o : document.get_array()) {
                Record r;
                r.from = std::string_view(o["from"]);
                r.to = std::string_view(o["to"]);
                r.mm2 = double(o["mm2"]);
                r.m = double(o["m"]);
                r.colour = std::string_view(o["colour"]);
                records.push_back(std::move(r));
            }
        });
        say(fmt::format("{:9} wires  ours {:7.2f}  simdjson {:7.2f}  {}", records.size(), read / n * 1e6,
                        theirs / n * 1e6, verdict(theirs / read, 1)));
#else
        say(fmt::format("{:9} wires  ours {:7.2f}  simdjson is not installed (.ci/install bench): no figure for it",
                        now.wires().size(), read / n * 1e6));
#endif
    }
    say("  ours is the whole way: words, sentences, mistakes with their cures, parts, what they are electrically; "
        "theirs "
        "only the records of wires");
}

} // namespace loomproof::bench
