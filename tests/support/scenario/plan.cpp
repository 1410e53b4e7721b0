#include "support/scenario/plan.hpp"

#include <algorithm>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

template <class T> int push(std::vector<T>& list, T item) {
    list.push_back(std::move(item));
    return static_cast<int>(list.size()) - 1;
}

// Parts whose two ends are alike: `to F1` means the first, `from F1` the second.
bool ends_alike(const std::string& keyword) {
    static const std::set<std::string, std::less<>> alike = {"fuse",     "link",   "breaker", "resistor",
                                                             "lamp",     "horn",   "load",    "switch",
                                                             "solenoid", "heater", "ammeter", "shunt"};
    return alike.contains(keyword);
}

} // namespace

const char* word(Element element) {
    static constexpr const char* words[] = {"wire", "joint", "contact", "protector", "diode", "load", "coil", "source"};
    return words[static_cast<std::size_t>(element)];
}

Condition both(const Condition& x, const Condition& y) {
    Condition result = Condition::never();
    for (const Combination& a : x.any) {
        for (const Combination& b : y.any) {
            Combination joint = a;
            bool possible = true;
            for (const auto& term : b) {
                const std::set<std::string>& positions = term.second;
                const auto [at, fresh] = joint.try_emplace(term.first, positions);
                if (!fresh) {
                    std::erase_if(at->second, [&](const std::string& p) { return !positions.contains(p); });
                    possible = possible && !at->second.empty();
                }
            }
            if (possible) { result.any.push_back(std::move(joint)); }
        }
    }
    return result;
}

Condition either(const Condition& x, const Condition& y) {
    Condition result = x;
    result.any.insert(result.any.end(), y.any.begin(), y.any.end());
    return result;
}

Condition Plan::opposite(const Condition& condition) const {
    Condition result;
    for (const Combination& combination : condition.any) {
        Condition none_of = Condition::never();
        for (const auto& [control, positions] : combination) {
            std::set<std::string> others;
            for (const std::string& p : controls[static_cast<std::size_t>(control)].positions) {
                if (!positions.contains(p)) { others.insert(p); }
            }
            none_of.any.push_back({{control, std::move(others)}});
        }
        result = both(result, none_of);
    }
    return result;
}

int Plan::statement(Statement s) { return push(statements, std::move(s)); }

int Plan::node(std::string name, int part) { return push(nodes, Node{std::move(name), part}); }

int Plan::control(std::string name, std::vector<std::string> positions) {
    const auto [at, fresh] = control_index.try_emplace(name, static_cast<int>(controls.size()));
    if (fresh) { controls.push_back({std::move(name), std::move(positions)}); }
    return at->second;
}

int Plan::terminal(int part, const std::string& stamp) {
    Part& p = parts[static_cast<std::size_t>(part)];
    const int id = node(stamp.empty() ? p.name : fmt::format("{}:{}", p.name, stamp), part);
    p.nodes.emplace(stamp, id);
    return id;
}

End Plan::end(int part, std::string stamp) const {
    const int id = parts[static_cast<std::size_t>(part)].nodes.at(stamp);
    return {part, std::move(stamp), {}, id};
}

int Plan::edge(Edge e) { return push(edges, std::move(e)); }

int Plan::add_wire(Wire w, int block) {
    const int id = static_cast<int>(wires.size());
    int from = w.a.node;
    for (std::size_t i = 0; i < w.lengths.size(); ++i) {
        const bool last = i == w.through.size();
        Edge e{Element::wire, from, last ? w.b.node : w.through[i].node, w.name};
        e.piece = w.through.empty() ? 0 : static_cast<int>(i) + 1;
        e.length = w.lengths[i];
        e.wire = id;
        w.edges.push_back(edge(std::move(e)));
        if (!last) {
            std::string other = w.through[i].stamp;
            other.back() = '1';
            from = end(w.through[i].part, other).node;
        }
    }
    Statement s = written(w);
    s.block = block;
    w.statement = statement(std::move(s));
    return push(wires, std::move(w));
}

std::string Plan::spelled(const End& e, bool from) const {
    if (!e.text.empty()) { return e.text; }
    const Part& p = parts[static_cast<std::size_t>(e.part)];
    const std::string stamp = e.stamp.substr(0, e.stamp.find('/'));
    const bool plain = ends_alike(p.keyword) && p.nodes.size() == 2 && p.nodes.contains("1") && p.nodes.contains("2");
    if (stamp.empty() || (plain && stamp == (from ? "2" : "1"))) { return p.name; }
    return fmt::format("{}:{}", p.name, stamp);
}

Statement Plan::written(const Wire& w) const {
    Statement s;
    s.head = w.named ? fmt::format("wire {} from {}", w.name, spelled(w.a, true))
                     : fmt::format("wire from {}", spelled(w.a, true));
    for (std::size_t i = 0; i < w.through.size(); ++i) {
        s.head += (i == 0 ? " through " : ", ") + spelled(w.through[i], false);
    }
    s.head += " to " + spelled(w.b, false);
    std::string look = w.size != nullptr ? w.size->text : "";
    for (std::size_t i = 0; i < w.colours.size(); ++i) {
        look += (i > 0 ? " + " : look.empty() ? "" : " ") + w.colours[i];
    }
    if (!look.empty()) { s.clauses.push_back(look); }
    std::string run;
    for (double length : w.lengths) { run += (run.empty() ? "" : " + ") + w.how + length_text(length, rule); }
    if (!run.empty()) { s.clauses.push_back(run); }
    s.clauses.insert(s.clauses.end(), w.more.begin(), w.more.end());
    return s;
}

} // namespace loomproof::scenario
