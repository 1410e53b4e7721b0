#pragma once
/// Where wires run, for quick questions. Drawing units.

#include "draw/geometry.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace loomproof::draw {

/// A map of boxes that are given by wire: index of the wire, index of its piece. Asked about a box, it shows the pieces in the tiles that the box
/// touches: all that overlap it, others near it, and some of them more than once.
class RunMap {
  public:
    struct Piece {
        std::size_t wire, run;
    };

    explicit RunMap(const std::vector<std::vector<Box>>& runs) {
        for (const std::vector<Box>& wire : runs)
            for (const Box& run : wire) all_.include(run);
        columns_ = tile(all_.right - all_.left) + 1;
        rows_ = tile(all_.bottom - all_.top) + 1;
        tiles_.resize(tile_index(columns_) * tile_index(rows_));
        for (std::size_t w = 0; w < runs.size(); ++w)
            for (std::size_t r = 0; r < runs[w].size(); ++r)
                over(runs[w][r], [&](std::vector<Piece>& pieces) {
                    pieces.push_back({w, r});
                    return false;
                });
    }

    // Does any piece near the box have what is wanted?
    template <class Wanted> bool any(const Box& box, Wanted wanted) const {
        return over(
            box, [&](const std::vector<Piece>& pieces) { return std::any_of(pieces.begin(), pieces.end(), wanted); });
    }

  private:
    static constexpr double tile_size = 64;
    static std::size_t tile_index(int i) { return static_cast<std::size_t>(i); }
    static int tile(double v) { return static_cast<int>(v / tile_size); }
    template <class Visit> bool over(const Box& box, Visit visit) { return over_tiles(*this, box, visit); }
    template <class Visit> bool over(const Box& box, Visit visit) const { return over_tiles(*this, box, visit); }
    template <class Self, class Visit> static bool over_tiles(Self& self, const Box& box, Visit visit) {
        if (box.right < self.all_.left || box.bottom < self.all_.top) return false;
        const int left = tile(std::max(0.0, box.left - self.all_.left)),
                  right = std::min(tile(box.right - self.all_.left), self.columns_ - 1),
                  top = tile(std::max(0.0, box.top - self.all_.top)),
                  bottom = std::min(tile(box.bottom - self.all_.top), self.rows_ - 1);
        for (int y = top; y <= bottom; ++y)
            for (int x = left; x <= right; ++x)
                if (visit(self.tiles_[tile_index(y * self.columns_ + x)])) return true;
        return false;
    }

    Box all_{};
    int columns_ = 1, rows_ = 1;
    std::vector<std::vector<Piece>> tiles_;
};

} // namespace loomproof::draw
