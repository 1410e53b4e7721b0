#pragma once
/// What predict and trace share: inside of predict.cpp, trace.cpp and predict_inside.cpp.

#include "solve/predict.hpp"

#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

namespace loomproof::solve {

/// Whether the engine runs goes by the wish where that says so, or by an outside condition that only then holds; then it is in `conditions`.
Arrived as_wished(const View&, Wish, Conditions& conditions);

/// Puts a model there, and says whether what is shown lasts seconds only. Then nothing gets warm by its own current, and `conditions` say so: at
/// 54 A/mm2 copper rises by rho J^2 / (c d), 14 K in a second (the adiabatic law of reference/short_time.hpp), so a meter shows nearly the volts
/// of cold wires while somebody cranks.
SoonOver make_model(std::optional<Model>&, const View&, Conditions& conditions, const Positions&);

/// Closed contacts of which nobody said what they are made for, and over which more than contact_drop_volts are lost with the ohms that are
/// taken for one: figures hang on these. In text order, each part once.
std::vector<NotKnown> contacts_not_known(const View&, const std::vector<std::optional<Amps>>& amps);

/// From where volts are told, and a test lamp there.
class Posts {
  public:
    /// `main`, a model of the view, and what is told must outlive this; `point` is one of `positions`, and its volts are put right.
    Posts(Model& main, const Positions&, Point& point);
    TerminalId against() const { return against_; }             ///< Prediction::against
    const std::vector<TerminalId>& own() const { return own_; } ///< Prediction::own_posts

    /// Is it the same point for a meter?
    std::uint32_t node_of(TerminalId t) const { return main_.node_of(t); }
    /// Model::with_lamp, the lamp's other lead on the post that counts there.
    std::optional<Volts> with_lamp(TerminalId, Volts rated, Amps amps);

  private:
    Model& main_;
    const Positions& positions_;
    TerminalId against_;
    Volts shift_{0}; ///< of `against_`, in the main model
    std::vector<TerminalId> own_;
    std::vector<std::unique_ptr<Model>> models_; ///< parallel to own_
    std::vector<std::uint32_t> post_;       ///< by terminal: 0 the main one, else one more than the index into own_
    std::vector<std::vector<double>> near_; ///< by post: node volts
};

} // namespace loomproof::solve
