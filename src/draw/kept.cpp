#include "draw/kept.hpp"

#include "draw/svg.hpp"
#include "paper/type.hpp"

#include <pugixml.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <optional>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// No sheet of ours has as many rows or columns, nor as many parts.
constexpr int most_places = 1000000;
constexpr std::size_t most_things = 200000;

// "3 12 14" or "3,12": whole numbers of a place.
std::optional<std::vector<int>> places_in(std::string_view text) {
    std::vector<int> found;
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == ' ' || text[at] == ',') {
            ++at;
            continue;
        }
        int value = 0;
        const char* const begin = text.data() + at;
        const auto [end, error] = std::from_chars(begin, text.data() + text.size(), value);
        if (error != std::errc() || value < -most_places || value > most_places || found.size() > most_things)
            return std::nullopt;
        found.push_back(value);
        at += static_cast<std::size_t>(end - begin);
    }
    return found;
}

bool has_class(const pugi::xml_node& node, std::string_view wanted) {
    const std::string_view all = node.attribute("class").value();
    for (std::size_t at = 0; at < all.size();) {
        const std::size_t end = std::min(all.find(' ', at), all.size());
        if (all.substr(at, end - at) == wanted) return true;
        at = end + 1;
    }
    return false;
}

class Reader {
  public:
    explicit Reader(KeptSheet& out) : out_(out) {}

    bool run(const pugi::xml_node& root) {
        const std::string_view origin = root.attribute("data-origin").value();
        const auto read = std::from_chars(origin.data(), origin.data() + origin.size(), out_.origin);
        // Written so, not a number fails as well.
        if (read.ec != std::errc() || !(out_.origin > -most_places && out_.origin < most_places)) return false;
        if (!read_size(root)) return false;
        for (const pugi::xml_node group : root.children("g"))
            for (const pugi::xml_node thing : group.children("g"))
                if (!(has_class(group, "symbols") ? read_symbol(thing)
                      : has_class(group, "wires") ? read_wire(thing)
                                                  : true))
                    return false;
        return true;
    }

  private:
    // width="297mm" and viewBox="0 0 1188 840".
    bool read_size(const pugi::xml_node& root) {
        const auto number_in = [](std::string_view text, double& into) {
            const auto read = std::from_chars(text.data(), text.data() + text.size(), into);
            return read.ec == std::errc() && into > 0 && into < most_places;
        };
        const std::string_view box = root.attribute("viewBox").value(), begin = "0 0 ";
        double units = 0;
        if (!number_in(root.attribute("width").value(), out_.width_mm) ||
            !number_in(root.attribute("height").value(), out_.height_mm) || !box.starts_with(begin) ||
            !number_in(box.substr(begin.size()), units))
            return false;
        // To the thousandth, as sheets are scaled: both are rounded.
        out_.scale = std::round(out_.width_mm * paper::units_per_mm / units * 1000) / 1000;
        return true;
    }

    bool read_symbol(const pugi::xml_node& node) {
        const auto places = places_in(node.attribute("data-stands").value());
        if (!places || out_.symbols.size() > most_things) return false;
        if (places->empty()) return true; // drawn in by somebody else
        if (places->size() != 3 || *std::min_element(places->begin(), places->end()) < 0) return false;
        KeptSymbol symbol;
        symbol.id = node.attribute("id").value();
        symbol.foot = has_class(node, "ground");
        symbol.off_sheet = has_class(node, "off-sheet");
        symbol.stood = {(*places)[0], (*places)[1], (*places)[2],
                        std::string_view(node.attribute("data-mirrored").value()) == "yes"};
        out_.symbols.push_back(std::move(symbol));
        return true;
    }

    bool read_wire(const pugi::xml_node& node) {
        const auto places = places_in(node.attribute("data-way").value());
        if (!places || places->size() % 4 != 0 || out_.wires.size() > most_things) return false;
        KeptWire wire;
        wire.id = node.attribute("id").value();
        wire.from = node.attribute("data-from").value();
        wire.to = node.attribute("data-to").value();
        for (std::size_t i = 0; i < places->size(); i += 2) wire.way.push_back({(*places)[i], (*places)[i + 1]});
        out_.wires.push_back(std::move(wire));
        return true;
    }

    KeptSheet& out_;
};

std::string id_of_symbol(const Symbol& symbol) { return "s-" + id_of(symbol.key); }

// Without what a bus drawn again has behind its key: "/sheet-3".
std::string_view without_sheet(std::string_view id) {
    static const std::string behind = id_of("/sheet-");
    const std::size_t at = id.rfind(behind);
    if (at == std::string_view::npos) return id;
    const std::string_view number = id.substr(at + behind.size());
    return !number.empty() && number.find_first_not_of("0123456789") == std::string_view::npos ? id.substr(0, at) : id;
}

bool is_counted(const Symbol& symbol) {
    return symbol.kind == SymbolKind::foot || symbol.kind == SymbolKind::off_sheet;
}

// What a wire ends at, as it stays from one drawing to the next: any foot, any break mark, else the symbol.
std::string called_end(const std::string& id, const KeptSymbol* symbol) {
    if (symbol != nullptr && symbol->foot) return "foot";
    if (symbol != nullptr && symbol->off_sheet) return "off-sheet";
    return std::string(without_sheet(id));
}
std::string called_end(const Symbol& symbol) {
    return symbol.kind == SymbolKind::foot        ? "foot"
           : symbol.kind == SymbolKind::off_sheet ? "off-sheet"
                                                  : std::string(without_sheet(id_of_symbol(symbol)));
}

} // namespace

Result<KeptSheet> read_kept(std::string_view svg) {
    pugi::xml_document document;
    const char* const no_drawing = "is no drawing made by loomproof draw";
    // No entities of a document type are ever looked up: pugixml knows only the five of XML.
    if (!document.load_buffer(svg.data(), svg.size())) return failure(no_drawing);
    const pugi::xml_node root = document.child("svg");
    if (!root || root.attribute("data-made-by").value() != std::string_view("Loomproof")) return failure(no_drawing);
    KeptSheet sheet;
    if (!Reader(sheet).run(root)) return failure("was changed since it was drawn: its places cannot be read any more");
    return sheet;
}

bool is_drawn_again(std::string_view id) { return without_sheet(id).size() < id.size(); }

Recalled recall(const Sketch& sketch, const KeptSheet& kept) {
    std::map<std::string_view, const KeptSymbol*> by_id;
    for (const KeptSymbol& symbol : kept.symbols) by_id.try_emplace(without_sheet(symbol.id), &symbol);
    const auto symbol_of = [&](const std::string& id) -> const KeptSymbol* {
        const auto found = by_id.find(without_sheet(id));
        return found == by_id.end() ? nullptr : found->second;
    };
    Recalled out;
    out.symbols.resize(sketch.symbols.size(), nullptr);
    out.wires.resize(sketch.wires.size(), nullptr);
    for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
        if (!is_counted(sketch.symbols[s])) {
            const KeptSymbol* const found = symbol_of(id_of_symbol(sketch.symbols[s]));
            if (found != nullptr && !found->foot && !found->off_sheet) out.symbols[s] = found;
        }
    // Wires with one name first: of several without a name between the same two parts each takes the next that is left.
    std::multimap<std::pair<std::string, std::string>, const KeptWire*> by_ends;
    for (const KeptWire& wire : kept.wires)
        by_ends.emplace(std::pair(called_end(wire.from, symbol_of(wire.from)), called_end(wire.to, symbol_of(wire.to))),
                        &wire);
    std::set<const KeptWire*> taken;
    for (const bool by_name : {true, false})
        for (std::size_t w = 0; w < sketch.wires.size(); ++w) {
            if (out.wires[w] != nullptr) continue;
            const Wire& wire = sketch.wires[w];
            const std::string id = "w-" + id_of(wire.key);
            const auto [first, last] = by_ends.equal_range(std::pair(called_end(sketch.symbols[index(wire.a.symbol)]),
                                                                     called_end(sketch.symbols[index(wire.b.symbol)])));
            for (auto at = first; at != last; ++at) {
                if ((by_name ? at->second->id != id : !wire.name.empty()) || !taken.insert(at->second).second) continue;
                out.wires[w] = at->second;
                break;
            }
        }
    for (std::size_t w = 0; w < sketch.wires.size(); ++w)
        if (out.wires[w] != nullptr)
            for (const auto& [s, id] : {std::pair(sketch.wires[w].a.symbol, &out.wires[w]->from),
                                        std::pair(sketch.wires[w].b.symbol, &out.wires[w]->to)})
                if (out.symbols[index(s)] == nullptr && is_counted(sketch.symbols[index(s)]))
                    out.symbols[index(s)] = symbol_of(*id);
    return out;
}

double share_known(const Sketch& sketch, const KeptDrawing& kept) {
    std::set<std::string> now;
    for (const Symbol& symbol : sketch.symbols) now.insert(id_of_symbol(symbol));
    std::size_t all = 0, known = 0;
    for (const KeptSheet& sheet : kept.sheets)
        for (const KeptSymbol& symbol : sheet.symbols) {
            if (symbol.foot || symbol.off_sheet || is_drawn_again(symbol.id)) continue;
            ++all;
            known += now.contains(symbol.id) ? 1u : 0u;
        }
    return all == 0 ? 1 : static_cast<double>(known) / static_cast<double>(all);
}

} // namespace loomproof::draw
