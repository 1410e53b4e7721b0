#include "draw/route.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr double track_pitch = 15;
constexpr double channel_margin = 13; // from a row to the first track

// One channel: finds tracks so that no two runs share a place and no two upright ends do.
class Tracks {
  public:
    explicit Tracks(std::vector<Run> runs) : runs_(std::move(runs)) {}

    std::vector<Run> run() {
        break_conflicts();
        choose_order();
        assign();
        return std::move(runs_);
    }

  private:
    // Must `i` lie above `j`? The end of `i` that comes from above and the end of `j` that goes on below stand in one column. The two halves of
    // a run broken in two meet there themselves, whichever of them lies above.
    static bool must_be_above(const Run& i, const Run& j) { return i.piece != j.piece && i.from == j.to; }
    static bool overlap(const Run& i, const Run& j) { return i.left() <= j.right() && j.left() <= i.right(); }

    // The crossings of two runs if `i` lies above `j`.
    static int crossings(const Run& i, const Run& j) {
        const auto inside = [](int x, const Run& r) { return r.left() < x && x < r.right(); };
        // j's upper end passes i's run; i's lower end passes j's run.
        return (inside(j.from, i) ? 1 : 0) + (inside(i.to, j) ? 1 : 0);
    }

    // Walks the "must lie above" arrows; a run that closes a circle is broken in two with an upright piece in a half column.
    void break_conflicts() {
        for (int guard = 0; guard < 64; ++guard) {
            const int bad = in_circle();
            if (bad < 0) return;
            Run first = runs_[index(bad)], second = first;
            const int middle = free_half_column(first);
            first.to = middle;
            second.from = middle;
            runs_[index(bad)] = first;
            runs_.insert(runs_.begin() + bad + 1, second);
            occupied_.push_back(middle);
        }
    }

    int free_half_column(const Run& run) const {
        const int step = run.to > run.from ? 2 : -2;
        for (int x = run.to - step / 2; (step > 0) == (x > run.from); x -= step)
            if (std::find(occupied_.begin(), occupied_.end(), x) == occupied_.end()) return x;
        // Every half column between the two ends is taken: beyond the end, then.
        int x = run.to + step / 2;
        while (std::find(occupied_.begin(), occupied_.end(), x) != occupied_.end()) x += step;
        return x;
    }

    int in_circle() const {
        const int n = static_cast<int>(runs_.size());
        std::vector<int> mark(index(n), 0);
        for (int root = 0; root < n; ++root) {
            if (mark[index(root)] != 0) continue;
            std::vector<std::pair<int, int>> path{{root, 0}};
            mark[index(root)] = 1;
            while (!path.empty()) {
                auto& [here, next] = path.back();
                if (next == n) {
                    mark[index(here)] = 2;
                    path.pop_back();
                    continue;
                }
                const int j = next++;
                if (j == here || !must_be_above(runs_[index(here)], runs_[index(j)])) continue;
                if (mark[index(j)] == 1) return here;
                if (mark[index(j)] == 2) continue;
                mark[index(j)] = 1;
                path.emplace_back(j, 0);
            }
        }
        return -1;
    }

    int cost(int i, int j) const {
        const Run &a = runs_[index(i)], &b = runs_[index(j)];
        if (!overlap(a, b)) return 0;
        return crossings(a, b) + (must_be_above(b, a) ? 10000 : 0);
    }

    // The order from top to bottom.
    void choose_order() {
        order_ = greedy_order();
        long fewest = 0;
        for (int i = 0; i < static_cast<int>(runs_.size()); ++i)
            for (int j = 0; j < i; ++j) fewest += std::min(cost(i, j), cost(j, i));
        if (cost(order_) == fewest) return;
        std::vector<int> other = order_by_pairs();
        if (cost(other) < cost(order_)) order_ = std::move(other);
    }

    long cost(const std::vector<int>& order) const {
        long sum = 0;
        for (std::size_t i = 0; i < order.size(); ++i)
            for (std::size_t j = i + 1; j < order.size(); ++j) sum += cost(order[i], order[j]);
        return sum;
    }

    std::vector<int> greedy_order() const {
        const int n = static_cast<int>(runs_.size());
        std::vector<int> order, left(index(n));
        std::vector<long> above(
            index(n), 0); // by run: what it costs to lie above all that are left, less what it costs to lie below them
        for (int i = 0; i < n; ++i) {
            left[index(i)] = i;
            for (int j = 0; j < i; ++j) {
                const long gain = cost(i, j) - cost(j, i);
                above[index(i)] += gain;
                above[index(j)] -= gain;
            }
        }
        while (!left.empty()) {
            std::size_t best = 0;
            for (std::size_t i = 1; i < left.size(); ++i)
                if (above[index(left[i])] < above[index(left[best])]) best = i;
            const int next = left[best];
            order.push_back(next);
            left.erase(left.begin() + static_cast<std::ptrdiff_t>(best));
            for (const int i : left) above[index(i)] -= cost(i, next) - cost(next, i);
        }
        swap_neighbours(order);
        return order;
    }

    // Each pair that is better one way round stands so, unless such wishes run in a circle, which takes two pairs that must change places: two runs
    // in the same direction need not cross, and two in opposite directions cross as often either way.
    std::vector<int> order_by_pairs() const {
        const int n = static_cast<int>(runs_.size());
        std::vector<int> order, above(index(n), 0); // by run: how many of those not yet placed should lie above it
        const auto wanted = [&](int i, int j) { return cost(i, j) < cost(j, i); };
        for (int i = 0; i < n; ++i)
            for (int j = 0; j < n; ++j)
                if (wanted(j, i)) ++above[index(i)];
        std::vector<bool> placed(index(n), false);
        for (int k = 0; k < n; ++k) {
            int next = -1;
            for (int i = 0; i < n; ++i)
                if (!placed[index(i)] && (next < 0 || above[index(i)] < above[index(next)])) next = i;
            placed[index(next)] = true;
            order.push_back(next);
            for (int i = 0; i < n; ++i)
                if (wanted(next, i)) --above[index(i)];
        }
        swap_neighbours(order);
        return order;
    }

    void swap_neighbours(std::vector<int>& order) const {
        for (std::size_t round = 0; round < order.size(); ++round) {
            bool better = false;
            for (std::size_t i = 0; i + 1 < order.size(); ++i)
                if (cost(order[i + 1], order[i]) < cost(order[i], order[i + 1])) {
                    std::swap(order[i], order[i + 1]);
                    better = true;
                }
            if (!better) break;
        }
    }

    // The order of the overlapping pairs holds; each run takes the highest track that keeps to it.
    void assign() {
        for (std::size_t k = 0; k < order_.size(); ++k) {
            Run& run = runs_[index(order_[k])];
            int track = 0;
            for (std::size_t l = 0; l < k; ++l) {
                const Run& above = runs_[index(order_[l])];
                if (overlap(run, above)) track = std::max(track, above.track + 1);
            }
            run.track = track;
        }
    }

    std::vector<Run> runs_;
    std::vector<int> occupied_;
    std::vector<int> order_;
};

class Router {
  public:
    static constexpr double bar_stub = 10; // a bar's wires end at short black stubs
    Router(const Sketch& sketch, const Weave& weave, const Runs& runs, const Lanes& lanes)
        : sketch_(sketch), weave_(weave), runs_(runs), lanes_(lanes) {}

    Route run() {
        count_tracks();
        stack_rows();
        make_paths();
        count();
        return std::move(route_);
    }

  private:
    void count_tracks() {
        for (const std::vector<Run>& runs : runs_) {
            Channel channel;
            for (const Run& run : runs) channel.tracks = std::max(channel.tracks, run.track + 1);
            route_.channels.push_back(channel);
        }
    }

    double node_height(const Node& node) const {
        switch (node.type) {
        case Node::Type::body:
        case Node::Type::bar: return weave_.bodies[index(node.symbol)].height();
        case Node::Type::turn: return 16;
        case Node::Type::pass: return 0;
        }
        return 0;
    }

    void stack_rows() {
        double y = 0;
        for (std::size_t r = 0; r < weave_.rows.size(); ++r) {
            double height = 0;
            for (const int n : weave_.rows[r]) height = std::max(height, node_height(weave_.nodes[index(n)]));
            route_.row_top.push_back(y);
            route_.row_height.push_back(height);
            y += height;
            Channel& channel = route_.channels[r];
            channel.top = y;
            if (r + 1 < weave_.rows.size()) {
                const double lane = r < lanes_.size() ? lanes_[r] : 0;
                const double needed = channel.tracks > 0 ? 2 * channel_margin + (channel.tracks - 1) * track_pitch : 0;
                channel.height = std::max(least_channel, needed) + lane;
                y += channel.height;
            }
        }
        route_.height = y;
        for (const Node& node : weave_.nodes) {
            route_.width = std::max(route_.width, (node.right + 1 + right_reach(weave_, node)) * column);
        }
    }

    // Tracks lie at the channel's bottom: a lane for labels opens above them.
    double track_y(std::size_t channel, int track) const {
        const Channel& c = route_.channels[channel];
        return c.top + c.height - channel_margin - (c.tracks - 1 - track) * track_pitch;
    }

    double end_y(int node, bool upper_side) const {
        const Node& n = weave_.nodes[index(node)];
        if (n.type == Node::Type::body)
            return top_of(weave_, route_, node) + (upper_side ? 0 : weave_.bodies[index(n.symbol)].height());
        if (n.type == Node::Type::pass) return route_.row_top[index(n.row)] + route_.row_height[index(n.row)] / 2;
        const double line = line_of(weave_, route_, node);
        if (n.type == Node::Type::bar) return line + (upper_side ? -bar_stub : bar_stub);
        return line;
    }

    // The way of a piece from its upper to its lower node.
    std::vector<Point> down(int p) const {
        const Piece& piece = weave_.pieces[index(p)];
        const std::size_t channel = index(weave_.nodes[index(piece.upper)].row);
        std::vector<Point> way{{x_of_half_column(2 * piece.upper_column), end_y(piece.upper, false)}};
        for (const Run& run : runs_[channel]) {
            if (run.piece != p) continue;
            const double y = track_y(channel, run.track);
            way.push_back({x_of_half_column(run.from), y});
            way.push_back({x_of_half_column(run.to), y});
        }
        way.push_back({x_of_half_column(2 * piece.lower_column), end_y(piece.lower, true)});
        return way;
    }

    void make_paths() {
        for (const std::vector<int>& chain : weave_.chains) {
            std::vector<Point> path;
            int at = chain.empty() ? -1 : first_node(chain);
            for (const int p : chain) {
                const Piece& piece = weave_.pieces[index(p)];
                std::vector<Point> way = down(p);
                const bool downwards = piece.upper == at;
                if (!downwards) std::reverse(way.begin(), way.end());
                at = downwards ? piece.lower : piece.upper;
                for (const Point& point : way) append(path, point);
            }
            route_.paths.push_back(std::move(path));
        }
    }

    int first_node(const std::vector<int>& chain) const {
        const Piece& first = weave_.pieces[index(chain.front())];
        return sketch_.wires[index(first.wire)].a.symbol == first.upper ? first.upper : first.lower;
    }

    static void append(std::vector<Point>& path, const Point& p) {
        if (!path.empty() && path.back() == p) return;
        if (path.size() >= 2) {
            const Point &a = path[path.size() - 2], &b = path.back();
            const bool upright = a.x == b.x && b.x == p.x && (b.y - a.y) * (p.y - b.y) > 0;
            const bool level = a.y == b.y && b.y == p.y && (b.x - a.x) * (p.x - b.x) > 0;
            if (upright || level) {
                path.back() = p;
                return;
            }
        }
        path.push_back(p);
    }

    void count() {
        struct Line {
            Point a, b;
        };
        std::vector<Line> level, upright;
        for (const std::vector<Point>& path : route_.paths) {
            route_.bends += path.size() > 2 ? static_cast<int>(path.size()) - 2 : 0;
            for (std::size_t i = 0; i + 1 < path.size(); ++i)
                (path[i].y == path[i + 1].y ? level : upright).push_back({path[i], path[i + 1]});
        }
        std::sort(upright.begin(), upright.end(), [](const Line& l, const Line& r) { return l.a.x < r.a.x; });
        for (const Line& l : level) {
            const double right = std::max(l.a.x, l.b.x);
            for (auto u = std::upper_bound(upright.begin(), upright.end(), std::min(l.a.x, l.b.x),
                                           [](double x, const Line&line) { return x < line.a.x; });
                 u != upright.end() && u->a.x < right; ++u)
                if (std::min(u->a.y, u->b.y) < l.a.y && l.a.y < std::max(u->a.y, u->b.y)) ++route_.crossings;
        }
    }

    const Sketch& sketch_;
    const Weave& weave_;
    const Runs& runs_;
    const Lanes& lanes_;
    Route route_;
};

} // namespace

double top_of(const Weave& weave, const Route& route, int node) {
    const Node& n = weave.nodes[index(node)];
    const double top = route.row_top[index(n.row)];
    if (n.row == weave.foot_row) return top;
    return top + (route.row_height[index(n.row)] - weave.bodies[index(n.symbol)].height()) / 2;
}

double line_of(const Weave& weave, const Route& route, int node) {
    const Node& n = weave.nodes[index(node)];
    return route.row_top[index(n.row)] + route.row_height[index(n.row)] / 2;
}

double x_of_half_column(int half_column) { return (half_column + 1) * column / 2; }

Runs find_runs(const Weave& weave) {
    Runs found;
    for (const std::vector<int>& row : weave.rows) {
        std::vector<Run> runs;
        for (const int n : row)
            for (const int p : weave.nodes[index(n)].below) {
                const Piece& piece = weave.pieces[index(p)];
                if (piece.upper_column != piece.lower_column)
                    runs.push_back({p, 2 * piece.upper_column, 2 * piece.lower_column});
            }
        found.push_back(Tracks(std::move(runs)).run());
    }
    return found;
}

Route route(const Sketch& sketch, const Weave& weave, const Runs& runs, const Lanes& lanes) {
    return Router(sketch, weave, runs, lanes).run();
}

} // namespace loomproof::draw
