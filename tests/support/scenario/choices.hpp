#pragma once
/// Random choices that are recorded, so that a failing circuit can be made smaller by deleting choices.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

namespace loomproof::scenario {

/// One step of the splitmix64 generator (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014; the
/// constants are those of the public-domain reference code). The same on every machine.
std::uint64_t splitmix64(std::uint64_t& state);

/// A source of choices. Every choice is a number below a bound, and zero is always the plainest one: whoever asks orders
/// the alternatives so. Recorded choices, replayed in the same order, make the same circuit; where the record has ended,
/// every choice is zero.
class Choices {
  public:
    explicit Choices(std::uint64_t seed) : state_(seed) {}
    explicit Choices(std::vector<std::uint32_t> recorded) : recorded_(std::move(recorded)), replaying_(true) {}

    /// A number from 0 to bound - 1. Precondition: bound > 0.
    std::uint32_t below(std::uint32_t bound);
    /// True in about `percent` of a hundred cases; the zero choice says no.
    bool chance(unsigned percent) { return below(100) >= 100 - percent; }
    /// One of them; the zero choice takes the first.
    template <class T> const T& one_of(std::span<const T> list) {
        return list[below(static_cast<std::uint32_t>(list.size()))];
    }
    template <class T, std::size_t N> const T& one_of(const T (&list)[N]) { return one_of(std::span<const T>(list)); }
    /// A number of steps between two figures, both included: low, low + step, ... The zero choice takes `low`.
    double between(double low, double high, double step);

    /// Replaying, and nothing is left of the record: time to come to an end.
    bool exhausted() const { return replaying_ && next_ >= recorded_.size(); }
    /// All choices made so far, as `below` gave them.
    const std::vector<std::uint32_t>& recorded() const { return recorded_; }

  private:
    std::uint64_t state_ = 0;
    std::vector<std::uint32_t> recorded_;
    std::size_t next_ = 0;
    bool replaying_ = false;
};

/// The smallest record found that still fails: runs of choices are deleted, long runs first, then single choices are
/// lowered. `still_fails` is asked at most `budget` times. Precondition: still_fails(recorded).
std::vector<std::uint32_t> shrink(std::vector<std::uint32_t> recorded,
                                  const std::function<bool(const std::vector<std::uint32_t>&)>& still_fails,
                                  std::size_t budget = 2000);

} // namespace loomproof::scenario
