#pragma once
/// Where words may stand: the map of what is taken, and the placing of wire labels and job flags on it.

#include "draw/geometry.hpp"
#include "draw/picture.hpp"
#include "draw/route.hpp"
#include "draw/sketch.hpp"
#include "draw/wire_width.hpp"

#include <vector>

namespace loomproof::draw {

/// All that is taken on the sheet, for quick questions.
class Taken {
  public:
    void add(const Box& box);
    void add_word(const Box& box);
    /// Nothing is taken any more.
    void clear();
    bool is_free(const Box& box) const;
    /// The same for one of many places that are tried near each other: what was in the way of the last one is asked first, and becomes what is in
    /// the way now. Begin with `nowhere`.
    bool is_free(const Box& box, Box& in_the_way) const {
        return !in_the_way.overlaps(box) && is_free_now(box, in_the_way);
    }
    static constexpr Box nowhere{1, 1, -1, -1};
    bool is_free_of_words(const Box& box) const;

  private:
    // Tiles from a corner on, row by row: they grow with what is added.
    struct Tiles {
        int left = 0, top = 0, width = 0, height = 0;
    };
    struct Thing {
        Box box;
        bool is_word;
    };
    bool is_free_now(const Box& box, Box& in_the_way) const;
    static Tiles tiles_of(const Box& box);
    void grow(const Tiles& by);
    void note(const Box& box, bool is_word);
    template <class Wanted> const Box* first_in(const Box& box, Wanted wanted) const;
    Tiles all_;
    std::vector<std::vector<Thing>> by_tile_;
};

/// The letter of a job beside its wire, or the number of what check found there.
struct Flag {
    int wire = 0;
    Box box;
    std::string text;
    bool is_mark = false;
};

/// A thin line from a label that found no room at its wire to that wire.
struct Leader {
    int wire = 0;
    Point at_label, at_wire;
};

struct Placed {
    std::vector<Word> labels; ///< with `wire_of[i]` the wire each belongs to
    std::vector<int> wire_of;
    std::vector<Flag> flags;
    std::vector<Leader> leaders;
    std::vector<int> homeless; ///< wires one of whose needed labels or flags found no place
    struct Unplaced {
        int wire = 0;
        std::string text; ///< what is not said at the wire
    };
    std::vector<Unplaced> unplaced; ///< needed labels, flags and known lengths that found no place
    int left_out = 0;               ///< labels that only repeat one and found no place
};

/// Places what wires say. A wire says its label once; a run longer than 65 mm at both ends and every 80 mm; a long leg to ground
/// once, near its top; a short run after a plug in which nothing changed says nothing. The length of a wire, where it is known, stands
/// once: behind its first label ("W31 4 RD/GN, 1.2 m") where there is room, else by itself with the wire's name. Words stand level where
/// they can, and read from below along their wire where they cannot. Each is nearer to its own wire than to any other; with `leaders`, what
/// finds no such place stands a little off, with a line to its wire. Flags with the job's letter stand at both ends of a wire that a job
/// added. `taken` holds everything else that is on the sheet, the wires included; what is placed is added to it.
/// `within`: beyond it to the left and the right a label stands only where it has no other place, for the sheet becomes wider by it.
/// `last`: no more room will be made for what finds none, so labels give way to a finding's mark.
Placed place_labels(const Sketch& sketch, const Route& route, Taken& taken, const Box& within, bool leaders = true,
                    bool last = true);

} // namespace loomproof::draw
