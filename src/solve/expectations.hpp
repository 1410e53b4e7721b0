#pragma once
/// Is a load working, and does the circuit do what its file expects?

#include "solve/states.hpp"

#include <vector>

namespace loomproof::solve {

/// How a load does: a lamp shines, a motor turns, a relay is pulled in.
enum class Doing { off, dim, on };

/// By kind of load, from what it gets of what it is rated for (all common practice, no source):
///
/// - lamp, heater, horn: on from half of its power, off below a tenth;
/// - LED lamp, electronics, fed the right way round: on from 70 % of its volts, off below 50 % (as the solver takes them to work), and where
///   less than a fiftieth of its current flows;
/// - motor: on from 60 % of its volts, off below 25 %;
/// - relay, starter solenoid: on where it is pulled in.
Doing doing(const Circuit&, PrimitiveId load, Volts across, Amps through);

/// What a part does with its controls in `positions`: the best of its loads, or only of that with `filament` as its own end. Off for what is no
/// load.
Doing doing(const View&, PartId, TerminalId filament, const Point&, const Positions& positions);

struct Judged {
    enum class Verdict {
        met,
        broken,       ///< at `state`
        undecided,    ///< nothing against it was seen, but not everything was looked at
        no_case,      ///< no state has the positions that it speaks of
        other_engine, ///< it speaks of the engine running, and here it is stopped (no word about the engine in the file), or the other way round
        not_understood,
    };
    std::size_t expectation = 0; ///< index into Circuit::expectations
    Verdict verdict = Verdict::no_case;
    StateId state = 0; ///< of the first state against it
    Doing seen{};      ///< there, for on and off
    Volts volts{0};    ///< across it there, without sign
};

/// Judges while somebody else walks the stable states, so that no operating point is calculated twice.
class Expecting {
  public:
    /// Valid as long as the view.
    explicit Expecting(const View&);
    /// Does what is open yet hang on a state with these positions?
    bool asks(const Positions&) const;
    /// The stable states in their order, each with its point.
    void see(StateId, const Positions&, const Point&);
    /// All expectations, in order, after the last state.
    std::vector<Judged> judged(const Behaviour&) const;

  private:
    bool concerned(std::size_t expectation, const Positions&, const Judged& so_far) const;
    const View& view_;
    std::vector<Judged> standing_,
        cranking_; ///< by expectation: over the states in which no starter turns, and those in which one does
};

/// All expectations, in order. Over the stable states of the behaviour in which no starter turns, and only over those in which one does where
/// the positions allow no other; what Behaviour::not_known names stands behind all of them.
std::vector<Judged> judge_expectations(const Behaviour&);

} // namespace loomproof::solve
