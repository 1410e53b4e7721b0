// The questions that rules put to the graph, beside the same questions put to Boost.Graph's own algorithms and to networkx.
#include "bench/graph_rows.hpp"

#include "bench/measure.hpp"
#include "circuit/graph.hpp"
#include "circuit/read.hpp"
#include "netlist/syntax.hpp"
#include "support/scenario/scenario.hpp"

#include <boost/pending/disjoint_sets.hpp> // first: the others hide a name that it needs

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/biconnected_components.hpp>
#include <boost/graph/connected_components.hpp>
#include <boost/graph/dijkstra_shortest_paths.hpp>
#include <boost/graph/filtered_graph.hpp>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <limits>
#include <map>
#include <numeric>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <tuple>
#include <vector>

#ifdef BENCH_SIMDJSON
#include <simdjson.h>
#endif

namespace loomproof::bench {

namespace {

/// What a fault's current is to an edge, as the rules ask: it passes metal and contacts, is limited by what protects, and ends at loads,
/// sources and diodes (those have a direction, which the peer's net has not).
enum class Lets : std::uint8_t { pass, protect, end };
Lets lets(Element element) { // a wire is asked about as a joint
    switch (element) {
    case Element::joint:
    case Element::meter:
    case Element::contact: return Lets::pass;
    case Element::protector: return Lets::protect;
    default: return Lets::end;
    }
}

struct Line {
    std::uint32_t a, b;
    double metres;
    Lets lets;
};

/// Every wire and primitive of a view as plain numbers.
std::vector<Line> lines_of(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<Line> all;
    for (WireId w : view.wires())
        all.push_back(
            {c.at(w).a.index, c.at(w).b.index, c.at(w).length.known() ? c.at(w).length.nominal.si : 0, Lets::pass});
    for (PrimitiveId p : view.primitives()) all.push_back({c.at(p).a.index, c.at(p).b.index, 0, lets(c.at(p).element)});
    return all;
}

/// Seconds of building, of shortest ways from the battery up to what protects, of shortest ways over the whole feed net, of blocks and of
/// pieces that hang together (both of everything, loads too).
using Times = std::array<double, 5>;
double sum(const Times& t) { return std::accumulate(t.begin(), t.end(), 0.0); }

/// What comes out, to compare: ways by terminal (infinite where there is none), how many edges lie in a cycle, how many pieces there are.
struct Found {
    std::vector<double> unprotected, fed;
    std::size_t cyclic = 0, pieces = 0;
    std::vector<std::uint32_t> piece; ///< by terminal
};
constexpr double nowhere = std::numeric_limits<double>::infinity();

/// The median of so many runs of each question.
struct Asked {
    Times times{};
    std::size_t runs;
    template <class Work> void ask(std::size_t which, const Work& work) { times[which] = median_seconds(work, runs); }
};

Times ours(const View& view, TerminalId from, std::size_t runs, Found& found) {
    const Circuit& c = view.circuit();
    const auto pass = [](const Edge&, TerminalId) { return true; };
    const auto unprotected = [](const Edge& e, TerminalId) { return lets(e.element) == Lets::pass; };
    const auto fed = [](const Edge& e, TerminalId) { return lets(e.element) != Lets::end; };
    Asked asked{{}, runs};
    asked.ask(0, [&] { const Graph built(view); });
    const Graph graph(view);
    Reach stopped, reach;
    Graph::Blocks blocks;
    asked.ask(1, [&] { stopped = graph.walk(std::vector{from}, unprotected, &Edge::metres); });
    asked.ask(2, [&] { reach = graph.walk(std::vector{from}, fed, &Edge::metres); });
    asked.ask(3, [&] { blocks = graph.cyclic_blocks(pass); });
    asked.ask(4, [&] { found.piece = graph.components(pass); });
    for (std::size_t t = 0; t < c.terminals.size(); ++t) {
        const TerminalId id{t};
        found.unprotected.push_back(stopped.reached(id) ? stopped.distance(id) : nowhere);
        found.fed.push_back(reach.reached(id) ? reach.distance(id) : nowhere);
    }
    for (const auto* all : {&blocks.wire, &blocks.primitive})
        found.cyclic +=
            static_cast<std::size_t>(std::ranges::count_if(*all, [](const auto& b) { return b.has_value(); }));
    found.pieces = 1 + *std::ranges::max_element(found.piece);
    return asked.times;
}

Times boosts(const std::vector<Line>& lines, std::size_t terminals, std::uint32_t from, std::size_t runs,
             Found& found) {
    struct Of {
        double metres = 0;
        Lets lets = Lets::pass;
        std::size_t block = 0;
    };
    using Net = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property, Of>;
    struct Unprotected {
        const Net* net = nullptr;
        bool operator()(const Net::edge_descriptor& e) const { return (*net)[e].lets == Lets::pass; }
    };
    struct Fed {
        const Net* net = nullptr;
        bool operator()(const Net::edge_descriptor& e) const { return (*net)[e].lets != Lets::end; }
    };
    Asked asked{{}, runs};
    Net net;
    asked.ask(0, [&] {
        net = Net(terminals);
        for (const Line& l : lines) boost::add_edge(l.a, l.b, Of{l.metres, l.lets, 0}, net);
    });
    std::vector<std::size_t> before(terminals), piece(terminals);
    const auto ways = [&](const auto& over, std::vector<double>& away) {
        away.assign(terminals, nowhere);
        const auto index = boost::get(boost::vertex_index, net);
        boost::dijkstra_shortest_paths(over, from,
                                       boost::weight_map(boost::get(&Of::metres, net))
                                           .distance_map(boost::make_iterator_property_map(away.begin(), index))
                                           .predecessor_map(boost::make_iterator_property_map(before.begin(), index))
                                           .vertex_index_map(index)
                                           .distance_inf(nowhere));
    };
    const boost::filtered_graph<Net, Unprotected> stopped(net, Unprotected{&net});
    const boost::filtered_graph<Net, Fed> feeding(net, Fed{&net});
    asked.ask(1, [&] { ways(stopped, found.unprotected); });
    asked.ask(2, [&] { ways(feeding, found.fed); });
    asked.ask(3, [&] { boost::biconnected_components(net, boost::get(&Of::block, net)); });
    asked.ask(4, [&] { found.pieces = static_cast<std::size_t>(boost::connected_components(net, piece.data())); });
    found.piece.assign(piece.begin(), piece.end());
    // Boost's blocks bar the way back by vertex: of two wires side by side it sees but one. Those are counted as a cycle here.
    std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> side_by_side;
    for (const Line& l : lines) ++side_by_side[std::minmax(l.a, l.b)];
    std::map<std::size_t, std::set<std::pair<std::uint32_t, std::uint32_t>>> in_block;
    std::map<std::pair<std::uint32_t, std::uint32_t>, std::size_t> block_of;
    for (const auto& e : boost::make_iterator_range(boost::edges(net))) {
        const std::pair<std::uint32_t, std::uint32_t> pair = std::minmax(
            static_cast<std::uint32_t>(boost::source(e, net)), static_cast<std::uint32_t>(boost::target(e, net)));
        if (block_of.contains(pair)) continue;
        block_of[pair] = net[e].block;
        in_block[net[e].block].insert(pair);
    }
    for (const auto& [pair, edges] : side_by_side)
        if (edges > 1 || pair.first == pair.second || in_block[block_of[pair]].size() > 1) found.cyclic += edges;
    return asked.times;
}

/// The same in Python; nothing where it, or networkx, is not installed.
std::optional<Times> networkx(const std::string& here, const std::vector<Line>& lines, std::size_t terminals,
                              std::uint32_t from, Found& found) {
    const std::string file = std::string(std::getenv("TMPDIR") ? std::getenv("TMPDIR") : "/tmp") + "/bench_graph.txt";
    {
        std::ofstream out(file);
        out << terminals << ' ' << from << '\n';
        for (const Line& l : lines)
            out << l.a << ' ' << l.b << ' ' << fmt::format("{}", l.metres) << ' ' << static_cast<int>(l.lets) << '\n';
    }
    Times t{};
    bool read = false;
    if (FILE* answer = popen(("python3 '" + here + "/networkx_peer.py' '" + file + "' 2>/dev/null").c_str(), "r")) {
        read = std::fscanf(answer, "%lf %lf %lf %lf %lf %zu", &t[0], &t[1], &t[2], &t[3], &t[4], &found.pieces) == 6;
        for (std::vector<double>* all : {&found.unprotected, &found.fed})
            for (std::size_t k = 0; read && k < terminals; ++k)
                read = std::fscanf(answer, "%lf", &all->emplace_back()) == 1;
        pclose(answer);
    }
    std::remove(file.c_str());
    return read ? std::optional(t) : std::nullopt;
}

/// Empty where both found the same, else what differs.
std::string differs(const Found& one, const Found& other) {
    if (one.unprotected != other.unprotected) return "unprotected ways DIFFER";
    if (one.fed != other.fed) return "ways of the feed net DIFFER";
    if (one.pieces != other.pieces || (!other.piece.empty() && one.piece != other.piece)) return "pieces DIFFER";
    if (!other.piece.empty() && one.cyclic != other.cyclic) return "blocks DIFFER";
    return {};
}

std::string verdict(double ratio, double goal) {
    return goal > 0
               ? fmt::format("ratio {:7.1f}  goal >= {:.0f}  {}", ratio, goal, ratio >= goal ? "reached" : "MISSED")
               : fmt::format("ratio {:7.1f}  (no goal)", ratio);
}

} // namespace

void graph_rows(const std::string& here) {
    say("the graph: built, shortest ways from the battery up to what protects and over the whole feed net (no load, no "
        "diode), blocks (networkx: where they meet) and pieces that hang together (of everything); ms");
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
        const std::size_t terminals = reading.circuit.terminals.size(), runs = wires <= 10000 ? 21 : 5;
        Found found, by_boost, by_python;
        const Times our = ours(now, from, runs, found);
        const auto row = [&](const char* who, const Times& t, double goal, const std::string& wrong) {
            say(fmt::format(
                "  {:<9} built {:9.2f}  unprotected {:8.2f}  feed net {:9.2f}  blocks {:9.2f}  pieces {:9.2f}  "
                "all {:9.2f}{}{}",
                who, t[0] * 1e3, t[1] * 1e3, t[2] * 1e3, t[3] * 1e3, t[4] * 1e3, sum(t) * 1e3,
                goal < 0 ? std::string() : "  " + verdict(sum(t) / sum(our), goal),
                wrong.empty() ? wrong : "  " + wrong));
        };
        say(fmt::format("{} wires, {} terminals, {} edges", now.wires().size(), terminals, lines.size()));
        row("ours", our, -1, {});
        const Times theirs = boosts(lines, terminals, from.index, runs, by_boost);
        row("Boost", theirs, boost_goal, differs(found, by_boost));
        if (const auto python = networkx(here, lines, terminals, from.index, by_python))
            row("networkx", *python, python_goal, differs(found, by_python));
        else
            say("  networkx is not installed: no row for it");
    }
}

namespace {

/// A statement as text: what stands before the first comma, and between the others.
struct Said {
    std::string head;
    std::vector<std::string> clauses;
    bool operator==(const Said&) const = default;
};

std::vector<Said> said(const Sources& sources, const Tree& tree) {
    const std::string_view text = sources.at(tree.source).text;
    std::vector<Said> all;
    all.reserve(tree.statements.size());
    for (const Statement& s : tree.statements) {
        Said& one = all.emplace_back();
        const auto tokens = std::span(tree.tokens).subspan(s.first, s.last - s.first);
        one.clauses.reserve(static_cast<std::size_t>(std::ranges::count(tokens, ',', &Token::mark)));
        std::uint32_t from = s.first;
        const auto piece = [&](std::uint32_t last) {
            const std::string_view words =
                from == last
                    ? std::string_view()
                    : text.substr(tree.tokens[from].begin, tree.tokens[last - 1].end - tree.tokens[from].begin);
            if (from == s.first)
                one.head = words;
            else
                one.clauses.emplace_back(words);
        };
        for (std::uint32_t t = s.first; t < s.last; ++t)
            if (tree.tokens[t].mark == ',') {
                piece(t);
                from = t + 1;
            }
        piece(s.last);
    }
    return all;
}

/// What a walk over every word meets.
struct Words {
    std::size_t clauses = 0, words = 0, bytes = 0;
    bool operator==(const Words&) const = default;
};

Words words_of(const Tree& tree) {
    Words met;
    for (const Statement& s : tree.statements) {
        ++met.clauses;
        for (std::uint32_t t = s.first; t < s.last; ++t) {
            const Token& token = tree.tokens[t];
            if (token.mark == ',') {
                ++met.clauses;
                continue;
            }
            ++met.words;
            met.bytes += token.end - token.begin;
        }
    }
    return met;
}

#ifdef BENCH_SIMDJSON
std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char ch : text) {
        if (ch == '"' || ch == '\\') out += '\\';
        out += ch;
    }
    return out + '"';
}

/// A list of statements, each a list of clauses, each a list of words: what our tree holds.
std::string json_of(const Sources& sources, const Tree& tree) {
    std::string json = "[";
    for (const Statement& s : tree.statements) {
        json += json.size() > 1 ? ",\n[[" : "[[";
        bool first = true;
        for (std::uint32_t t = s.first; t < s.last; ++t) {
            const bool comma = tree.tokens[t].mark == ',';
            if (!comma) json += (first ? "" : ",") + in_quotes(sources.text(tree.span(tree.tokens[t])));
            if (comma) json += "],[";
            first = comma;
        }
        json += "]]";
    }
    return json + "]";
}

Words words_of(const simdjson::padded_string& json) {
    Words met;
    simdjson::ondemand::parser parser;
    simdjson::ondemand::document document = parser.iterate(json);
    for (simdjson::ondemand::array statement : document.get_array())
        for (simdjson::ondemand::array clause : statement) {
            ++met.clauses;
            for (auto word : clause) {
                ++met.words;
                met.bytes += word.get_string().value().size();
            }
        }
    return met;
}

std::string json_of(const std::vector<Said>& all) {
    std::string json = "[";
    for (const Said& one : all) {
        if (json.size() > 1) json += ",\n";
        json += "{\"head\":" + in_quotes(one.head) + ",\"clauses\":[";
        for (std::size_t i = 0; i < one.clauses.size(); ++i) json += (i > 0 ? "," : "") + in_quotes(one.clauses[i]);
        json += "]}";
    }
    return json + "]";
}

std::vector<Said> said(const simdjson::padded_string& json) {
    std::vector<Said> all;
    simdjson::ondemand::parser parser;
    simdjson::ondemand::document document = parser.iterate(json);
    for (simdjson::ondemand::object o : document.get_array()) {
        Said& one = all.emplace_back();
        one.head = o["head"].get_string().value();
        simdjson::ondemand::array clauses = o["clauses"].get_array();
        one.clauses.reserve(clauses.count_elements());
        for (auto clause : clauses) one.clauses.emplace_back(clause.get_string().value());
    }
    return all;
}
#endif

} // namespace

void reading_rows() {
    say("text into statements, each with its clauses as records, beside the same records from JSON; us a wire");
    for (const int wires : {1000, 10000, 100000}) {
        const std::string text = scenario::write(scenario::make(1, wires, scenario::Profile::stress)).main();
        const std::size_t runs = wires <= 10000 ? 11 : 5;
        Sources sources;
        const std::uint32_t source = sources.add("stress", text);
        Parsed parsed;
        std::vector<Said> our_records;
        const double tree_only = median_seconds([&] { parsed = parse(sources, source); }, runs);
        const double ours = median_seconds(
            [&] {
                parsed = parse(sources, source);
                our_records = said(sources, parsed.tree);
            },
            runs);
        Sources whole_sources;
        Reading reading;
        const double whole = seconds([&] { reading = read_circuit_text(whole_sources, "stress", text); });
        const auto n = static_cast<double>(View::now(reading.circuit).wires().size());
#ifdef BENCH_SIMDJSON
        const simdjson::padded_string json(json_of(our_records));
        std::vector<Said> their_records;
        const double theirs = median_seconds([&] { their_records = said(json); }, runs);
        say(fmt::format("{:9.0f} wires  ours {:7.3f} (of that records {:.3f})  simdjson {:7.3f}  {}{}", n,
                        ours / n * 1e6, (ours - tree_only) / n * 1e6, theirs / n * 1e6, verdict(theirs / ours, 1),
                        our_records == their_records ? "" : "  the records DIFFER"));
        // The JSON above has a clause as one text, while our tree has taken it apart: here the peer is given the words too.
        const simdjson::padded_string json_words(json_of(sources, parsed.tree));
        Words our_words, their_words;
        const double our_walk = median_seconds(
            [&] {
                parsed = parse(sources, source);
                our_words = words_of(parsed.tree);
            },
            runs);
        const double their_walk = median_seconds([&] { their_words = words_of(json_words); }, runs);
        say(fmt::format("            every word by itself, no record made: ours {:.3f}  simdjson {:.3f}  {}{}",
                        our_walk / n * 1e6, their_walk / n * 1e6, verdict(their_walk / our_walk, 0),
                        our_words == their_words ? "" : "  the words DIFFER"));
#else
        say(fmt::format("{:9.0f} wires  ours {:7.3f} (of that records {:.3f})  simdjson is not installed (.ci/install "
                        "bench): no figure "
                        "for it",
                        n, ours / n * 1e6, (ours - tree_only) / n * 1e6));
#endif
        say(fmt::format(
            "            and the whole way to a circuit {:.2f}: words, mistakes with their cures, parts, what they are "
            "electrically (no peer)",
            whole / n * 1e6));
    }
}

} // namespace loomproof::bench
