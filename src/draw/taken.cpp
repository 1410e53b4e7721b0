#include "draw/labels.hpp"

#include <algorithm>
#include <cmath>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

} // namespace

inline Taken::Tiles Taken::tiles_of(const Box& box) {
    constexpr double tile = 64;
    // As std::floor, which is a call.
    const auto tile_at = [](double v) {
        const int towards_zero = static_cast<int>(v / tile);
        return v < 0 && towards_zero * tile != v ? towards_zero - 1 : towards_zero;
    };
    const int left = tile_at(box.left), top = tile_at(box.top);
    return {left, top, tile_at(box.right) - left + 1, tile_at(box.bottom) - top + 1};
}

// A good deal more than is needed now, so that it is seldom done.
void Taken::grow(const Tiles& by) {
    constexpr int more = 8;
    const bool fresh = by_tile_.empty();
    const int left = (fresh ? by.left : std::min(all_.left, by.left)) - more,
              top = (fresh ? by.top : std::min(all_.top, by.top)) - more,
              right = (fresh ? by.left + by.width : std::max(all_.left + all_.width, by.left + by.width)) + more,
              bottom = (fresh ? by.top + by.height : std::max(all_.top + all_.height, by.top + by.height)) + more;
    const Tiles grown{left, top, right - left, bottom - top};
    std::vector<std::vector<Thing>> moved(index(grown.width) * index(grown.height));
    for (int y = 0; y < all_.height; ++y)
        for (int x = 0; x < all_.width; ++x)
            moved[index((all_.top + y - top) * grown.width + all_.left + x - left)] =
                std::move(by_tile_[index(y * all_.width + x)]);
    by_tile_ = std::move(moved);
    all_ = grown;
}

void Taken::note(const Box& box, bool is_word) {
    const Tiles own = tiles_of(box);
    if (own.left < all_.left || own.top < all_.top || own.left + own.width > all_.left + all_.width ||
        own.top + own.height > all_.top + all_.height)
        grow(own);
    for (int y = own.top; y < own.top + own.height; ++y)
        for (int x = own.left; x < own.left + own.width; ++x)
            by_tile_[index((y - all_.top) * all_.width + x - all_.left)].push_back({box, is_word});
}

// The tiles stay: what comes next lies about where this lay.
void Taken::clear() {
    for (std::vector<Thing>& tile : by_tile_) tile.clear();
}

void Taken::add(const Box& box) { note(box, false); }
void Taken::add_word(const Box& box) { note(box, true); }

// What overlaps the box; null where nothing does.
template <class Wanted> const Box* Taken::first_in(const Box& box, Wanted wanted) const {
    const Tiles own = tiles_of(box);
    const int left = std::max(own.left, all_.left), right = std::min(own.left + own.width, all_.left + all_.width),
              top = std::max(own.top, all_.top), bottom = std::min(own.top + own.height, all_.top + all_.height);
    for (int y = top; y < bottom; ++y)
        for (int x = left; x < right; ++x)
            for (const Thing& thing : by_tile_[index((y - all_.top) * all_.width + x - all_.left)])
                if (wanted(thing) && thing.box.overlaps(box)) return &thing.box;
    return nullptr;
}

bool Taken::is_free(const Box& box) const {
    return first_in(box, [](const Thing&) { return true; }) == nullptr;
}
bool Taken::is_free_now(const Box& box, Box& in_the_way) const {
    const Box* const found = first_in(box, [](const Thing&) { return true; });
    if (found != nullptr) in_the_way = *found;
    return found == nullptr;
}
bool Taken::is_free_of_words(const Box& box) const {
    return first_in(box, [](const Thing& thing) { return thing.is_word; }) == nullptr;
}

} // namespace loomproof::draw
