#include "draw/kept_places.hpp"

#include "draw/columns.hpp"
#include "draw/order.hpp"
#include "draw/rows.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

class Keeper {
  public:
    Keeper(const Sketch& sketch, const KeptSheet& kept) : sketch_(sketch), recalled_(recall(sketch, kept)) {}

    Result<std::optional<KeptPlaces>> run() {
        if (std::all_of(recalled_.symbols.begin(), recalled_.symbols.end(), [](const auto* s) { return !s; }))
            return std::optional<KeptPlaces>{};
        Result<Weave> woven = weave(sketch_, recalled_);
        if (!woven) return failure(woven.error());
        weave_ = std::move(*woven);
        find_homes();
        apply(weave_, in_order());
        deal_pins_as_before();
        KeptPlaces places;
        if (!put_home(sketch_, weave_, homes_)) {
            const Result<ColumnsFound> found = find_columns(sketch_, weave_, weights(), &homes_);
            if (!found) return failure(found.error());
            places.shift = found->shift;
        }
        for (const Node& node : weave_.nodes)
            places.columns = std::max(places.columns, node.right + 1 + right_reach(weave_, node));
        places.weave = std::move(weave_);
        return std::optional(std::move(places));
    }

  private:
    // ---- where everything stood

    void find_homes() {
        homes_.left.assign(weave_.nodes.size(), -1);
        homes_.upper.assign(weave_.pieces.size(), -1);
        homes_.lower.assign(weave_.pieces.size(), -1);
        middle_.assign(weave_.nodes.size(), -1);
        for (std::size_t s = 0; s < recalled_.symbols.size(); ++s)
            if (const KeptSymbol* const was = recalled_.symbols[s]) {
                homes_.left[s] = was->stood.left;
                middle_[s] = (was->stood.left + was->stood.right) / 2.0;
            }
        find_rows_before();
        for (std::size_t w = 0; w < recalled_.wires.size(); ++w)
            if (recalled_.wires[w] != nullptr) recall_way(w, recalled_.wires[w]->way);
    }

    // By row the one in which most of what stands there stood before: where something new came between two rows, those below count on.
    void find_rows_before() {
        std::vector<std::map<int, int>> stood(weave_.rows.size());
        for (std::size_t s = 0; s < recalled_.symbols.size(); ++s)
            if (recalled_.symbols[s] != nullptr) ++stood[index(weave_.nodes[s].row)][recalled_.symbols[s]->stood.row];
        for (std::size_t w = 0; w < recalled_.wires.size(); ++w) {
            if (recalled_.wires[w] == nullptr) continue;
            const std::vector<int> is = rows_of_turns(way_of(sketch_, weave_, w)),
                                   was = rows_of_turns(recalled_.wires[w]->way);
            for (std::size_t t = 0; t < is.size() && is.size() == was.size(); ++t) ++stood[index(is[t])][was[t]];
        }
        for (const std::map<int, int>& rows : stood) {
            const auto most = std::max_element(rows.begin(), rows.end(),
                                               [](const auto& a, const auto& b) { return a.second < b.second; });
            row_before_.push_back(most == rows.end() ? -1 : most->first);
        }
    }

    // The wire's ends at bars, and all that stands in a row for it.
    void recall_way(std::size_t wire, const std::vector<WayPoint>& was) {
        const std::vector<WayPoint> is = way_of(sketch_, weave_, wire);
        const std::vector<int>& chain = weave_.chains[wire];
        if (was.empty() || is.empty()) return;
        const auto before = [&](const WayPoint& point) { return row_before_[index(point.row)]; };
        const bool same = std::equal(is.begin(), is.end(), was.begin(), was.end(),
                                     [&](const WayPoint& a, const WayPoint& b) { return before(a) == b.row; });
        int at = sketch_.wires[wire].a.symbol;
        for (std::size_t i = 0; i < chain.size(); ++i) {
            const Piece& piece = weave_.pieces[index(chain[i])];
            const bool down = piece.upper == at;
            int& first = down ? homes_.upper[index(chain[i])] : homes_.lower[index(chain[i])];
            int& last = down ? homes_.lower[index(chain[i])] : homes_.upper[index(chain[i])];
            at = down ? piece.lower : piece.upper;
            if (same) {
                first = was[2 * i].column;
                last = was[2 * i + 1].column;
            } else {
                if (i == 0) first = was.front().column;
                if (i + 1 == chain.size()) last = was.back().column;
            }
            if (i + 1 == chain.size()) break;
            if (same)
                keep(at, was[2 * i + 1].column, was[2 * i + 2].column);
            else
                for (std::size_t p = 1; p + 1 < was.size(); p += 2)
                    if (was[p].row == before(is[2 * i + 1])) keep(at, was[p].column, was[p + 1].column);
        }
    }
    void keep(int node, int one, int other) {
        homes_.left[index(node)] = std::min(one, other);
        middle_[index(node)] = (one + other) / 2.0;
    }

    // ---- from left to right

    // What stood somewhere stands as it stood, and what is new where the fewest wires cross. Where less crosses if others
    // move a little, they do: each only as far as that spares crossings.
    Arrangement in_order() const {
        const std::vector<Thing> things = things_of(sketch_, weave_, false);
        const std::vector<int> order = by_home(things, middle_, walk_down(things).met);
        std::vector<int> home(things.size(), 0);
        Rows::Order begin(weave_.rows.size());
        for (std::size_t i = 0; i < order.size(); ++i) {
            home[index(order[i])] = static_cast<int>(i);
            begin[index(things[index(order[i])].row)].push_back(order[i]);
        }
        std::vector<bool> mirrored(things.size(), false), held(things.size(), false);
        for (std::size_t n = 0; n < things.size(); ++n) {
            held[n] = homes_.left[n] >= 0;
            if (n < recalled_.symbols.size() && recalled_.symbols[n] != nullptr)
                mirrored[n] = recalled_.symbols[n]->stood.mirrored;
        }
        Rows rows(things);
        rows.keep_to(home);
        rows.put(begin, mirrored, false);
        rows.hold(held);
        rows.polish();
        Arrangement calm = arranged(rows);
        if (std::all_of(held.begin(), held.end(), [](bool h) { return h; })) return calm;
        for (const std::vector<int>& fresh : circuits_among(held, order)) find_gap(rows, fresh, calm);
        rows.put(calm.rows, calm.mirrored, false);
        rows.hold({});
        rows.polish();
        return rows.crossings() < calm.crossings ? arranged(rows) : calm;
    }

    static Arrangement arranged(Rows& rows) {
        Arrangement found;
        found.rows = rows.order();
        found.mirrored = rows.mirrored();
        found.crossings = rows.crossings();
        return found;
    }

    // What is new and hangs together, each in the order given.
    std::vector<std::vector<int>> circuits_among(const std::vector<bool>& held, const std::vector<int>& order) const {
        std::vector<int> head(held.size());
        std::iota(head.begin(), head.end(), 0);
        const auto head_of = [&](int n) {
            while (head[index(n)] != n) n = head[index(n)] = head[index(head[index(n)])];
            return n;
        };
        for (const Piece& piece : weave_.pieces)
            if (!held[index(piece.upper)] && !held[index(piece.lower)])
                head[index(head_of(piece.upper))] = head_of(piece.lower);
        std::map<int, std::vector<int>> found;
        for (const int n : order)
            if (!held[index(n)]) found[head_of(n)].push_back(n);
        std::vector<std::vector<int>> circuits;
        for (auto& [first, members] : found) circuits.push_back(std::move(members));
        return circuits;
    }

    // A new circuit is many nodes below each other: moved one by one, each would have to cross what the others do not. So all of it is
    // tried in the gaps between what stands in the rows that it takes.
    void find_gap(Rows& rows, const std::vector<int>& fresh, Arrangement& best) const {
        if (best.crossings == 0) return;
        constexpr std::size_t most_gaps = 60, looked_at_closely = 4;
        struct Gap {
            int crossings;
            double away; // from where it stands now, in columns
            Rows::Order rows;
            bool operator<(const Gap& o) const { return std::tie(crossings, away) < std::tie(o.crossings, o.away); }
        };
        Rows::Order others = best.rows, own(best.rows.size());
        for (std::size_t r = 0; r < others.size(); ++r) own[r] = take_out(others[r], fresh);
        const double now = middle_of_neighbours(best.rows, fresh);
        std::vector<double> columns = middle_;
        std::erase(columns, -1.0);
        std::sort(columns.begin(), columns.end());
        columns.erase(std::unique(columns.begin(), columns.end()), columns.end());
        std::vector<Gap> gaps;
        const std::size_t each = columns.size() / most_gaps + 1;
        for (std::size_t i = 0; i < columns.size() + each; i += each) {
            const double right = i < columns.size() ? columns[i] : columns.back() + 1;
            Gap gap{0, std::abs(right - now), others};
            for (std::size_t r = 0; r < own.size(); ++r) {
                const auto at = std::find_if(gap.rows[r].begin(), gap.rows[r].end(),
                                             [&](int n) { return middle_[index(n)] >= right; });
                gap.rows[r].insert(at, own[r].begin(), own[r].end());
            }
            rows.put(gap.rows, best.mirrored, false);
            gap.crossings = rows.crossings();
            gaps.push_back(std::move(gap));
        }
        std::stable_sort(gaps.begin(), gaps.end());
        for (std::size_t g = 0; g < std::min(gaps.size(), looked_at_closely); ++g) {
            rows.put(gaps[g].rows, best.mirrored, false);
            rows.polish();
            if (rows.crossings() < best.crossings) best = arranged(rows);
        }
    }

    // Those of `some` that are in the row, in its order; it is left without them.
    static std::vector<int> take_out(std::vector<int>& row, const std::vector<int>& some) {
        const auto taken = std::stable_partition(
            row.begin(), row.end(), [&](int n) { return std::find(some.begin(), some.end(), n) == some.end(); });
        std::vector<int> out(taken, row.end());
        row.erase(taken, row.end());
        return out;
    }

    // Where what is new stands: on the average, the column of what stood left of it.
    double middle_of_neighbours(const Rows::Order& rows, const std::vector<int>& fresh) const {
        double sum = 0;
        int count = 0;
        for (const std::vector<int>& row : rows) {
            double before = 0;
            for (const int n : row) {
                if (middle_[index(n)] >= 0) before = middle_[index(n)];
                if (std::find(fresh.begin(), fresh.end(), n) == fresh.end()) continue;
                sum += before;
                ++count;
            }
        }
        return count > 0 ? sum / count : 0;
    }

    // Of several pins of one terminal each wire gets the one that it had.
    void deal_pins_as_before() {
        for (std::size_t s = 0; s < recalled_.symbols.size(); ++s) {
            const Node& node = weave_.nodes[s];
            if (recalled_.symbols[s] == nullptr || node.type != Node::Type::body) continue;
            std::vector<Pin>& pins = weave_.bodies[s].pins;
            const int cells = weave_.bodies[s].cells;
            for (const bool above : {true, false})
                for (const int p : above ? node.above : node.below) {
                    const int column = above ? homes_.lower[index(p)] : homes_.upper[index(p)];
                    if (column < 0) continue;
                    const int from_left = column - homes_.left[s],
                              cell = node.mirrored ? cells - 1 - from_left : from_left;
                    const Piece& piece = weave_.pieces[index(p)];
                    Pin& own = pins[index(above ? piece.lower_pin : piece.upper_pin)];
                    for (Pin& pin : pins)
                        if (pin.terminal == own.terminal && pin.edge == own.edge && pin.cell == cell) {
                            std::swap(pin.cell, own.cell);
                            break;
                        }
                }
        }
    }

    // ---- columns

    // A new wire may bend: what was straight stays so.
    PieceWeights weights() const {
        PieceWeights weights;
        for (std::size_t p = 0; p < weave_.pieces.size(); ++p) {
            const Piece& piece = weave_.pieces[p];
            const bool known = recalled_.wires[index(piece.wire)] != nullptr;
            weights.push_back(known ? weight_of(weave_, piece) : 2);
        }
        return weights;
    }

    const Sketch& sketch_;
    const Recalled recalled_;
    Weave weave_;
    ColumnHomes homes_;
    std::vector<double> middle_;  // by node: columns; -1 = it is new
    std::vector<int> row_before_; // by row
};

} // namespace

Result<std::optional<KeptPlaces>> places_as_before(const Sketch& sketch, const KeptSheet& kept) {
    return Keeper(sketch, kept).run();
}

} // namespace loomproof::draw
