#pragma once
/// Where words may stand: the map of what is taken, and the placing of wire labels and job flags on it.

#include "draw/geometry.hpp"
#include "draw/picture.hpp"
#include "draw/route.hpp"
#include "draw/sketch.hpp"

#include <unordered_map>
#include <vector>

namespace loomproof::draw {

/// All that is taken on the sheet, for quick questions.
class Taken {
  public:
    void add(const Box& box);
    bool is_free(const Box& box) const;

  private:
    static constexpr double tile = 64;
    template <class Visit> static void tiles(const Box& box, Visit visit);
    std::vector<Box> boxes_;
    std::unordered_map<long long, std::vector<std::size_t>> by_tile_;
};

/// Half the width a wire takes on the sheet, its edge included.
double half_width(const Wire& wire);

struct Flag {
    int wire = 0;
    Box box;
    char letter = 0;
};

struct Placed {
    std::vector<Word> labels; ///< with `wire_of[i]` the wire each belongs to
    std::vector<int> wire_of;
    std::vector<Flag> flags;
    std::vector<int> homeless; ///< wires one of whose needed labels or flags found no place
    int left_out = 0;          ///< labels that only repeat one and found no place
    int lengths_left_out = 0;  ///< known lengths that found no place; the drawing's tooltip says them still
};

/// Places what wires say. A wire says its label once; a run longer than 65 mm at both ends and every 80 mm; a long leg to ground
/// once, near its top; a short run after a plug in which nothing changed says nothing. The length of a wire, where it is known, stands
/// once: behind its first label ("W31 4 RD/GN, 1.2 m") where there is room, else by itself. Words stand level where they can, and read
/// from below along their wire where they cannot. Flags with the job's letter stand at both ends of a wire that a job added.
/// `taken` holds everything else that is on the sheet, the wires included; what is placed is added to it.
Placed place_labels(const Sketch& sketch, const Route& route, Taken& taken);

} // namespace loomproof::draw
