#include "solve/network.hpp"

#include <Eigen/SparseCholesky>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace loomproof::solve {

namespace {

using Matrix = Eigen::SparseMatrix<double>;

constexpr int most_steps = 200;
constexpr double enough = 1e-11; // residual, relative to the largest current
/// Currents below a tenth of a milliamp are noise on a vehicle: the residual is not measured against less.
constexpr double least_amps = 1e-4;

/// Representative of each node's island.
std::vector<std::uint32_t> islands(std::uint32_t nodes, std::span<const Branch> branches) {
    std::vector<std::uint32_t> parent(nodes);
    std::iota(parent.begin(), parent.end(), 0U);
    const auto root = [&](std::uint32_t n) {
        while (parent[n] != n) n = parent[n] = parent[parent[n]];
        return n;
    };
    for (const Branch& b : branches) {
        const std::uint32_t x = root(b.a), y = root(b.b);
        if (x != y) parent[std::max(x, y)] = std::min(x, y); // the smallest node stands for the island
    }
    for (std::uint32_t n = 0; n < nodes; ++n) parent[n] = root(n);
    return parent;
}

/// Sum over the branches of (current at x + t d) times (volts of d across it): the slope of the energy along d.
double slope_along(std::span<const Branch> branches, const std::vector<double>& x, const std::vector<double>& d, double t) {
    double sum = 0;
    for (const Branch& b : branches) {
        const double step = d[b.a] - d[b.b];
        if (step != 0) sum += respond(b.device, x[b.a] - x[b.b] + t * step).amps * step;
    }
    return sum;
}

/// Where along d the energy is least. It is convex, so its slope only grows: bracket, then halve and interpolate.
double best_step(std::span<const Branch> branches, const std::vector<double>& x, const std::vector<double>& d) {
    const double at_start = slope_along(branches, x, d, 0);
    if (!(at_start < 0)) return 1;
    double low = 0, high = 1, slope_low = at_start, slope_high = slope_along(branches, x, d, 1);
    if (std::abs(slope_high) <= 0.1 * -at_start) return 1; // near enough: Newton's own step converges fastest
    while (slope_high < 0 && high < 1e6) {
        low = high;
        slope_low = slope_high;
        high *= 2;
        slope_high = slope_along(branches, x, d, high);
    }
    for (int i = 0; i < 60 && high - low > 1e-12 * high; ++i) {
        double t = i % 3 == 2 ? (low + high) / 2 : low - slope_low * (high - low) / (slope_high - slope_low);
        if (!(t > low && t < high)) t = (low + high) / 2;
        const double slope = slope_along(branches, x, d, t);
        if (std::abs(slope) <= 1e-4 * -at_start) return t;
        (slope < 0 ? low : high) = t;
        (slope < 0 ? slope_low : slope_high) = slope;
    }
    return (low + high) / 2;
}

} // namespace

Solution solve(std::uint32_t nodes, std::span<const Branch> branches, std::span<const double> start) {
    Solution s;
    s.volts.assign(nodes, 0);
    if (start.size() == nodes) s.volts.assign(start.begin(), start.end());
    s.amps.assign(branches.size(), 0);
    s.island.assign(nodes, false);
    if (nodes == 0) {
        s.converged = true;
        return s;
    }
    const std::vector<std::uint32_t> island = islands(nodes, branches);
    // One node of each island is held at zero; the others are unknowns.
    std::vector<int> unknown(nodes, -1);
    int n = 0;
    for (std::uint32_t i = 0; i < nodes; ++i) {
        s.island[i] = island[i] != island[0];
        if (island[i] == i)
            s.volts[i] = 0;
        else
            unknown[i] = n++;
    }

    Eigen::SimplicialLDLT<Matrix> factor;
    Matrix jacobian(n, n);
    std::vector<Eigen::Triplet<double>> entries;
    Eigen::VectorXd unbalanced(n);
    std::vector<double> direction(nodes, 0);
    bool analysed = false;
    for (s.steps = 0; s.steps < most_steps; ++s.steps) {
        entries.clear();
        unbalanced.setZero();
        double largest = least_amps;
        for (std::size_t k = 0; k < branches.size(); ++k) {
            const Branch& b = branches[k];
            const Response r = respond(b.device, s.volts[b.a] - s.volts[b.b]);
            s.amps[k] = r.amps;
            largest = std::max(largest, std::abs(r.amps));
            const int i = unknown[b.a], j = unknown[b.b];
            if (i >= 0) {
                unbalanced[i] += r.amps;
                entries.emplace_back(i, i, r.siemens);
            }
            if (j >= 0) {
                unbalanced[j] -= r.amps;
                entries.emplace_back(j, j, r.siemens);
            }
            if (i >= 0 && j >= 0 && i != j) {
                entries.emplace_back(i, j, -r.siemens);
                entries.emplace_back(j, i, -r.siemens);
            }
        }
        s.residual = n == 0 ? 0 : unbalanced.lpNorm<Eigen::Infinity>() / largest;
        if (s.residual <= enough) {
            s.converged = true;
            return s;
        }
        jacobian.setFromTriplets(entries.begin(), entries.end());
        if (!analysed) factor.analyzePattern(jacobian);
        analysed = true;
        factor.factorize(jacobian);
        if (factor.info() != Eigen::Success) return s;
        const Eigen::VectorXd newton = factor.solve(-unbalanced);
        for (std::uint32_t i = 0; i < nodes; ++i) direction[i] = unknown[i] >= 0 ? newton[unknown[i]] : 0;
        const double t = best_step(branches, s.volts, direction);
        if (!std::isfinite(t)) return s;
        double moved = 0, highest = 1;
        for (std::uint32_t i = 0; i < nodes; ++i) {
            moved = std::max(moved, std::abs(t * direction[i]));
            s.volts[i] += t * direction[i];
            highest = std::max(highest, std::abs(s.volts[i]));
        }
        // Rounding sets a floor to the residual where tiny resistances carry large currents: no step left to take is the end too.
        if (moved < 1e-15 * highest) {
            s.converged = s.residual < 1e-6;
            return s;
        }
    }
    return s;
}

} // namespace loomproof::solve
