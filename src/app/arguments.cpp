#include "app/arguments.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

Asked unclear(const std::string& problem, const Command* command = nullptr) {
    const std::string whose = command == nullptr ? "" : std::string(command->name) + ' ';
    return {Asked::For::unclear, command, {}, problem + fmt::format(" See loomproof {}--help.", whose)};
}

std::string nearest(std::string_view word, const std::vector<std::string>& known) {
    const auto name = nearest_name(word, known);
    return name ? fmt::format("; the nearest is {}", *name) : "";
}

Asked unknown_command(const std::string& word) {
    std::vector<std::string> known;
    for (const Command& c : commands()) known.emplace_back(c.name);
    if (word.ends_with(".loom")) return unclear(fmt::format("To check {0}: loomproof check {0}.", word));
    const std::string near = nearest(word, known);
    if (!near.empty()) return unclear(fmt::format("There is no command \"{}\"{}.", word, near));
    return unclear(fmt::format("There is no command \"{}\"; there are {}.", word, list_of(known)));
}

Asked unknown_option(const std::string& typed, const Command* command) {
    const std::string word = typed.substr(0, typed.find('='));
    std::vector<std::string> known{"--help"};
    if (command == nullptr)
        known.emplace_back("--version");
    else
        for (const Option& o : command->options) known.emplace_back(o.name);
    const std::string who = command == nullptr ? "loomproof" : command->name;
    for (const Command& c : commands()) {
        const auto has = [&](const Option& o) { return o.name == word; };
        if (command == nullptr && std::any_of(c.options.begin(), c.options.end(), has))
            return unclear(fmt::format("{} belongs behind its command: loomproof {} FILE {}.", word, c.name, word), &c);
    }
    return unclear(fmt::format("{} has no option {}{}.", who, word, nearest(word, known)), command);
}

/// What is left over once everything known was taken; the problem, or nothing where that is only the mark `--`.
std::optional<Asked> left_over(std::vector<std::string> words, const Command* command) {
    const auto mark = std::find(words.begin(), words.end(), "--");
    const auto is_option = [](const std::string& w) { return w.size() > 1 && w.front() == '-'; };
    if (const auto option = std::find_if(words.begin(), mark, is_option); option != mark)
        return unknown_option(*option, command);
    if (mark != words.end()) words.erase(mark);
    if (words.empty()) return std::nullopt;
    if (command == nullptr) return unknown_command(words.front());
    return unclear(fmt::format("{} takes one {}; \"{}\" is one too many.", command->name,
                               command->arguments.front().name, words.front()),
                   command);
}

/// The sentence for what the parser itself refuses: an option without its value, or a plain switch with one.
Asked refused(int argc, const char* const* argv, const Command* command) {
    for (const Option& o : command == nullptr ? std::span<const Option>{} : command->options) {
        const std::vector<std::string> known(o.choices.begin(), o.choices.end());
        const std::string which = known.empty() ? "" : ": " + list_of(known, "or");
        const std::string with_value = std::string(o.name) + '=';
        const bool is_last = o.name == std::string_view(argv[argc - 1]);
        for (int i = 1; i < argc; ++i) {
            const std::string_view word = argv[i];
            if (o.value != nullptr && (word == with_value || (word == o.name && is_last)))
                return unclear(fmt::format("{} needs its {} behind it{}.", o.name, o.value, which), command);
            if (o.value == nullptr && word.starts_with(with_value))
                return unclear(fmt::format("{} stands alone, without a value.", o.name), command);
        }
    }
    return unclear("An option was given a value that it does not take.", command);
}

std::string together_of(const std::vector<std::string>& words, std::string_view between) {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? std::string{} : std::string(between)) + word;
    return out;
}

/// One command's part of the parser, and where it puts what it finds.
struct Reader {
    const Command* command = nullptr;
    CLI::App* app = nullptr;
    bool help = false;
    std::vector<std::vector<std::string>> arguments; ///< parallel to the table's
    std::vector<std::vector<std::string>> values;
    std::vector<CLI::Option*> options;

    void attach(CLI::App& root, const Command& row) {
        command = &row;
        app = root.add_subcommand(row.name);
        app->set_help_flag();
        app->allow_extras();
        app->add_flag("-h,--help", help);
        arguments.resize(row.arguments.size());
        values.resize(row.options.size());
        for (std::size_t i = 0; i < row.arguments.size(); ++i)
            if (row.arguments[i].many)
                app->add_option(row.arguments[i].name, arguments[i]);
            else
                app->add_option(row.arguments[i].name, arguments[i].emplace_back());
        for (std::size_t i = 0; i < row.options.size(); ++i) {
            const Option& o = row.options[i];
            CLI::Option* added = o.value == nullptr ? app->add_flag(o.name)->disable_flag_override()
                                                    : app->add_option(o.name, values[i])
                                                          ->expected(1)
                                                          ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
                                                          ->allow_extra_args(false);
            options.push_back(added);
        }
    }

    Asked asked() const {
        if (help) return {Asked::For::help, command, {}, {}};
        Asked out{Asked::For::command, command, {}, {}};
        if (const auto problem = left_over(app->remaining(), command)) return *problem;
        for (std::size_t i = 0; i < arguments.size(); ++i) {
            const Argument& a = command->arguments[i];
            if (app->get_option(a.name)->count() > 0)
                out.given.set(a.name, together_of(arguments[i], " "));
            else if (a.needed)
                return unclear(fmt::format("{} needs a {}: {}.", command->name, a.name, a.help), command);
        }
        for (std::size_t i = 0; i < options.size(); ++i) {
            const Option& o = command->options[i];
            if (options[i]->count() == 0) continue;
            if (o.value == nullptr) {
                out.given.set(o.name, {});
                continue;
            }
            if (values[i].size() > 1 && !o.repeats)
                return unclear(fmt::format("{} stands there {}, with {}; give it once.", o.name,
                                           values[i].size() == 2 ? "twice" : "several times", list_of(values[i])),
                               command);
            for (const std::string& value : values[i]) {
                if (!o.choices.empty() && std::find(o.choices.begin(), o.choices.end(), value) == o.choices.end()) {
                    const std::vector<std::string> known(o.choices.begin(), o.choices.end());
                    return unclear(fmt::format("{} can be {}, not \"{}\"{}.", o.name, list_of(known, "or"), value,
                                               nearest(value, known)),
                                   command);
                }
            }
            out.given.set(o.name, together_of(values[i], ", "));
        }
        return out;
    }
};

} // namespace

Asked read_arguments(int argc, const char* const* argv) {
    if (argc < 2) return {};
    CLI::App root;
    root.set_help_flag();
    root.allow_extras();
    bool help = false, version = false;
    root.add_flag("-h,--help", help);
    root.add_flag("--version", version);
    root.require_subcommand(0, 1);
    std::vector<Reader> readers(commands().size());
    for (std::size_t i = 0; i < readers.size(); ++i) readers[i].attach(root, commands()[i]);
    const auto used = [&] {
        const auto at = std::find_if(readers.begin(), readers.end(), [](const Reader& r) { return r.app->parsed(); });
        return at == readers.end() ? nullptr : &*at;
    };

    try {
        root.parse(argc, argv);
    } catch (const CLI::ParseError&) { return refused(argc, argv, used() == nullptr ? nullptr : used()->command); }
    if (help) return {Asked::For::help, nullptr, {}, {}};
    if (version) return {Asked::For::version, nullptr, {}, {}};
    if (const Reader* reader = used()) {
        // Words behind `--` that the command has no use for end up here too.
        const bool begins_with_it = reader->command->name == std::string_view(argv[1]);
        if (const auto problem = left_over(root.remaining(), begins_with_it ? reader->command : nullptr))
            return *problem;
        return reader->asked();
    }
    return left_over(root.remaining(), nullptr).value_or(Asked{});
}

} // namespace loomproof::app
