#include "app/asking.hpp"
#include "app/command.hpp"
#include "app/loader.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "begin/dialogue.hpp"
#include "begin/wanted.hpp"
#include "report/page.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

constexpr std::array<const char*, 10> jobs{
    "headlamp-relays", "driving-lights", "electric-fan",   "two-fans",   "horn",
    "fuel-pump",       "second-battery", "trailer-socket", "fuse-block", "big-load"};
constexpr std::size_t largest_form = 100'000;

const char* const cautions[] = {
    "Before you touch a wire: battery off, the grounded post first.",
    "Local rules, the vehicle maker's procedure and licensed practice come before anything printed here.",
    "Restraint circuits (airbags, belt tensioners) are never tapped or probed.",
};

/// Nothing, after saying why, where one is missing.
std::optional<std::vector<begin::Form>> all_forms(const Console& console) {
    const std::string folder = folder_that_comes_along("templates");
    if (folder.empty()) {
        console.say("The forms that come with Loomproof are not there: its folder \"templates\" is missing.");
        return std::nullopt;
    }
    const Result<std::string> common = read_file(folder + "/common.form", largest_form);
    std::vector<begin::Form> forms;
    for (const char* job : jobs) {
        const std::string path = fmt::format("{}/{}.form", folder, job);
        const Result<std::string> text = read_file(path, largest_form);
        if (!text || !common) {
            console.say(!common ? common.error() : text.error());
            return std::nullopt;
        }
        auto form = begin::read_form(path, *text, *common);
        if (!form) {
            console.say(form.error());
            return std::nullopt;
        }
        forms.push_back(std::move(*form));
    }
    return forms;
}

begin::Wanted jobs_of(const std::vector<begin::Form>& forms, const std::string& typed) {
    return begin::wanted_form(forms, jobs, typed);
}

/// Said before the first question where the form was not made for what was typed.
std::string nearest_form(const std::vector<begin::Form>& forms, const begin::Wanted& wanted, const report::Screen& s) {
    if (wanted.why.empty()) return {};
    return report::paragraph(s, fmt::format("There is no form for just that. The nearest: {}. Why: {}",
                                            forms[wanted.forms.front()].title, wanted.why));
}

/// "driving-lights or headlamp-relays"
std::string names_of(const std::vector<std::size_t>& which) {
    std::vector<std::string> names;
    for (const std::size_t i : which) names.emplace_back(jobs[i]);
    return list_of(names, "or");
}

std::string list_of_jobs(const std::vector<begin::Form>& forms, const report::Screen& screen, bool names) {
    std::vector<std::pair<std::string, std::string>> rows;
    for (std::size_t i = 0; i < forms.size(); ++i)
        rows.emplace_back(names ? std::string(jobs[i]) : fmt::format("{:2}", i + 1), forms[i].title);
    return report::in_columns(screen, rows);
}

std::string opening(const report::Screen& screen) {
    std::string out;
    for (const char* caution : cautions) out += report::paragraph(screen, caution);
    return out;
}

class Talk {
  public:
    Talk(Console& console, Asking& asking, const std::vector<begin::Form>& forms)
        : console_(console), forms_(forms), asking_(asking) {}

    /// `job`: null where it is to be asked.
    Exit run(const begin::Form* job) {
        const report::Screen& screen = console_.screen();
        console_.out +=
            opening(screen) + '\n' +
            report::paragraph(
                screen,
                "To each question: ? explains it, \"don't know\" is an answer, \"back\" goes back, \"stop\" ends.") +
            '\n';
        std::size_t first = 1; // the list, where it is asked, is question 1
        for (;;) {
            if (!job) {
                if ((job = choose()) == nullptr) return ended();
                first = 2;
            }
            begin::Dialogue dialogue(*job, first);
            for (const std::string& caution : dialogue.form().cautions)
                console_.out += report::paragraph(screen, caution);
            if (!dialogue.form().cautions.empty()) console_.out += '\n';
            switch (questions(dialogue)) {
            case Next::job: job = nullptr; continue;
            case Next::stop: return ended();
            case Next::written: return finish(dialogue);
            }
        }
    }

  private:
    void wrong(const std::string& question, const std::string& why) const {
        console_.say(fmt::format("{}: {} {}", asking_.where(), question, why));
    }

    enum class Next { job, stop, written };

    /// Null: the talk has ended.
    const begin::Form* choose() {
        const report::Screen& screen = console_.screen();
        for (;;) {
            console_.out += "1. What do you want to fit?\n" + list_of_jobs(forms_, screen, false);
            const auto line = asking_.answer();
            if (!line || begin::read_word(*line) == begin::Word::stop) return nullptr;
            const bool plain = begin::read_word(*line) == begin::Word::none;
            const begin::Wanted wanted = plain ? jobs_of(forms_, *line) : begin::Wanted{};
            const auto& found = wanted.forms;
            if (found.size() == 1) {
                console_.out += nearest_form(forms_, wanted, screen) + '\n';
                return &forms_[found.front()];
            }
            if (plain && !asking_.where().empty()) {
                wrong("What do you want to fit?", "No one job is called that.");
                return nullptr;
            }
            if (found.size() > 1) {
                console_.out += report::paragraph(screen, fmt::format("That can be {}: type which.", names_of(found)));
                continue;
            }
            switch (begin::read_word(*line)) {
            case begin::Word::explain:
                console_.out += report::paragraph(
                    screen,
                    "Type the number of what comes nearest. The file can be changed afterwards with any editor.");
                break;
            case begin::Word::dont_know:
                console_.out += report::paragraph(screen, "Then take 10, one big load: it is the plainest one. Or read "
                                                          "netlists/README.md and write the file yourself.");
                break;
            case begin::Word::back: break;
            default:
                console_.out += report::paragraph(
                    screen,
                    fmt::format("No form is known by these words. Type a number from 1 to {}; 10 fits most single "
                                "things.",
                                forms_.size()));
            }
        }
    }

    Next questions(begin::Dialogue& dialogue) {
        const std::size_t width = console_.screen().width;
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
                if (word == begin::Word::back && dialogue.at() == 0) return Next::job;
                console_.out += dialogue.take(*line, width) + '\n';
                // A person is asked again; in a file the next line answers the next question.
                if (!dialogue.refused().empty() && !asking_.where().empty()) {
                    wrong(question, dialogue.refused());
                    return Next::stop;
                }
            }
            console_.out += "This is the file:\n\n" + indented(dialogue.file()) + '\n';
            switch (write(dialogue)) {
            case begin::Word::back: dialogue.go_back(); continue;
            case begin::Word::stop: return Next::stop;
            default: return Next::written;
            }
        }
    }

    static std::string indented(const std::string& text) {
        std::string out = "  ";
        for (std::size_t i = 0; i < text.size(); ++i) {
            out += text[i];
            if (text[i] == '\n' && i + 1 < text.size() && text[i + 1] != '\n') out += "  ";
        }
        return out;
    }

    /// A name like it that is not taken: fan.loom, fan-2.loom, ...
    static std::string free_name(const std::string& wanted) {
        const std::filesystem::path path(wanted);
        std::error_code problem;
        std::string name = wanted;
        for (int i = 2; std::filesystem::exists(std::filesystem::symlink_status(name, problem)); ++i)
            name = (path.parent_path() / fmt::format("{}-{}{}", path.stem().string(), i, path.extension().string()))
                       .string();
        return name;
    }

    begin::Word write(begin::Dialogue& dialogue) {
        std::string name = free_name(dialogue.file_name());
        for (;;) {
            console_.out += report::paragraph(
                console_.screen(), fmt::format("{}. Write it to {}? yes, or another name.", dialogue.number(), name));
            const auto line = asking_.answer();
            if (!line) return begin::Word::stop;
            switch (begin::read_word(*line)) {
            case begin::Word::back: return begin::Word::back;
            case begin::Word::stop: return begin::Word::stop;
            case begin::Word::explain:
                console_.out +=
                    report::paragraph(console_.screen(), "Nothing is written over: a name that is taken stays as it "
                                                         "is. The file is plain text; any editor opens it.");
                continue;
            case begin::Word::dont_know:
                console_.out +=
                    report::paragraph(console_.screen(), "Type yes and it is written, or stop and nothing is.");
                continue;
            case begin::Word::none: break;
            }
            std::string wanted = *line;
            while (!wanted.empty() && wanted.back() == ' ') wanted.pop_back();
            const std::string small = lower(wanted);
            if (wanted.empty() || small == "no" || small == "n") {
                console_.out += "Type yes, another name, back or stop.\n";
                continue;
            }
            if (small != "yes" && small != "y") {
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

    Exit ended() {
        console_.out += "Stopped. Nothing was written.\n";
        return Exit::failed;
    }

    Exit finish(const begin::Dialogue& dialogue) {
        console_.out += fmt::format("Written: {}\n\nWhat the check says:\n\n", written_);
        console_.show();
        Given given;
        given.set("FILE", written_);
        const Exit checked = check(given, console_);
        console_.show();

        std::filesystem::path picture(written_);
        given.set("-o", free_name(picture.replace_extension(".svg").string()));
        const Exit drawn = draw(given, console_);
        if (drawn != Exit::failed)
            console_.out +=
                fmt::format("\nDrawn: {} (any browser opens it)\nWhen you have changed the file: loomproof check {}\n",
                            given.value("-o"), written_);
        console_.out += rests_on(dialogue);
        return drawn == Exit::failed ? Exit::failed : checked;
    }

    /// The last words: nobody shall take the verdict for more than the guesses that it rests on.
    std::string rests_on(const begin::Dialogue& dialogue) const {
        const report::Screen& screen = console_.screen();
        const auto open = dialogue.to_measure();
        const auto guessed = std::ranges::count_if(open, &begin::Dialogue::Open::counts);
        std::string out;
        if (guessed > 0) {
            out +=
                '\n' +
                report::paragraph(
                    screen,
                    fmt::format("This verdict rests on {} guessed {}. Measure, put it into the file, and check again:",
                                guessed, guessed == 1 ? "figure" : "figures"));
            for (const auto& o : open)
                if (o.counts) out += report::labelled(screen, "-", fmt::format("{} (now: {})", o.measure, o.instead));
        }
        if (static_cast<std::size_t>(guessed) < open.size()) {
            out += "\nStill to find out:\n";
            for (const auto& o : open)
                if (!o.counts) out += report::labelled(screen, "-", o.measure);
        }
        return out;
    }

    Console& console_;
    const std::vector<begin::Form>& forms_;
    Asking& asking_;
    std::string written_;
};

} // namespace

std::vector<std::string> names_of_jobs() { return {jobs.begin(), jobs.end()}; }

Exit begin(const Given& given, Console& console) {
    auto forms = all_forms(console);
    if (!forms) return Exit::failed;
    const begin::Wanted wanted = given.has("JOB") ? jobs_of(*forms, given.value("JOB")) : begin::Wanted{};
    const auto& found = wanted.forms;
    const begin::Form* job = found.size() == 1 ? &(*forms)[found.front()] : nullptr;
    if (found.size() > 1) {
        console.say(fmt::format("{} can be {}: say which.", given.value("JOB"), names_of(found)));
        return Exit::failed;
    }
    if (given.has("JOB") && !job) {
        const std::vector<std::string> known(jobs.begin(), jobs.end());
        const auto near = nearest_name(given.value("JOB"), known);
        console.say(fmt::format("There is no form for {}; there are {}.{}", given.value("JOB"), list_of(known),
                                near ? " The nearest is " + *near + '.'
                                     : " big-load fits most single things: loomproof begin big-load."));
        return Exit::failed;
    }
    if (given.has("--paper")) {
        console.out = opening(console.screen()) + '\n' + nearest_form(*forms, wanted, console.screen());
        console.out += job ? begin::on_paper(*job, console.screen().width)
                           : "A form for each of these jobs: loomproof begin JOB --paper\n\n" +
                                 list_of_jobs(*forms, console.screen(), true);
        return Exit::clean;
    }
    Asking asking(console);
    if (given.has("--answers") && !asking.answers_from(given.value("--answers"))) return Exit::failed;
    console.out += nearest_form(*forms, wanted, console.screen());
    return Talk(console, asking, *forms).run(job);
}

} // namespace loomproof::app
