#pragma once
/// Chance that is the same everywhere: the splitmix64 generator (Steele, Lea and Flood, "Fast splittable pseudorandom number
/// generators", 2014) and a shuffle of our own, because the library's differ from one implementation to the next.

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

namespace loomproof::draw {

/// A number that depends on the two given ones alone, each bit on all of theirs: splitmix64's last step over their sum. Drawn this way,
/// chance that belongs to a name stays the same whatever else there is.
inline std::uint64_t mixed(std::uint64_t a, std::uint64_t b) {
    std::uint64_t z = a + 0x9E3779B97F4A7C15u * (b + 1);
    z = (z ^ (z >> 30u)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27u)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31u);
}
/// 0 <= x < 1 from such a number.
inline double part_of(std::uint64_t number) { return static_cast<double>(number >> 11u) * 0x1.0p-53; }

/// FNV-1a, 64 bits.
inline std::uint64_t number_of(std::string_view name) {
    std::uint64_t hash = 0xcbf29ce484222325u;
    for (const char c : name) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    return hash;
}

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
