#pragma once
/// The rows that the search for an order works at: who stands where, what crosses, and the moves that make fewer wires cross. Inside matter of
/// order.cpp.
///
/// It knows which rows are settled (nothing there can be made better) and what crosses between two rows until one of them changes, and looks
/// again only at what did: most of a drawing stays as it is from one try to the next.

#include "draw/walk.hpp"

#include <cstddef>
#include <functional>
#include <utility>
#include <vector>

namespace loomproof::draw {

constexpr int crossing_cost = 100;

class Rows {
  public:
    using Order = std::vector<std::vector<int>>; ///< nodes of each row from left to right

    /// `things` must outlive it.
    explicit Rows(const std::vector<Thing>& things);

    /// By node its rank in the order that everything keeps to where that costs nothing; ranks differ.
    void keep_to(std::vector<int> home);

    /// By node: it stays where it is in its row, and as it is mirrored, whatever the others do. Empty: none.
    void hold(std::vector<bool> held);

    const Order& order() const { return rows_; }
    const std::vector<bool>& mirrored() const { return mirrored_; }
    int place_of(int node) const; ///< in its row, from 0

    /// Starts from there. `settled` says that no move makes anything better, as polish() left it.
    void put(const Order& rows, const std::vector<bool>& mirrored, bool settled);
    void put_row(std::size_t row, const std::vector<int>& nodes);
    void set_mirrored(int node, bool mirrored);

    /// Sorts a row by where its nodes' neighbours in the row above (or below) stand; `noise(node)` is added to each place, where given. A node
    /// without neighbours on that side stays beside the one before it. Returns whether anything moved.
    bool follow(std::size_t row, bool the_one_above, const std::function<double(int)>& noise = {});

    /// Moves single nodes along their rows and mirrors them, over and over, while fewer wires cross then, or as many with more nodes in the order
    /// to keep to. Returns whether all is settled at the end.
    bool polish();

    int crossings();          ///< of wires, between all rows
    int mirror_costs() const; ///< of all that stands mirrored
    int turned_pairs();       ///< pairs in a row that stand the other way round than in the order to keep to

  private:
    // The far end of a piece: where it stands within its node, by whether that is mirrored.
    struct Far {
        int node;
        int cell[2];
        double from_middle[2]; // in widths of the node
    };
    // The pieces on one side of a node: part of `far_`.
    struct Side {
        const Far* first = nullptr;
        const Far* last = nullptr;
        const Far* begin() const { return first; }
        const Far* end() const { return last; }
        std::ptrdiff_t size() const { return last - first; }
    };
    struct Sides {
        Side above, below;
    };

    // The ends of a node's pieces on one side, as sorted keys: part of `keys_`.
    struct Keys {
        const int* begin = nullptr;
        const int* end = nullptr;
    };
    // Of the pairs of pieces of two nodes: those that cross, and those that would if the nodes changed sides.
    struct Pairs {
        int crossed = 0, turned = 0;
    };
    // How many pieces of other nodes in the row those of one cross.
    struct Crossed {
        int on_left = 0, on_right = 0;
    };
    struct Known {
        int count = 0;
        bool valid = false;
    };

    void gather_sides();
    int key(const Far& far) const;
    double centre(const Side& side) const;
    void moved(std::size_t row);
    int crossings_below(std::size_t row);
    void fill_keys(const std::vector<int>& row);
    static Pairs pairs(const Keys& left, const Keys& right);
    static Pairs interleaved(const Keys& left, const Keys& right);
    Pairs pairs_of(int left, int right) const;
    void count_crossed(const std::vector<Keys>& side);
    void pass(int n, int passed, bool to_the_left);
    bool sift(std::size_t row);
    bool mirror_nodes();
    int own_crossings(int node, bool mirrored) const;

    const std::vector<Thing>& things_;
    std::vector<Far> far_;
    std::vector<Sides> sides_;         // by node
    std::vector<int> may_be_mirrored_; // nodes, where that may change anything
    std::vector<int> home_;
    std::vector<bool> held_; // by node, or empty
    Order rows_;
    std::vector<int> place_; // by node
    std::vector<bool> mirrored_;

    // By row.
    std::vector<bool> order_settled_, mirrors_settled_;
    std::vector<Known> below_;  // crossings with the next row
    std::vector<Known> turned_; // pairs

    // Room used again and again.
    std::vector<std::pair<double, int>> wanted_;
    std::vector<std::pair<int, int>> lines_;
    std::vector<int> sorted_, nodes_, keys_, place_in_order_;
    std::vector<std::pair<int, int>> far_ends_;
    std::vector<Crossed> crossed_; // by place in the row looked at, as the next
    std::vector<Keys> above_of_, below_of_;
};

} // namespace loomproof::draw
