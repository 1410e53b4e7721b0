#include "app/completion.hpp"

#include "app/command.hpp"
#include "base/version.hpp"

#include <algorithm>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

bool is_file(std::string_view name) { return name == "FILE"; }

std::string blanks_between(const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
    return out;
}

std::string choices_of(const Option& o) { return blanks_between({o.choices.begin(), o.choices.end()}); }

std::string command_names() {
    std::vector<std::string> names;
    for (const Command& c : commands()) names.emplace_back(c.name);
    return blanks_between(names);
}

/// Within single quotes of a shell.
std::string quoted(std::string_view text) {
    std::string out = "'";
    for (const char ch : text) out += ch == '\'' ? "'\\''" : std::string(1, ch);
    return out + "'";
}

std::string for_bash() {
    std::string out =
        "# Completion of loomproof for bash. To use it: source this file, or put it where bash-completion looks.\n"
        "_loomproof() {\n"
        "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} known=\n"
        "  COMPREPLY=()\n";
    out += fmt::format("  if ((COMP_CWORD == 1)); then\n    COMPREPLY=($(compgen -W '{} --help --version' -- "
                       "\"$word\"))\n    return\n  fi\n",
                       command_names());
    out += "  case ${COMP_WORDS[1]}:$before in\n";
    for (const Command& c : commands())
        for (const Option& o : c.options) {
            if (o.value == nullptr) continue;
            if (!o.choices.empty())
                out += fmt::format("    {}:{}) COMPREPLY=($(compgen -W '{}' -- \"$word\")); return ;;\n", c.name,
                                   o.name, choices_of(o));
            else
                out += fmt::format("    {}:{}) {}return ;;\n", c.name, o.name,
                                   is_file(o.value) ? "COMPREPLY=($(compgen -f -- \"$word\")); " : "");
        }
    out += "  esac\n  case ${COMP_WORDS[1]} in\n";
    for (const Command& c : commands()) {
        std::vector<std::string> known{"--help"};
        bool file = false;
        for (const Option& o : c.options) known.emplace_back(o.name);
        for (const Argument& a : c.arguments) {
            file = file || is_file(a.name) || a.many;
            if (a.known != nullptr)
                for (const std::string& word : a.known()) known.push_back(word);
        }
        out += fmt::format("    {}) known={}{} ;;\n", c.name, quoted(blanks_between(known)),
                           file ? "; [[ $word != -* ]] && COMPREPLY=($(compgen -f -- \"$word\"))" : "");
    }
    out += "  esac\n"
           "  COMPREPLY+=($(compgen -W \"$known\" -- \"$word\"))\n"
           "}\n"
           "complete -o filenames -F _loomproof loomproof\n";
    return out;
}

/// Within the brackets of zsh's _arguments: no brackets, no colons.
std::string plain(std::string text) {
    std::erase_if(text, [](char ch) { return ch == '[' || ch == ']' || ch == '`'; });
    std::ranges::replace(text, ':', ',');
    return text;
}

std::string for_zsh() {
    std::string out = "#compdef loomproof\n"
                      "# Completion of loomproof for zsh. To use it: put it as _loomproof into a folder of $fpath.\n"
                      "_loomproof() {\n"
                      "  local -a names\n"
                      "  names=(\n";
    for (const Command& c : commands())
        out += fmt::format("    {}\n", quoted(fmt::format("{}:{}", c.name, plain(c.summary))));
    out += "  )\n"
           "  if ((CURRENT == 2)); then\n    _describe command names\n    _arguments '--help[help]' "
           "'--version[version]'\n    return\n  fi\n"
           "  local command=$words[2]\n"
           "  shift words\n  ((CURRENT--))\n"
           "  case $command in\n";
    for (const Command& c : commands()) {
        out += fmt::format("    {})\n      _arguments \\\n", c.name);
        for (const Option& o : c.options) {
            std::string value;
            if (o.value != nullptr)
                value = !o.choices.empty() ? fmt::format(":{}:({})", o.value, choices_of(o))
                                           : fmt::format(":{}:{}", o.value, is_file(o.value) ? "_files" : "");
            out += fmt::format("        {} \\\n", quoted(fmt::format("{}[{}]{}", o.name, plain(o.help), value)));
        }
        for (const Argument& a : c.arguments) {
            const std::string what = a.known != nullptr          ? '(' + blanks_between(a.known()) + ')'
                                     : is_file(a.name) || a.many ? "_files"
                                                                 : "";
            out += fmt::format("        {} \\\n", quoted(fmt::format("{}:{}:{}", a.many ? "*" : "", a.name, what)));
        }
        out += "        '--help[help]'\n      ;;\n";
    }
    out += "  esac\n}\n_loomproof \"$@\"\n";
    return out;
}

std::string for_fish() {
    std::string out = "# Completion of loomproof for fish. To use it: put it as loomproof.fish into the folder "
                      "completions of the settings of fish.\n"
                      "complete -c loomproof -f\n"
                      "complete -c loomproof -n __fish_use_subcommand -l help -d 'help'\n"
                      "complete -c loomproof -n __fish_use_subcommand -l version -d 'version'\n";
    for (const Command& c : commands()) {
        const std::string here = fmt::format("complete -c loomproof -n '__fish_seen_subcommand_from {}'", c.name);
        out += fmt::format("complete -c loomproof -n __fish_use_subcommand -a {} -d {}\n", c.name, quoted(c.summary));
        for (const Argument& a : c.arguments) {
            if (a.known != nullptr) out += fmt::format("{} -a {}\n", here, quoted(blanks_between(a.known())));
            if (is_file(a.name) || a.many) out += here + " -F\n";
        }
        for (const Option& o : c.options) {
            const std::string_view name(o.name);
            out += here + (name.starts_with("--") ? fmt::format(" -l {}", name.substr(2))
                                                  : fmt::format(" -s {}", name.substr(1)));
            if (o.value != nullptr)
                out += !o.choices.empty() ? fmt::format(" -x -a {}", quoted(choices_of(o)))
                       : is_file(o.value) ? " -r -F"
                                          : " -x";
            out += fmt::format(" -d {}\n", quoted(o.help));
        }
    }
    return out;
}

/// Text for man(7): what its language would take for its own is guarded.
std::string roff(std::string_view text) {
    std::string out;
    for (const char ch : text) {
        if (ch == '\\')
            out += "\\e";
        else if (ch == '-')
            out += "\\-";
        else
            out += ch;
    }
    if (!out.empty() && (out.front() == '.' || out.front() == '\'')) out.insert(0, "\\&");
    return out + '\n';
}

} // namespace

std::string completion(std::string_view shell) {
    if (shell == "bash") return for_bash();
    if (shell == "zsh") return for_zsh();
    if (shell == "fish") return for_fish();
    return {};
}

std::string manual_page() {
    std::string out = fmt::format(".TH LOOMPROOF 1 \"\" \"loomproof {}\"\n.SH NAME\n", version());
    out += roff("loomproof - proofs a vehicle's wiring loom (harness) before the battery goes back on");
    out += ".SH SYNOPSIS\n.B loomproof\n.I COMMAND\n[...]\n.SH DESCRIPTION\n";
    out += roff("Reads a plain text circuit file and says what can burn, what will not work, and how to mend it; draws "
                "it, predicts what a meter shows, sizes wires and fuses. Nothing leaves the machine.");
    out += ".SH COMMANDS\n";
    for (const Command& c : commands()) {
        out += ".SS " + roff(c.name) + roff(c.about);
        const auto item = [&](std::string_view name, std::string_view value, std::string_view help) {
            std::string words = roff(name);
            words.pop_back();
            out += ".TP\n.B " + words + (value.empty() ? "" : " " + std::string(value)) + '\n' + roff(help);
        };
        for (const Argument& a : c.arguments) item(a.name, a.many ? "..." : "", a.help);
        for (const Option& o : c.options) item(o.name, o.value == nullptr ? "" : o.value, o.help);
    }
    out += ".SH EXIT STATUS\n" + roff("0 nothing found that counts, 1 something found, 2 could not do the job.");
    out += ".SH CAUTION\n" + roff("Loomproof advises, it does not certify. Battery off (grounded post first) before "
                                  "you touch the wiring; local rules, the vehicle maker's procedure and licensed "
                                  "practice come first. Restraint circuits are never tapped or probed.");
    return out;
}

} // namespace loomproof::app
