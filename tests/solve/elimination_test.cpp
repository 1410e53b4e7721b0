/// The factorisation against exact answers and against Eigen's sparse Cholesky solver, on nets like wiring and on dense ones.

#include "solve/elimination.hpp"

#include "support/random.hpp"

#include <Eigen/SparseCholesky>
#include <doctest/doctest.h>

#include <cmath>
#include <map>

using namespace loomproof::solve;
using loomproof::test::Random;

namespace {

using Pairs = std::vector<std::pair<std::uint32_t, std::uint32_t>>;

double between(Random& r, double low, double high) {
    return low * std::pow(high / low, static_cast<double>(r.below(1000001)) / 1e6);
}

} // namespace

TEST_CASE("a ladder has the volts that the rule of three gives") {
    // 1 A into the end of ten resistors of 1 ohm in a row
    Pairs row;
    for (std::uint32_t n = 0; n + 1 < 10; ++n) row.emplace_back(n, n + 1);
    Elimination e(10, row);
    e.clear();
    e.excess(0) += 1;
    for (std::size_t i = 0; i < row.size(); ++i) e.coupling(e.slot(i)) += 1;
    e.factor();
    std::vector<double> amps(10, 0), volts(10);
    amps[9] = 1;
    e.solve(amps, volts);
    for (std::size_t n = 0; n < 10; ++n) CHECK(volts[n] == doctest::Approx(static_cast<double>(n + 1)));
    CHECK(e.fill() == 0); // a tree
}

TEST_CASE("random nets: the same volts as Eigen's solver") {
    Random random(7);
    for (int round = 0; round < 60; ++round) {
        const auto n = static_cast<std::uint32_t>(2 + random.below(80));
        Pairs pairs;
        std::vector<double> siemens;
        for (std::uint32_t i = 1; i < n; ++i) pairs.emplace_back(i, static_cast<std::uint32_t>(random.below(i)));
        for (std::size_t i = random.below(3 * n); i > 0; --i) {
            const auto a = static_cast<std::uint32_t>(random.below(n)), b = static_cast<std::uint32_t>(random.below(n));
            if (a != b) pairs.emplace_back(a, b); // also doubled ones
        }
        Elimination e(n, pairs);
        e.clear();
        std::vector<Eigen::Triplet<double>> entries;
        const auto put = [&](std::uint32_t i, std::uint32_t j, double x) {
            entries.emplace_back(static_cast<int>(i), static_cast<int>(j), x);
        };
        for (std::size_t i = 0; i < pairs.size(); ++i) {
            const double g = between(random, 1e-2, 1e2);
            const auto [a, b] = pairs[i];
            e.coupling(e.slot(i)) += g;
            put(a, a, g);
            put(b, b, g);
            put(a, b, -g);
            put(b, a, -g);
        }
        for (std::uint32_t i = 0; i < n; i += 5) {
            const double g = between(random, 1e-2, 1e2);
            e.excess(i) += g;
            put(i, i, g);
        }
        e.factor();
        Eigen::SparseMatrix<double> matrix(static_cast<int>(n), static_cast<int>(n));
        matrix.setFromTriplets(entries.begin(), entries.end());
        Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> theirs(matrix);
        Eigen::VectorXd right(n);
        std::vector<double> amps(n), volts(n);
        for (std::uint32_t i = 0; i < n; ++i) right[static_cast<int>(i)] = amps[i] = between(random, 1e-3, 1e1);
        e.solve(amps, volts);
        const Eigen::VectorXd expected = theirs.solve(right);
        for (std::uint32_t i = 0; i < n; ++i)
            CHECK(volts[i] == doctest::Approx(expected[static_cast<int>(i)]).epsilon(1e-10));
        // What each node sees, one ampere after the other
        std::vector<double> seen(n), unit(n, 0);
        e.resistances(seen);
        for (std::uint32_t i = 0; i < n; ++i) {
            unit[i] = 1;
            e.solve(unit, volts);
            unit[i] = 0;
            CHECK(seen[i] == doctest::Approx(volts[i]).epsilon(1e-13));
        }
    }
}

TEST_CASE("a few conductances changed: not a digit tells the factor from one worked out as a whole") {
    Random random(11);
    for (int round = 0; round < 300; ++round) {
        const auto n = static_cast<std::uint32_t>(1 + random.below(120));
        Pairs pairs;
        for (std::uint32_t i = 1; i < n; ++i) // a few parts of their own
            if (random.below(20) != 0)
                pairs.emplace_back(i, i - 1 - static_cast<std::uint32_t>(random.below(std::min(i, 6U))));
        for (std::size_t i = n > 1 ? random.below(n / 2 + 1) : 0; i > 0; --i) {
            const auto a = static_cast<std::uint32_t>(random.below(n)), b = static_cast<std::uint32_t>(random.below(n));
            if (a != b) pairs.emplace_back(a, b);
        }
        Elimination kept(n, pairs);
        std::vector<double> excess(n, 0);         // by node
        std::map<std::uint32_t, double> coupling; // by slot
        for (std::size_t i = 0; i < pairs.size(); ++i)
            coupling[kept.slot(i)] = random.below(5) == 0 ? 0 : between(random, 1e-12, 1e6);
        for (std::uint32_t i = 0; i < n; i += 7) excess[i] = between(random, 1e-12, 1e3);
        const auto put = [&](Elimination& e) {
            e.clear();
            for (std::size_t i = 0; i < pairs.size(); ++i) e.coupling(e.slot(i)) = coupling[e.slot(i)];
            for (std::uint32_t i = 0; i < n; ++i) e.excess(i) = excess[i];
        };
        put(kept);
        kept.factor();
        for (int change = 0; change < 8; ++change) {
            for (std::size_t i = random.below(6); i > 0 && !pairs.empty(); --i) {
                const std::uint32_t slot = kept.slot(random.below(pairs.size()));
                coupling[slot] = random.below(2) == 0 ? 0 : between(random, 1e-12, 1e6);
                kept.change_coupling(slot, coupling[slot]);
            }
            for (std::size_t i = random.below(3); i > 0; --i) {
                const auto node = static_cast<std::uint32_t>(random.below(n));
                excess[node] = random.below(2) == 0 ? 0 : between(random, 1e-12, 1e3);
                kept.change_excess(node, excess[node]);
            }
            kept.factor();
            Elimination fresh(n, pairs);
            put(fresh);
            fresh.factor();
            std::vector<double> amps(n), volts(n), expected(n);
            for (double& a : amps) a = between(random, 1e-3, 1e2);
            kept.solve(amps, volts);
            fresh.solve(amps, expected);
            CHECK(volts == expected);
            std::vector<double> by_place(n);
            for (std::uint32_t node = 0; node < n; ++node) by_place[kept.place(node)] = amps[node];
            Elimination in_one_sweep = kept;
            in_one_sweep.factor_and_solve(by_place);
            for (std::uint32_t node = 0; node < n; ++node) CHECK(by_place[kept.place(node)] == expected[node]);
            kept.resistances(volts);
            fresh.resistances(expected);
            CHECK(volts == expected);
        }
    }
}

TEST_CASE("conductances eighteen powers of ten apart keep every digit") {
    // 1 A through 1e-12 S to ground, along a chain of alternating 1e6 S and 1 S
    Pairs row;
    for (std::uint32_t n = 0; n + 1 < 40; ++n) row.emplace_back(n, n + 1);
    Elimination e(40, row);
    e.clear();
    e.excess(0) += 1e-12;
    for (std::size_t i = 0; i < row.size(); ++i) e.coupling(e.slot(i)) += i % 2 ? 1.0 : 1e6;
    e.factor();
    std::vector<double> amps(40, 0), volts(40);
    amps[39] = 1;
    e.solve(amps, volts);
    CHECK(volts[0] == doctest::Approx(1e12).epsilon(1e-14));
    CHECK(volts[39] == doctest::Approx(1e12 + 19).epsilon(1e-14));
    e.resistances(volts);
    CHECK(volts[0] == doctest::Approx(1e12).epsilon(1e-14));
    CHECK(volts[39] == doctest::Approx(1e12 + 19).epsilon(1e-14));
}

TEST_CASE("what hangs together with nothing gets finite volts") {
    const Pairs pairs = {{0, 1}, {1, 2}, {3, 4}, {4, 5}, {3, 5}};
    Elimination e(7, pairs);
    e.clear();
    for (std::size_t i = 0; i < pairs.size(); ++i) e.coupling(e.slot(i)) += 2;
    e.excess(1) += 1;
    e.factor();
    std::vector<double> volts(7);
    e.solve(std::vector<double>{1, 0, 0, 1, -1, 0, 0}, volts);
    for (double v : volts) CHECK(std::isfinite(v));
    CHECK(volts[3] - volts[4] == doctest::Approx(1.0 / 3)); // 0.5 ohm beside 1 ohm
    CHECK(volts[0] == doctest::Approx(1.5));
}
