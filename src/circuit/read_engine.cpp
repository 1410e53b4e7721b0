/// The engine as something that stands, cranks, idles or runs, and what keeps it alive: engine, runs while Y1 is fed.
///
/// It is a control like a switch, of a part without terminals whose name nobody can type: `engine` in a wire's end is a piece of metal.

#include "circuit/reader.hpp"

#include <algorithm>
#include <array>

namespace loomproof {

namespace {

constexpr const char* example = "Type: engine, runs while Y1 is fed; or: engine, stops when S3:1 is grounded";
constexpr std::array words{"stopped", "cranking", "idling", "running"};

} // namespace

bool Reader::engine_statement(const Item& item, Cursor& c) {
    if (!c.is("engine") || (c.has(1) && !c.is_mark(',', 1) && !c.is("runs", 1) && !c.is("stops", 1))) return false;
    if (!c_.engine) {
        const PartId id{c_.parts.size()};
        Part part;
        part.kind = Kind::engine;
        part.name = "the engine";
        part.named = false;
        part.span = part.name_span = item.span();
        part.origin = {item.provenance, item.span(), {}};
        Control control;
        control.part = id;
        control.type = Control::Type::engine;
        part.controls.push_back(ControlId{c_.controls.size()});
        c_.engine = Engine{part.controls.front(), {}, {}, {}, item.span(), {}};
        c_.parts.push_back(std::move(part));
        c_.controls.push_back(std::move(control));
    }
    std::vector<std::string> said;
    for (std::uint32_t s = block_of(*item.tree, item.statement); s != Statement::none;
         s = item.tree->statements[s].next) {
        Cursor line(sources_, *item.tree, item.tree->statements[s]);
        if (line.done()) continue;
        const auto known = std::ranges::find_if(words, [&](const char* w) { return line.is(w); });
        if (known == words.end()) {
            problem("text-word-unknown", line.span(), "An engine is stopped, cranking, idling or running.",
                    "Type: engine { stopped* | cranking | idling | running }");
            continue;
        }
        said.emplace_back(*known);
    }
    std::vector<std::string>& positions = c_.controls[c_.engine->control.index].positions;
    if (said.empty() && !positions.empty()) return true;
    positions.clear();
    for (const char* word : words)
        if (said.empty() || word == words.front() || word == words.back() ||
            std::ranges::find(said, word) != said.end())
            positions.emplace_back(word);
    return true;
}

/// Behind "engine", once all parts are known.
void Reader::engine_life(const Item& item, Cursor& c) {
    if (!c_.engine) return;
    Engine& engine = *c_.engine;
    while (!c.done()) {
        if (c.take_mark(',')) continue;
        const bool fed = c.take_words("runs while"),
                   grounded = !fed && (c.take_words("stops when") || c.take_words("stops while"));
        if (!fed && !grounded) {
            problem("text-word-unknown", c.span(), "\"" + std::string(c.spelled()) + "\" is not known about an engine.",
                    example);
            return;
        }
        if (c.is_text()) {
            problem(
                "text-word-unknown", c.span(), "What keeps an engine alive is a part or a terminal, not a condition.",
                "Type: engine, runs while Y1 is fed, with the name of the ignition coil or the fuel cut-off; or engine "
                "alone: it runs then while the ignition is on");
            return;
        }
        engine.alive_span = item.span();
        const std::optional<PartId> whole = c.is_word() && !c.is_mark(':', 1) ? part_named(c.spelled()) : std::nullopt;
        if (fed && whole && c_.at(*whole).terminals.size() != 1) {
            engine.fed_part = *whole;
            ++c.at;
        } else {
            const End end = read_end(c, item, false);
            if (!end.ok) return;
            (fed ? engine.fed : engine.grounded) = end.terminal;
        }
        c.take("is");
        if (!c.take(fed ? "fed" : "grounded") && !(fed && c.take("live"))) {
            problem("text-statement-unfinished", c.span(),
                    fed ? "\"is fed\" is expected here." : "\"is grounded\" is expected here.", example);
            return;
        }
    }
}

} // namespace loomproof
