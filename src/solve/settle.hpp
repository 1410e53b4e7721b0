#pragma once
/// What relays do after something was switched: where the circuit comes to rest, if it does.
///
/// A relay has four limits, in volts at its coil at 20 degC (so a hot coil is no special case: its current counts). At rest it must
/// pull in from `must_pull_in` on and may from `may_pull_in`; pulled in it must let go at `must_release` and below and may from
/// `may_release` down. A change-over contact passes a position in which both sides are open. There its armature is on its way, and the gap is
/// smaller than at rest: it goes on to pulled in above may_release, back to rest at must_release and below, and between the two nobody
/// can tell which way.
///
/// Relays have no known order: of those that must or may move, any set may move next. What must come of that is certain, what may
/// come of it is possible.

#include "solve/model.hpp"

#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

namespace loomproof::solve {

struct Limits {
    double must_pull_in = 0, may_pull_in = 0, may_release = 0, must_release = 0;
    /// Makes any sense of it: falling in this order. A relay that may release above where it may pull in would hum at any volts between.
    bool sensible() const {
        return must_pull_in >= may_pull_in && may_pull_in > may_release && may_release >= must_release &&
               must_release >= 0;
    }
    bool operator==(const Limits&) const = default;
};

/// As shares of the coil's nominal volts. The outer ones from makers' sheets (pull-in at 58 to 67 % at most, drop-out at 4 to 10 % at least:
/// confirmed, 10 % taken); the inner ones are an assumption: no sheet says from where on a relay may already pull in (42 %) or up to where
/// it may let go (37.5 %). At 12 V: 8, 5, 4.5 and 1.2 V.
inline constexpr double must_pull_in_share = 2.0 / 3, may_pull_in_share = 5.0 / 12, may_release_share = 0.375,
                        must_release_share = 0.1;
Limits usual_limits(Volts nominal);
/// Of this coil: usual ones at the volts that it is made for; of one that reads its volts, where it was said to close and to open.
Limits limits_of(const Circuit&, const Primitive& coil);

/// One relay going one step.
struct Move {
    std::uint16_t relay = 0; ///< index into Model::coils()
    std::uint8_t to = 0;     ///< position
    bool must = false;       ///< its volts leave it no choice
    bool operator==(const Move&) const = default;
};

using SituationId = std::uint32_t;

/// Relays and switches in some position, solved.
struct Situation {
    Positions positions;
    std::vector<double> coil_volts;      ///< by relay
    std::vector<Move> moves;             ///< all that can happen next, by relay
    std::vector<std::uint16_t> restless; ///< relays that cannot stay as they are, ascending
    std::vector<double> nodes;           ///< volts, to begin a similar solution from
    bool solved = true;                  ///< false: the operating point was not found; no conclusion holds

    bool stable() const { return restless.empty(); }
};

struct Next {
    SituationId to = 0;
    std::vector<Move> moves; ///< at the same moment
    bool must = true;        ///< all of them must
};

/// A cycle of relays that never comes to rest, or may not.
struct Chatter {
    std::vector<SituationId> situations; ///< all that take part, ascending
    std::vector<std::uint16_t> relays;   ///< that move in it, ascending
    bool certain = false;                ///< there is no way out
};

struct Settled {
    /// Stable ends in the order in which they were found. The first `sure` come about without any relay doing what it only may.
    std::vector<SituationId> ends;
    std::size_t sure = 0;
    std::vector<Chatter> chatter;
    std::vector<SituationId> passed; ///< all that may be passed, the ends included
    bool cut_short = false;          ///< more situations than allowed: there may be other ends

    bool race() const { return sure > 1; }                        ///< which relay is faster decides
    bool on_limits() const { return !race() && ends.size() > 1; } ///< where a relay lies within its limits decides
};

/// All situations that were looked at, each solved once.
class Situations {
  public:
    /// `model` must outlive this. `limits`: by Model::coils(); usual ones where it is empty. `most`: situations to be solved, at most.
    Situations(Model& model, std::vector<Limits> limits, std::size_t most);

    /// Nothing where it is not known yet and no more may be solved.
    std::optional<SituationId> find(const Positions&, std::span<const double> near = {});
    const Situation& at(SituationId id) const { return all_[id]; }
    std::size_t size() const { return all_.size(); }
    /// From now on so many may be solved in all.
    void allow(std::size_t most) { most_ = most; }
    std::uint8_t position(SituationId id, std::size_t relay) const {
        return all_[id].positions[model_.coils()[relay].control.index];
    }
    const Limits& limits(std::size_t relay) const { return limits_[relay]; }
    /// Does one of the limits that count for the relay where it stands lie between these volts?
    bool crosses(SituationId id, std::size_t relay, double from, double to) const {
        const Limits& l = limits_[relay];
        const bool rest = position(id, relay) == 0;
        const auto between = [&](double limit) { return std::min(from, to) <= limit && limit <= std::max(from, to); };
        return between(rest ? l.may_pull_in : l.may_release) || between(rest ? l.must_pull_in : l.must_release);
    }

    /// What can come next; `missing`: something of it could no longer be solved. With more than five restless or uncertain relays only single ones and all together (`coarse()` counts these).
    struct Following {
        std::vector<Next> all;
        bool missing = false;
    };
    const Following& next(SituationId);
    std::size_t coarse() const { return coarse_; }

    /// Lets the relays settle from here.
    Settled settle(SituationId start);

  private:
    void judge(Situation&) const;

    Model& model_;
    std::vector<Limits> limits_;
    std::size_t most_;
    std::size_t coarse_ = 0;
    std::deque<Situation> all_;
    std::deque<std::optional<Following>> next_; ///< by situation, once asked for
    std::unordered_map<std::string, SituationId> known_;
};

} // namespace loomproof::solve
