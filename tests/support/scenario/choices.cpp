#include "support/scenario/choices.hpp"

#include <cmath>

namespace loomproof::scenario {

std::uint64_t splitmix64(std::uint64_t& state) {
    state += 0x9e3779b97f4a7c15U;
    std::uint64_t z = state;
    z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
    z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
    return z ^ (z >> 31U);
}

std::uint32_t Choices::below(std::uint32_t bound) {
    if (replaying_) { return next_ < recorded_.size() ? recorded_[next_++] % bound : 0; }
    const auto choice = static_cast<std::uint32_t>(splitmix64(state_) % bound);
    recorded_.push_back(choice);
    return choice;
}

double Choices::between(double low, double high, double step) {
    const auto steps = static_cast<std::uint32_t>(std::lround((high - low) / step));
    const double value = low + step * static_cast<double>(below(steps + 1));
    return std::round(value * 1e6) / 1e6; // what a person would type
}

namespace {

using Record = std::vector<std::uint32_t>;

struct Shrinker {
    const std::function<bool(const Record&)>& still_fails;
    std::size_t budget;

    bool accept(Record& best, Record candidate) {
        if (budget == 0) { return false; }
        --budget;
        if (!still_fails(candidate)) { return false; }
        best = std::move(candidate);
        return true;
    }

    bool delete_runs(Record& best) {
        bool smaller = false;
        for (std::size_t run = best.size(); run > 0; run /= 2) {
            for (std::size_t at = 0; at < best.size() && budget > 0;) {
                Record candidate = best;
                const auto from = candidate.begin() + static_cast<std::ptrdiff_t>(at);
                candidate.erase(from, from + static_cast<std::ptrdiff_t>(std::min(run, candidate.size() - at)));
                if (accept(best, std::move(candidate))) {
                    smaller = true;
                } else {
                    at += run;
                }
            }
        }
        return smaller;
    }

    bool lower_choices(Record& best) {
        bool smaller = false;
        for (std::size_t at = 0; at < best.size() && budget > 0; ++at) {
            for (std::uint32_t lower : {0U, best[at] / 2}) {
                if (lower < best[at]) {
                    Record candidate = best;
                    candidate[at] = lower;
                    smaller = accept(best, std::move(candidate)) || smaller;
                }
            }
        }
        return smaller;
    }
};

} // namespace

Record shrink(Record recorded, const std::function<bool(const Record&)>& still_fails, std::size_t budget) {
    Shrinker work{still_fails, budget};
    bool again = true;
    while (again && work.budget > 0) {
        again = work.delete_runs(recorded);
        again = work.lower_choices(recorded) || again;
    }
    return recorded;
}

} // namespace loomproof::scenario
