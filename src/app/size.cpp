#include "app/command.hpp"
#include "app/size_file.hpp"
#include "base/words.hpp"
#include "report/size_text.hpp"

#include <filesystem>

namespace loomproof::app {

namespace {

/// One word that is the name of a file, against "120 W, 3 m".
bool is_file(const std::string& words) {
    std::error_code problem;
    return words == "-" || lower(words).ends_with(".loom") || std::filesystem::is_regular_file(words, problem);
}

} // namespace

Exit size(const Given& given, Console& console) {
    std::string words = given.value("WHAT");
    if (is_file(words)) return size_file(words, given, console);
    if (given.has("--write") || given.has("--job")) {
        console.say("--write and --job are for a circuit file: loomproof size FILE --write.");
        return Exit::failed;
    }
    // "120 W, 3 m, how"
    bool all = given.has("--all");
    if (std::string end = lower(words); end.ends_with(" how") || end.ends_with(",how")) {
        all = true;
        words.erase(words.find_last_not_of(" ,", words.size() - 4) + 1);
    }
    const Result<sizing::Asked> asked = sizing::read_asked(words);
    if (!asked) {
        console.say(asked.error());
        return Exit::failed;
    }
    console.out = report::size_text(*asked, sizing::answer(*asked), console.screen(), all);
    return Exit::clean;
}

} // namespace loomproof::app
