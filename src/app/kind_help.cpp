#include "app/kind_help.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/examples.hpp"
#include "circuit/read.hpp"
#include "report/page.hpp"

#include <algorithm>
#include <utility>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

using report::Ink;
using report::Screen;

std::vector<std::string> parts_of(std::string_view list, std::string_view between) {
    std::vector<std::string> out;
    while (!list.empty()) {
        const std::size_t end = std::min(list.find(between), list.size());
        if (end > 0) out.emplace_back(list.substr(0, end));
        list.remove_prefix(std::min(end + between.size(), list.size()));
    }
    return out;
}

const KindSpec* kind_called(std::string_view word) {
    const auto named = [](std::string_view w) -> const KindSpec* {
        if (const KindSpec* kind = find_kind(w)) return kind;
        for (const KindSpec& kind : kind_table())
            if (kind.keyword != nullptr && equal_ignoring_case(kind.title, w)) return &kind;
        return nullptr;
    };
    for (const std::string_view ending : {"", "s", "es"}) // "fuses", "switches"
        if (word.size() > ending.size() + 1 && lower(word).ends_with(ending))
            if (const KindSpec* kind = named(word.substr(0, word.size() - ending.size()))) return kind;
    return nullptr;
}

std::string lines(std::string_view typed) {
    std::string out;
    for (const std::string& line : parts_of(typed, "\n")) out += "    " + line + '\n';
    return out;
}

/// Its ends, as they are named in wires, and what each is for. They are those of the example: one source with the reader.
std::string ends_of(const KindSpec& spec, const Screen& screen) {
    Sources sources;
    const Reading reading = read_circuit_text(sources, "example.loom", "loom 1\n" + std::string(spec.example) + '\n');
    const auto part = std::ranges::find(reading.circuit.parts, spec.kind, &Part::kind);
    if (part == reading.circuit.parts.end() || part->terminals.empty()) return {};
    std::vector<std::pair<std::string, std::string>> rows;
    for (const TerminalId id : part->terminals) {
        const Terminal& t = reading.circuit.at(id);
        if (t.internal) continue;
        const std::string name = t.stamp.empty() ? part->name : part->name + ':' + t.stamp;
        rows.emplace_back("  " + name, purpose_of(t.role));
    }
    const bool plain = std::ranges::all_of(rows, [](const auto& row) { return row.second.empty(); });
    std::string out = "\nWhere its wires end:\n\n";
    if (!plain) return out + report::in_columns(screen, rows);
    std::vector<std::string> names; // of a plug's hole both halves
    for (const auto& row : rows)
        if (names.empty() || names.back() != row.first.substr(2)) names.push_back(row.first.substr(2));
    return out + report::labelled(screen, "", list_of(names), 0);
}

std::string page(const KindSpec& spec, const Screen& screen) {
    std::string out = inked(screen, Ink::strong, spec.keyword) + "\n\nWhat to type:\n\n" + lines(spec.example);
    out += ends_of(spec, screen);
    std::vector<std::pair<std::string, std::string>> rows;
    for (const AttrSpec& a : spec.attributes)
        if (*a.meaning != '\0') rows.emplace_back("  " + as_typed(a), a.meaning);
    std::vector<std::string> common;
    for (const AttrSpec& a : common_attributes(spec))
        if (*a.meaning != '\0') common.push_back(as_typed(a));
    if (!rows.empty())
        out += "\nWhat may be said about it, with commas between:\n\n" + report::in_columns(screen, rows);
    out += '\n' + report::paragraph(screen, fmt::format("As of others: {}.", list_of(common)));
    if (const auto also = parts_of(spec.also, " "); !also.empty())
        out += '\n' + report::paragraph(
                          screen, fmt::format("Also typed: {}. Each is read as {}.", list_of(also), spec.keyword));
    out +=
        '\n' + report::paragraph(screen, "Figures are examples. A text in quotes behind the name says what it is, for "
                                         "people. All about the language: netlists/README.md.");
    return out;
}

std::string page(const StatementExample& s, const Screen& screen) {
    return inked(screen, Ink::strong, parts_of(s.words, ", ").front()) + '\n' +
           report::labelled(screen, "means", s.means) + "\nWhat to type:\n\n" + lines(s.line);
}

} // namespace

std::string typing_page(std::string_view word, const Screen& screen) {
    if (const KindSpec* kind = kind_called(word); kind != nullptr && *kind->example != '\0') return page(*kind, screen);
    if (const StatementExample* s = find_statement_example(word)) return page(*s, screen);
    if (const std::size_t blank = word.rfind(' '); blank != std::string_view::npos)
        return typing_page(word.substr(blank + 1), screen); // "pressure switch", "air compressor"
    return {};
}

std::vector<std::string> words_with_typing_page() {
    std::vector<std::string> out;
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr || *kind.example == '\0') continue;
        out.emplace_back(kind.keyword);
        for (std::string& word : parts_of(kind.also, " ")) out.push_back(std::move(word));
    }
    for (const StatementExample& s : statement_examples())
        for (std::string& word : parts_of(s.words, ", ")) out.push_back(std::move(word));
    return out;
}

} // namespace loomproof::app
