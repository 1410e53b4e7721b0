#include "rules/wire_limits.hpp"

#include "reference/insulation.hpp"

#include <map>
#include <utility>

namespace loomproof::rules {

namespace {

Celsius class_of(const Wire& w) { return w.insulation_class.or_else(reference::default_insulation_class); }
Celsius place_of(const Circuit& c, const Wire& w) {
    return temperature_at(c, w.place).or_else(reference::table_ambient);
}

reference::SizeSystem system_of(const Wire& w) {
    if (w.size.find("awg") != std::string::npos) return reference::SizeSystem::awg;
    if (w.size.find("sae") != std::string::npos) return reference::SizeSystem::sae;
    return reference::SizeSystem::metric;
}

Citation cite(const Wire& w, Span span, std::string label) { return {span.exists() ? span : w.span, std::move(label)}; }

} // namespace

std::optional<reference::Carrying> what_it_carries(const Circuit& c, WireId id) {
    const Wire& w = c.at(id);
    if (!w.area.known()) return std::nullopt;
    return reference::what_a_wire_can_carry(w.area.nominal, class_of(w), place_of(c, w));
}

std::optional<reference::WireSize> size_that_carries(const Circuit& c, WireId id, Amps amps) {
    const Wire& w = c.at(id);
    for (const reference::WireSize& size : reference::wire_sizes(system_of(w))) {
        const auto carries = reference::what_a_wire_can_carry(size.copper, class_of(w), place_of(c, w));
        if (reference::is_sold(size) && carries && carries->amps >= amps) return size;
    }
    return std::nullopt;
}

std::optional<reference::WireSize> size_as_thick_as(const Circuit& c, WireId id, SquareMetres copper) {
    for (const reference::WireSize& size : reference::wire_sizes(system_of(c.at(id))))
        if (reference::is_sold(size) && size.copper >= copper * 0.99) return size;
    return std::nullopt;
}

Remedy thicker(const Circuit& c, WireId wire, const reference::WireSize& size, std::string text) {
    return {std::move(text), AskedSize{c.at(wire).name, size.copper.si, reference::spelled(size)}};
}

void agree_on_sizes(std::vector<Finding>& findings) {
    std::map<std::string, AskedSize> thickest;
    for (const Finding& f : findings)
        for (const Remedy& cure : f.cures)
            if (cure.size) {
                AskedSize& most = thickest.try_emplace(cure.size->wire, *cure.size).first->second;
                if (cure.size->copper > most.copper) most = *cure.size;
            }
    for (Finding& f : findings)
        for (Remedy& cure : f.cures) {
            if (!cure.size) continue;
            const AskedSize& most = thickest.at(cure.size->wire);
            const std::size_t at = cure.text.find(cure.size->words);
            if (most.copper <= cure.size->copper || at == std::string::npos) continue;
            cure.text.replace(at, cure.size->words.size(), most.words);
            cure.size = most;
        }
}

std::optional<Celsius> stands_once(const Circuit& c, WireId id) {
    const Wire& w = c.at(id);
    const auto kind = reference::find_insulation(w.insulation);
    return reference::short_time_limit(kind ? kind->material : reference::InsulationMaterial::unstated, class_of(w));
}

Citation cite_wire_end(const Circuit& c, WireId id, TerminalId t, std::string label) {
    const Wire& w = c.at(id);
    return cite(w, w.a == t ? w.a_span : w.b_span, std::move(label));
}

Citation cite_size(const Circuit& c, WireId id, std::string label) {
    return cite(c.at(id), c.at(id).size_span, std::move(label));
}
Citation cite_length(const Circuit& c, WireId id, std::string label) {
    return cite(c.at(id), c.at(id).length.span, std::move(label));
}

} // namespace loomproof::rules
