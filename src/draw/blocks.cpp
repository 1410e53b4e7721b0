#include "draw/blocks.hpp"

#include "draw/chance.hpp"

#include <algorithm>
#include <numeric>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

constexpr long long cells_of_a_place = 4096; // more columns than any symbol has
constexpr long long a_crossing = 1LL << 32U; // more than all pairs

// The only node that a node's only piece on this side leads to, where that one has no other on its side; else -1.
int next_on_way(const std::vector<Thing>& things, int node) {
    const std::vector<Touch>& below = things[index(node)].below;
    if (below.size() != 1 || things[index(below.front().other)].above.size() != 1) return -1;
    return below.front().other;
}

} // namespace

Blocks::Blocks(const std::vector<Thing>& things, const std::vector<int>& home, const Walk& walk) : things_(&things) {
    std::vector<bool> leads_on_to(things.size(), false);
    for (std::size_t n = 0; n < things.size(); ++n)
        if (const int next = next_on_way(things, static_cast<int>(n)); next >= 0) leads_on_to[index(next)] = true;
    std::vector<int> block_of(things.size(), -1);
    int rows = 0;
    // In the order of the walk, which meets a block's topmost node first.
    for (const int first : walk.order) {
        if (leads_on_to[index(first)]) continue;
        Block block;
        block.top = things[index(first)].row;
        block.home = home[index(first)];
        for (int n = first; n >= 0; n = next_on_way(things, n)) {
            block.nodes.push_back(n);
            block.bottom = things[index(n)].row;
            block_of[index(n)] = static_cast<int>(blocks_.size());
        }
        rows = std::max(rows, block.bottom + 1);
        blocks_.push_back(std::move(block));
    }
    const auto far = [&](const Touch& t) { return Far{block_of[index(t.other)], t.other, t.other_cell, t.other_cell}; };
    for (Block& block : blocks_) {
        for (const Touch& t : things[index(block.nodes.front())].above) block.above.push_back(far(t));
        for (const Touch& t : things[index(block.nodes.back())].below) block.below.push_back(far(t));
    }
    std::size_t keys = 0;
    for (const Block& block : blocks_) {
        const std::size_t below = keys + block.above.size(), end = below + block.below.size();
        seen_.push_back({block.top, block.bottom, block.home, keys, below, end});
        keys = end;
    }
    keys_.resize(keys);
    touched_.assign(blocks_.size(), 0);
    line_.resize(blocks_.size());
    std::iota(line_.begin(), line_.end(), 0);
    place_.resize(blocks_.size());
    number_places();
    is_inside_.assign(blocks_.size(), 0);
    inside_in_row_.resize(index(rows));
    note_branches(walk);
}

void Blocks::note_branches(const Walk& walk) {
    std::vector<int> met;
    for (const Block& block : blocks_) met.push_back(walk.met[index(block.nodes.front())]); // grows
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
        const int behind = met[b] + walk.branch[index(blocks_[b].nodes.front())];
        const auto end = static_cast<std::size_t>(std::lower_bound(met.begin(), met.end(), behind) - met.begin());
        if (end - b < 2 || end - b == blocks_.size()) continue;
        branches_.emplace_back(end - b);
        std::iota(branches_.back().begin(), branches_.back().end(), static_cast<int>(b));
    }
    std::stable_sort(branches_.begin(), branches_.end(),
                     [](const auto& a, const auto& b) { return a.size() > b.size(); });
}

Rows::Order Blocks::rows() const {
    Rows::Order rows(inside_in_row_.size());
    for (const int b : line_)
        for (const int n : blocks_[index(b)].nodes) rows[index((*things_)[index(n)].row)].push_back(n);
    return rows;
}

Blocks::Key Blocks::key(const Far& far) const { return place_[index(far.block)] * cells_of_a_place + far.at_cell; }

void Blocks::sort(Side& side) const {
    if (side.size() > 1)
        std::sort(side.begin(), side.end(), [&](const Far& a, const Far& b) { return key(a) < key(b); });
}

void Blocks::note_keys() {
    if (keys_hold_) return;
    keys_hold_ = true;
    Key* at = keys_.data();
    for (const Block& block : blocks_)
        for (const Side* side : {&block.above, &block.below})
            for (const Far& far : *side) *at++ = key(far);
}

void Blocks::number_places() {
    keys_hold_ = false;
    for (std::size_t i = 0; i < line_.size(); ++i) place_[index(line_[i])] = static_cast<Key>(i * (line_.size() + 1));
}

void Blocks::mirror(const std::vector<bool>& mirrored) {
    if (mirrored == mirrored_) return;
    mirrored_ = mirrored;
    keys_hold_ = false;
    ++state_;
    for (Block& block : blocks_)
        for (Side* side : {&block.above, &block.below}) {
            for (Far& far : *side)
                far.at_cell = mirrored[index(far.node)] ? (*things_)[index(far.node)].cells - 1 - far.cell : far.cell;
            sort(*side);
        }
}

// ---- what it costs

// Pairs of pieces out of order if `left`, a side of a block in the set, stands on the left, less those if it stood on the right. Null: the block
// goes on there, in its own place.
int Blocks::net_inversions(const Side* left, Key left_self, const Side* right, Key right_self) const {
    const auto inside = [&](const Far& far) { return is_inside_[index(far.block)] != 0; };
    const auto sign = [](Key a, Key b) { return a > b ? 1 : a < b ? -1 : 0; };
    int net = 0;
    if (left == nullptr) {
        if (right != nullptr)
            for (const Far& far : *right) net += sign(left_self, key(far));
        return net;
    }
    if (right == nullptr) {
        for (const Far& far : *left)
            if (!inside(far))
                net += sign(key(far), right_self); // within the set it changes sides together with the block
        return net;
    }
    if (left->empty() || right->empty()) return 0;
    // What moves is not in the order of its key.
    if (left->size() * right->size() <= 8 || std::any_of(left->begin(), left->end(), inside) ||
        std::any_of(right->begin(), right->end(), inside)) {
        for (const Far& l : *left)
            for (const Far& r : *right) net += sign(key(l), key(r));
        return net;
    }
    const auto pairs = static_cast<int>(left->size() * right->size());
    if (key(left->back()) < key(right->front())) return -pairs;
    if (key(right->back()) < key(left->front())) return pairs;
    std::size_t smaller = 0, not_larger = 0;
    for (const Far& far : *left) {
        const Key k = key(far);
        while (smaller < right->size() && key((*right)[smaller]) < k) ++smaller;
        while (not_larger < right->size() && key((*right)[not_larger]) <= k) ++not_larger;
        net += static_cast<int>(smaller) - static_cast<int>(right->size() - not_larger);
    }
    return net;
}

// The same of sides whose keys are in order and hold.
int Blocks::net_inversions(Keys left, Keys right) {
    if (left.begin == left.end || right.begin == right.end) return 0;
    const auto pairs = static_cast<int>((left.end - left.begin) * (right.end - right.begin));
    if (*(left.end - 1) < *right.begin) return -pairs;
    if (*(right.end - 1) < *left.begin) return pairs;
    int net = 0;
    const Key *smaller = right.begin, *not_larger = right.begin;
    for (const Key* l = left.begin; l < left.end; ++l) {
        while (smaller < right.end && *smaller < *l) ++smaller;
        while (not_larger < right.end && *not_larger <= *l) ++not_larger;
        net += static_cast<int>((smaller - right.begin) - (right.end - not_larger));
    }
    return net;
}
int Blocks::net_inversions(Key self, Keys right) {
    int net = 0;
    for (const Key* r = right.begin; r < right.end; ++r) net += self > *r ? 1 : self < *r ? -1 : 0;
    return net;
}

// What it costs that block `a` of the set stands left of `b`, beside which the set is, against the other way round: crossings, and where those are
// as many, the order to keep to.
long long Blocks::gain(int a, int b) const {
    const Seen &one = seen_[index(a)], &other = seen_[index(b)];
    const int top = std::max(one.top, other.top), bottom = std::min(one.bottom, other.bottom);
    if (top > bottom) return 0;
    const Key one_self = place_[index(a)] * cells_of_a_place, other_self = place_[index(b)] * cells_of_a_place;
    int crossings = 0;
    if (touched_[index(a)] != 0 || touched_[index(b)] != 0) {
        const Block &one_block = blocks_[index(a)], &other_block = blocks_[index(b)];
        crossings = net_inversions(one.top == top ? &one_block.above : nullptr, one_self,
                                   other.top == top ? &other_block.above : nullptr, other_self) +
                    net_inversions(one.bottom == bottom ? &one_block.below : nullptr, one_self,
                                   other.bottom == bottom ? &other_block.below : nullptr, other_self);
    } else {
        const auto net = [&](Keys left, bool left_ends, Keys right, bool right_ends) {
            if (left_ends && right_ends) return net_inversions(left, right);
            if (left_ends) return -net_inversions(other_self, left);
            return net_inversions(one_self, right);
        };
        crossings = net(above_of(one), one.top == top, above_of(other), other.top == top) +
                    net(below_of(one), one.bottom == bottom, below_of(other), other.bottom == bottom);
    }
    return crossings * a_crossing + (one.home > other.home ? 1 : -1);
}

// The crossings of the same, of a block with no piece to the set: each of its keys is on one side of all of the set. `top` to `bottom` are the rows
// that both share.
inline int Blocks::crossings(const Moving& one, const Key* set_keys, const Beside& other, int top, int bottom) {
    const auto net = [&other](Keys mine, int inside, bool ends, const Keys& others, bool other_ends) {
        if (!other_ends)
            return -net_inversions(other.self, mine);         // within the set it changes sides together with the block
        if (!ends) return net_inversions(other.self, others); // it goes on there, in its own place
        return net_inversions(mine, others) + (inside == 0 ? 0 : inside * net_inversions(other.self, others));
    };
    const Key *const above = set_keys + one.seen.above, *const below = set_keys + one.seen.below,
                     *const end = set_keys + one.seen.end;
    return net({above, below}, one.inside_above, one.seen.top == top, other.above, other.seen.top == top) +
           net({below, end}, one.inside_below, one.seen.bottom == bottom, other.below, other.seen.bottom == bottom);
}

void Blocks::look_at_set() {
    moving_.clear();
    all_moving_.clear();
    set_keys_.clear();
    for (const int b : inside_) {
        Moving& moving = moving_.emplace_back(Moving{seen_[index(b)]});
        const auto note = [&](const Side& side, Keys known, int& inside) {
            for (std::size_t i = 0; i < side.size(); ++i)
                if (is_inside_[index(side[i].block)] != 0)
                    ++inside;
                else
                    set_keys_.push_back(known.begin[i]);
        };
        moving.seen.above = set_keys_.size();
        note(blocks_[index(b)].above, above_of(seen_[index(b)]), moving.inside_above);
        moving.seen.below = set_keys_.size();
        note(blocks_[index(b)].below, below_of(seen_[index(b)]), moving.inside_below);
        moving.seen.end = set_keys_.size();
        all_moving_.push_back(static_cast<int>(all_moving_.size()));
    }
    look_at_rows_of_set();
}

// The same of a large set, row by row: all that begins or ends in a row at once, so that it costs next to nothing to pass a block.
void Blocks::look_at_rows_of_set() {
    set_rows_.resize(inside_in_row_.size());
    set_top_ = moving_.front().seen.top;
    set_bottom_ = moving_.front().seen.bottom;
    lowest_home_ = highest_home_ = moving_.front().seen.home;
    for (const Moving& one : moving_) {
        set_top_ = std::min(set_top_, one.seen.top);
        set_bottom_ = std::max(set_bottom_, one.seen.bottom);
        lowest_home_ = std::min(lowest_home_, one.seen.home);
        highest_home_ = std::max(highest_home_, one.seen.home);
    }
    if (!is_large()) return;
    for (RowOfSet& row : set_rows_) {
        row.above.keys.clear();
        row.below.keys.clear();
        row.above.below = row.below.below = 0;
        row.inside_above = row.inside_below = row.through_above = row.through_below = row.begun = row.ended = 0;
    }
    const auto at = [&](std::size_t key) { return set_keys_.begin() + static_cast<std::ptrdiff_t>(key); };
    for (const Moving& one : moving_) {
        RowOfSet &first = set_rows_[index(one.seen.top)], &last = set_rows_[index(one.seen.bottom)];
        first.above.keys.insert(first.above.keys.end(), at(one.seen.above), at(one.seen.below));
        last.below.keys.insert(last.below.keys.end(), at(one.seen.below), at(one.seen.end));
        first.inside_above += one.inside_above;
        last.inside_below += one.inside_below;
        ++first.begun;
        ++last.ended;
        for (int r = one.seen.top; r < one.seen.bottom; ++r) {
            ++set_rows_[index(r)].through_below;
            ++set_rows_[index(r + 1)].through_above;
        }
    }
    int begun = 0, ended = 0;
    for (RowOfSet& row : set_rows_) {
        std::sort(row.above.keys.begin(), row.above.keys.end());
        std::sort(row.below.keys.begin(), row.below.keys.end());
        row.begun = begun += row.begun;
        row.ended = ended += row.ended;
    }
}

// Keys above that of a block with no piece to them, less those below it.
inline int Blocks::net_above(Key self, KeysOfSet& side) {
    const std::vector<Key>& keys = side.keys;
    if (keys.empty()) return 0;
    while (side.below > 0 && keys[side.below - 1] >= self) --side.below;
    while (side.below < keys.size() && keys[side.below] < self) ++side.below;
    return static_cast<int>(keys.size()) - 2 * static_cast<int>(side.below);
}
// Pairs of which the one of `left` is higher, less those of which it is lower.
int Blocks::net_inversions(const std::vector<Key>& left, Keys right) {
    if (left.empty() || right.begin == right.end) return 0;
    const auto pairs = static_cast<int>(left.size()) * static_cast<int>(right.end - right.begin);
    if (left.back() < *right.begin) return -pairs;
    if (*(right.end - 1) < left.front()) return pairs;
    int net = 0;
    for (const Key* r = right.begin; r < right.end; ++r) {
        const auto not_below = std::lower_bound(left.begin(), left.end(), *r),
                   above = std::upper_bound(not_below, left.end(), *r);
        net += static_cast<int>((left.end() - above) - (not_below - left.begin()));
    }
    return net;
}

// The sum of `crossings` over all blocks of a large set.
int Blocks::crossings_of_set(const Beside& other) {
    const int top = other.seen.top, bottom = other.seen.bottom;
    const RowOfSet &first = set_rows_[index(top)], &last = set_rows_[index(bottom)];
    int sum = net_inversions(first.above.keys, other.above) + net_inversions(last.below.keys, other.below);
    if (first.inside_above + first.through_above > 0)
        sum += (first.inside_above + first.through_above) * net_inversions(other.self, other.above);
    if (last.inside_below + last.through_below > 0)
        sum += (last.inside_below + last.through_below) * net_inversions(other.self, other.below);
    // The other block goes on there, and the set has something there.
    const int from = std::max(top, set_top_ - 1), to = std::min(bottom, set_bottom_ + 1);
    for (int r = from; r < to; ++r)
        sum += net_above(other.self, set_rows_[index(r)].below) + net_above(other.self, set_rows_[index(r + 1)].above);
    return sum;
}

// What it costs that the set stands left of `b`, against right of it, beside it both times.
long long Blocks::beside(int b) {
    const Seen& other = seen_[index(b)];
    if (is_large() && touched_[index(b)] == 0 && (other.home < lowest_home_ || other.home > highest_home_)) {
        const int in_shared_rows =
            set_rows_[index(other.bottom)].begun - (other.top == 0 ? 0 : set_rows_[index(other.top - 1)].ended);
        if (in_shared_rows == 0) return 0;
        const Beside next{other, above_of(other), below_of(other), place_[index(b)] * cells_of_a_place};
        return crossings_of_set(next) * a_crossing + (other.home < lowest_home_ ? in_shared_rows : -in_shared_rows);
    }
    const std::vector<int>& those = other.top == other.bottom ? inside_in_row_[index(other.top)] : all_moving_;
    if (those.empty()) return 0;
    long long sum = 0;
    if (touched_[index(b)] != 0) {
        Key place = place_[index(b)];
        for (const int a : inside_) place_[index(a)] = ++place;
        for (const int i : those) sum += gain(inside_[index(i)], b);
        return sum;
    }
    const Beside next{other, above_of(other), below_of(other), place_[index(b)] * cells_of_a_place};
    for (const int i : those) {
        const Moving& one = moving_[index(i)];
        const int top = std::max(one.seen.top, other.top), bottom = std::min(one.seen.bottom, other.bottom);
        if (top > bottom) continue;
        sum += crossings(one, set_keys_.data(), next, top, bottom) * a_crossing + (one.seen.home > other.home ? 1 : -1);
    }
    return sum;
}

// ---- moving

void Blocks::split_line(const std::vector<int>& set) {
    for (const int b : set) is_inside_[index(b)] = 1;
    outside_before_.clear();
    if (set.size() == 1) { // mostly
        const auto at = static_cast<std::size_t>(place_[index(set.front())]) / (line_.size() + 1);
        inside_ = set;
        outside_ = line_;
        outside_.erase(outside_.begin() + static_cast<std::ptrdiff_t>(at));
        outside_before_.push_back(at);
        return;
    }
    inside_.clear();
    outside_.clear();
    for (const int b : line_) {
        if (is_inside_[index(b)] == 0) {
            outside_.push_back(b);
            continue;
        }
        inside_.push_back(b);
        outside_before_.push_back(outside_.size());
    }
}

// The set stands behind so many of the others.
void Blocks::join_line(std::size_t at) {
    for (const int b : inside_) is_inside_[index(b)] = 0;
    ++state_;
    line_ = outside_;
    line_.insert(line_.begin() + static_cast<std::ptrdiff_t>(at), inside_.begin(), inside_.end());
    number_places();
    for (const int b : inside_) {
        Block& block = blocks_[index(b)];
        sort(block.above);
        sort(block.below);
        for (const Far& far : block.above) sort(blocks_[index(far.block)].below);
        for (const Far& far : block.below) sort(blocks_[index(far.block)].above);
    }
}

// What it costs to bring a set that is torn apart together where its first block is. Each of the others moves by itself.
long long Blocks::gather() {
    for (const int b : inside_) is_inside_[index(b)] = 0;
    long long sum = 0;
    for (std::size_t i = 1; i < inside_.size(); ++i) {
        const int a = inside_[i];
        is_inside_[index(a)] = 1;
        for (std::size_t o = outside_before_[i]; o-- > outside_before_.front();) {
            place_[index(a)] = place_[index(outside_[o])] + 1;
            sum += gain(a, outside_[o]);
        }
        place_[index(a)] = place_[index(inside_.front())] + static_cast<Key>(i);
        is_inside_[index(a)] = 0;
    }
    for (const int b : inside_) is_inside_[index(b)] = 1;
    return sum;
}

void Blocks::mark_touched(char as) {
    for (const int b : inside_)
        for (const Side* side : {&blocks_[index(b)].above, &blocks_[index(b)].below})
            for (const Far& far : *side) touched_[index(far.block)] = as;
}

bool Blocks::sift_set(const std::vector<int>& set) {
    split_line(set);
    note_keys();
    mark_touched(1);
    places_before_.clear();
    for (const int b : inside_) places_before_.push_back(place_[index(b)]);
    const std::size_t at = outside_before_.front();
    const bool torn = outside_before_.back() != at;
    const long long gathered = torn ? gather() : 0;
    look_at_set();
    for (std::size_t i = 0; i < moving_.size(); ++i)
        for (int r = moving_[i].seen.top; r <= moving_[i].seen.bottom; ++r)
            inside_in_row_[index(r)].push_back(static_cast<int>(i));
    long long best = gathered, sum = gathered;
    std::size_t to = at;
    // Most blocks share no row with the set, and it makes no difference on which side of them it is.
    const auto apart = [&](int b) { return seen_[index(b)].bottom < set_top_ || seen_[index(b)].top > set_bottom_; };
    for (std::size_t i = at; i-- > 0;) {
        if (apart(outside_[i])) continue;
        sum += beside(outside_[i]);
        if (sum >= best) continue;
        best = sum;
        to = i;
    }
    sum = gathered;
    for (std::size_t i = at; i < outside_.size(); ++i) {
        if (apart(outside_[i])) continue;
        sum -= beside(outside_[i]);
        if (sum >= best) continue;
        best = sum;
        to = i + 1;
    }
    for (const Moving& one : moving_)
        for (int r = one.seen.top; r <= one.seen.bottom; ++r) inside_in_row_[index(r)].clear();
    mark_touched(0);
    if (best >= 0) {
        for (std::size_t i = 0; i < inside_.size(); ++i) {
            place_[index(inside_[i])] = places_before_[i];
            is_inside_[index(inside_[i])] = 0;
        }
        return false;
    }
    join_line(to);
    return true;
}

bool Blocks::sift(const std::vector<bool>& mirrored) {
    mirror(mirrored);
    bool moved = false;
    // Where nothing has moved since a set found no better place, it finds none now.
    settled_.resize(branches_.size() + blocks_.size(), 0);
    const auto try_set = [&](std::size_t number, const std::vector<int>& set) {
        if (settled_[number] == state_) return;
        if (sift_set(set))
            moved = true;
        else
            settled_[number] = state_;
    };
    for (std::size_t i = 0; i < branches_.size(); ++i) try_set(i, branches_[i]);
    for (std::size_t b = 0; b < blocks_.size(); ++b) try_set(branches_.size() + b, {static_cast<int>(b)});
    return moved;
}

void Blocks::shake(std::uint64_t number) {
    if (branches_.empty()) return;
    split_line(branches_[mixed(number, 1) % branches_.size()]);
    std::size_t to = outside_before_[outside_before_.size() / 2];
    if (mixed(number, 2) % 3 == 0)
        std::reverse(inside_.begin(), inside_.end());
    else
        to = mixed(number, 3) % (outside_.size() + 1);
    join_line(to);
}

} // namespace loomproof::draw
