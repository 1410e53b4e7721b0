#pragma once
/// Chance that is the same everywhere: the splitmix64 generator (Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", 2014) and a shuffle of our own, because the library's differ from one implementation to the next.

#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

namespace loomproof::draw {

class Chance {
  public:
    explicit Chance(std::uint64_t seed) : state_(seed) {}

    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15u);
        z = (z ^ (z >> 30u)) * 0xBF58476D1CE4E5B9u;
        z = (z ^ (z >> 27u)) * 0x94D049BB133111EBu;
        return z ^ (z >> 31u);
    }
    /// 0 .. below-1; `below` > 0. The bias of the plain remainder is far below anything that shows here.
    std::size_t below(std::size_t below) { return static_cast<std::size_t>(next() % below); }
    /// 0 <= x < 1
    double part() { return static_cast<double>(next() >> 11u) * 0x1.0p-53; }

    template <class T> void shuffle(std::vector<T>& items) {
        for (std::size_t i = items.size(); i > 1; --i) std::swap(items[i - 1], items[below(i)]);
    }

  private:
    std::uint64_t state_;
};

} // namespace loomproof::draw
