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
///
/// What a node hands on to its neighbours when it is taken out can be told again from its shares. So where a few conductances change, only
/// the nodes beside them and those that these hand something to are worked out anew: their ancestors in the tree of elimination
/// (J. W. H. Liu, The role of elimination trees in sparse factorization, 1990), a few of a whole net. Every number is the sum of the same
/// numbers in the same order as if all had been worked out: not a digit tells one from the other.

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

    /// Where a node stands in the order in which they are taken out.
    std::uint32_t place(std::uint32_t node) const { return place_[node]; }
    /// Where the conductance of a pair stands among the couplings.
    std::uint32_t slot(std::size_t pair) const { return slot_of_[pair]; }

    /// Sets all conductances to zero. Then add to them, each at least zero.
    void clear();
    double& excess(std::uint32_t node) { return given_excess_[place_[node]]; }
    double& excess_at(std::uint32_t place) { return given_excess_[place]; }
    double& coupling(std::uint32_t slot) { return given_coupling_[slot]; }

    /// Another conductance (S, at least zero) than at the last factor(); all else stays. After clear() as well.
    void change_excess(std::uint32_t node, double siemens);
    void change_coupling(std::uint32_t slot, double siemens);

    /// Works out the factor from the conductances: all of it after clear(), else what has changed and what hangs on that.
    void factor();
    /// Works out all of it.
    void factor_all();

    /// Volts against the reference where `amps` flow into the nodes. A part that hangs together with nothing of the reference has
    /// no volts of its own: there one node counts as zero, and what flows in is taken to balance. May be called again and again.
    void solve(std::span<const double> amps, std::span<double> volts) const;

    /// factor_all() and solve() in one sweep, all by place: `x` holds the amps, and the volts afterwards.
    void factor_and_solve(std::span<double> x);

    /// The resistance in ohm that each node sees against the reference: its volts where one ampere flows in there. Zero in a part that
    /// hangs together with nothing of the reference, counted from its last node. All of them take no longer than a few solves: the inverse
    /// of the matrix is worked out only where the factor has something (Takahashi, Fagan and Chen 1973), here without a subtraction too.
    void resistances(std::span<double> ohms) const;

    /// Couplings that elimination adds to those given: how far the wiring is from a tree.
    std::size_t fill() const { return coupling_.size() - given_; }

  private:
    /// Places one after the other that have as many arms each: what is a tree of wires goes in a few runs of one arm.
    struct Run {
        std::uint32_t from, end, arms;
    };
    /// What a mesh hands on to the coupling between two neighbours: the share of the one of what couples the other.
    struct Handed {
        std::uint32_t share, coupling;
    };
    /// Neighbours that are not yet taken out, with the slot of the coupling.
    using Neighbours = std::vector<std::pair<std::uint32_t, std::uint32_t>>;
    void order_by_level(std::vector<Neighbours>& arms);
    void list_givers();
    template <class Take> void each_place(const Take& take) const;
    void hand_on(std::uint32_t place, std::uint32_t first, std::uint32_t arms);
    void hand_on_two(std::uint32_t place, std::uint32_t first);
    void hand_amps(std::span<double> amps, std::uint32_t place, std::uint32_t first, std::uint32_t arms) const;
    void take_back(std::span<double> x) const;
    void all_is_worked_out();
    void work_out_anew(std::uint32_t place);
    void touch(std::uint32_t place);

    // Places are counted in the order of elimination. An arm is what couples a place to a neighbour that is taken out later; each pair
    // of neighbours is one arm, of the earlier of them, so arms are slots too.
    std::vector<std::uint32_t> order_, place_; ///< node by place, and the other way round
    std::vector<std::uint32_t> slot_of_;
    std::vector<std::uint32_t> arms_from_; ///< by place; one more at the end
    std::vector<std::uint32_t> to_;        ///< by arm: the place of the neighbour; ascending from arm to arm of a place
    std::vector<std::uint32_t> of_;        ///< by arm: the place whose arm it is
    std::vector<std::uint32_t> mesh_from_; ///< by place: the first of its meshes, which are all pairs of its arms
    std::vector<std::uint32_t> mesh_;      ///< by mesh: the arm between the two neighbours
    std::vector<Run> runs_;
    /// The same seen from the receiver, givers in their order: arms that end at a place; what meshes hand on to an arm.
    std::vector<std::uint32_t> givers_from_, givers_; ///< givers_from_ by place; one more at the end
    std::vector<std::uint32_t> handed_from_;          ///< by arm; one more at the end
    std::vector<Handed> handed_;
    std::size_t given_ = 0;

    std::vector<double> given_excess_, given_coupling_; ///< by place; by arm
    std::vector<double> excess_, coupling_;             ///< the same when the place is taken out
    std::vector<double> pivot_ohms_, share_;            ///< by place; by arm

    bool all_changed_ = true;
    std::vector<char> touched_; ///< by place: it will be worked out anew
    /// Places to work out anew, way by way: each way leads from a changed place upwards to where another way goes on.
    std::vector<std::uint32_t> ways_, way_from_;
    mutable std::vector<double> work_; ///< by place
};

} // namespace loomproof::solve
