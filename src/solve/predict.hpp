#pragma once
/// What a meter and a test lamp show at every point with the switches in some position, and where volts are lost.

#include "circuit/graph.hpp"
#include "solve/expectations.hpp"
#include "solve/unsolved.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::solve {

/// Where the circuit ends when somebody sets the switches, from rest, in the order in which they are named.
struct Arrived {
    Positions positions;
    bool settled = true; ///< false: relays chatter and never come to rest; `positions` is one of those that they pass
    /// What happened on the way that should not: one sentence each.
    std::vector<std::string> notes;
};
/// Relays cannot be set: where the wish names one that is not so in the end, a note says it. Of several positions of one control the first.
/// Where the wish has the engine running and says nothing of the key, the key is turned too, and a note says so: the control that brings to life
/// what keeps the engine alive; where nobody said what that is, the one that closes to a terminal 15 (DIN 72552: switched on with the
/// ignition), or has a position called run or ignition, or an outside condition that speaks of ignition or key on.
/// Outside conditions that hold because the engine runs ("charging", "engine running") hold with it, unless the wish says otherwise.
Arrived arrive(const View&, const Wish&, const Conditions&);

/// Where the wish has such a condition hold and says nothing of the engine, it runs: that is put into the wish. The note that says so; empty
/// where nothing was put in.
std::string engine_of_conditions(const View&, Wish&);

/// A test lamp of 3 W at the system's volts, held between a terminal and the battery's ground post.
inline constexpr double test_lamp_watts = 3;

/// What flows through loads that are off, below this, is noise: grounds that differ by a few millivolts (common practice, no source).
inline constexpr Amps noise_amps{0.1};

/// One point where a lead can be held.
struct Reading {
    TerminalId terminal;
    std::optional<Volts>
        volts; ///< with nothing held there but a meter; nothing: it is joined to nothing that is live or grounded
    Doing lamp = Doing::off;  ///< of a test lamp: on = bright
    WireId wire;              ///< of the wires there the one with most current; none at a free terminal that is live
    std::optional<Amps> amps; ///< in it, without sign
    /// They come to less than noise_amps, and all loads that they come from or go to are off. What a unit takes asleep is no noise.
    bool noise = false;
    /// One more wire at a terminal of a part, below the row that shows its volts, so that a clamp can be put round each. Not where many meet:
    /// grounds, splices, bus bars.
    bool again = false;
};

/// What one thing on the way takes of the volts.
struct Share {
    EdgeRef what;
    Volts volts; ///< >= 0
};
struct Lost {
    PrimitiveId load; ///< that works
    Volts at_source, at_load;
    std::vector<Share> feed, ground; ///< from the source to the load, and back, in order; together at_source - at_load
};

/// Of one load that takes current; nothing where the way of its current cannot be followed to a source's two poles.
std::optional<Lost> lost_on_the_way(const View&, const Point&, PrimitiveId load);

/// A rheostat is calculated at its least ohms, where most flows: what loads behind it do when it is turned to its most.
struct Turned {
    PartId rheostat;
    Ohms least, most;
    struct Does {
        PrimitiveId load;
        Volts volts; ///< across it, without sign
        Amps amps;
        Doing doing = Doing::off;
    };
    std::vector<Does> loads; ///< that get other volts then, in text order
};

/// A fuse, breaker or link that does not stand what flows through it.
struct Opening {
    PrimitiveId protector;
    Amps amps, rating;
    /// When it opens, most likely and at the latest: the middle and the end of its band (reference/fuses.hpp), where a curve is at hand.
    std::optional<Seconds> likely, latest;
    bool within_seconds() const;        ///< most likely
    bool surely_within_seconds() const; ///< by its standard
};
/// A fuse that most likely opens sooner lets nothing behind it get warm: a wire of a loom takes minutes to settle (common practice, no source).
inline constexpr Seconds seconds_to_open{60};
/// Of which no curve is at hand: from so many times its rating (blade fuses: within 5 s, ISO 8820-3, from memory).
inline constexpr double opens_in_seconds_from = 2;
/// From so many times its rating on a fuse opens, be it after minutes (blade fuses: 0.75 s to 30 min at 1.35 times, ISO 8820-3, from memory).
inline constexpr double opens_from = 1.35;

/// Why wires and fuses are as warm as their place (Conditions::warmed): what is shown lasts seconds.
enum class SoonOver { no, a_starter_turns, a_fuse_opens };

struct Prediction {
    Arrived arrived;
    Conditions conditions; ///< `warmed` only where what is shown lasts
    SoonOver soon_over = SoonOver::no;
    Point point; ///< volts against `against`, but for `own_posts`
    /// Where the meter's other lead is held: on the ground post of the battery; on the body where several batteries are tied to that. May not exist.
    TerminalId against;
    /// Of batteries without any way to that: what hangs on such a one counts from its ground post.
    std::vector<TerminalId> own_posts;
    /// Where a wire ends, and free terminals that are live; a plug's hole once. As the current goes: from the sources' plus over fuses,
    /// switches and relays to the loads and what lies behind them, one branch after the other in text order; what is not joined to a
    /// source; the grounds last. The terminals of a part stay together.
    std::vector<Reading> readings;
    std::vector<Lost> lost;     ///< of every load that is on or dim, in text order
    Unsolved unsolved;          ///< figures there are none
    std::vector<Turned> turned; ///< by rheostat, in text order; the positions of relays are those at its least ohms
    /// What opens, one after the other: each time the one with most of its rating, until nothing flows that does not last. `point` is the moment
    /// before.
    std::vector<Opening> openings;
    std::vector<PrimitiveId> dark; ///< loads that did something before and nothing once these are open, in text order
    std::vector<NotKnown> not_known;
};

/// The wish decides whether the engine runs, where it says so.
Prediction predict(const View&, const Wish&, Conditions = {});

/// The way between two terminals, stop by stop.
struct TraceStep {
    EdgeRef over; ///< what was passed to get here; none for the first
    TerminalId at;
    std::optional<Volts> volts; ///< here
    std::optional<Volts> drop;  ///< lost over it in the direction of the walk; negative where it rises
    std::optional<Amps> amps;   ///< in the direction of the walk
    bool open = false;          ///< a contact that is open in these positions: the way is broken here
};
struct Trace {
    Arrived arrived;
    Conditions conditions; ///< `warmed` only where what is shown lasts
    SoonOver soon_over = SoonOver::no;
    Unsolved unsolved;            ///< figures there are none
    std::vector<TraceStep> steps; ///< empty: nothing leads from one to the other
    bool over_load = false;       ///< it passes something that takes current
    bool broken = false;          ///< it passes an open contact: no other way leads past the loads
    std::vector<NotKnown> not_known;
};
/// Over as few loads as can be, then not over the body, then over as few open contacts, then where current flows; from the input of a converter to
/// its output is one step. But where that way is broken and current comes all
/// the same, through other loads, the way of that current.
Trace trace(const View&, TerminalId from, TerminalId to, const Wish&, Conditions = {});

} // namespace loomproof::solve
