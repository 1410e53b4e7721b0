#pragma once
/// Linear networks of conductances, solved without a single subtraction.
///
/// The matrix of such a network is symmetric with negative couplings and a row excess: what a node conducts to the reference.
/// Taking one node out turns the star around it into a mesh of its neighbours (the star-mesh transform, A. Rosen 1924), and if each
/// node's excess is kept apart, every step adds, multiplies and divides positive numbers. So the result is right to a few units in
/// the last place relative to each node's own volts, whether conductances differ by a factor of ten or of 1e18.
///
/// The order (fewest neighbours first) and the places where fill comes up are worked out once for a pattern; the numbers may then
/// change as often as one likes. A pair of nodes may be given several times; it shares one coupling.

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace loomproof::solve {

class Elimination {
  public:
    /// Couplings that may be other than zero, between nodes 0 to `nodes` - 1; the reference is none of them. No pair of a node with
    /// itself.
    Elimination(std::uint32_t nodes, std::span<const std::pair<std::uint32_t, std::uint32_t>> pairs);

    /// Where the conductance of a pair stands among the couplings.
    std::uint32_t slot(std::size_t pair) const { return slot_of_[pair]; }

    /// Sets all conductances to zero. Then add to them, each at least zero.
    void clear();
    double& excess(std::uint32_t node) { return given_excess_[place_[node]]; }
    double& coupling(std::uint32_t slot) { return given_coupling_[slot]; }

    /// Works out the factor from the conductances.
    void factor();

    /// Volts against the reference where `amps` flow into the nodes. A part that hangs together with nothing of the reference has
    /// no volts of its own: there one node counts as zero, and what flows in is taken to balance. May be called again and again.
    void solve(std::span<const double> amps, std::span<double> volts) const;

    /// The resistance in ohm that each node sees against the reference: its volts where one ampere flows in there. Zero in a part that
    /// hangs together with nothing of the reference, counted from its last node. All of them take no longer than a few solves: the inverse
    /// of the matrix is worked out only where the factor has something (Takahashi, Fagan and Chen 1973), here without a subtraction too.
    void resistances(std::span<double> ohms) const;

    /// Couplings that elimination adds to those given: how far the wiring is from a tree.
    std::size_t fill() const { return coupling_.size() - given_; }

  private:
    struct Arm {
        std::uint32_t place; ///< in the order, of a neighbour that is taken out later
        std::uint32_t slot;  ///< the coupling to it
    };
    std::vector<std::uint32_t> order_, place_; ///< node by place in the order, and the other way round
    std::vector<std::uint32_t> slot_of_;
    std::vector<std::uint32_t> arms_from_; ///< by place in the order; one more at the end
    std::vector<Arm> arms_;
    std::vector<std::uint32_t> mesh_; ///< slots of all pairs of arms, pivot by pivot
    std::size_t given_ = 0;
    std::vector<double> given_excess_, given_coupling_; ///< by place; by slot
    std::vector<double> excess_, coupling_;             ///< the same when the place is taken out
    std::vector<double> pivot_ohms_, share_;            ///< by place; by arm
    mutable std::vector<double> gathered_; ///< by place: amps that come together there when it is taken out
    mutable std::vector<double> work_;
};

} // namespace loomproof::solve
