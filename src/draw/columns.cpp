#include "draw/columns.hpp"

#include "draw/levels.hpp"

#include <algorithm>
#include <map>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

bool stretches(const Node& node) { return node.type == Node::Type::bar || node.type == Node::Type::turn; }

} // namespace

// Straight passes matter most, then what joins them, then chains of small parts; bars can stretch.
int weight_of(const Weave& weave, const Piece& piece) {
    const Node &up = weave.nodes[index(piece.upper)], &low = weave.nodes[index(piece.lower)];
    const bool up_pass = up.type == Node::Type::pass, low_pass = low.type == Node::Type::pass;
    if (up_pass && low_pass) return 16;
    if (stretches(up) || stretches(low)) return 4;
    if (up_pass || low_pass) return 8;
    const auto slim = [&](const Node& n) { return n.above.size() == 1 && n.below.size() == 1; };
    return slim(up) && slim(low) ? 12 : 6;
}

namespace {

class Columns {
  public:
    Columns(const Sketch& sketch, Weave& weave, const PieceWeights& weights, const ColumnHomes* homes)
        : sketch_(sketch), weave_(weave), weights_(weights), homes_(homes) {}

    Result<ColumnsFound> run() {
        make_unknowns();
        keep_apart();
        pull_together();
        if (homes_ != nullptr) pull_home();
        const Result<std::vector<int>> found = solve(problem_);
        if (!found) return failure(found.error());
        return write_back(*found);
    }

    bool put_home() {
        const auto all = [](const std::vector<int>& columns) {
            return std::all_of(columns.begin(), columns.end(), [](int c) { return c >= 0; });
        };
        if (!all(homes_->left) || !all(homes_->upper) || !all(homes_->lower)) return false;
        for (std::size_t p = 0; p < weave_.pieces.size(); ++p) {
            weave_.pieces[p].upper_column = homes_->upper[p];
            weave_.pieces[p].lower_column = homes_->lower[p];
        }
        for (std::size_t n = 0; n < weave_.nodes.size(); ++n) {
            Node& node = weave_.nodes[n];
            const Body* body = body_of(node);
            node.left = node.right = homes_->left[n];
            if (node.left < left_reach(weave_, node)) return false;
            if (!stretches(node)) {
                if (body != nullptr) node.right += body->cells - 1;
                if (!ends_at(node)) return false;
                continue;
            }
            // shrink_bars() widens it to its wires, which stand in their order, each in a column of its own.
            if (node.above.size() + node.below.size() > 0) node.right = -1;
            for (const bool above : {true, false}) {
                int before = -1;
                for (const int p : above ? node.above : node.below) {
                    const Piece& piece = weave_.pieces[index(p)];
                    const int at = above ? piece.lower_column : piece.upper_column;
                    if (at <= before) return false;
                    before = at;
                    node.right = std::max(node.right, at);
                }
            }
        }
        for (const std::vector<int>& row : weave_.rows)
            for (std::size_t i = 0; i + 1 < row.size(); ++i) {
                const Node &a = weave_.nodes[index(row[i])], &b = weave_.nodes[index(row[i + 1])];
                if (b.left - (stretches(a) ? a.right : a.left) < least_distance(row[i], row[i + 1])) return false;
            }
        shrink_bars();
        return true;
    }

  private:
    // Do the pieces end where the node's terminals are?
    bool ends_at(const Node& node) const {
        return std::all_of(node.above.begin(), node.above.end(),
                           [&](int p) {
                               const Piece& piece = weave_.pieces[index(p)];
                               return piece.lower_column == node.left + offset(node, piece.lower_pin);
                           }) &&
               std::all_of(node.below.begin(), node.below.end(), [&](int p) {
                   const Piece& piece = weave_.pieces[index(p)];
                   return piece.upper_column == node.left + offset(node, piece.upper_pin);
               });
    }

    // Where a piece meets a node: an unknown and a fixed distance from it.
    struct Spot {
        int unknown = 0, offset = 0;
    };

    const Body* body_of(const Node& node) const {
        return node.type == Node::Type::body || node.type == Node::Type::bar ? &weave_.bodies[index(node.symbol)]
                                                                             : nullptr;
    }

    void make_unknowns() {
        left_.resize(weave_.nodes.size());
        right_.resize(weave_.nodes.size());
        upper_.resize(weave_.pieces.size());
        lower_.resize(weave_.pieces.size());
        for (std::size_t n = 0; n < weave_.nodes.size(); ++n) {
            const Node& node = weave_.nodes[n];
            left_[n] = problem_.add_node();
            right_[n] = left_[n];
            if (!stretches(node)) {
                for (const int p : node.above)
                    lower_[index(p)] = {left_[n], offset(node, weave_.pieces[index(p)].lower_pin)};
                for (const int p : node.below)
                    upper_[index(p)] = {left_[n], offset(node, weave_.pieces[index(p)].upper_pin)};
                continue;
            }
            right_[n] = problem_.add_node();
            problem_.add(left_[n], right_[n], 0, 2);
            string_up(node.above, n, lower_);
            string_up(node.below, n, upper_);
        }
    }

    // The wires of one side of a bar, each in a column of its own, between the bar's ends.
    void string_up(const std::vector<int>& pieces, std::size_t n, std::vector<Spot>& spots) {
        int before = -1;
        for (const int p : pieces) {
            const int tap = problem_.add_node();
            spots[index(p)] = {tap, 0};
            if (before < 0)
                problem_.add(left_[n], tap, 0, 0);
            else
                problem_.add(before, tap, 1, 0);
            before = tap;
        }
        if (before >= 0) problem_.add(before, right_[n], 0, 0);
    }

    int offset(const Node& node, int pin) const {
        if (node.type != Node::Type::body) return 0;
        const Body& body = weave_.bodies[index(node.symbol)];
        return cell_of(body, body.pins[index(pin)], node.mirrored);
    }

    bool is_foot(const Node& node) const {
        return node.type == Node::Type::body && sketch_.symbols[index(node.symbol)].kind == SymbolKind::foot;
    }

    void keep_apart() {
        for (const std::vector<int>& row : weave_.rows)
            for (std::size_t i = 0; i + 1 < row.size(); ++i)
                problem_.add(right_[index(row[i])], left_[index(row[i + 1])], least_distance(row[i], row[i + 1]), 0);
    }

    // Columns from what find_columns knows as the right end of the one to the left end of the next: of a body that is its left end, too.
    int least_distance(int one, int next) const {
        const Node &a = weave_.nodes[index(one)], &b = weave_.nodes[index(next)];
        const Body *left = body_of(a), *right = body_of(b);
        int distance = 1;
        if (left != nullptr) distance += right_reach(weave_, a) + (stretches(a) ? 0 : left->cells - 1);
        if (right != nullptr) distance += left_reach(weave_, b);
        if (stretches(a) && stretches(b))
            distance += 2;
        else if (is_foot(a) && is_foot(b))
            distance = std::max(distance, 2);
        else if (left != nullptr && right != nullptr)
            distance += 1;
        return distance;
    }

    void pull_together() {
        for (std::size_t p = 0; p < weave_.pieces.size(); ++p)
            problem_.add_distance(upper_[p].unknown, upper_[p].offset, lower_[p].unknown, lower_[p].offset,
                                  weights_.empty() ? weight_of(weave_, weave_.pieces[p]) : weights_[p]);
    }

    // To where it stood on the sheet, and much more so to where it stood among all else: the homes lie on a ruler, which may be stretched where
    // something new needs room. So what stands right of that moves along as a whole, and its wires stay as they are.
    void pull_home() {
        constexpr int of_the_sheet = 3, of_a_part = 24, of_a_foot = 4, of_a_pass = 8, of_an_end = 2;
        first_ = problem_.add_node();
        make_ruler();
        for (std::size_t n = 0; n < weave_.nodes.size(); ++n) {
            const int home = homes_->left[n];
            if (home < 0) continue;
            const Node& node = weave_.nodes[n];
            const bool part = node.symbol >= 0 && !is_foot(node);
            if (part) problem_.add_distance(first_, home, left_[n], 0, of_the_sheet);
            problem_.add_distance(ruler_.at(home), 0, left_[n], 0,
                                  part               ? of_a_part
                                  : node.symbol >= 0 ? of_a_foot
                                                     : of_a_pass);
        }
        const auto pull = [&](const Spot& spot, int home) {
            if (home >= 0) problem_.add_distance(ruler_.at(home), 0, spot.unknown, spot.offset, of_an_end);
        };
        for (std::size_t p = 0; p < weave_.pieces.size(); ++p) {
            if (stretches(weave_.nodes[index(weave_.pieces[p].upper)])) pull(upper_[p], homes_->upper[p]);
            if (stretches(weave_.nodes[index(weave_.pieces[p].lower)])) pull(lower_[p], homes_->lower[p]);
        }
    }

    // A mark for each column in which something stood, from left to right.
    void make_ruler() {
        for (const std::vector<int>* homes : {&homes_->left, &homes_->upper, &homes_->lower})
            for (const int home : *homes)
                if (home >= 0) ruler_.emplace(home, -1);
        int before = first_, at = 0;
        for (auto& [home, mark] : ruler_) {
            mark = problem_.add_node();
            problem_.add(before, mark, home - at, 1);
            before = mark;
            at = home;
        }
    }

    ColumnsFound write_back(const std::vector<int>& x) {
        int first = 0;
        bool any = false;
        for (std::size_t n = 0; n < weave_.nodes.size(); ++n) {
            const int begin = x[index(left_[n])] - left_reach(weave_, weave_.nodes[n]);
            first = any ? std::min(first, begin) : begin;
            any = true;
        }
        ColumnsFound found;
        if (homes_ != nullptr) found.shift = x[index(first_)] - first;
        for (std::size_t n = 0; n < weave_.nodes.size(); ++n) {
            Node& node = weave_.nodes[n];
            const Body* body = body_of(node);
            node.left = x[index(left_[n])] - first;
            node.right =
                stretches(node) ? x[index(right_[n])] - first : node.left + (body != nullptr ? body->cells - 1 : 0);
            found.columns = std::max(found.columns, node.right + 1 + right_reach(weave_, node));
        }
        for (std::size_t p = 0; p < weave_.pieces.size(); ++p) {
            Piece& piece = weave_.pieces[p];
            piece.upper_column = x[index(upper_[p].unknown)] + upper_[p].offset - first;
            piece.lower_column = x[index(lower_[p].unknown)] + lower_[p].offset - first;
            if (piece.upper_column != piece.lower_column) ++found.slanted;
        }
        shrink_bars();
        return found;
    }

    // A bar ends at its outermost wires.
    void shrink_bars() {
        for (Node& node : weave_.nodes) {
            if (!stretches(node) || node.above.size() + node.below.size() == 0) continue;
            int left = node.right, right = node.left;
            for (const int p : node.above) {
                left = std::min(left, weave_.pieces[index(p)].lower_column);
                right = std::max(right, weave_.pieces[index(p)].lower_column);
            }
            for (const int p : node.below) {
                left = std::min(left, weave_.pieces[index(p)].upper_column);
                right = std::max(right, weave_.pieces[index(p)].upper_column);
            }
            node.left = left;
            node.right = right;
        }
    }

    const Sketch& sketch_;
    Weave& weave_;
    const PieceWeights& weights_;
    const ColumnHomes* homes_;
    int first_ = -1;           // the unknown of the homes' column 0
    std::map<int, int> ruler_; // those of their other columns
    LevelProblem problem_;
    std::vector<int> left_, right_;   // unknowns by node
    std::vector<Spot> upper_, lower_; // by piece
};

} // namespace

bool turn_texts_aside(Weave& weave) {
    bool any = false;
    for (Node& node : weave.nodes) {
        if (node.type != Node::Type::body || node.mirrored || !weave.bodies[index(node.symbol)].is_end) continue;
        for (const bool above : {true, false})
            for (const int p : above ? node.above : node.below) {
                const Piece& piece = weave.pieces[index(p)];
                const int own = above ? piece.lower_column : piece.upper_column,
                          other = above ? piece.upper_column : piece.lower_column;
                if (other <= own) continue;
                node.mirrored = true;
                any = true;
            }
    }
    return any;
}

PieceWeights lighter_where_slanted(const Weave& weave) {
    PieceWeights weights;
    for (const Piece& piece : weave.pieces) {
        const int weight = 4 * weight_of(weave, piece);
        weights.push_back(piece.upper_column == piece.lower_column ? weight : std::max(1, weight / 12));
    }
    return weights;
}

Result<ColumnsFound> find_columns(const Sketch& sketch, Weave& weave, const PieceWeights& weights,
                                  const ColumnHomes* homes) {
    return Columns(sketch, weave, weights, homes).run();
}

bool put_home(const Sketch& sketch, Weave& weave, const ColumnHomes& homes) {
    const PieceWeights no_weights;
    Weave tried = weave;
    if (!Columns(sketch, tried, no_weights, &homes).put_home()) return false;
    weave = std::move(tried);
    return true;
}

} // namespace loomproof::draw
