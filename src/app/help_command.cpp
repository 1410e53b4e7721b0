#include "app/command.hpp"
#include "app/completion.hpp"
#include "app/glossary.hpp"
#include "app/help.hpp"
#include "base/words.hpp"
#include "report/page.hpp"

#include <utility>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

std::string all_words(const report::Screen& screen) {
    std::vector<std::pair<std::string, std::string>> rows;
    for (const GlossaryWord& w : glossary()) rows.emplace_back(std::string(w.word), std::string(w.means));
    std::string out = "Words that Loomproof uses:\n\n";
    for (const auto& [word, means] : rows)
        out += inked(screen, report::Ink::strong, word) + '\n' + report::labelled(screen, "", means, 0);
    return out;
}

} // namespace

std::vector<std::string> names_for_help() {
    std::vector<std::string> known{"words"};
    for (const Command& c : commands()) known.emplace_back(c.name);
    for (std::string& name : names_to_explain()) known.push_back(std::move(name));
    return known;
}

Exit help_command(const Given& given, Console& console) {
    if (given.has("--man") || given.has("--completion")) {
        console.out = given.has("--man") ? manual_page() : completion(given.value("--completion"));
        return Exit::clean;
    }
    const std::string wanted = lower(given.value("WORD"));
    if (wanted.empty())
        console.out = help(console.screen());
    else if (wanted == "words")
        console.out = all_words(console.screen());
    else if (const Command* command = find_command(wanted))
        console.out = help(*command, console.screen());
    else {
        Given word;
        word.set("RULE", given.value("WORD"));
        return explain(word, console); // rules, mistakes of the text, words of the trade
    }
    return Exit::clean;
}

} // namespace loomproof::app
