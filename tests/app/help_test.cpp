#include "app/process.hpp"

#include "app/command.hpp"
#include "app/glossary.hpp"
#include "support/stored.hpp"
#include "support/text.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <set>

namespace loomproof::tests {

namespace {

/// What bash proposes for a line, of which the last word is being typed.
std::string proposed(const Bench& bench, const std::string& words) {
    const std::string script = "source loomproof.bash; COMP_WORDS=(" + words +
                               "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _loomproof; echo \"${COMPREPLY[*]}\"";
    const Ended ended = run(bench, Run{{"--norc", "-c", script}, {}, {}, Run::Output::file, 80, "/bin/bash"});
    CHECK(ended.err == "");
    return ended.out;
}

} // namespace

TEST_CASE("help says the same as --help, and knows rules, mistakes of the text and words of the trade") {
    const Bench bench("help-command");
    CHECK(run(bench, {"help"}).out == run(bench, {"--help"}).out);
    for (const app::Command& c : app::commands())
        CHECK(run(bench, {"help", c.name}).out == run(bench, {c.name, "--help"}).out);
    CHECK(run(bench, {"help", "unfused-feed"}).out == run(bench, {"explain", "unfused-feed"}).out);
    CHECK(run(bench, {"explain", "Splices"}).out == run(bench, {"help", "splice"}).out);
    CHECK(run(bench, {"help", "cavity"}).out == "hole, cavity\n  means    One place in a plug, counted as on the plug. "
                                                "The same hole number is\n           on both halves.\n");
    const Ended near = run(bench, {"help", "spilce"});
    CHECK(near.status == 2);
    CHECK(has(near.err, "the nearest is splice"));
    support::check_stored("tests/app/expected/help-words.txt", run(bench, {"help", "words"}).out);
}

TEST_CASE("on a phone's narrow screen every line of every help fits") {
    const Bench bench("help-phone");
    std::vector<std::vector<std::string>> all{{"help"}, {"--help"}};
    for (const app::Command& c : app::commands()) all.push_back({"help", c.name});
    for (const std::size_t width : {40U, 60U})
        for (const auto& words : all) {
            Run phone{words, {}};
            phone.output = Run::Output::terminal;
            phone.width = static_cast<unsigned short>(width);
            phone.environment = {"NO_COLOR=1"};
            const std::string out = run(bench, phone).out;
            CHECK(out.size() > 100);
            for (std::size_t at = 0; at < out.size();) {
                const std::size_t end = std::min(out.find('\n', at), out.size());
                std::string line = out.substr(at, end - at);
                if (!line.empty() && line.back() == '\r') line.pop_back();
                CHECK_MESSAGE(line.size() <= width, line);
                at = end + 1;
            }
        }
}

TEST_CASE("the words stand by alphabet, each once, and say something") {
    std::set<std::string> seen;
    std::string before;
    for (const app::GlossaryWord& w : app::glossary()) {
        CHECK(before < std::string(w.word));
        before = w.word;
        CHECK(w.means.size() > 30);
        CHECK(w.means.back() == '.');
        for (std::string_view rest = w.word; !rest.empty();) {
            const std::size_t end = std::min(rest.find(", "), rest.size());
            CHECK_MESSAGE(seen.insert(std::string(rest.substr(0, end))).second, std::string(rest));
            CHECK(app::find_word(rest.substr(0, end)) == &w);
            rest.remove_prefix(std::min(end + 2, rest.size()));
        }
    }
}

TEST_CASE("bash completes commands, options, values, names and files") {
    const Bench bench("completion");
    bench.write("loomproof.bash", run(bench, {"help", "--completion", "bash"}).out);
    bench.write("my-car.loom", "loom 1\n");
    const Ended checked = run(bench, Run{{"-n", "loomproof.bash"}, {}, {}, Run::Output::file, 80, "/bin/bash"});
    CHECK(checked.status == 0);
    CHECK(checked.err == "");
    CHECK(proposed(bench, "loomproof ch") == "check\n");
    CHECK(proposed(bench, "loomproof check my") == "my-car.loom\n");
    CHECK(proposed(bench, "loomproof check my-car.loom --thr") == "--threshold\n");
    CHECK(proposed(bench, "loomproof check my-car.loom --threshold d") == "danger\n");
    CHECK(proposed(bench, "loomproof draw my-car.loom --paper A") == "A4 A3\n");
    CHECK(proposed(bench, "loomproof explain unfused") == "unfused-feed\n");
    CHECK(proposed(bench, "loomproof begin tr") == "trailer-socket\n");
    CHECK(proposed(bench, "loomproof help ti") == "tidy\n");
    for (const app::Command& c : app::commands())
        for (const app::Option& o : c.options)
            CHECK(has(proposed(bench, std::string("loomproof ") + c.name + " -"), o.name));
}

TEST_CASE("zsh and fish get every command and option too") {
    const Bench bench("completion-others");
    const std::string zsh = run(bench, {"help", "--completion", "zsh"}).out,
                      fish = run(bench, {"help", "--completion", "fish"}).out;
    CHECK(zsh.starts_with("#compdef loomproof\n"));
    for (const app::Command& c : app::commands()) {
        CHECK(has(zsh, std::string("    ") + c.name + ")\n"));
        CHECK(has(fish, std::string("-n __fish_use_subcommand -a ") + c.name + ' '));
        for (const app::Option& o : c.options) {
            CHECK(has(zsh, std::string("'") + o.name + '['));
            const std::string_view name(o.name);
            CHECK(has(fish, name.starts_with("--") ? " -l " + std::string(name.substr(2))
                                                   : " -s " + std::string(name.substr(1))));
        }
    }
    for (std::string text : {zsh, fish}) { // every quote is closed
        for (std::size_t at = 0; (at = text.find("'\\''", at)) != std::string::npos;) text.erase(at, 4);
        CHECK(std::count(text.begin(), text.end(), '\'') % 2 == 0);
    }
    CHECK(run(bench, {"help", "--completion", "csh"}).status == 2);
}

TEST_CASE("zsh, with somebody at its keyboard, completes commands, their words, options and files") {
    const Bench bench("completion-zsh");
    bench.write("functions/_loomproof", run(bench, {"help", "--completion", "zsh"}).out);
    bench.write("my-car.loom", "");
    // A shell within a pseudo-terminal: each line is typed with a tab behind it, and the command prints what it was given.
    bench.write("keyboard", R"sh(
zmodload zsh/zpty
zpty z "zsh -f -i"
zpty -w z "PS1=; zle_bracketed_paste=(); fpath=($PWD/functions \$fpath); autoload -Uz compinit; compinit -u -D; loomproof() { print -r -- \"got: <\$*>\" }; print rea''dy"
zpty -r -m z out '*ready*'
while IFS= read -r typed; do
  zpty -w -n z "loomproof $typed"$'\t\n'
  zpty -r -m z out '*got: <*>*'
  print -r -- "${${out##*got: <}%%>*}"
done
zpty -d z
)sh");
    const Ended ended = run(bench, Run{{"30", "/usr/bin/zsh", "-f", "keyboard"},
                                       "tid\nbegin trail\nexplain unfuse\ndraw my-ca\ndraw my-car.loom --pap\n",
                                       {"PATH=/usr/bin:/bin", "HOME=" + bench.folder().string()},
                                       Run::Output::file,
                                       80,
                                       "/usr/bin/timeout"});
    CHECK(ended.out ==
          "tidy\nbegin trailer-socket\nexplain unfused-feed\ndraw my-car.loom\ndraw my-car.loom --paper\n");
    CHECK(ended.status == 0);
}

TEST_CASE("fish completes commands, their words, options and files") {
    const Bench bench("completion-fish");
    bench.write("loomproof.fish", run(bench, {"help", "--completion", "fish"}).out);
    bench.write("my-car.loom", "");
    const auto proposes = [&](const std::string& line) {
        const Ended ended =
            run(bench, Run{{"--no-config", "-c", "source loomproof.fish; complete -C 'loomproof " + line + "'"},
                           {},
                           {"PATH=/usr/bin:/bin", "HOME=" + bench.folder().string()},
                           Run::Output::file,
                           80,
                           "/usr/bin/fish"});
        CHECK(ended.status == 0);
        std::string words; // the first column of each line
        for (std::size_t at = 0; at < ended.out.size();) {
            const std::size_t end = std::min(ended.out.find('\n', at), ended.out.size());
            words += ended.out.substr(at, std::min(ended.out.find('\t', at), end) - at) + ' ';
            at = end + 1;
        }
        return words;
    };
    CHECK(proposes("tid") == "tidy ");
    CHECK(proposes("begin tr") == "trailer-socket ");
    CHECK(proposes("explain unfuse") == "unfused-feed ");
    CHECK(proposes("draw my-ca") == "my-car.loom ");
    CHECK(proposes("draw my-car.loom --pap") == "--paper ");
    CHECK(proposes("draw my-car.loom --paper A") == "A3 A4 ");
}

TEST_CASE("the manual page names everything, and no line of it is taken for a request") {
    const Bench bench("man");
    const std::string page = run(bench, {"help", "--man"}).out;
    CHECK(page.starts_with(".TH LOOMPROOF 1 "));
    for (const app::Command& c : app::commands()) CHECK(has(page, std::string(".SS ") + c.name + '\n'));
    const std::set<std::string> requests{".TH", ".SH", ".SS", ".TP", ".B", ".I"};
    for (std::size_t at = 0; at < page.size();) {
        const std::size_t end = page.find('\n', at);
        const std::string line = page.substr(at, end - at);
        if (line.starts_with('.')) CHECK_MESSAGE(requests.contains(line.substr(0, line.find(' '))), line);
        CHECK_FALSE(line.starts_with('\''));
        CHECK_FALSE(line.empty());
        at = end + 1;
    }
    if (std::filesystem::exists("/usr/bin/groff")) {
        bench.write("loomproof.1", page);
        const Ended set = run(bench, Run{{"-man", "-Tascii", "-ww", "loomproof.1"},
                                         {},
                                         {"PATH=/usr/bin:/bin"},
                                         Run::Output::file,
                                         80,
                                         "/usr/bin/groff"});
        if (set.status == 0) CHECK(set.err == "");
    }
}

TEST_CASE("the program's name alone gives four lines") {
    const std::string out = run(Bench("alone"), std::vector<std::string>{}).out;
    CHECK(std::count(out.begin(), out.end(), '\n') == 4);
    CHECK(has(out, "loomproof begin"));
    CHECK(has(out, "loomproof check"));
}

} // namespace loomproof::tests
