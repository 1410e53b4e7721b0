#pragma once
/// What each sheet that is cut from a sketch asks of the whole, worked out once.

#include "draw/sketch.hpp"

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace loomproof::draw {

/// Symbols, wires and tables are indexes of the sketch, which must not be changed afterwards.
class Lookup {
  public:
    explicit Lookup(const Sketch& sketch);

    /// The symbol with that key; -1 where there is none.
    int symbol(const std::string& key) const;
    /// The symbols that a side table speaks of.
    const std::vector<int>& about(std::size_t table) const { return about_[table]; }
    /// The wires with an end at a symbol, rising, each once.
    const std::vector<int>& wires_at(int symbol) const { return wires_at_[static_cast<std::size_t>(symbol)]; }

    /// Which of the groups a symbol belongs to (Symbol::group), numbered in the order of their names; -1 = none.
    int group_of(int symbol) const { return group_of_[static_cast<std::size_t>(symbol)]; }
    /// The symbols of a group, rising.
    const std::vector<int>& of_group(int group) const { return groups_[static_cast<std::size_t>(group)]; }
    /// Where the plug is that has this name: what the first of its holes says that says it. Null where none does.
    const std::string* place_of_plug(const std::string& group) const;

    /// Does a bus share out what comes from a battery? One on the ground side gathers what loads have let through.
    bool feeds_on(int bus) const { return feeds_on_[static_cast<std::size_t>(bus)]; }

  private:
    std::map<std::string, int> by_key_;
    std::vector<std::vector<int>> about_, wires_at_, groups_;
    std::vector<int> group_of_;
    std::map<std::string, std::string> plug_places_;
    std::vector<bool> feeds_on_;
};

} // namespace loomproof::draw
