#include "support/scenario/scenario.hpp"

#include "support/scenario/maker.hpp"

#include <array>
#include <stdexcept>
#include <utility>

namespace loomproof::scenario {

namespace {

constexpr std::array<std::pair<Profile, const char*>, 6> profiles = {{
    {Profile::clean, "clean"},
    {Profile::history, "history"},
    {Profile::tangled, "tangled"},
    {Profile::doubt, "doubt"},
    {Profile::noisy, "noisy"},
    {Profile::stress, "stress"},
}};

Scenario made(Choices choices, std::uint64_t seed, int size, Profile profile) {
    Scenario s;
    s.seed = seed;
    s.size = size;
    s.profile = profile;
    Profile built = profile;
    if (profile == Profile::noisy) {
        built = choices.chance(40) ? Profile::history : Profile::clean;
        Hand& hand = s.hand;
        hand.seed = choices.below(1'000'000);
        for (bool* habit : {&hand.comments, &hand.blanks, &hand.tabs, &hand.crlf, &hand.phone, &hand.wrapped,
                            &hand.shuffled, &hand.split}) {
            *habit = choices.chance(50);
        }
    }
    Maker maker(choices, built);
    maker.head(size);
    switch (built) {
    case Profile::stress: maker.stress(size); break;
    case Profile::history: maker.history(size); break;
    default: maker.vehicles(size); break;
    }
    if (built == Profile::doubt) { maker.doubt(); }
    maker.close();
    s.plan = std::move(maker.plan);
    if (s.plan.history) {
        s.hand.split = false; // blocks stay in one file
    }
    for (const auto& [on, feature] : {std::pair{s.hand.comments, "comments"},
                                      {s.hand.blanks, "blanks"},
                                      {s.hand.tabs, "tabs"},
                                      {s.hand.crlf, "crlf"},
                                      {s.hand.phone, "phone"},
                                      {s.hand.wrapped, "wrapped lines"},
                                      {s.hand.shuffled, "other order"},
                                      {s.hand.split, "use"}}) {
        if (on) { s.plan.features.insert(feature); }
    }
    s.choices = choices.recorded();
    return s;
}

} // namespace

const char* word(Profile profile) { return profiles[static_cast<std::size_t>(profile)].second; }

Profile profile_of(std::string_view word) {
    for (const auto& [profile, name] : profiles) {
        if (word == name) { return profile; }
    }
    throw std::invalid_argument("no profile is called " + std::string(word));
}

Scenario make(std::uint64_t seed, int size, Profile profile) { return made(Choices(seed), seed, size, profile); }

Scenario replay(std::vector<std::uint32_t> choices, int size, Profile profile) {
    return made(Choices(std::move(choices)), 0, size, profile);
}

bool is_on(const Plan& plan, const Load& load, const std::map<std::string, std::string>& positions) {
    const auto holds = [&](const std::pair<const int, std::set<std::string>>& term) {
        const Control& control = plan.controls[static_cast<std::size_t>(term.first)];
        const auto stated = positions.find(control.name);
        return term.second.contains(stated == positions.end() ? control.positions.front() : stated->second);
    };
    for (const Combination& combination : load.on.any) {
        bool all = true;
        for (const auto& term : combination) { all = all && holds(term); }
        if (all) { return true; }
    }
    return false;
}

} // namespace loomproof::scenario
