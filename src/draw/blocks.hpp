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

    Key key(const Far& far) const;
    void sort(Side& side) const;
    void number_places();
    void mirror(const std::vector<bool>& mirrored);
    void note_branches(const Walk& walk);

    long long gain(int a, int b) const;
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

    std::vector<bool> mirrored_;         // by node
    std::uint64_t state_ = 1;            // another number after each change of the line or of what is mirrored
    std::vector<std::uint64_t> settled_; // by branch, then by block: the state in which it found no better place

    // The set that is being moved: in the order of the line, and by row; and the line without it.
    std::vector<int> inside_, outside_;
    std::vector<char> is_inside_;
    std::vector<std::vector<int>> inside_in_row_;
    std::vector<std::size_t> outside_before_; // by place in inside_: how many of outside_ stand before it
};

} // namespace loomproof::draw
