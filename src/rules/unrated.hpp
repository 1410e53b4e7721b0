#pragma once
/// Switches, contacts and plugs of which nobody said what they are made for, and that carry enough to ask.

#include "rules/rule.hpp"

#include <utility>
#include <vector>

namespace loomproof::rules {

class Unrated {
  public:
    /// The part passes so much; of several times the most counts.
    void ask(PartId, Amps);
    /// Into what part-overloaded leaves open: all switches in one line, each relay and plug in one of its own, in text order.
    void say(const Study&, Report&) const;

  private:
    std::vector<std::pair<PartId, Amps>> parts_;
};

} // namespace loomproof::rules
