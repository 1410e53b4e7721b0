#pragma once
/// Which terminals can be live and which can be on ground, in some position of the switches, by structure alone.
///
/// Live means joined to the pole of a source that is not tied to the body, ground the other one, so both words hold for positive-ground
/// cars too; `plus` and `minus` below say it by potential, for parts that mind which way round they are fed.

#include "rules/rule.hpp"
#include "rules/spread.hpp"

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace loomproof::rules {

/// Does a feed or wire that was found say when it is live or on ground? Where it says nothing it may be either.
bool says_what_it_is(const View&, PartId);

/// Is this element what a current is for: a lamp, a motor, a coil, a resistor? Not what sits across a coil inside a relay.
bool is_load(const Primitive&);

/// Poles of sources that are not the reference, where current comes from (negative ground) or goes to (positive ground): those of
/// strong sources first, then in text order. Without what was found and does not say what it is.
std::vector<TerminalId> live_poles(const Study&, bool strong_only);
/// The pole that a cure names for `trace`: the first strong source's, "battery:+" where it is not drawn.
std::string pole_to_trace_from(const Study&);
/// A battery that can be read, by its two poles.
struct BatteryPoles {
    PrimitiveId source;
    TerminalId live, ground; ///< ground: of the vehicle's ground pole, on the reference or not
};
/// In text order.
std::vector<BatteryPoles> battery_poles(const Study&);
/// What leads home on the ground side: wires, joints, contacts and meters; fuses have no place there.
bool carries_ground(const Circuit&, EdgeRef);
/// All that is ground together with `from` over these, by metres of wire.
Reach ground_walk(const Study&, TerminalId from);
/// Poles of sources that are the reference.
std::vector<TerminalId> ground_poles(const Study&);

/// What a study's Sides are made of: Study keeps it.
struct SidesFound {
    explicit SidesFound(const Study&);
    bool positive_ground;
    Spread live_always, live, unprotected, ground_always, ground;
    std::vector<bool> untraced;
};

/// Found when the first rule asks, and shared by all rules of a study: cheap to make and to copy.
class Sides {
  public:
    explicit Sides(const Study&); ///< valid as long as the study

    const Spread& live() const { return found_->live; }
    const Spread& ground() const { return found_->ground; }
    /// Away from sources that deliver enough to burn a wire, over no fuse, link or breaker.
    const Spread& unprotected() const { return found_->unprotected; }

    bool live(TerminalId t) const { return found_->live.reached(t); }
    bool ground(TerminalId t) const { return found_->ground.reached(t); }
    /// In every position of every switch.
    bool live_always(TerminalId t) const { return found_->live_always.reached(t); }
    bool ground_always(TerminalId t) const { return found_->ground_always.reached(t); }
    /// Joined to something that nobody traced: may be live, on ground, or neither.
    bool untraced(TerminalId t) const { return found_->untraced[t.index]; }

    /// By potential.
    const Spread& plus() const { return found_->positive_ground ? found_->ground : found_->live; }
    const Spread& minus() const { return found_->positive_ground ? found_->live : found_->ground; }

  private:
    std::shared_ptr<const SidesFound> found_;
};

enum class Through { what_conducts, loads_too };
/// All that is joined to `starts` (which come first), whichever way current might go and in whatever position switches are: over
/// wires, joints, contacts, protectors and diodes, and through loads where wished; it goes on only from terminals that `enter` accepts,
/// which is asked once for each way into a terminal and must turn down those it has seen.
std::vector<TerminalId> region(const View&, std::vector<TerminalId> starts, Through,
                               const std::function<bool(TerminalId)>& enter, PartId without = {});

/// What stands before a way from a source.
enum class Guard {
    none,    ///< nothing: a strong source reaches it over no fuse, link or breaker
    known,   ///< fuse, link or breaker on every way
    unknown, ///< a feed that does not say which fuse it comes from
};
/// What protects what is joined to `t`, taken over all its ways from sources.
Guard guard_before(const Study&, const Sides&, TerminalId t);

/// The load that a diode lies across, if it does: both ends joined by wires and joints alone.
std::optional<PartId> load_across(const Study&, const Primitive& diode);

/// The last fuse, link or breaker on a way, for the start of a sentence: "Fuse F1", "The fuse of S15"; "The fuse" where there is none.
std::string fuse_on(const Circuit&, const std::vector<EdgeRef>& way);

/// The demands of a way in words for "with ...": `S1 run or start and K1 pulled in`, `"ignition on"`; empty where there are none.
std::string positions_in_words(const Circuit&, const Demands&);

/// The parts that a way passes, for printing stop by stop: "battery:+", "F1", "K1:30", "K1:87"; both ends of a two-ended part as one.
std::vector<std::string> stops_in_words(const Circuit&, const std::vector<TerminalId>&);

} // namespace loomproof::rules
