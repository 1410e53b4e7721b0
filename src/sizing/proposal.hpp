#pragma once
/// Wires and fuses for a whole circuit, on the currents that were worked out for it.
///
/// - A fuse: as in size.hpp, on the most that flows through it for long. One that is there stays where it suits its load, as motors and cold
///   lamps ask for more than their steady current; but not where it is more than twice what is needed and a wire behind it too thin for it.
/// - A wire carries what its fuses let through, the proposed ones where they change; without a fuse what flows. Only a fuse that is drawn and
///   came with the chosen revisions changes: a breaker, or the fuse that an old wire comes from, stays, and the wire must suit it.
///   One that is larger than needed gives way to a smaller one where that saves thickening the wires behind it.
/// - Volts: where a load loses too many, the run whose next size brings most volts back gets that size, again and again until few enough are lost:
///   the copper goes into the long runs, and tails stay as they are. None becomes thicker for it than its ends take. Plugs, contacts,
///   fuses and wires that are not to be changed take their part first.
/// A wire that is thick enough stays as it is. Starter and winch cables follow their makers' sheets: no proposal.

#include "circuit/view.hpp"
#include "sizing/size.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::sizing {

/// The way of one load's current, where most of its volts are lost.
struct LoadWay {
    PrimitiveId load;
    std::vector<WireId> wires;
    Volts others; ///< lost in plugs, contacts, fuses and the like
};

struct Flows {
    std::vector<std::optional<Amps>> wire, part;                 ///< by id: the most that flows for long
    std::vector<std::optional<Amps>> wire_passing, part_passing; ///< the most in positions that last seconds
    std::vector<LoadWay> ways;
    /// By wire id: the protectors that together limit what can flow in it; empty where nothing does, or nothing is known.
    std::vector<std::vector<PrimitiveId>> limited_by;
    /// By primitive id: the amps of the weakest outlet behind a fuse that has nothing but outlets behind it, and up to which fuse is let pass there.
    struct OutletsBehind {
        Amps made_for, at_most;
    };
    std::vector<std::optional<OutletsBehind>> outlets;
    /// By primitive id: a fuse that no smaller one takes the place of, as what hangs on it is not all known or takes too much to start.
    std::vector<bool> not_smaller;
};

struct ForFuse {
    PrimitiveId device;
    Amps steady;
    Stated<Amps> has;
    std::optional<Fuse> needs;   ///< nothing: no plug-in fuse does
    std::optional<Amps> becomes; ///< nothing: stays
    bool smaller = false;        ///< becomes smaller, so that wires need not become thicker
    bool for_outlets = false;    ///< nothing but outlets behind it
    std::string why_not;         ///< no proposal, and why
};
struct ForWire {
    /// On whose way too many volts are lost, by all wires of it as they are, and what these may lose.
    struct Way {
        PrimitiveId load;
        Volts lost, allowed;
    };
    WireId wire;
    Need need;
    std::optional<Way> way;         ///< only where it becomes thicker for the volts
    std::optional<Wire> has, needs; ///< `needs` in the sizes that the wire is given in
    bool stays = true;
    bool fuse_unknown = false; ///< one of the fuses before it has no known rating: sized for what flows alone
    std::optional<Amps>
        own_fuse;        ///< up to this, where it begins, `has` would do; only where its fuse is not to be changed
    std::string why_not; ///< no proposal, and why
};
struct Proposal {
    std::vector<ForFuse> fuses;
    std::vector<ForWire> wires;
    std::vector<ForWire::Way>
        too_long; ///< ways that lose too much with the thickest wires that their ends take: `lost` with these
};

/// The revisions whose wires and fuses may be changed, both ends included.
struct Chosen {
    Revision first, last;
};
/// For the things that came with the chosen revisions and are alive in the view; what else stands on their way is taken as it is.
Proposal propose(const View&, const Flows&, Chosen);

/// A change of the text that carries out a proposal: the words of the size or of the rating, nothing else. Pieces of one run have one size: the
/// thickest counts. In text order.
struct Edit {
    Span span;
    std::string text;
};
/// `source`: the file that may be changed. What stands elsewhere is named in `elsewhere`.
std::vector<Edit> edits(const View&, const Proposal&, std::uint32_t source, std::vector<std::string>& elsewhere);

} // namespace loomproof::sizing
