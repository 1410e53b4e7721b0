#pragma once
/// The search for an order across all rows at once. Inside matter of order.cpp.
///
/// What moves is a block: a way without branches (a fuse, the wire behind it with all the rows that it passes, its lamp, the ground foot), or a
/// branch of the walk with all its blocks. All blocks stand in one line from left to right, and each row is what of the line stands in it; each
/// block and each branch in turn goes where in the line the fewest wires cross. So a wire over many rows, or all that hangs on one fuse, finds a
/// better place even where each of its nodes alone has none. The method is the global sifting of Bachmaier, Brandenburg, Brunner and Hübner,
/// "Global k-level crossing reduction" (2011), with branches as further blocks.

#include "draw/rows.hpp"
#include "draw/walk.hpp"

#include <cstdint>
#include <vector>

namespace loomproof::draw {

class Blocks {
  public:
    /// The blocks stand as the walk meets them. `things` must outlive it; `home` is, by node, the rank in the order to keep to where that costs
    /// nothing.
    Blocks(const std::vector<Thing>& things, const std::vector<int>& home, const Walk& walk);

    /// Each branch and then each block goes once where it is best, for nodes mirrored so. Returns whether any moved.
    bool sift(const std::vector<bool>& mirrored);

    /// Takes a branch, chosen by the number, somewhere else in the line or turns it round.
    void shake(std::uint64_t number);

    /// Nodes of each row from left to right.
    Rows::Order rows() const;

  private:
    // The other end of a piece that leads out of a block.
    struct Far {
        int block, node;
        int cell;    // of the node, unmirrored
        int at_cell; // as it stands
    };
    using Side = std::vector<Far>; // sorted by key
    struct Block {
        std::vector<int> nodes;  // downwards
        int top = 0, bottom = 0; // rows
        Side above, below;
        int home = 0;
    };
    using Key = long long;
    // What is asked of a block over and over, side by side: its rows, its home, and where in `keys_` the keys of its sides are, the one behind the
    // other.
    struct Seen {
        int top = 0, bottom = 0, home = 0;
        std::size_t above = 0, below = 0, end = 0;
    };
    // Sorted keys of a side: part of `keys_`.
    struct Keys {
        const Key* begin;
        const Key* end;
    };

    // A block of the set that is being moved, as those it is moved past see it: on each side the keys of pieces that lead out of the set, sorted,
    // and how many lead into it. Indices into `set_keys_`.
    struct Moving {
        Seen seen;
        int inside_above = 0, inside_below = 0;
    };

    // Sorted keys of pieces out of a large set, and how many of them lie below what was asked about last: one goes along the line, and the next
    // that is asked about lies near.
    struct KeysOfSet {
        std::vector<Key> keys;
        std::size_t below = 0;
    };

    // A row of a large set: of the blocks that begin (end) there the keys of pieces out of the set, and how many lead into it; how many blocks come
    // from the row above and go on to the row below; how many have begun (ended) there or above.
    struct RowOfSet {
        KeysOfSet above, below;
        int inside_above = 0, inside_below = 0, through_above = 0, through_below = 0, begun = 0, ended = 0;
    };

    // A block with no piece to the set, which all of the set stands next to.
    struct Beside {
        Seen seen;
        Keys above, below;
        Key self;
    };

    Key key(const Far& far) const;
    void note_keys();
    Keys above_of(const Seen& seen) const { return {keys_.data() + seen.above, keys_.data() + seen.below}; }
    Keys below_of(const Seen& seen) const { return {keys_.data() + seen.below, keys_.data() + seen.end}; }
    void sort(Side& side) const;
    void number_places();
    void mirror(const std::vector<bool>& mirrored);
    void note_branches(const Walk& walk);

    long long gain(int a, int b) const;
    static int crossings(const Moving& one, const Key* set_keys, const Beside& other, int top, int bottom);
    static int net_inversions(Keys left, Keys right);
    static int net_inversions(Key self, Keys right);
    static int net_inversions(const std::vector<Key>& left, Keys right);
    static int net_above(Key self, KeysOfSet& side);
    int crossings_of_set(const Beside& other);
    bool is_large() const { return moving_.size() > 3; } // else each block by itself is as quick
    void look_at_rows_of_set();
    void mark_touched(char as);
    void look_at_set();
    int net_inversions(const Side* left, Key left_self, const Side* right, Key right_self) const;
    long long beside(int b);
    long long gather();
    bool sift_set(const std::vector<int>& set);
    void split_line(const std::vector<int>& set);
    void join_line(std::size_t at);

    const std::vector<Thing>* things_;
    std::vector<Block> blocks_;
    std::vector<std::vector<int>> branches_; // of more than one block, large ones first
    std::vector<int> line_;                  // blocks from left to right
    std::vector<Key> place_;                 // by block, with room for all blocks between two

    std::vector<Seen> seen_;    // by block
    std::vector<Key> keys_;     // of all sides, as the line was when they were noted
    bool keys_hold_ = false;    // it has not changed since
    std::vector<char> touched_; // by block: a piece joins it to the set that is being moved, so its keys do not hold

    std::vector<bool> mirrored_;         // by node
    std::uint64_t state_ = 1;            // another number after each change of the line or of what is mirrored
    std::vector<std::uint64_t> settled_; // by branch, then by block: the state in which it found no better place

    // The set that is being moved: in the order of the line, and by row; and the line without it.
    std::vector<int> inside_, outside_;
    std::vector<Key> places_before_; // by place in inside_, as the next
    std::vector<Moving> moving_;
    std::vector<int> all_moving_; // their indices
    std::vector<Key> set_keys_;
    std::vector<RowOfSet> set_rows_; // of a large set
    int set_top_ = 0, set_bottom_ = 0, lowest_home_ = 0, highest_home_ = 0;
    std::vector<char> is_inside_;
    std::vector<std::vector<int>> inside_in_row_; // indices in inside_
    std::vector<std::size_t> outside_before_;     // by place in inside_: how many of outside_ stand before it
};

} // namespace loomproof::draw
