#pragma once
/// What flows in every stable switch position, told once for all rules that ask for currents and volts: engine stopped, battery rested and
/// charged, everything as warm as it gets.
///
/// Some positions last seconds only: a button held down, a starter that cranks, a horn that sounds. What flows then is kept apart, as
/// wires and fuses do not get warm in that time as they do under a lasting load (common practice: `passing_seconds`). Positions in which
/// a source is shorted tell nothing of loads: short-circuit speaks of them, and their currents are left out.

#include "rules/grounds_that_matter.hpp"
#include "rules/rule.hpp"
#include "solve/expectations.hpp"
#include "solve/states.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace loomproof::rules {

/// How long a button is held, a starter cranks, a horn sounds (common practice, no source).
inline constexpr Seconds passing_seconds{10};

/// The most of something over all positions, and where that is first so.
struct Peak {
    Amps amps;
    solve::StateId at = 0;
};

/// One thing that takes current for some purpose: lamp, motor, heater, horn, electronics. No coils, no resistors.
struct LoadSeen {
    PrimitiveId load;
    solve::Doing best = solve::Doing::off; ///< that it does in any position
    bool always = true;                    ///< does it in every one
    bool forward = false,
         backward = false; ///< works with its first end above the other, with it below, in some position
    Volts most;            ///< across it, without sign
    Volts
        lost; ///< most that is missing of the volts at the sources while it is on and it lasts; zero where it never is
    solve::StateId lost_at = 0;
    /// The same over positions that somebody holds: of brake, reverse, left and right indicator no more than two at once.
    Volts lost_held;
    solve::StateId lost_held_at = 0;
    bool ever() const { return best != solve::Doing::off; }
};

struct CoilSeen {
    PrimitiveId coil;
    ControlId control;
    Volts most; ///< most volts in any position, at 20 degC
    solve::StateId most_at = 0;
    Volts most_at_rest;   ///< most volts with which the relay still is at rest, at 20 degC
    Volts least_pulled;   ///< least with which it is pulled in
    bool shorted = false; ///< in some position in which it has volts a source is shorted, so that they tell nothing
    bool at_rest = false, pulled_in = false; ///< in some stable position; also while it chatters
};

/// The lamp terminal of an alternator that does not turn: what goes in wakes it.
struct RotorSeen {
    PrimitiveId terminal;
    Amps most;
    solve::StateId most_at = 0;
};

/// Volts between two grounds that matter to one another: the most over positions that last.
struct OffsetSeen {
    GroundPair grounds;
    Volts most; ///< without sign
    solve::StateId at = 0;
};

struct Survey {
    solve::Behaviour behaviour;
    std::vector<solve::Judged> expectations; ///< of the file, in its order
    std::vector<bool> passing;               ///< by state: it lasts seconds only
    std::vector<bool> shorted;               ///< by state: a source is joined to its return without a load
    /// By wire and by primitive, over positions that last and over those that pass. Nothing: no current that could be told.
    std::vector<std::optional<Peak>> wire, wire_passing, part, part_passing;
    /// By primitive, over positions that pass only because somebody holds a control in them, and holds it for minutes: a winch pulls. A contact
    /// gets as warm then as under a load that lasts.
    std::vector<std::optional<Peak>> part_held;
    std::vector<LoadSeen> loads;   ///< in text order
    std::vector<CoilSeen> coils;   ///< in text order
    std::vector<RotorSeen> rotors; ///< in text order
    /// By state: relays that are pulled in there by so little that, by how they were made, they may just as well have let go. That they
    /// stay in so is an assumption (settle.hpp), so what hangs on it is possible, never certain.
    std::vector<std::vector<ControlId>> perhaps_held;
    std::vector<OffsetSeen> offsets; ///< of grounds_that_matter, in its order
    std::vector<PrimitiveId> protectors;
    /// By state (empty for those that are not stable): does each of `loads` do something; the current of each of `protectors`.
    std::vector<std::vector<bool>> on;
    std::vector<std::vector<double>> protector_amps;

    /// The larger of the two.
    static std::optional<Peak> most(const std::optional<Peak>& lasting, const std::optional<Peak>& passing);
};

/// Null where the circuit is too large to try every switch position (behaviour.hpp). Lives as long as the study.
const Survey* survey_of(const Study&);
/// The same; where there is none, it stands in the report that `rule` left `what` open.
const Survey* survey_or_say(const Study&, Report&, const char* rule, std::string what);
/// The same for a rule that looks for one position in which something is wrong: where not all of them were seen, that stands there too.
const Survey* survey_of_bad_positions(const Study&, Report&, const char* rule, const std::string& what);

/// "with S1 on, S5 hot"; "with everything at rest".
std::string when(const Study&, const solve::Behaviour&, solve::StateId);

/// Loads that take current in a state, of those behind an edge; the largest first, with what each takes there: "M1 20 A and E1 5 A".
std::string takers(const Study&, const std::vector<PartId>& behind, const solve::Point&);

/// Relays, switches and diodes that a good part of a current passes in a state, or on whose terminals it meets other wires: mistakes there
/// are what such a current mostly comes of, so findings name them for folding.
std::vector<std::string> passed_on_the_way(const Study&, const solve::Point&, Amps);

/// Of the parts, those of which nobody said what they take.
std::vector<PartId> of_unknown_current(const Study&, const std::vector<PartId>&);
/// What a rule leaves open because of that.
NotChecked open_for_unknown_load(const Study&, const char* rule, std::string what, const std::vector<PartId>& unknown);

/// The part of a current that flows for sure: what the loads of it take at least, over what was taken for them; all loads of the circuit where
/// it is not known which hang there. One where every figure was stated plainly.
double sure_share(const Study&, const Survey&, const std::optional<std::vector<PartId>>& behind);
/// Certain where `amps` is above the limit even so, else possible.
Certainty sureness(const Study&, const Survey&, const std::optional<std::vector<PartId>>& behind, Amps amps,
                   Amps limit);

/// Why something stays open where there are more positions than were looked at: with the controls of which not all were tried together.
std::string too_many_positions(const Study&);
/// What rules that look at every position leave open because of that.
NotChecked open_for_positions(const Study&, const char* rule, std::string what);

/// The parts that hang behind a wire or protector, in whichever direction the current goes at its peak; nothing where it is not the only way.
std::optional<std::vector<PartId>> hang_behind(const Study&, EdgeRef);

} // namespace loomproof::rules
