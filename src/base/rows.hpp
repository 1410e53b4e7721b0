#pragma once
/// A list for each of many rows, all of them in two arrays: what hangs on each terminal, on each node of a net.
///
/// Thousands of small vectors cost an allocation each, and a copy of them as many again; this one is copied at once.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace loomproof {

template <class T> class Rows {
  public:
    Rows() = default;
    /// `tell(add)` calls add(row, entry) for every entry, the entries of a row in their order. It is called twice, once to count, and
    /// must say the same both times. Precondition: all rows are below `rows`.
    template <class Tell> Rows(std::size_t rows, const Tell& tell) : from_(rows + 1, 0) {
        tell([&](std::size_t row, const T&) { ++from_[row + 1]; });
        for (std::size_t row = 0; row < rows; ++row) from_[row + 1] += from_[row];
        all_.resize(from_[rows]);
        std::vector<std::uint32_t> next(from_.begin(), from_.end() - 1);
        tell([&](std::size_t row, const T& entry) { all_[next[row]++] = entry; });
    }

    std::size_t size() const { return from_.empty() ? 0 : from_.size() - 1; }
    std::span<const T> operator[](std::size_t row) const {
        return {all_.data() + from_[row], all_.data() + from_[row + 1]};
    }
    /// All entries, row by row.
    std::span<const T> all() const { return all_; }

  private:
    std::vector<std::uint32_t> from_; ///< by row, its first entry; one more at the end
    std::vector<T> all_;
};

} // namespace loomproof
