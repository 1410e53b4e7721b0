#include "app/command.hpp"
#include "app/glossary.hpp"
#include "app/kind_help.hpp"
#include "app/said_help.hpp"
#include "base/words.hpp"
#include "circuit/text_problems.hpp"
#include "netlist/text_ids.hpp"
#include "report/page.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

using report::Ink;
using report::Screen;

/// A name, its severity and what stands behind it.
struct Row {
    std::string name, severity, text;
};

std::vector<Row> rule_rows() {
    std::vector<Row> out;
    for (const rules::Rule* rule : rules::table()) out.push_back({rule->id, word(rule->worst), rule->summary});
    return out;
}

/// Mistakes in the text: found while it is read, before any rule looks at the circuit.
std::vector<Row> text_rows() {
    std::vector<Row> out;
    for (const TextId& id : netlist_text_ids) out.push_back({std::string(id.id), "", std::string(id.meaning)});
    for (const TextId& id : circuit_text_ids()) out.push_back({std::string(id.id), "", std::string(id.meaning)});
    return out;
}

std::string listed(const std::vector<Row>& rows, const Screen& screen) {
    std::size_t widest = 0;
    for (const Row& r : rows) widest = std::max(widest, r.name.size());
    std::vector<std::pair<std::string, std::string>> table;
    for (const Row& r : rows)
        table.emplace_back(r.severity.empty() ? r.name : fmt::format("{:{}}   {:6}", r.name, widest, r.severity),
                           r.text);
    return report::in_columns(screen, table);
}

std::string all_of_them(const Screen& screen) {
    return "Rules, and how bad what they find can be:\n\n" + listed(rule_rows(), screen) +
           "\nMistakes in the text:\n\n" + listed(text_rows(), screen) +
           "\nloomproof explain RULE says more about one of them.\n";
}

void example(std::string& out, std::string_view title, std::string_view file) {
    if (file.empty()) return;
    out += fmt::format("\n{}\n\n", title);
    while (!file.empty()) {
        const std::size_t end = std::min(file.find('\n'), file.size());
        const std::string_view line = file.substr(0, end);
        out += line.empty() ? "\n" : fmt::format("    {}\n", line);
        file.remove_prefix(std::min(end + 1, file.size()));
    }
}

std::string page(const rules::Rule& rule, const Screen& screen) {
    std::string out = inked(screen, Ink::strong, rule.id) + '\n';
    const auto say = [&](std::string_view label, std::string_view text) {
        out += report::labelled(screen, label, text);
    };
    say("finds", rule.summary);
    say("means", rule.explanation.means);
    say("why", rule.explanation.matters);
    say("how bad", rule.criterion);
    say("limit", rule.explanation.limit);
    say("cure", rule.explanation.cure);
    say("accept", fmt::format("If you know better, say so in the file: accept {} on NAME because \"...\"", rule.id));
    example(out, "A file with this finding:", rule.explanation.faulty);
    example(out, "The same, put right:", rule.explanation.mended);
    return out;
}

std::string page(const Row& mistake, const Screen& screen) {
    return inked(screen, Ink::strong, mistake.name) + '\n' + report::labelled(screen, "finds", mistake.text) +
           report::labelled(
               screen, "means",
               "A mistake in the text of the file. What stands in that statement is not checked; everything "
               "else is.");
}

/// A rule or a mistake of the text, as findings name it.
bool is_id(const std::string& name) {
    return rules::find_rule(name) != nullptr ||
           std::ranges::any_of(text_rows(), [&](const Row& r) { return r.name == name; });
}

/// Of a rule, a mistake of the text, a word of the trade, or of what is typed; empty for what is none of these. In small letters.
std::string known_page(const std::string& name, const Screen& screen) {
    if (const rules::Rule* rule = rules::find_rule(name)) return page(*rule, screen);
    for (const Row& r : text_rows())
        if (r.name == name) return page(r, screen);
    std::string out;
    if (const GlossaryWord* w = find_word(name))
        out = inked(screen, Ink::strong, w->word) + '\n' + report::labelled(screen, "means", w->means);
    if (const std::string typing = typing_page(name, screen); !typing.empty())
        out += (out.empty() ? "" : "\n") + typing;
    return out;
}

std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> words;
    std::istringstream in(text);
    for (std::string word; in >> word;) words.push_back(word);
    return words;
}

void say_nearest(const std::string& name, Console& console) {
    std::vector<std::string> names = words_with_typing_page(); // "moter": the part before the word "meter"
    std::erase_if(names, [](const std::string& word) { return word.find(' ') != std::string::npos; });
    for (std::string& known : names_to_explain()) names.push_back(std::move(known));
    const auto near = nearest_name(lower(name), names);
    console.say(fmt::format(
        "No rule and no word is called {}{}. loomproof explain lists the rules, loomproof help words the words.", name,
        near ? "; the nearest is " + *near : ""));
}

} // namespace

std::vector<std::string> names_to_explain() {
    std::vector<std::string> known;
    for (const Row& r : rule_rows()) known.push_back(r.name);
    for (const Row& r : text_rows()) known.push_back(r.name);
    for (const GlossaryWord& w : glossary())
        for (std::string_view rest = w.word; !rest.empty();) {
            const std::size_t end = std::min(rest.find(", "), rest.size());
            if (rest.substr(0, end).find(' ') == std::string_view::npos) known.emplace_back(rest.substr(0, end));
            rest.remove_prefix(std::min(end + 2, rest.size()));
        }
    for (std::string& word : words_with_typing_page())
        if (word.find(' ') == std::string::npos && std::ranges::find(known, word) == known.end())
            known.push_back(std::move(word));
    return known;
}

Exit explain(const Given& given, Console& console) {
    if (!given.has("RULE")) {
        console.out = all_of_them(console.screen());
        return Exit::clean;
    }
    const std::string typed = given.value("RULE"), wanted = lower(typed);
    if (const std::string page = known_page(wanted, console.screen()); !page.empty()) {
        console.out = page;
        return Exit::clean;
    }
    const std::vector<std::string> words = words_of(wanted);
    std::vector<std::string> strange;
    for (const std::string& word : words)
        if (known_page(word, console.screen()).empty()) strange.push_back(word);
    // Several names, as a check prints them; but what is typed of a part, or wanted for a vehicle, is one thing: "work lamp".
    const bool names_of_rules = std::ranges::any_of(words, is_id);
    if (words.size() > 1 && (strange.empty() || names_of_rules)) {
        for (const std::string& word : words)
            if (const std::string page = known_page(word, console.screen()); !page.empty())
                console.out += (console.out.empty() ? "" : "\n") + page;
        for (const std::string& word : strange) say_nearest(word, console);
        return strange.empty() ? Exit::clean : Exit::failed;
    }
    console.out = said_page(wanted, console.screen());
    if (console.out.empty()) console.out = form_page(typed, console);
    if (!console.out.empty()) return Exit::clean;
    say_nearest(typed, console);
    return Exit::failed;
}

} // namespace loomproof::app
