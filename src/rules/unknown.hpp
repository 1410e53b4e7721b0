#pragma once
/// A solved figure against a limit while lengths, sizes or loads that it hangs on are unknown, or known within bounds only ("about 2 m"):
/// it holds whatever they are, it fails whatever they are, or one of them has to be measured (solve/bounds.hpp says how the bounds are
/// found, and within which bounds a wholly unknown figure is taken to lie).

#include "rules/survey.hpp"
#include "solve/bounds.hpp"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace loomproof::rules {

struct Weighed {
    enum class Verdict { holds, fails, undecided };
    Verdict verdict = Verdict::holds;
    solve::Bounds bounds{};
    std::vector<solve::Unknown> unknown{}; ///< what was weighed
    std::vector<std::size_t> decides{};    ///< indices of those that move the figure, the one that moves it most first
    /// Undecided: "nobody said the length of W3, and with what it may be the loss is 0.2 V to 1.4 V"; what to measure and what each
    /// answer would mean.
    std::string why{}, measure{};
    bool undecided() const { return verdict == Verdict::undecided; }
    Certainty certainty() const;
};

/// In words, without a full stop: what the figure is ("the loss"), how it is printed, and what each answer would mean.
struct InWords {
    std::string figure;
    std::function<std::string(double)> text;
    std::string holds, fails;
};

class Weighing {
  public:
    Weighing(const Study&, const Survey&);

    /// What is not known exactly of the loads of these parts; of all loads where it is not known which hang there.
    std::vector<solve::Unknown> of_loads(const std::optional<std::vector<PartId>>& behind) const;
    /// What is not known exactly of a wire; nothing where all is.
    std::optional<solve::Unknown> of_wire(WireId) const;
    /// What is not known exactly of any wire.
    std::vector<solve::Unknown> of_wires() const;
    /// Did nobody say anything of it at all?
    bool nothing_said(const solve::Unknown&) const;
    /// A wire of which nobody said how long or how thick it is; nothing where something was said.
    std::optional<solve::Unknown> unsaid_wire(WireId) const;
    /// Is there any such wire?
    bool some_wire_unsaid() const;

    /// Holds while the figure is at most `limit`. Costs a few operating points for each unknown figure, one where there is none.
    Weighed weigh(std::vector<solve::Unknown>, const solve::Figure&, double limit, const InWords&) const;

    /// The current through a wire or device at its peak against a limit [A], over the loads behind it; nothing where all of them are known
    /// exactly. The two verdicts read "{subject} {holds}" and "{subject} {fails}".
    std::optional<Weighed> weigh_current(EdgeRef, const Peak&, double limit,
                                         const std::function<std::string()>& subject, const char* holds,
                                         const char* fails) const;

  private:
    std::string name(const solve::Unknown&) const;
    std::string measure(const solve::Unknown&, const solve::Figure&, double limit, const InWords&) const;

    const Study& s_;
    const Survey& survey_;
    std::vector<solve::Unknown> all_;
    bool loads_open_ = false; ///< without, nobody needs to ask which hang behind what
};

/// Amps without sign through a wire or primitive in a state.
solve::Figure amps_of(const Survey&, EdgeRef, solve::StateId);

} // namespace loomproof::rules
