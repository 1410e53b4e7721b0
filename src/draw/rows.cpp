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

void Rows::hold(std::vector<bool> held) {
    held_ = std::move(held);
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

// Of the pairs of their pieces: how many cross with `left` on the left, and how many if it stood on the right.
inline Rows::Pairs Rows::pairs(const Keys& left, const Keys& right) {
    if (left.begin == left.end || right.begin == right.end) return {};
    if (*(left.end - 1) < *right.begin || *(right.end - 1) < *left.begin) { // nearly always
        const auto all = static_cast<int>((left.end - left.begin) * (right.end - right.begin));
        return *left.begin < *right.begin ? Pairs{0, all} : Pairs{all, 0};
    }
    return interleaved(left, right);
}
Rows::Pairs Rows::interleaved(const Keys& left, const Keys& right) {
    Pairs found;
    const int *smaller = right.begin, *not_larger = right.begin;
    for (const int* l = left.begin; l < left.end; ++l) {
        while (smaller < right.end && *smaller < *l) ++smaller;
        while (not_larger < right.end && *not_larger <= *l) ++not_larger;
        found.crossed += static_cast<int>(smaller - right.begin);
        found.turned += static_cast<int>(right.end - not_larger);
    }
    return found;
}
inline Rows::Pairs Rows::pairs_of(int left, int right) const {
    const Pairs above = pairs(above_of_[index(left)], above_of_[index(right)]),
                below = pairs(below_of_[index(left)], below_of_[index(right)]);
    return {above.crossed + below.crossed, above.turned + below.turned};
}

// Of each node in the row how many pieces of others its own cross, those of nodes on its left and those on its right. An insertion sort of the
// far ends: each step of it is one crossing, so a row that is in order costs next to nothing.
void Rows::count_crossed(const std::vector<Keys>& side) {
    far_ends_.clear();
    for (std::size_t i = 0; i < side.size(); ++i)
        for (const int* k = side[i].begin; k < side[i].end; ++k) {
            const std::pair<int, int> here{*k, static_cast<int>(i)};
            far_ends_.push_back(here);
            std::size_t at = far_ends_.size() - 1;
            for (; at > 0 && far_ends_[at - 1].first > *k; --at) {
                far_ends_[at] = far_ends_[at - 1];
                ++crossed_[index(far_ends_[at].second)].on_right;
                ++crossed_[i].on_left;
            }
            far_ends_[at] = here;
        }
}

// Each node in turn goes where in its row it costs least: fewest crossings of its pieces, and where those are as many, the order to keep to.
// What it passes on its way is looked at only as far as the crossings that are left to be saved could pay for those that the way costs.
bool Rows::sift(std::size_t r) {
    if (order_settled_[r]) return false;
    order_settled_[r] = true;
    if (rows_[r].size() < 2) return false;
    nodes_ = rows_[r];
    fill_keys(nodes_);
    crossed_.assign(nodes_.size(), {});
    count_crossed(above_of_);
    count_crossed(below_of_);
    constexpr int a_crossing = 4096; // more than nodes in a row
    const auto home = [&](int n) { return home_[index(nodes_[index(n)])]; };
    // The row as places in `nodes_`, and where in it each of them is.
    const auto count = static_cast<int>(nodes_.size());
    std::vector<int>&order = sorted_, &place = place_in_order_;
    order.resize(nodes_.size());
    place.resize(nodes_.size());
    for (int i = 0; i < count; ++i) order[index(i)] = place[index(i)] = i;
    bool better = false;
    for (int n = 0; n < count; ++n) {
        if (!held_.empty() && held_[index(nodes_[index(n)])]) continue;
        const int at = place[index(n)];
        int best = 0, to = at;
        int sum = 0, to_save = crossed_[index(n)].on_left * a_crossing;
        for (int i = at - 1; i >= 0; --i) {
            const int passed = order[index(i)];
            const Pairs p = pairs_of(passed, n);
            sum += (p.turned - p.crossed) * a_crossing + (home(passed) > home(n) ? -1 : 1);
            to_save -= p.crossed * a_crossing;
            if (sum < best) {
                best = sum;
                to = i;
            }
            if (sum - to_save - i >= best) break;
        }
        sum = 0;
        to_save = crossed_[index(n)].on_right * a_crossing;
        for (int i = at + 1; i < count; ++i) {
            const int passed = order[index(i)];
            const Pairs p = pairs_of(n, passed);
            sum += (p.turned - p.crossed) * a_crossing + (home(n) > home(passed) ? -1 : 1);
            to_save -= p.crossed * a_crossing;
            if (sum < best) {
                best = sum;
                to = i;
            }
            if (sum - to_save - (count - 1 - i) >= best) break;
        }
        if (best >= 0) continue;
        better = true;
        for (int i = at; i != to;) {
            const int next = to < at ? i - 1 : i + 1, passed = order[index(next)];
            pass(n, passed, to < at);
            order[index(i)] = passed;
            place[index(passed)] = i;
            i = next;
        }
        order[index(to)] = n;
        place[index(n)] = to;
    }
    if (!better) return false;
    for (int i = 0; i < count; ++i) rows_[r][index(i)] = nodes_[index(order[index(i)])];
    moved(r);
    return true;
}

// Node `n` of the row changes sides with the one next to it.
void Rows::pass(int n, int passed, bool to_the_left) {
    Crossed &mine = crossed_[index(n)], &other = crossed_[index(passed)];
    const Pairs p = to_the_left ? pairs_of(passed, n) : pairs_of(n, passed);
    (to_the_left ? mine.on_left : mine.on_right) -= p.crossed;
    (to_the_left ? mine.on_right : mine.on_left) += p.turned;
    (to_the_left ? other.on_right : other.on_left) -= p.crossed;
    (to_the_left ? other.on_left : other.on_right) += p.turned;
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
        if (!held_.empty() && held_[index(n)]) continue;
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
