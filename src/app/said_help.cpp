#include "app/said_help.hpp"

#include "app/begin_talk.hpp"
#include "app/kind_help.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/examples.hpp"
#include "circuit/kind.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

using report::Ink;
using report::Screen;

constexpr std::size_t most_rows = 12;

std::vector<std::string> words_in(std::string_view text) {
    std::vector<std::string> out(1);
    for (const char ch : lower(text))
        if ((ch >= 'a' && ch <= 'z') || (ch >= '0' && ch <= '9') || ch == '-' || ch == '{' || ch == '}')
            out.back() += ch;
        else if (!out.back().empty())
            out.emplace_back();
    if (out.back().empty()) out.pop_back();
    return out;
}

bool stands_in(const std::vector<std::string>& wanted, std::string_view text) {
    const std::vector<std::string> words = words_in(text);
    return !std::ranges::search(words, wanted).empty();
}

void add_row(std::vector<std::pair<std::string, std::string>>& rows, const std::string& line, const char* meaning) {
    const auto same = std::ranges::find(rows, line, &std::pair<std::string, std::string>::first);
    if (same == rows.end()) rows.emplace_back(line, meaning);
}

} // namespace

std::string said_page(std::string_view typed, const Screen& screen) {
    const std::vector<std::string> wanted = words_in(typed);
    if (wanted.empty()) return {};
    for (const KindSpec& kind : kind_table()) // "existing"
        if (kind.keyword != nullptr && stands_in(wanted, kind.keyword)) return typing_page(kind.keyword, screen);
    std::vector<std::pair<std::string, std::string>> rows;
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr) continue;
        for (const AttrSpec& a : kind.attributes)
            if (*a.meaning != '\0' && stands_in(wanted, a.pattern))
                add_row(rows, fmt::format("  {} ..., {}", kind.keyword, as_typed(a)), a.meaning);
    }
    for (const AttrSpec& a : common_attributes(spec_of(Kind::load)))
        if (stands_in(wanted, a.pattern)) add_row(rows, fmt::format("  any part ..., {}", as_typed(a)), a.meaning);
    // Other spellings of what is offered stand for it.
    if (rows.empty())
        for (const KindSpec& kind : kind_table())
            for (const AttrSpec& a : kind.attributes)
                if (kind.keyword != nullptr && stands_in(wanted, a.pattern))
                    for (const AttrSpec& offered : kind.attributes)
                        if (offered.key == a.key && *offered.meaning != '\0')
                            add_row(rows, fmt::format("  {} ..., {}", kind.keyword, as_typed(offered)),
                                    offered.meaning);
    std::string out;
    if (!rows.empty()) {
        const std::size_t more = rows.size() > most_rows ? rows.size() - most_rows : 0;
        rows.resize(std::min(rows.size(), most_rows));
        out = inked(screen, Ink::strong, typed) + "\n\nWhere it is said:\n\n" + report::in_columns(screen, rows);
        if (more > 0) out += fmt::format("  and {} more; loomproof help KIND shows what may be said about it.\n", more);
    }
    for (const StatementExample& s : statement_examples()) {
        if (!stands_in(wanted, s.line) && !stands_in(wanted, s.means)) continue;
        const std::string name(std::string_view(s.words).substr(0, std::string_view(s.words).find(',')));
        out += (out.empty() ? std::string() : "\n") + typing_page(name, screen);
    }
    return out;
}

std::string form_page(std::string_view typed, const Console& console) {
    if (std::ranges::none_of(lower(typed), [](char ch) { return ch >= 'a' && ch <= 'z'; }))
        return {}; // no number of a form
    const auto forms = all_forms(console);
    if (!forms) return {};
    const begin::Wanted wanted = begin::wanted_form(forms->forms, forms->names, std::string(typed));
    if (wanted.forms.size() != 1) return {};
    const Screen& screen = console.screen();
    const begin::Form& form = forms->forms[wanted.forms.front()];
    std::string out =
        inked(screen, Ink::strong, typed) + '\n' +
        report::labelled(screen, "begin",
                         fmt::format("loomproof begin {} asks for it and writes the file: {}", typed, form.title));
    if (!wanted.why.empty()) out += report::labelled(screen, "why", wanted.why);
    for (const begin::Ask& ask : form.asks)
        if (const auto said = wanted.said.find(ask.id); said != wanted.said.end())
            for (const begin::Option& option : ask.options)
                if (option.value == said->second)
                    for (const auto& [gap, kind] : option.sets)
                        if (gap == "kind") out += "\nIn a file it is:\n\n" + typing_page(kind, screen);
    return out;
}

} // namespace loomproof::app
