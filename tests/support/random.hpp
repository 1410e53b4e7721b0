#pragma once
/// Random numbers for tests: the same everywhere, from a seed.

#include <cstddef>
#include <cstdint>

namespace loomproof::test {

/// splitmix64: Steele, Lea, Flood, "Fast Splittable Pseudorandom Number Generators", OOPSLA 2014; constants as in
/// the reference code of Sebastiano Vigna (public domain, 2015).
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed) {}

    std::uint64_t next() {
        state_ += 0x9e3779b97f4a7c15U;
        std::uint64_t z = state_;
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
        return z ^ (z >> 31);
    }

    /// 0 <= result < n, for n > 0; the slight favour for small results does not matter to a test.
    std::size_t below(std::size_t n) { return static_cast<std::size_t>(next() % n); }

  private:
    std::uint64_t state_;
};

} // namespace loomproof::test
