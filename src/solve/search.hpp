#pragma once
/// How explore() walks: inside of states.cpp, cut by subject. search.cpp does what is switched and what comes of it, search_groups.cpp
/// tries controls in groups.

#include "solve/cones.hpp"
#include "solve/ignition.hpp"
#include "solve/states.hpp"

#include <map>
#include <set>
#include <utility>

namespace loomproof::solve {

/// Breadth-first over operations.
class Search {
  public:
    Search(const View&, const ExploreOptions&, Behaviour& out);

    void run();
    std::span<const double> nodes(StateId s) const { return all_.at(situation_[s]).nodes; }

  private:
    // What is switched, and what comes of it

    bool explore(const std::vector<std::uint32_t>& variables, std::vector<StateId> starts, std::size_t most);
    void operate(StateId, std::uint32_t variable);
    /// The state that comes to rest as like it as can be, as far as the relays that are named go.
    using Like = std::pair<StateId, std::span<const std::uint16_t>>;
    std::optional<StateId> moved(StateId, std::uint32_t variable, int step, const Like& = {});
    void settle(std::optional<SituationId> found, StateId before, std::optional<Operation> by);
    StateId state(SituationId, StateId before, std::optional<Operation> by);
    void trouble(Trouble);
    void drive(StateId);
    bool dies(StateId) const;
    bool ignition_holds(StateId) const;
    void find_key(StateId);
    void stop_engine(StateId);
    void walk_to_most();
    double taken(StateId);
    /// Positions of all of them, multiplied.
    double size_of(const std::vector<std::uint32_t>& variables) const;

    // In groups

    /// Controls that are tried together.
    struct Group {
        std::vector<std::uint32_t> variables, operated; ///< its own; with the modes; both ascending
        std::vector<std::uint16_t> relays;              ///< ascending
        std::map<SituationId, StateId> passed;          ///< with the state whose operation led there
        bool feels_too_many = false; ///< others can push its relays over their limits, and together they are too many
    };
    /// What one group draws in one of its situations, more than where it started.
    struct Draw {
        SituationId at = 0;
        std::vector<double> more; ///< by node
    };
    /// By positions of the modes, start and group.
    using Draws = std::map<std::pair<std::string, std::size_t>, std::vector<Draw>>;
    /// How other groups would stand to push a relay's volts furthest one way.
    struct Context {
        std::vector<std::pair<std::size_t, SituationId>> chosen; ///< group, and how it stands
        std::vector<double> effects;                             ///< volts of each
        double change = 0;                                       ///< of all, without sign
    };
    Group group_of(std::vector<std::uint32_t> variables, std::vector<std::uint16_t> relays) const;
    void in_groups(const std::vector<StateId>& first);
    void look(Group&, std::vector<StateId> starts);
    void look_from_start(Group&, const std::vector<StateId>& first);
    bool pushed_over(std::size_t group, SituationId, std::uint16_t relay, const Context&);
    bool wake_dead(const Cones&, const std::vector<StateId>& first);
    bool merge(const std::vector<StateId>& first);
    void look_in_contexts();
    void look_in(std::size_t group, SituationId, StateId before, const Context&);
    const Model::Felt& felt(SituationId, const std::vector<std::uint16_t>& relays);
    Draws draws();
    Context context(const Draws&, std::size_t group, SituationId, std::uint16_t relay, double sign);
    bool stands(StateId, std::span<const std::pair<std::size_t, SituationId>>) const;
    std::optional<StateId> put(StateId, SituationId chosen, const Group& there, const Group& keep);
    std::optional<StateId> put_back(StateId, const Group& keep);
    void leave_open(const std::vector<std::uint32_t>& variables);
    bool room_left(const Group&);
    std::string key(SituationId, const std::vector<std::uint32_t>& variables) const;
    std::optional<std::string> start_of(SituationId, const std::vector<std::uint32_t>& but) const;

    const View& view_;
    const Circuit& c_;
    Model cold_;
    Behaviour& out_;
    Situations all_;
    const ExploreOptions& options_;

    std::optional<std::uint32_t> engine_; ///< index into Behaviour::variables
    std::optional<std::uint32_t> key_;    ///< the switch that cranks it, once seen
    bool has_starter_ = false;
    std::vector<Wish::At> ignition_; ///< where it stands on, with an engine
    std::set<StateId> dying_;            ///< the engine stops there before anybody can do anything
    std::vector<SituationId> situation_; ///< by state
    std::map<SituationId, StateId> state_of_;
    struct Ends {
        std::vector<StateId> states;  ///< where it comes to rest, and those it chatters through
        std::vector<StateId> at_rest; ///< of those, where it comes to rest: the first `sure` whatever the limits
        std::size_t sure = 0;
        std::vector<SituationId> passed;
        bool cut_short = false;
    };
    void tell_ends(const Ends&, StateId before, std::optional<Operation> by);
    std::map<SituationId, Ends> settled_;
    std::function<void(StateId)> row_; ///< told each state that an operation of the present exploration ends in
    /// Told each situation that is passed behind a state's operation.
    std::function<void(SituationId, StateId before)> pass_;
    bool short_ = false; ///< the present exploration met a limit

    std::vector<Group> groups_;
    std::vector<std::uint32_t> modes_;
    std::optional<StateId> runs_;             ///< a state in which the engine runs: groups are looked at from there too
    std::map<SituationId, Model::Felt> felt_; ///< worked out so far
    std::size_t limit_ = 0;                   ///< of situations, for all groups
};

} // namespace loomproof::solve
