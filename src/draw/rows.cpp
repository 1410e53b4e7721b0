#include "draw/rows.hpp"

#include <algorithm>
#include <cstdlib>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr int places = 4096; // more columns than any symbol has
constexpr int most_rounds = 12;

int cell(const Thing& thing, bool mirrored, int cell) { return mirrored ? thing.cells - 1 - cell : cell; }

// How many pairs stand the wrong way round. `sorted` is room to work in.
template <class Number> int inversions(const std::vector<int>& row, Number number, std::vector<int>& sorted) {
    int count = 0;
    sorted.clear();
    for (const int n : row) {
        const auto at = std::upper_bound(sorted.begin(), sorted.end(), number(n));
        count += static_cast<int>(sorted.end() - at);
        sorted.insert(at, number(n));
    }
    return count;
}

} // namespace

Rows::Rows(const std::vector<Thing>& things)
    : things_(things), home_(things.size(), 0), place_(things.size(), 0), mirrored_(things.size(), false) {
    std::size_t count = 0;
    for (const Thing& thing : things) count = std::max(count, index(thing.row) + 1);
    for (std::size_t n = 0; n < things.size(); ++n)
        if (things[n].mirror_cost >= 0 && things[n].above.size() + things[n].below.size() > 1)
            may_be_mirrored_.push_back(static_cast<int>(n));
    gather_sides();
    rows_.resize(count);
    order_settled_.assign(count, false);
    mirrors_settled_.assign(count, false);
    below_.resize(count);
    turned_.resize(count);
}

void Rows::keep_to(std::vector<int> home) {
    home_ = std::move(home);
    for (std::size_t r = 0; r < rows_.size(); ++r) moved(r);
}

int Rows::place_of(int node) const { return place_[index(node)]; }

void Rows::put(const Order& rows, const std::vector<bool>& mirrored, bool settled) {
    for (std::size_t n = 0; n < things_.size(); ++n) set_mirrored(static_cast<int>(n), mirrored[n]);
    for (std::size_t r = 0; r < rows_.size(); ++r) put_row(r, rows[r]);
    if (!settled) return;
    order_settled_.assign(rows_.size(), true);
    mirrors_settled_.assign(rows_.size(), true);
}

void Rows::put_row(std::size_t row, const std::vector<int>& nodes) {
    if (rows_[row] == nodes) return;
    rows_[row] = nodes;
    moved(row);
}

void Rows::set_mirrored(int node, bool mirrored) {
    if (mirrored_[index(node)] == mirrored) return;
    mirrored_[index(node)] = mirrored;
    moved(index(things_[index(node)].row));
}

// A row is not what it was: what was known about it and its neighbours does not hold any more.
void Rows::moved(std::size_t row) {
    for (std::size_t i = 0; i < rows_[row].size(); ++i) place_[index(rows_[row][i])] = static_cast<int>(i);
    for (std::size_t r = row == 0 ? 0 : row - 1; r <= row + 1 && r < rows_.size(); ++r)
        order_settled_[r] = mirrors_settled_[r] = false;
    turned_[row].valid = below_[row].valid = false;
    if (row > 0) below_[row - 1].valid = false;
}

// All far ends side by side, so that they are read in one go.
void Rows::gather_sides() {
    std::size_t all = 0;
    for (const Thing& thing : things_) all += thing.above.size() + thing.below.size();
    far_.reserve(all);
    const auto gathered = [&](const std::vector<Touch>& touches) {
        const Far* const first = far_.data() + far_.size();
        for (const Touch& t : touches) {
            const int cells = things_[index(t.other)].cells, mirrored_cell = cells - 1 - t.other_cell;
            far_.push_back({t.other,
                            {t.other_cell, mirrored_cell},
                            {(t.other_cell + 0.5) / cells - 0.5, (mirrored_cell + 0.5) / cells - 0.5}});
        }
        return Side{first, far_.data() + far_.size()};
    };
    for (const Thing& thing : things_) {
        const Side above = gathered(thing.above);
        sides_.push_back({above, gathered(thing.below)});
    }
}

int Rows::key(const Far& far) const {
    return place_[index(far.node)] * places + far.cell[mirrored_[index(far.node)] ? 1 : 0];
}

// ---- what it costs

int Rows::crossings() {
    int sum = 0;
    for (std::size_t r = 0; r + 1 < rows_.size(); ++r) {
        if (!below_[r].valid) below_[r] = {crossings_below(r), true};
        sum += below_[r].count;
    }
    return sum;
}

// Pairs that are in order above and strictly out of order below; pieces at one terminal never cross each other.
int Rows::crossings_below(std::size_t row) {
    lines_.clear();
    for (const int n : rows_[row]) {
        const Thing& thing = things_[index(n)];
        for (std::size_t i = 0; i < thing.below.size(); ++i)
            lines_.emplace_back(place_[index(n)] * places + cell(thing, mirrored_[index(n)], thing.below[i].own_cell),
                                key(sides_[index(n)].below.first[i]));
    }
    std::sort(lines_.begin(), lines_.end());
    int count = 0;
    sorted_.clear();
    std::size_t begin = 0;
    while (begin < lines_.size()) {
        std::size_t end = begin;
        while (end < lines_.size() && lines_[end].first == lines_[begin].first) {
            const auto at = std::upper_bound(sorted_.begin(), sorted_.end(), lines_[end].second);
            count += static_cast<int>(sorted_.end() - at);
            ++end;
        }
        for (; begin < end; ++begin)
            sorted_.insert(std::upper_bound(sorted_.begin(), sorted_.end(), lines_[begin].second),
                           lines_[begin].second);
    }
    return count;
}

int Rows::mirror_costs() const {
    int sum = 0;
    for (std::size_t n = 0; n < things_.size(); ++n)
        if (mirrored_[n]) sum += things_[n].mirror_cost;
    return sum;
}

int Rows::turned_pairs() {
    int sum = 0;
    for (std::size_t r = 0; r < rows_.size(); ++r) {
        if (!turned_[r].valid)
            turned_[r] = {inversions(
                              rows_[r], [&](int n) { return home_[index(n)]; }, sorted_),
                          true};
        sum += turned_[r].count;
    }
    return sum;
}

// ---- rows that follow their neighbours

double Rows::centre(const Side& side) const {
    double sum = 0;
    for (const Far& far : side) sum += place_[index(far.node)] + far.from_middle[mirrored_[index(far.node)] ? 1 : 0];
    return sum / static_cast<double>(side.size());
}

bool Rows::follow(std::size_t r, bool the_one_above, const std::function<double(int)>& noise) {
    std::vector<int>& row = rows_[r];
    wanted_.clear();
    double last = 0;
    for (std::size_t i = 0; i < row.size(); ++i) {
        const Sides& sides = sides_[index(row[i])];
        const Side& side = the_one_above ? sides.above : sides.below;
        double place = side.size() == 0 ? last + 0.01 : centre(side);
        last = place;
        if (noise) place += noise(row[i]);
        wanted_.emplace_back(place, static_cast<int>(i));
    }
    if (std::is_sorted(wanted_.begin(), wanted_.end())) return false;
    std::sort(wanted_.begin(), wanted_.end());
    nodes_ = row;
    for (std::size_t i = 0; i < row.size(); ++i) row[i] = nodes_[index(wanted_[i].second)];
    moved(r);
    return true;
}

// ---- sifting and mirroring

void Rows::fill_keys(const std::vector<int>& row) {
    keys_.resize(far_.size());
    above_of_.resize(row.size());
    below_of_.resize(row.size());
    int* at = keys_.data();
    const auto fill = [&](const Side& side) {
        int* const begin = at;
        for (const Far& far : side) *at++ = key(far);
        if (side.size() > 1) std::sort(begin, at);
        return Keys{begin, at};
    };
    for (std::size_t i = 0; i < row.size(); ++i) {
        above_of_[i] = fill(sides_[index(row[i])].above);
        below_of_[i] = fill(sides_[index(row[i])].below);
    }
}

// Pairs out of order if `left` stands on the left, less those if it stood on the right.
inline int Rows::net_inversions(const Keys& left, const Keys& right) {
    if (left.begin == left.end || right.begin == right.end) return 0;
    if (*(left.end - 1) < *right.begin || *(right.end - 1) < *left.begin) { // nearly always
        const auto pairs = static_cast<int>((left.end - left.begin) * (right.end - right.begin));
        return *left.begin < *right.begin ? -pairs : pairs;
    }
    return interleaved(left, right);
}
int Rows::interleaved(const Keys& left, const Keys& right) {
    int net = 0;
    const int *smaller = right.begin, *not_larger = right.begin;
    for (const int* l = left.begin; l < left.end; ++l) {
        while (smaller < right.end && *smaller < *l) ++smaller;
        while (not_larger < right.end && *not_larger <= *l) ++not_larger;
        net += static_cast<int>((smaller - right.begin) - (right.end - not_larger));
    }
    return net;
}

// Each node in turn goes where in its row it costs least.
bool Rows::sift(std::size_t r) {
    if (order_settled_[r]) return false;
    order_settled_[r] = true;
    if (rows_[r].size() < 2) return false;
    nodes_ = rows_[r];
    fill_keys(nodes_);
    const auto count = static_cast<int>(nodes_.size());
    gains_.resize(nodes_.size() * nodes_.size());
    const auto gain_of = [&](int left, int right) -> int& { return gains_[index(left * count + right)]; };
    // What it costs that the one node stands left of the other, against the other way round: the crossings of their pieces with each other, and
    // where those are as many, the order to keep to. By their places when they were first looked at.
    constexpr int a_crossing = 4096;
    for (int i = 0; i < count; ++i) {
        const Keys above = above_of_[index(i)], below = below_of_[index(i)];
        const int home = home_[index(nodes_[index(i)])];
        for (int j = i + 1; j < count; ++j) {
            const int crossings =
                net_inversions(above, above_of_[index(j)]) + net_inversions(below, below_of_[index(j)]);
            const int gain = crossings * a_crossing + (home > home_[index(nodes_[index(j)])] ? 1 : -1);
            gain_of(i, j) = gain;
            gain_of(j, i) = -gain;
        }
    }
    // The row as places in `nodes_`.
    std::vector<int>& order = sorted_;
    order.resize(nodes_.size());
    for (int i = 0; i < count; ++i) order[index(i)] = i;
    bool better = false;
    for (int n = 0; n < count; ++n) {
        const auto at = static_cast<std::size_t>(std::find(order.begin(), order.end(), n) - order.begin());
        int best = 0, sum = 0;
        std::size_t to = at;
        for (std::size_t i = at; i-- > 0;) {
            sum -= gain_of(order[i], n);
            if (sum < best) {
                best = sum;
                to = i;
            }
        }
        sum = 0;
        for (std::size_t i = at + 1; i < order.size(); ++i) {
            sum -= gain_of(n, order[i]);
            if (sum < best) {
                best = sum;
                to = i;
            }
        }
        if (best >= 0) continue;
        better = true;
        const auto from = order.begin() + static_cast<std::ptrdiff_t>(at),
                   goal = order.begin() + static_cast<std::ptrdiff_t>(to);
        if (goal < from)
            std::rotate(goal, from, from + 1);
        else
            std::rotate(from, from + 1, goal + 1);
    }
    if (!better) return false;
    for (int i = 0; i < count; ++i) rows_[r][index(i)] = nodes_[index(order[index(i)])];
    moved(r);
    return true;
}

// Mirroring a node changes only which of its own pieces cross each other.
int Rows::own_crossings(int node, bool mirrored) const {
    const Thing& thing = things_[index(node)];
    const auto own = [&](const std::vector<Touch>& touches, const Side& side) {
        int count = 0;
        for (std::size_t i = 0; i < touches.size(); ++i)
            for (std::size_t j = i + 1; j < touches.size(); ++j) {
                const int here =
                              cell(thing, mirrored, touches[i].own_cell) - cell(thing, mirrored, touches[j].own_cell),
                          there = key(side.first[i]) - key(side.first[j]);
                if ((here < 0 && there > 0) || (here > 0 && there < 0)) ++count;
            }
        return count;
    };
    return own(thing.above, sides_[index(node)].above) + own(thing.below, sides_[index(node)].below);
}

bool Rows::mirror_nodes() {
    const std::vector<bool> were_settled = mirrors_settled_;
    mirrors_settled_.assign(rows_.size(), true);
    bool better = false;
    for (const int n : may_be_mirrored_) {
        const Thing& thing = things_[index(n)];
        if (were_settled[index(thing.row)] && mirrors_settled_[index(thing.row)]) continue;
        const auto cost = [&](bool mirrored) {
            return own_crossings(n, mirrored) * crossing_cost + (mirrored ? thing.mirror_cost : 0);
        };
        const bool is = mirrored_[index(n)];
        if (cost(!is) >= cost(is)) continue;
        set_mirrored(n, !is);
        better = true;
    }
    return better;
}

bool Rows::polish() {
    for (int round = 0; round < most_rounds; ++round) {
        bool better = false;
        for (std::size_t r = 0; r < rows_.size(); ++r) better = sift(r) || better;
        for (std::size_t r = rows_.size(); r-- > 0;) better = sift(r) || better;
        better = mirror_nodes() || better;
        if (!better) return true;
    }
    return false;
}

} // namespace loomproof::draw
