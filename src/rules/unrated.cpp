#include "rules/unrated.hpp"

#include "base/number.hpp"
#include "rules/fault_current.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <string>

#include <fmt/core.h>

namespace loomproof::rules {

extern const Rule part_overloaded; // rule_list.hpp lists it

namespace {

NotChecked open_plug_or_contact(const Circuit& c, PartId part, Amps most) {
    const bool plug = c.at(part).kind == Kind::connector;
    const std::string name = name_of(c, part), amps = text(rounded(most, 3));
    // Of the other contact it is said: then this is the one that is closed at rest.
    const auto make = std::ranges::find(c.at(part).attributes, Attr::make_rating, &Attribute::key);
    if (make != c.at(part).attributes.end() && make->value.known())
        return {part_overloaded.id, fmt::format("how many amps the rest contact of {} may carry", name),
                fmt::format("nobody said what it is made for, and it passes {}", amps),
                fmt::format("Look up A for its rest contact, and write it behind its amps (\"{}, {}, {} rest\"). Less "
                            "than {}: it has to carry less.",
                            name, text(Amps{make->value.nominal}), text(Amps{make->value.nominal * 0.75}), amps)};
    return {
        part_overloaded.id, fmt::format("how many amps {} of {} may carry", plug ? "a hole" : "the contact", name),
        fmt::format("nobody said what it is made for, and it passes {}", amps),
        plug ? fmt::format("Look up A for one terminal in the sheet of that plug, at your wire's size, and write it "
                           "behind its holes (\"2 holes, 40 A each\"). Less than {}: it has to carry less.",
                           amps)
             : fmt::format("Read A on it, and write it behind its name (\"{}, 70 A\"). Less than {}: it has to carry "
                           "less.",
                           name, amps)};
}

NotChecked open_switches(const Circuit& c, const std::vector<std::pair<PartId, Amps>>& switches) {
    std::vector<std::string> names, amps;
    Amps example{16}; // what is typed as it stands must not be found too small
    for (const Amps larger : {Amps{20}, Amps{30}, Amps{50}, Amps{100}, Amps{200}, Amps{300}, Amps{500}, Amps{1000}})
        if (switches.front().second > example) example = larger;
    for (const auto& [part, most] : switches) {
        names.push_back(name_of(c, part));
        amps.push_back(fmt::format("{} passes {}", names.back(), text(rounded(most, 3))));
    }
    const bool one = names.size() == 1;
    return {part_overloaded.id, fmt::format("how many amps {} may switch", list_of(names)),
            fmt::format("nobody said what {} made for, and {}", one ? "it is" : "they are", list_of(amps)),
            fmt::format("Read the rating on {}, and write it behind the name: switch {}, {}. Less than that goes "
                        "through it: let a relay switch the load.",
                        one ? "the switch" : "each switch", names.front(), text(example))};
}

} // namespace

void Unrated::ask(PartId part, Amps amps) {
    const auto known = std::ranges::find(parts_, part, &std::pair<PartId, Amps>::first);
    if (known == parts_.end())
        parts_.emplace_back(part, amps);
    else
        known->second = std::max(known->second, amps);
}

void Unrated::say(const Study& s, Report& report) const {
    std::vector<std::pair<PartId, Amps>> switches;
    for (const auto& [part, most] : parts_)
        if (s.circuit.at(part).kind == Kind::switching)
            switches.emplace_back(part, most);
        else
            report.not_checked.push_back(open_plug_or_contact(s.circuit, part, most));
    if (!switches.empty()) report.not_checked.push_back(open_switches(s.circuit, switches));
}

} // namespace loomproof::rules
