#pragma once
/// The walk from a circuit to a sketch; internal to from_circuit.cpp (the circuit as it is) and from_jobs.cpp (what the jobs changed).

#include "base/words.hpp"
#include "draw/changes.hpp"
#include "draw/flow.hpp"
#include "draw/from_circuit.hpp"
#include "draw/part_symbols.hpp"
#include "draw/said.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace loomproof::draw {

class Converter {
  public:
    Converter(const View& view, const SketchOptions& options)
        : view_(view), circuit_(view.circuit()), options_(options), flow_(find_flow(view)) {
        sketch_.title = options.title.empty() ? circuit_.vehicle.text : options.title;
    }

    Sketch run();

  private:
    // ---- symbols

    int add(Symbol symbol);

    void seat(TerminalId t, int symbol, int terminal) { ends_[t.index] = {symbol, terminal}; }

    bool wired(TerminalId t) const {
        return !view_.wires_at(t).empty() ||
               std::any_of(taken_off_.begin(), taken_off_.end(), [&](const TakenOff& end) { return end.from == t; }) ||
               std::any_of(ghosts_.begin(), ghosts_.end(), [&](const Ghost& ghost) {
                   return std::any_of(ghost.removed.begin(), ghost.removed.end(),
                                      [&](const Ghost::Removed& gone) { return gone.to == t; });
               });
    }
    bool mounted(TerminalId t) const {
        const auto& primitives = view_.primitives_at(t);
        return std::any_of(primitives.begin(), primitives.end(),
                           [&](PrimitiveId p) { return circuit_.at(p).purpose == Purpose::mounting; });
    }

    void add_part(PartId id);

    void add_halves(PartSymbol made);

    bool part_is_body(PartId id) const { return equal_ignoring_case(circuit_.at(id).name, "body"); }

    void add_holes(PartId id);

    std::string free_holes(PartId id) const;

    void add_loose(PartId id);

    int add_foot(TerminalId t);

    // ---- wires

    bool is_foot(TerminalId t) const {
        const Part& part = circuit_.part_of(t);
        return part.kind == Kind::ground || (part.kind == Kind::metal && part_is_body(circuit_.at(t).part));
    }

    std::optional<End> end_of(TerminalId t);

    template <class Thing> void set_job(Thing& thing, Revision job) const {
        if (job >= circuit_.revisions.size()) return;
        thing.job = circuit_.revisions[job].letter;
        thing.planned = thing.job != 0 && circuit_.revisions[job].status == RevisionInfo::Status::planned;
    }

    std::string free_key(std::string key) {
        for (int n = 2; !wire_keys_.insert(lower(key)).second; ++n) key += "/" + std::to_string(n);
        return key;
    }

    static std::string label_of(const loomproof::Wire& wire, Doubts& doubts);

    // What feeds the battery while the engine runs is drawn like what it feeds.
    bool charges(TerminalId t) const {
        const Kind kind = circuit_.part_of(t).kind;
        return circuit_.at(t).role == Role::output && (kind == Kind::alternator || kind == Kind::dynamo);
    }

    void add_wire(WireId id);

    void add_mounting(PrimitiveId id);

    void drop_idle_bars();

    void say_where_feeds_come_from();

    void describe();

    // ---- what the jobs changed

    void note_changes();

    void add_ghost(const Ghost& ghost);

    void add_left_end(const Ghost::Left& left, const View& before, const End& ghost);

    void add_ghost_wire(const Ghost& ghost, const Ghost::Removed& gone);

    void mark_change(WireId id, Wire& drawn) const;

    void say_old_rating(PartId id, Symbol& symbol) const;

    void add_stub(const TakenOff& end);

    Wire ghost_of(WireId id, const char* key);

    const Flow& flow_before(Revision job);

    const View& view_;
    const Circuit& circuit_;
    SketchOptions options_;
    Flow flow_;
    Sketch sketch_;
    std::map<std::uint32_t, End> ends_; // by terminal
    std::set<std::string> keys_, wire_keys_;
    std::set<std::uint32_t> named_plugs_, joints_;
    std::map<std::uint32_t, int> joint_used_;
    std::vector<TakenOff> taken_off_;
    std::vector<Ghost> ghosts_;
    std::set<std::uint32_t> left_behind_;     // loose ends that stand at a ghost
    std::map<std::uint32_t, End> ghost_ends_; // by the terminal of a part that is gone
    std::set<std::uint32_t> ghost_wires_;
    std::map<Revision, Flow> flows_; // as it was before that job
    std::map<std::string, int> feet_;
};

} // namespace loomproof::draw
