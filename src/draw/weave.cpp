#include "draw/weave.hpp"

#include "draw/layout_library.hpp"
#include "draw/levels.hpp"

#include <algorithm>
#include <cstddef>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// An edge from an upper node to a lower one, before rows are known.
struct Hop {
    int wire, upper, lower, upper_pin, lower_pin;
};

class Weaver {
  public:
    Weaver(const Sketch& sketch, Lean lean, const Recalled* recalled = nullptr)
        : sketch_(sketch), lean_(lean), recalled_(recalled) {}

    Result<Weave> run() {
        make_bodies();
        make_hops();
        break_circles();
        if (Result<std::vector<int>> levels = find_rows(); levels)
            place_in_rows(*levels);
        else
            return failure(levels.error());
        return std::move(weave_);
    }

  private:
    void make_bodies() {
        std::vector<std::vector<Use>> uses(sketch_.symbols.size());
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w) {
            const Wire& wire = sketch_.wires[w];
            const bool to_ground = sketch_.symbols[index(wire.b.symbol)].kind == SymbolKind::foot;
            uses[index(wire.a.symbol)].push_back({static_cast<int>(w), true, wire.a.terminal, Edge::bottom, to_ground});
            uses[index(wire.b.symbol)].push_back({static_cast<int>(w), false, wire.b.terminal, Edge::top, to_ground});
        }
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s) {
            const Symbol& symbol = sketch_.symbols[s];
            weave_.bodies.push_back(make_body(symbol, uses[s]));
            Node node;
            node.type = row_of(symbol.kind).nature == SymbolRow::Nature::bar ? Node::Type::bar : Node::Type::body;
            node.symbol = static_cast<int>(s);
            weave_.nodes.push_back(std::move(node));
        }
    }

    int pin_of(int symbol, int wire, bool at_start) const {
        const std::vector<Pin>& pins = weave_.bodies[index(symbol)].pins;
        const auto found = std::find_if(pins.begin(), pins.end(),
                                        [&](const Pin& p) { return p.wire == wire && p.at_start == at_start; });
        return static_cast<int>(found - pins.begin());
    }
    Edge edge_of(int symbol, int pin) const { return weave_.bodies[index(symbol)].pins[index(pin)].edge; }

    int add_turn(int wire) {
        Node node;
        node.type = Node::Type::turn;
        node.wire = wire;
        weave_.nodes.push_back(std::move(node));
        return static_cast<int>(weave_.nodes.size()) - 1;
    }

    void make_hops() {
        note_straight_wires();
        for (std::size_t i = 0; i < sketch_.wires.size(); ++i) {
            const Wire& wire = sketch_.wires[i];
            const int w = static_cast<int>(i);
            const int a = wire.a.symbol, b = wire.b.symbol;
            const int pa = pin_of(a, w, true), pb = pin_of(b, w, false);
            if (edge_of(a, pa) == edge_of(b, pb)) spare_a_turn(a, pa, b, pb);
            const Edge ea = edge_of(a, pa), eb = edge_of(b, pb);
            chain_.emplace_back();
            if (ea != eb && a == b) {
                // From the bottom of a symbol to its own top: down, up beside it, and down again.
                const bool down = ea == Edge::bottom;
                lead_around(w, down ? Hop{w, a, b, pa, pb} : Hop{w, b, a, pb, pa}, down);
            } else if (ea == Edge::bottom && eb == Edge::top) {
                add_hop({w, a, b, pa, pb});
            } else if (ea == Edge::top && eb == Edge::bottom) {
                add_hop({w, b, a, pb, pa});
            } else {
                const int turn = add_turn(w);
                if (ea == Edge::bottom) {
                    add_hop({w, a, turn, pa, -1});
                    add_hop({w, b, turn, pb, -1});
                } else {
                    add_hop({w, turn, a, -1, pa});
                    add_hop({w, turn, b, -1, pb});
                }
            }
        }
    }

    // By symbol: what its wires lead down to.
    void note_straight_wires() {
        leads_down_.resize(sketch_.symbols.size());
        for (std::size_t i = 0; i < sketch_.wires.size(); ++i) {
            const Wire& wire = sketch_.wires[i];
            const int w = static_cast<int>(i), a = wire.a.symbol, b = wire.b.symbol;
            const Edge ea = edge_of(a, pin_of(a, w, true)), eb = edge_of(b, pin_of(b, w, false));
            if (a == b || ea == eb) continue;
            leads_down_[index(ea == Edge::bottom ? a : b)].push_back(ea == Edge::bottom ? b : a);
        }
    }

    // A bar takes a wire on either side: where that spares it a turn out and back, and closes no circle, on the other one.
    void spare_a_turn(int a, int pin_a, int b, int pin_b) {
        const auto is_bar = [&](int s) { return weave_.nodes[index(s)].type == Node::Type::bar; };
        if (a == b || is_bar(a) == is_bar(b)) return;
        const int bar = is_bar(a) ? a : b, other = is_bar(a) ? b : a;
        Pin& pin = weave_.bodies[index(bar)].pins[index(is_bar(a) ? pin_a : pin_b)];
        const int upper = pin.edge == Edge::top ? bar : other, lower = pin.edge == Edge::top ? other : bar;
        if (leads_to(lower, upper)) return;
        pin.edge = opposite(pin.edge);
        leads_down_[index(upper)].push_back(lower);
    }
    bool leads_to(int from, int to) const {
        std::vector<bool> seen(leads_down_.size(), false);
        std::vector<int> next{from};
        while (!next.empty()) {
            const int at = next.back();
            next.pop_back();
            if (at == to) return true;
            if (seen[index(at)]) continue;
            seen[index(at)] = true;
            next.insert(next.end(), leads_down_[index(at)].begin(), leads_down_[index(at)].end());
        }
        return false;
    }

    void add_hop(const Hop& hop) {
        chain_.back().push_back(static_cast<int>(hops_.size()));
        hops_.push_back(hop);
    }

    // Replaces a hop that would have to run upwards by three that run downwards: into a turn below its upper node, from a turn
    // above its lower node, and between the two turns beside everything.
    void lead_around(int wire, const Hop& hop, bool from_start) {
        const int below = add_turn(wire), above = add_turn(wire);
        std::vector<int> three;
        const auto add = [&](const Hop& h) {
            three.push_back(static_cast<int>(hops_.size()));
            hops_.push_back(h);
        };
        add({wire, hop.upper, below, hop.upper_pin, -1});
        add({wire, above, below, -1, -1});
        add({wire, above, hop.lower, -1, hop.lower_pin});
        if (!from_start) std::reverse(three.begin(), three.end());
        std::vector<int>& chain = chain_[index(wire)];
        chain.insert(chain.end(), three.begin(), three.end());
    }

    // Depth first over the hops; one that leads back into the path being walked is led around.
    void break_circles() {
        std::vector<std::vector<int>> out(weave_.nodes.size());
        std::vector<int> in_count(weave_.nodes.size(), 0);
        for (std::size_t h = 0; h < hops_.size(); ++h) {
            out[index(hops_[h].upper)].push_back(static_cast<int>(h));
            ++in_count[index(hops_[h].lower)];
        }
        enum class Mark : std::uint8_t { fresh, open, done };
        std::vector<Mark> mark(weave_.nodes.size(), Mark::fresh);
        std::vector<int> back;
        struct Visit {
            int node;
            std::size_t next;
        };
        const auto walk = [&](int root) {
            if (mark[index(root)] != Mark::fresh) return;
            std::vector<Visit> path{{root, 0}};
            mark[index(root)] = Mark::open;
            while (!path.empty()) {
                Visit& here = path.back();
                const std::vector<int>& ways = out[index(here.node)];
                if (here.next == ways.size()) {
                    mark[index(here.node)] = Mark::done;
                    path.pop_back();
                    continue;
                }
                const int hop = ways[here.next++];
                const int lower = hops_[index(hop)].lower;
                if (mark[index(lower)] == Mark::open) back.push_back(hop);
                if (mark[index(lower)] != Mark::fresh) continue;
                mark[index(lower)] = Mark::open;
                path.push_back({lower, 0});
            }
        };
        const int nodes = static_cast<int>(weave_.nodes.size());
        for (int n = 0; n < nodes; ++n)
            if (in_count[index(n)] == 0) walk(n);
        for (int n = 0; n < nodes; ++n) walk(n);
        std::sort(back.begin(), back.end());
        for (const int h : back) {
            const Hop hop = hops_[index(h)];
            std::vector<int>& chain = chain_[index(hop.wire)];
            const auto at = std::find(chain.begin(), chain.end(), h) - chain.begin();
            const std::vector<int> before(chain.begin(), chain.begin() + at),
                after(chain.begin() + at + 1, chain.end());
            const bool downwards = traversed_downwards(hop.wire, h);
            chain = before;
            lead_around(hop.wire, hop, downwards);
            chain.insert(chain.end(), after.begin(), after.end());
            hops_[index(h)].wire = -1;
        }
    }

    // Is the hop walked from its upper to its lower node when the wire is followed from `a` to `b`?
    bool traversed_downwards(int wire, int hop) const {
        int at = sketch_.wires[index(wire)].a.symbol;
        for (const int h : chain_[index(wire)]) {
            const Hop& step = hops_[index(h)];
            const bool down = step.upper == at;
            if (h == hop) return down;
            at = down ? step.lower : step.upper;
        }
        return true;
    }

    bool touches_battery(int foot) const {
        return std::any_of(sketch_.wires.begin(), sketch_.wires.end(), [&](const Wire& w) {
            if (w.a.symbol != foot && w.b.symbol != foot) return false;
            const int other = w.a.symbol == foot ? w.b.symbol : w.a.symbol;
            return sketch_.symbols[index(other)].kind == SymbolKind::battery;
        });
    }

    int weight_of(const Hop& hop) const {
        const auto kind = [&](int node) {
            const int s = weave_.nodes[index(node)].symbol;
            return s < 0 ? SymbolKind::unit : sketch_.symbols[index(s)].kind;
        };
        if (weave_.nodes[index(hop.upper)].type == Node::Type::turn ||
            weave_.nodes[index(hop.lower)].type == Node::Type::turn)
            return 1;
        if (kind(hop.upper) == SymbolKind::bus && kind(hop.lower) == SymbolKind::fuse) return 20;
        if (kind(hop.upper) == SymbolKind::hole || kind(hop.lower) == SymbolKind::hole) return 2;
        return 3;
    }

    bool is_wire_end(int n) const {
        const int s = weave_.nodes[index(n)].symbol;
        return s >= 0 && row_of(sketch_.symbols[index(s)].kind).nature == SymbolRow::Nature::end;
    }

    // All feet share one level, the lowest; but the feet at the battery stay right below it.
    Result<std::vector<int>> find_rows() {
        LevelProblem problem;
        const int nodes = static_cast<int>(weave_.nodes.size());
        for (int n = 0; n < nodes; ++n) problem.add_node();
        const int feet = problem.add_node();
        level_of_.resize(index(nodes));
        std::vector<bool> leads_on(index(nodes), false);
        for (int n = 0; n < nodes; ++n) {
            const int s = weave_.nodes[index(n)].symbol;
            const bool foot = s >= 0 && sketch_.symbols[index(s)].kind == SymbolKind::foot && !touches_battery(s);
            level_of_[index(n)] = foot ? feet : n;
            has_feet_ = has_feet_ || foot;
        }
        for (const Hop& hop : hops_) {
            if (hop.wire < 0) continue;
            leads_on[index(hop.upper)] = true;
            const bool to_feet = level_of_[index(hop.lower)] == feet;
            // A leg to ground may be long, but not that of a turn or of a wire end, which stand there for nothing else.
            const bool free_leg =
                to_feet && weave_.nodes[index(hop.upper)].type != Node::Type::turn && !is_wire_end(hop.upper);
            problem.add(hop.upper, level_of_[index(hop.lower)], 1, free_leg ? 0 : weight_of(hop));
        }
        if (has_feet_)
            for (int n = 0; n < nodes; ++n)
                if (!leads_on[index(n)] && level_of_[index(n)] != feet) problem.add(n, feet, 1, 0);
        // The battery stands on top of everything that nothing feeds.
        int top = -1;
        for (int n = 0; n < nodes && top < 0; ++n) {
            const int s = weave_.nodes[index(n)].symbol;
            if (s >= 0 && sketch_.symbols[index(s)].kind == SymbolKind::battery) top = n;
        }
        std::vector<bool> fed(index(nodes), false);
        for (const Hop& hop : hops_)
            if (hop.wire >= 0) fed[index(hop.lower)] = true;
        if (top >= 0 && !fed[index(top)])
            for (int n = 0; n < nodes; ++n)
                if (n != top && !fed[index(n)] && leads_on[index(n)]) problem.add(top, n, 0, 0);
        problem.lean = lean_;
        if (recalled_ != nullptr) keep_rows(problem);
        Result<std::vector<int>> levels =
            lean_ == Lean::none && recalled_ == nullptr ? rows_by_library(problem) : solve(problem);
        if (!levels) return levels;
        std::vector<int> row(index(nodes));
        for (int n = 0; n < nodes; ++n) row[index(n)] = (*levels)[index(level_of_[index(n)])];
        if (has_feet_) weave_.foot_row = (*levels)[index(feet)];
        return row;
    }

    // What stood somewhere is drawn to where it stood, more than anything else draws at it.
    void keep_rows(LevelProblem& problem) const {
        constexpr int of_a_place = 100;
        const int first_row = problem.add_node();
        const auto keep = [&](int node, int row) {
            problem.add_distance(first_row, row, level_of_[index(node)], 0, of_a_place);
        };
        for (std::size_t s = 0; s < sketch_.symbols.size(); ++s)
            if (recalled_->symbols[s] != nullptr) keep(static_cast<int>(s), recalled_->symbols[s]->stood.row);
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w) {
            if (recalled_->wires[w] == nullptr) continue;
            const std::vector<int> turns = turns_of(w), rows = rows_of_turns(recalled_->wires[w]->way);
            for (std::size_t t = 0; t < turns.size() && turns.size() == rows.size(); ++t) keep(turns[t], rows[t]);
        }
    }

    // Nodes, from the wire's start to its end.
    std::vector<int> turns_of(std::size_t wire) const {
        std::vector<int> turns;
        int at = sketch_.wires[wire].a.symbol;
        for (const int h : chain_[wire]) {
            const Hop& hop = hops_[index(h)];
            at = hop.upper == at ? hop.lower : hop.upper;
            if (weave_.nodes[index(at)].type == Node::Type::turn) turns.push_back(at);
        }
        return turns;
    }

    void place_in_rows(const std::vector<int>& level) {
        // Levels that nobody stands in are left out.
        int highest = 0;
        for (const int l : level) highest = std::max(highest, l);
        std::vector<int> row_of_level(index(highest + 1), -1);
        for (const int l : level) row_of_level[index(l)] = 0;
        int rows = 0;
        for (int& r : row_of_level)
            if (r == 0) r = rows++;
        if (weave_.foot_row >= 0) weave_.foot_row = row_of_level[index(weave_.foot_row)];
        for (std::size_t n = 0; n < level.size(); ++n) weave_.nodes[n].row = row_of_level[index(level[n])];

        weave_.chains.resize(sketch_.wires.size());
        for (std::size_t w = 0; w < sketch_.wires.size(); ++w) {
            int at = sketch_.wires[w].a.symbol;
            for (const int h : chain_[w]) {
                const Hop& hop = hops_[index(h)];
                const bool down = hop.upper == at;
                std::vector<int> run = split(hop);
                if (!down) std::reverse(run.begin(), run.end());
                weave_.chains[w].insert(weave_.chains[w].end(), run.begin(), run.end());
                at = down ? hop.lower : hop.upper;
            }
        }
        weave_.rows.resize(index(rows));
        for (std::size_t n = 0; n < weave_.nodes.size(); ++n)
            weave_.rows[index(weave_.nodes[n].row)].push_back(static_cast<int>(n));
    }

    std::vector<int> split(const Hop& hop) {
        std::vector<int> run;
        int from = hop.upper, pin = hop.upper_pin;
        const int last = weave_.nodes[index(hop.lower)].row;
        for (int row = weave_.nodes[index(hop.upper)].row + 1; row < last; ++row) {
            Node pass;
            pass.type = Node::Type::pass;
            pass.wire = hop.wire;
            pass.row = row;
            weave_.nodes.push_back(std::move(pass));
            const int node = static_cast<int>(weave_.nodes.size()) - 1;
            run.push_back(add_piece({hop.wire, from, node, pin, -1}));
            from = node;
            pin = -1;
        }
        run.push_back(add_piece({hop.wire, from, hop.lower, pin, hop.lower_pin}));
        return run;
    }

    int add_piece(const Piece& piece) {
        const int id = static_cast<int>(weave_.pieces.size());
        weave_.pieces.push_back(piece);
        weave_.nodes[index(piece.upper)].below.push_back(id);
        weave_.nodes[index(piece.lower)].above.push_back(id);
        return id;
    }

    const Sketch& sketch_;
    Lean lean_;
    const Recalled* recalled_; // nullptr: nothing stood anywhere
    Weave weave_;
    std::vector<Hop> hops_;
    std::vector<std::vector<int>> chain_; // by wire: hops from `a` to `b`
    std::vector<std::vector<int>> leads_down_;
    std::vector<int> level_of_;
    bool has_feet_ = false;
};

} // namespace

int seat_cell(const Weave& weave, int node, int piece, bool upper_side) {
    const Node& n = weave.nodes[index(node)];
    if (n.type != Node::Type::body) return 0;
    const Piece& p = weave.pieces[index(piece)];
    const Body& body = weave.bodies[index(n.symbol)];
    const Pin& pin = body.pins[index(upper_side ? p.lower_pin : p.upper_pin)];
    return body.seats[index(pin.terminal)].cell;
}

namespace {

int reach(const Weave& weave, const Node& node, bool left) {
    if (node.symbol < 0 || node.type == Node::Type::turn || node.type == Node::Type::pass) return 0;
    const Body& body = weave.bodies[index(node.symbol)];
    // Bodies that may be mirrored keep their text on the right and have room for both ways round.
    if (node.mirrored && body.is_end) left = !left;
    return left ? body.left_reach : body.right_reach;
}

} // namespace

int left_reach(const Weave& weave, const Node& node) { return reach(weave, node, true); }
int right_reach(const Weave& weave, const Node& node) { return reach(weave, node, false); }

std::vector<WayPoint> way_of(const Sketch& sketch, const Weave& weave, std::size_t wire) {
    std::vector<WayPoint> way;
    int at = sketch.wires[wire].a.symbol;
    for (const int p : weave.chains[wire]) {
        const Piece& piece = weave.pieces[index(p)];
        const WayPoint upper{piece.upper_column, weave.nodes[index(piece.upper)].row},
            lower{piece.lower_column, weave.nodes[index(piece.lower)].row};
        const bool down = piece.upper == at;
        way.push_back(down ? upper : lower);
        way.push_back(down ? lower : upper);
        at = down ? piece.lower : piece.upper;
    }
    return way;
}

std::vector<int> rows_of_turns(const std::vector<WayPoint>& way) {
    std::vector<int> rows;
    // Two points each: a piece ends where the next one begins.
    for (std::size_t i = 1; i + 2 < way.size(); i += 2) {
        const int before = way[i - 1].row, here = way[i].row, behind = way[i + 2].row;
        if ((before < here) != (here < behind)) rows.push_back(here);
    }
    return rows;
}

Result<Weave> weave(const Sketch& sketch, const Recalled& recalled) {
    return Weaver(sketch, Lean::none, &recalled).run();
}

Result<Weave> weave(const Sketch& sketch, Lean lean) { return Weaver(sketch, lean).run(); }

} // namespace loomproof::draw
