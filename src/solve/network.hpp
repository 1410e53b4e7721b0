#pragma once
/// A network of devices between numbered nodes, and its operating point.
///
/// Nothing here knows wires or parts: model.hpp makes a network of a circuit. Node 0 is the reference (0 V).

#include "solve/devices.hpp"
#include "solve/elimination.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <utility>
#include <vector>

namespace loomproof::solve {

struct Ends {
    std::uint32_t a = 0, b = 0;
};

struct Solution {
    std::vector<double>
        volts; ///< by node, against the reference; against an arbitrary node of its island where `island` says so
    std::vector<double> amps; ///< by branch, from a to b
    /// By node: false where the node hangs together with the reference over devices; true where it belongs to an island of its own, whose volts
    /// against the reference nobody can tell (a spare battery on the bench, the far side of an open switch).
    std::vector<bool> island;
    bool converged = false;
    int steps = 0; ///< Newton steps taken
    double residual =
        0; ///< largest current that does not balance at a node, over the largest current in the network (at least 0.1 mA)
};

/// The branches of a network, each between two nodes; what each of them is may change from one solution to the next, so the order of
/// elimination is worked out once. A branch may join a node with itself and any two nodes may have several. Not for several threads at once.
class Network {
  public:
    Network(std::uint32_t nodes, std::span<const Ends> branches);

    std::uint32_t nodes() const { return nodes_; }
    std::span<const Ends> branches() const { return branches_; }

    /// Something held against one node from outside, its other end at the reference: a test lamp, a fault to ground. From node to reference.
    struct Probe {
        std::uint32_t node = 0;
        Device device;
    };

    /// Newton with exact line search along each step. Always converges for the devices of device.hpp; `converged` is false only where
    /// numbers ran out (not seen), and then says so. `devices`: one for each branch. `start`: volts to begin from, or empty; it has no
    /// influence on the result beyond rounding. Deterministic.
    Solution solve(std::span<const Device> devices, std::span<const double> start = {},
                   std::optional<Probe> probe = {});

    /// The network as it answers to small changes around its last solution: volts by node (0 for the reference) where 1 A flows in at
    /// `in` and out at `out`. By symmetry also: what the volts between `in` and `out` gain by each ampere that flows in at a node.
    std::vector<double> small_change(std::uint32_t in, std::uint32_t out);

    const Elimination& elimination() const { return elimination_; }

  private:
    // Inside, nodes are numbered anew, as rows: 0 is the reference, the others follow in the order in which they are taken out.

    /// Some volts (by row), what every device and the probe answers there (by place, devices.hpp; the probe behind the last), and what of
    /// it flows in at each row and not out again.
    struct Trial {
        std::vector<double> volts, amps, siemens, left_over;
        double largest = 0; ///< current
    };
    void lay_out(std::span<const Device>);
    void ask(Trial&);
    void conduct(const Trial&);
    bool balances(const Trial&);
    void go(const Trial& from, double share, Trial& to) const;
    double slope(const Trial&) const;
    /// Of the energy, on the way along a step: its slope there and how fast that grows. Both per unit of the step.
    struct Slope {
        double slope = 0, growth = 0;
    };
    Slope slope_along(const std::vector<double>& volts, double t) const;
    double prepare_search(const Trial& start, const Trial& whole, double at_start);
    struct Along {
        double share, slope; ///< of the step; of the energy there
    };
    double best_step(const std::vector<double>& volts, double at_start, Along low, Slope at_end) const;
    void find_roots();

    std::uint32_t nodes_;
    std::vector<Ends> branches_;
    Elimination elimination_;
    std::vector<std::uint32_t> slot_; ///< by branch: its coupling, where it has one

    std::vector<std::uint32_t> row_; ///< by node

    Devices devices_;            ///< during solve
    std::optional<Probe> probe_; ///< its node is a row
    /// By place of a device that is not open: its ends as rows, and its coupling.
    struct Place {
        std::uint32_t a, b, slot;
    };
    std::vector<Place> places_;
    std::vector<std::uint32_t> root_;           ///< by row: the lowest one that it hangs together with over devices
    std::vector<double> stiffness_, direction_; ///< by row
    std::vector<double> across_;                ///< by place
    Trial here_, there_;
    Slope
        straight_; ///< at the start of the step: the part of the branches that are straight along it, which grows alike everywhere
    std::vector<std::uint32_t> bent_; ///< places of all others
};

/// Operating points that this process has worked out so far, in all networks: for measuring.
std::size_t operating_points();

/// One solution of a network that is used only once.
struct Branch {
    std::uint32_t a = 0, b = 0;
    Device device;
};
Solution solve(std::uint32_t nodes, std::span<const Branch> branches, std::span<const double> start = {});

/// Lowest resistance that is kept apart (ohm); whatever joins two nodes with less must be contracted before.
inline constexpr double least_ohms = 1e-6;

} // namespace loomproof::solve
