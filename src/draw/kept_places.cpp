#include "draw/kept_places.hpp"

#include "draw/columns.hpp"
#include "draw/order.hpp"
#include "draw/rows.hpp"

#include <algorithm>
#include <map>

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
        Arrangement calm;
        calm.rows = rows.order();
        calm.mirrored = rows.mirrored();
        calm.crossings = rows.crossings();
        if (std::all_of(held.begin(), held.end(), [](bool h) { return h; })) return calm;
        rows.hold({});
        rows.polish();
        if (rows.crossings() >= calm.crossings) return calm;
        calm.rows = rows.order();
        calm.mirrored = rows.mirrored();
        calm.crossings = rows.crossings();
        return calm;
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
