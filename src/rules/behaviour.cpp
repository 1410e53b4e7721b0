#include "rules/behaviour.hpp"

#include <algorithm>

namespace loomproof::rules {

const solve::Behaviour* behaviour_of(const Study& s) {
    if (s.now.wires().size() > most_wires_explored) return nullptr;
    if (!s.behaviour) {
        // Solving takes longer the larger the circuit is: as many situations as a moment allows.
        solve::ExploreOptions options;
        options.most = std::clamp<std::size_t>(60'000 / std::max<std::size_t>(s.now.wires().size(), 1), 64, 1024);
        s.behaviour = std::make_shared<const solve::Behaviour>(solve::explore(s.now, options));
    }
    return s.behaviour.get();
}

} // namespace loomproof::rules
