#include "app/begin_talk.hpp"

#include "app/loader.hpp"
#include "app/typed_name.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "begin/answer.hpp"
#include "circuit/read.hpp"
#include "netlist/source.hpp"
#include "report/page.hpp"

#include <algorithm>
#include <filesystem>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

const char* const cautions[] = {
    "Before you touch a wire: battery off, the grounded post first.",
    "Local rules, the vehicle maker's procedure and licensed practice come before anything printed here.",
    "Restraint circuits (airbags, belt tensioners) are never tapped or probed.",
};

std::string indented(const std::string& text) {
    std::string out = "  ";
    for (std::size_t i = 0; i < text.size(); ++i) {
        out += text[i];
        if (text[i] == '\n' && i + 1 < text.size() && text[i + 1] != '\n') out += "  ";
    }
    return out;
}

/// A name like it that is not taken: fan.loom, fan-2.loom, ...
std::string free_name(const std::string& wanted) {
    const std::filesystem::path path(wanted);
    std::error_code problem;
    std::string name = wanted;
    for (int i = 2; std::filesystem::exists(std::filesystem::symlink_status(name, problem)); ++i)
        name =
            (path.parent_path() / fmt::format("{}-{}{}", path.stem().string(), i, path.extension().string())).string();
    return name;
}

/// How often a file says "guessed" of a figure.
std::size_t guesses_in(std::string_view text) {
    std::size_t out = 0;
    bool quoted = false, comment = false;
    constexpr std::string_view word = "guessed ";
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (text[at] == '\n') quoted = comment = false;
        if (text[at] == '"' && !comment) quoted = !quoted;
        comment = comment || (!quoted && text.substr(at).starts_with("//"));
        if (!quoted && !comment && lower(text.substr(at, word.size())) == word) ++out;
    }
    return out;
}

/// " Accepted: 1 in mm2, 2 by AWG number." behind what was wrong with an answer that was to be one of several; else empty.
std::string accepted_words(const begin::Ask& ask) {
    std::string out;
    for (std::size_t i = 0; i < ask.options.size(); ++i)
        out += fmt::format("{}{} {}", out.empty() ? " Accepted: " : ", ", i + 1, ask.options[i].text);
    return out.empty() ? out : out + '.';
}

bool is_yes(const std::string& small) {
    return small == "yes" || small == "y" || small == "ja" || small == "ok" || small == "yes please";
}

} // namespace

std::string opening(const report::Screen& screen) {
    std::string out;
    for (const char* caution : cautions) out += report::paragraph(screen, caution);
    return out;
}

std::string names_of(const JobForms& jobs, const std::vector<std::size_t>& which) {
    std::vector<std::string> names;
    for (const std::size_t i : which) names.emplace_back(jobs.names[i]);
    return list_of(names, "or");
}

std::string list_of_jobs(const JobForms& jobs, const report::Screen& screen, bool names) {
    std::vector<std::pair<std::string, std::string>> rows;
    for (std::size_t i = 0; i < jobs.forms.size(); ++i)
        rows.emplace_back(names ? std::string(jobs.names[i]) : fmt::format("{:2}", i + 1), jobs.forms[i].title);
    return report::in_columns(screen, rows);
}

std::optional<OldFile> read_old_file(const std::string& path, const Console& console) {
    if (path == "-") {
        console.say("--into takes a file: nothing can be added to standard input.");
        return std::nullopt;
    }
    const Result<std::string> text = read_file(path, largest_source);
    if (!text) {
        console.say(text.error() + " --into takes a circuit file that is there already; a new one is made without it.");
        return std::nullopt;
    }
    Sources sources;
    Reading reading = read_circuit(sources, path, FileLoader(path));
    if (!reading.readable) {
        console.say(reading.failure);
        return std::nullopt;
    }
    if (!reading.findings.empty()) {
        console.say(fmt::format("{} has {} in its text; nothing is added before they are mended. loomproof check {} "
                                "shows them.",
                                path, counted(reading.findings.size(), "mistake"), typed_name(path)));
        return std::nullopt;
    }
    return OldFile{path, *text, std::move(reading.circuit)};
}

Result<begin::ForCar> BeginTalk::form_for(const JobForms& jobs, const begin::Wanted& wanted, const OldFile* into) {
    const begin::Form& form = jobs.forms[wanted.forms.front()];
    begin::ForCar out{form, {}, {}};
    if (into) {
        auto made = begin::for_car(form, into->circuit, into->path);
        if (!made) return made;
        out = std::move(*made);
    }
    for (const auto& [id, value] : wanted.said) out.said[id] = value;
    // Of several jobs nobody can tell which takes it.
    if (wanted.figure.empty() || !wanted.besides.empty()) return out;
    for (begin::Ask& ask : out.form.asks) {
        if (ask.id != "load" || ask.units.size() < 2) continue; // of a fuse block it is what all things on it take
        const auto figure = begin::read_answer(ask, wanted.figure);
        if (!figure) continue;
        ask.unknown = "guessed " + *figure;
        out.notes.push_back(
            fmt::format("You said {}: that stands in the file, as a guess, where you do not know better "
                        "what it takes at most.",
                        *figure));
    }
    return out;
}

std::string BeginTalk::about(const JobForms& jobs, const begin::Wanted& wanted, const OldFile* into,
                             const report::Screen& screen) {
    const begin::Form& form = jobs.forms[wanted.forms.front()];
    std::string out;
    if (!wanted.read_as.empty())
        out += report::paragraph(screen, fmt::format("Read as: {}. This form is for {}.", wanted.read_as, form.title));
    if (!wanted.why.empty())
        out += report::paragraph(
            screen, fmt::format("There is no form for just that. The nearest: {}. Why: {}", form.title, wanted.why));
    for (const begin::Ask& ask : form.asks)
        if (const auto said = wanted.said.find(ask.id); said != wanted.said.end())
            for (const begin::Option& option : ask.options)
                if (option.value == said->second)
                    out += report::paragraph(screen, fmt::format("{} {}, as you said.", ask.say, option.text));
    if (wanted.besides.empty()) return out;
    std::vector<std::string> others;
    for (const auto& besides : wanted.besides) others.push_back(besides.words);
    const std::string first = wanted.said.empty() ? form.title : wanted.said.begin()->second;
    out +=
        report::paragraph(screen, fmt::format("These words name {} jobs, and each has a form of its own. This one is "
                                              "for: {}. Not in it: {}. That comes afterwards, into the same file, "
                                              "with:",
                                              others.size() + 1, first, list_of(others)));
    const std::string file = into ? typed_name(into->path) : std::string("FILE");
    for (const std::string& other : others) out += fmt::format("  loomproof begin {} --into {}\n", other, file);
    return out;
}

void BeginTalk::wrong(const std::string& question, const std::string& why) const {
    console_.say(fmt::format("{}: {} {}", asking_.where(), question, why));
}

Exit BeginTalk::run(begin::Wanted wanted) {
    const report::Screen& screen = console_.screen();
    console_.out += opening(screen) + '\n' +
                    report::paragraph(screen, "To each question: ? explains it, \"don't know\" is an answer, \"back\" "
                                              "goes back, \"stop\" ends.") +
                    '\n';
    std::size_t first = 1; // the list, where it is asked, is question 1
    for (;;) {
        if (wanted.forms.size() != 1) {
            auto chosen = choose();
            if (!chosen) return ended();
            wanted = std::move(*chosen);
            first = 2;
        }
        if (const std::string said = about(jobs_, wanted, into_, screen); !said.empty()) console_.out += said + '\n';
        Result<begin::ForCar> form = form_for(jobs_, wanted, into_);
        if (!form) {
            console_.say(form.error());
            return Exit::failed;
        }
        begin::Dialogue dialogue(form->form, first, form->said);
        const std::vector<std::string> of_this_job = begin::cautions_of(form->form, form->said);
        for (const std::string& caution : of_this_job) console_.out += report::paragraph(screen, caution);
        for (const std::string& note : form->notes) console_.out += report::paragraph(screen, note);
        if (!of_this_job.empty() || !form->notes.empty()) console_.out += '\n';
        switch (questions(dialogue)) {
        case Next::job: wanted = {}; continue;
        case Next::stop: return ended();
        case Next::written: return finish(dialogue, wanted);
        }
    }
}

std::optional<begin::Wanted> BeginTalk::choose() {
    const report::Screen& screen = console_.screen();
    for (;;) {
        console_.out += "1. What do you want to fit?\n" + list_of_jobs(jobs_, screen, false);
        const auto line = asking_.answer();
        if (!line || begin::read_word(*line) == begin::Word::stop) return std::nullopt;
        const bool plain = begin::read_word(*line) == begin::Word::none;
        begin::Wanted wanted = plain ? begin::wanted_form(jobs_.forms, jobs_.names, *line) : begin::Wanted{};
        const auto& found = wanted.forms;
        if (found.size() == 1) {
            console_.out += '\n';
            return wanted;
        }
        if (plain && !asking_.where().empty()) {
            wrong("What do you want to fit?", "No one job is called that.");
            return std::nullopt;
        }
        if (found.size() > 1) {
            console_.out +=
                report::paragraph(screen, fmt::format("That can be {}: type which.", names_of(jobs_, found)));
            continue;
        }
        switch (begin::read_word(*line)) {
        case begin::Word::explain:
            console_.out += report::paragraph(
                screen, "Type the number of what comes nearest, or what it is in your own words. The file can be "
                        "changed afterwards with any editor.");
            break;
        case begin::Word::dont_know:
            console_.out += report::paragraph(screen, "Then take 10, one big load: it is the plainest one. Or read "
                                                      "netlists/README.md and write the file yourself.");
            break;
        case begin::Word::back: console_.out += report::paragraph(screen, "This is the first question."); break;
        default:
            console_.out += report::paragraph(
                screen,
                fmt::format("No form is known by these words. Type a number from 1 to {}; 10 fits most single things.",
                            jobs_.forms.size()));
        }
    }
}

BeginTalk::Next BeginTalk::questions(begin::Dialogue& dialogue) {
    const std::size_t width = console_.screen().width;
    std::size_t refused = 0;
    for (;;) {
        while (!dialogue.done()) {
            console_.out += dialogue.question(width);
            const std::string question =
                fmt::format("question {}: {}", dialogue.number(), dialogue.form().asks[dialogue.at()].say);
            const bool over = asking_.at_end();
            const auto line = asking_.answer();
            if (!line && over) wrong(question, "The file ends before it.");
            if (!line) return Next::stop;
            const begin::Word word = begin::read_word(*line);
            if (word == begin::Word::stop) return Next::stop;
            if (word == begin::Word::back && dialogue.at_first()) return Next::job;
            console_.out += dialogue.take(*line, width) + '\n';
            // A person is asked again; in a file the next line answers the next question, and all wrong ones are named at once.
            if (dialogue.refused().empty() || asking_.where().empty()) continue;
            const begin::Ask& ask = dialogue.form().asks[dialogue.at()];
            wrong(question, dialogue.refused() + accepted_words(ask));
            ++refused;
            const bool others_follow = std::ranges::any_of(
                dialogue.form().asks, [&](const begin::Ask& other) { return other.when.id == ask.id; });
            if (others_follow) return Next::stop; // which question comes next hangs on it
            dialogue.take("don't know", width);
        }
        if (refused > 0) {
            console_.say(fmt::format("{} not taken; the others were. Mend {} and call it again.",
                                     refused == 1 ? "One answer was" : fmt::format("{} answers were", refused),
                                     refused == 1 ? "that line" : "those lines"));
            return Next::stop;
        }
        console_.out += (into_ ? fmt::format("This comes at the end of {}:\n\n", into_->path)
                               : std::string("This is the file:\n\n")) +
                        indented(dialogue.file()) + '\n';
        switch (into_ ? add(dialogue) : write(dialogue)) {
        case begin::Word::back: dialogue.go_back(); continue;
        case begin::Word::stop: return Next::stop;
        default: return Next::written;
        }
    }
}

begin::Word BeginTalk::write(begin::Dialogue& dialogue) {
    std::string name = free_name(dialogue.file_name());
    for (;;) {
        console_.out += report::paragraph(
            console_.screen(), fmt::format("{}. Write it to {}? yes, or another name.", dialogue.number(), name));
        const bool over = asking_.at_end();
        const auto line = asking_.answer("?, yes, a name, back, stop");
        if (!line && over)
            wrong(fmt::format("question {}: Write it to {}?", dialogue.number(), name), "The file ends before it.");
        if (!line) return begin::Word::stop;
        switch (begin::read_word(*line)) {
        case begin::Word::back: return begin::Word::back;
        case begin::Word::stop: return begin::Word::stop;
        case begin::Word::explain:
            console_.out += report::paragraph(console_.screen(), "Nothing is written over: a name that is taken stays "
                                                                 "as it is. The file is plain text; any editor opens "
                                                                 "it.");
            continue;
        case begin::Word::dont_know:
            console_.out += report::paragraph(console_.screen(), "Type yes and it is written, or stop and nothing is.");
            continue;
        case begin::Word::none: break;
        }
        const std::string wanted(trimmed(*line));
        const std::string small = lower(wanted);
        if (wanted.empty() || small == "no" || small == "n") {
            console_.out += "Type yes, another name, back or stop.\n";
            continue;
        }
        if (!is_yes(small)) {
            name = wanted;
            if (std::filesystem::path(name).extension().empty()) name += ".loom";
        }
        const Result<void> written = write_new_file(name, dialogue.file());
        if (written) {
            written_ = name;
            return begin::Word::none;
        }
        console_.out += report::paragraph(console_.screen(), written.error() + " Type another name, or stop.");
        name = free_name(dialogue.file_name());
    }
}

/// Behind what is there; not one byte of that is changed.
begin::Word BeginTalk::add(begin::Dialogue& dialogue) {
    for (;;) {
        console_.out += report::paragraph(console_.screen(), fmt::format("{}. Add it at the end of {}? yes, or stop.",
                                                                         dialogue.number(), into_->path));
        const bool over = asking_.at_end();
        const auto line = asking_.answer("?, yes, back, stop");
        if (!line && over) wrong(fmt::format("question {}: Add it?", dialogue.number()), "The file ends before it.");
        if (!line) return begin::Word::stop;
        const begin::Word word = begin::read_word(*line);
        if (word == begin::Word::back || word == begin::Word::stop) return word;
        if (word == begin::Word::explain || !is_yes(lower(trimmed(*line)))) {
            console_.out += report::paragraph(
                console_.screen(), "What stands in the file stays as it is; these lines come behind it. Type yes, back "
                                   "or stop.");
            continue;
        }
        std::string changed = into_->text;
        if (!changed.empty() && changed.back() != '\n') changed += '\n';
        changed += '\n' + dialogue.file();
        Sources sources;
        const FileLoader files(into_->path);
        const Reading after = read_circuit(sources, into_->path, [&](const std::string& path) {
            return path == into_->path ? Result<std::string>(changed) : files(path);
        });
        if (!after.readable || !after.findings.empty()) {
            console_.say(fmt::format("At the end of {} these lines would not be read as they stand ({}); nothing was "
                                     "changed.",
                                     into_->path, after.readable ? after.findings.front().headline : after.failure));
            return begin::Word::stop;
        }
        // An editor may have saved it while the questions were answered.
        const Result<std::string> now = read_file(into_->path, largest_source);
        if (!now || *now != into_->text) {
            console_.say(fmt::format("{} was changed meanwhile; nothing was added. Call it again.", into_->path));
            return begin::Word::stop;
        }
        if (const Result<void> written = write_file(into_->path, changed); !written) {
            console_.say(written.error());
            return begin::Word::stop;
        }
        written_ = into_->path;
        return begin::Word::none;
    }
}

Exit BeginTalk::ended() {
    console_.out += "Stopped. Nothing was written.\n";
    return Exit::failed;
}

Exit BeginTalk::finish(const begin::Dialogue& dialogue, const begin::Wanted& wanted) {
    console_.out += fmt::format("{}: {}\n\nWhat the check says{}:\n\n", into_ ? "Added to" : "Written", written_,
                                into_ ? " about the whole file" : "");
    console_.show();
    Given given;
    given.set("FILE", written_);
    const Exit checked = check(given, console_);
    console_.show();

    std::filesystem::path picture(written_);
    given.set("-o", free_name(picture.replace_extension(".svg").string()));
    if (into_ && into_->circuit.revisions.size() > 1) given.set("--planned", "");
    const Exit drawn = draw(given, console_);
    if (drawn != Exit::failed)
        console_.out +=
            fmt::format("\nDrawn: {} (any browser opens it)\nWhen you have changed the file: loomproof check {}\n",
                        given.value("-o"), typed_name(written_));
    if (wanted.besides.empty())
        console_.out += fmt::format("To add another job to it: loomproof begin --into {}\n", typed_name(written_));
    for (const auto& besides : wanted.besides)
        console_.out += fmt::format("And now: loomproof begin {} --into {}\n", besides.words, typed_name(written_));
    console_.out += rests_on(dialogue);
    return drawn == Exit::failed ? Exit::failed : checked;
}

/// The last words: nobody shall take the verdict for more than the guesses that it rests on.
std::string BeginTalk::rests_on(const begin::Dialogue& dialogue) const {
    const report::Screen& screen = console_.screen();
    const auto open = dialogue.to_measure();
    const auto guessed = std::ranges::count_if(open, &begin::Dialogue::Open::counts);
    std::string out;
    if (guessed > 0) {
        out += '\n' +
               report::paragraph(
                   screen, fmt::format("This verdict rests on {} guessed {}. Measure, put it into the file, and check "
                                       "again:",
                                       guessed, guessed == 1 ? "figure" : "figures"));
        for (const auto& o : open)
            if (o.counts) out += report::labelled(screen, "-", fmt::format("{} (now: {})", o.measure, o.instead));
    }
    if (static_cast<std::size_t>(guessed) < open.size()) {
        out += "\nStill to find out:\n";
        for (const auto& o : open)
            if (!o.counts) out += report::labelled(screen, "-", o.measure);
    }
    if (const std::size_t before = into_ ? guesses_in(into_->text) : 0; before > 0)
        out += '\n' + report::paragraph(screen, fmt::format("{} {} guessed in {} before; the check lists {} under \"I "
                                                            "assumed\".",
                                                            counted(before, "figure"), before == 1 ? "was" : "were",
                                                            into_->path, before == 1 ? "it" : "them"));
    return out;
}

} // namespace loomproof::app
