#pragma once
/// Ends that are not wired, parts that are tied to nothing, and returns that lead nowhere: what is there, and whether it is due.
///
/// Unfinished is not wrong. An end is due, so that leaving it open is a mistake, in a file marked `complete`, in what stands in the
/// factory block, and in jobs marked fitted; but not where the file lists it under `still to wire` without being complete. Where a
/// wire was taken off an end, the job that took it off decides; else the block in which the part was made.

#include "rules/rule.hpp"
#include "rules/sides.hpp"

#include <vector>

namespace loomproof::rules {

class Ends {
  public:
    explicit Ends(const Study&);

    struct Open {
        TerminalId terminal;
        bool due;
    };
    struct Idle {
        PartId part;
        bool due;
    };
    /// Ends that a part needs to do anything, with no wire on them and not bolted to metal, in text order. Of a relay's outputs and
    /// a lamp's filaments one is enough. Ends of idle parts are not among them.
    const std::vector<Open>& open() const { return open_; }
    /// Parts that need wires and have none, in text order; without the battery and the machines of a vehicle that is partly described.
    const std::vector<Idle>& idle() const { return idle_; }

    /// A line of the file could not be read, so that what is missing may stand there: nothing may be made of it yet.
    bool doubtful() const { return circuit_->has_mistakes; }

    bool due(TerminalId) const;
    /// The revision in which the last wire was taken off an end that has none now; never where it never had one.
    Revision bared_in(TerminalId t) const { return last_gone_[t.index]; }
    bool due(PartId) const;

  private:
    void look_at(const Study&, PartId);
    bool due_since(Revision) const;

    const Circuit* circuit_;
    std::vector<Revision>
        last_gone_; ///< by terminal: when the last wire that is not there any more was taken off; never: none was
    std::vector<bool> listed_; ///< by terminal: under `still to wire`
    std::vector<Open> open_;
    std::vector<Idle> idle_;
};

/// Some parts that are fed but from which no current gets back to the battery, not even through another load or through an end that
/// nobody traced. What merely touches and may let go ("0 ohm to open") counts as open. All that hang on one floating piece of wiring stand
/// together.
struct MissingGround {
    std::vector<PartId> users;        ///< in text order; loads, coils, and sources whose own ground pole is meant
    TerminalId at;                    ///< the first user's end that leads nowhere
    std::vector<TerminalId> floating; ///< all that is joined to it
    PartId metal;                     ///< the piece of metal that floats, if one does
    std::vector<PartId>
        touches;       ///< with `metal`: what ties it to the ground only as long as it happens to touch, in text order
    TerminalId pole;   ///< a battery's ground pole that leads nowhere, where that is why the metal floats
    bool bare = false; ///< there is not even a wire on that end
    bool source = false; ///< the first user is a battery or a generator
    bool due = false;    ///< described well enough, and finished, so that it is a mistake
};
std::vector<MissingGround> missing_grounds(const Study&, const Sides&, const Ends&);

/// What a rule leaves open while lines of the file cannot be read: `what` names it, as in "whether anything is missing at K1:85".
NotChecked open_until_mended(const char* rule, std::string what);

} // namespace loomproof::rules
