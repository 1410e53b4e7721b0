#pragma once
/// Everything that can be reached by switching: from rest, one operation after the other, with what relays do in between.
///
/// Operations: a hand control goes to a position beside its own; a push button is pressed and let go; a sensed switch or an outside
/// condition changes at any time. The engine cranks only while a starter turns, runs from there, and stops at any time; it stops by itself
/// once what keeps it alive fails (where nobody said what that is: once the switch that cranked it is back where it rests). Where no starter
/// is drawn it runs as soon as what keeps it alive is there, or, where nobody said that, the ignition is on (ignition.hpp). Operations act on circuits at rest and on circuits that chatter. Conditions of the same wording are one
/// and the same. The search goes breadth-first in file order, so the way to each state is a shortest one. Where there are too many states to
/// try every control with every other, they are tried in groups that have a say in the same things (cones.hpp), all else at rest; groups that
/// can push one another's relays over a limit are joined, and where they are then too many they stay open. One more walk looks for the
/// state in which most is taken.

#include "solve/settle.hpp"

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace loomproof::solve {

/// Controls that move together: one, or all outside conditions of the same wording.
struct Variable {
    std::vector<ControlId> controls;
};

/// In file order; relays are none.
std::vector<Variable> variables_of(const Model&);

struct Operation {
    std::uint32_t variable = 0; ///< index into Behaviour::variables
    std::uint8_t from = 0, to = 0;
    bool forced = false; ///< nobody does it: the engine dies because what keeps it alive fails
    bool operator==(const Operation&) const = default;
};

using StateId = std::uint32_t;

/// A reachable combination of positions. State 0 is rest, unless rest itself does not settle there.
struct State {
    Positions positions;
    StateId before = 0;          ///< the state it was first reached from; itself where nothing had to be done
    std::optional<Operation> by; ///< what was done there; nothing for where the circuit settles at rest
    bool stable = true;          ///< false: passed again and again while relays chatter
    bool held = false;           ///< somebody holds a control in a position that springs back
};

/// What goes wrong after an operation.
struct Trouble {
    enum class Kind {
        chatter,    ///< relays go in and out and never come to rest, or may not
        race,       ///< which relay is faster decides where it ends
        on_limits,  ///< where a relay lies within its limits decides where it ends
        not_solved, ///< the operating point was not found
    };
    Kind kind{};
    bool certain = false;          ///< chatter without a way out; race
    StateId before = 0;            ///< from there ...
    std::optional<Operation> by;   ///< ... by that (nothing: at rest)
    std::vector<ControlId> relays; ///< that chatter; whose positions differ between the ends
    std::vector<StateId> ends;     ///< race, on_limits: where it may end; chatter: the states of the cycle
};

/// The largest and smallest of something over all stable states, and where.
struct Extreme {
    double low = 0, high = 0; ///< of volts or of amps, as the field says
    StateId low_at = 0, high_at = 0;
};

struct ExploreOptions {
    Conditions conditions{};
    std::size_t most =
        4096; ///< situations to be solved (in-flight ones included): all controls together, else for each group of them
    std::size_t most_groups = 8; ///< times `most`: what all groups may cost
    bool in_groups = false;      ///< do not try all together: for tests
    /// Limits of single relays where they are known better than usual.
    std::vector<std::pair<ControlId, Limits>> limits{};
    /// Shown each stable state once all are known, in their order, with everything as warm as it gets.
    std::function<void(StateId, const State&, const Point&)> see{};
};

/// What a circuit does. A value; valid as long as the circuit.
class Behaviour {
  public:
    Conditions conditions;
    std::vector<Variable> variables;
    std::vector<State> states;
    std::vector<Trouble> troubles; ///< each kind once for the same relays: with its shortest way
    std::vector<StateId> dying;    ///< where what keeps the engine alive has just failed: it stops there by itself
    /// False: there is more than was looked at; what must hold always is then undecided.
    bool complete = true;
    /// Every combination of positions was seen. Where it is false and `complete` true, every control was seen in all positions together
    /// with all others that have a say in the same things (cones.hpp) or can push the same relays over a limit, the rest of the circuit at
    /// rest; what adds up over the whole circuit was only looked for where most is taken.
    bool jointly = true;
    std::vector<ControlId> unseen;   ///< not complete: whose positions were not all tried
    std::size_t groups = 0;          ///< not jointly: of controls that were tried together
    std::size_t situations = 0;      ///< solved to find this
    std::vector<NotKnown> not_known; ///< figures that the result hangs on

    /// Over the stable states: amps without sign by wire and by primitive, and volts from a to b by primitive. Nothing for what is not there.
    std::vector<std::optional<Extreme>> wire_amps, primitive_amps, primitive_volts;

    /// What has to be done from rest to get there, shortest way.
    std::vector<Operation> way_to(StateId) const;
    /// Everything; told anew from the solution that the search left, of states in flight from one when they are first asked for.
    Point point(StateId) const;
    /// One figure of it: volts from a to b over a primitive, amps from a to b through a primitive or a wire; nothing for what is not there.
    std::optional<Volts> volts_over(StateId, PrimitiveId) const;
    std::optional<Amps> amps_through(StateId, PrimitiveId) const;
    std::optional<Amps> amps_through(StateId, WireId) const;
    /// What the solutions remembered take, in bytes: for measuring.
    std::size_t remembered() const;
    /// The stable state with exactly these positions of the hand, sensed and condition controls, if it was reached: the first one found.
    std::optional<StateId> find(const Positions&) const;
    Model& model() const { return *model_; }

  private:
    friend Behaviour explore(const View&, const ExploreOptions&);
    struct Remembered {
        std::map<StateId, Model::Kept> all;
        std::map<Positions, StateId> by_hand; ///< stable states, by the positions of `variables`: the first one each
        StateId indexed = 0;                  ///< so many states are in it
        std::optional<std::pair<StateId, Point>> last; ///< rules ask for the same one again and again
    };
    const Point& told(StateId) const; ///< until the next one is told

    std::shared_ptr<Model> model_;       ///< with everything as warm as it gets
    std::shared_ptr<Remembered> points_; ///< of all stable states, and of others asked for so far
};

Behaviour explore(const View&, const ExploreOptions& = {});

// Words

/// "turn S1 to run", "press S4", "let S4 go", "switch S2 on", "S5 closes".
std::string said(const Circuit&, const Variable&, const Operation&);
/// The whole way: "turn S1 to run, press S4, turn S1 to off". Turning on through positions in between is one step. Empty for rest.
std::string said(const Circuit&, const Behaviour&, std::span<const Operation>);
/// What a control is called: "S1", "S6 lights", "the engine", a condition in quotes.
std::string said(const Circuit&, ControlId);
/// Positions that are not at rest, by hand, sensed or from outside: "S1 run, S5 on"; "everything at rest".
std::string said(const Circuit&, const Positions&);

} // namespace loomproof::solve
