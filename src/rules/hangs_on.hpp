#pragma once
/// What a load hangs on, by structure: for symptoms ("E1 stays dark"), so that folding finds the mistake behind them.

#include "rules/ends.hpp"

#include <string>
#include <vector>

namespace loomproof::rules {

/// Does either end hang on a terminal of a generator that is live only while the engine runs (D+, lamp terminal)? What is calculated is the
/// standing engine.
bool waits_for_the_engine(const Study&, TerminalId a, TerminalId b);

struct HangsOn {
    /// Terminals joined to the part in some position of the switches, up to the body and the poles of sources (which are among them), and
    /// the same for the coils of the relays on the way. In the order in which they were met.
    std::vector<TerminalId> terminals;
    /// Names of these, of their parts and of the wires between them: for Finding::hangs_on.
    std::vector<std::string> names;
    /// Of these, ends that a part needs and that have no wire yet, and loads whose return leads nowhere.
    std::vector<TerminalId> unfinished;
};
/// Names of terminals, of their parts and of the wires at them (not those on the body): for Finding::hangs_on.
std::vector<std::string> names_around(const Study&, const std::vector<TerminalId>&);
/// The same of all that wires and joints alone tie to a terminal, up to the body.
std::vector<std::string> names_tied_to(const Study&, TerminalId);

HangsOn what_it_hangs_on(const Study&, const Sides&, const Ends&, PartId);

} // namespace loomproof::rules
