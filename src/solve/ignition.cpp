#include "solve/ignition.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <optional>

namespace loomproof::solve {

bool speaks_of(std::string_view text, std::initializer_list<std::string_view> words) {
    std::size_t from = 0;
    while (from < text.size()) {
        const std::size_t to = std::min(text.find(' ', from), text.size());
        for (std::string_view word : words)
            if (equal_ignoring_case(text.substr(from, to - from), word)) return true;
        from = to + 1;
    }
    return false;
}

bool can_be_left(const Control& control, std::size_t position) {
    return (control.type == Control::Type::hand || control.type == Control::Type::condition) &&
           position != control.rest && (control.springs_back >> position & 1) == 0;
}

namespace {

/// "key on start", or a feed whose wire goes to a starter's 50: live while somebody holds the key there, not while the engine runs.
bool only_cranks(const View& view, ControlId id) {
    const Circuit& c = view.circuit();
    if (speaks_of(c.at(id).name, {"start", "starting", "starter", "crank", "cranks", "cranking"})) return true;
    const auto leads_to_50 = [&](TerminalId end) {
        return std::ranges::any_of(view.wires_at(end), [&](WireId w) {
            const TerminalId other = c.at(w).other(end);
            return c.part_of(other).kind == Kind::starter && c.at(other).stamp == "50";
        });
    };
    return std::ranges::any_of(view.primitives(), [&](PrimitiveId p) {
        const Primitive& contact = c.at(p);
        return contact.element == Element::contact && contact.control == id &&
               (leads_to_50(contact.a) || leads_to_50(contact.b));
    });
}

} // namespace

std::vector<Wish::At> ignition_on(const View& view) {
    const Circuit& c = view.circuit();
    std::vector<Wish::At> stamped, worded, all;
    const auto closes_to_15 = [&](ControlId id, std::size_t position) {
        return std::ranges::any_of(view.primitives(), [&](PrimitiveId p) {
            const Primitive& contact = c.at(p);
            return contact.element == Element::contact && contact.control == id &&
                   (contact.closed_in >> position & 1) != 0 &&
                   (c.at(contact.a).stamp == "15" || c.at(contact.b).stamp == "15");
        });
    };
    for (std::size_t i = 0; i < c.controls.size(); ++i) {
        const ControlId id{i};
        const Control& control = c.at(id);
        if (!control.part.exists() || !view.alive(control.part)) continue;
        if (control.type == Control::Type::condition) {
            if (speaks_of(control.name, {"ignition", "key"}) && !speaks_of(control.name, {"off", "out"}) &&
                !only_cranks(view, id))
                all.push_back({id, 2, {}});
            continue;
        }
        const auto first = [&](const auto& fits) -> std::optional<Wish::At> {
            for (std::size_t at = 0; at < control.positions.size(); ++at)
                if (can_be_left(control, at) && fits(at)) return Wish::At{id, std::uint64_t{1} << at, {}};
            return std::nullopt;
        };
        if (const auto at = first([&](std::size_t position) { return closes_to_15(id, position); }))
            stamped.push_back(*at);
        if (const auto at = first([&](std::size_t position) {
                return speaks_of(control.positions[position], {"run", "ignition", "ign"});
            }))
            worded.push_back(*at);
    }
    // A word alone may stand at a fan's switch too.
    if (stamped.empty() && worded.size() == 1) stamped = worded;
    all.insert(all.end(), stamped.begin(), stamped.end());
    return all;
}

} // namespace loomproof::solve
