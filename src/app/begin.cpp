#include "app/begin_talk.hpp"
#include "app/loader.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "report/page.hpp"

#include <array>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

constexpr std::array<const char*, 11> jobs{
    "headlamp-relays", "driving-lights", "electric-fan", "two-fans", "horn",      "fuel-pump",
    "second-battery",  "trailer-socket", "fuse-block",   "big-load", "fog-lights"};
constexpr std::size_t largest_form = 100'000;

Exit on_paper(const JobForms& forms, const begin::Wanted& wanted, const OldFile* into, Console& console) {
    const report::Screen& screen = console.screen();
    console.out = opening(screen) + '\n';
    if (wanted.forms.empty()) {
        console.out +=
            "A form for each of these jobs: loomproof begin JOB --paper\n\n" + list_of_jobs(forms, screen, true);
        return Exit::clean;
    }
    const Result<begin::ForCar> form = BeginTalk::form_for(forms, wanted, into);
    if (!form) {
        console.say(form.error());
        return Exit::failed;
    }
    console.out += BeginTalk::about(forms, wanted, into, screen);
    for (const std::string& note : form->notes) console.out += report::paragraph(screen, note);
    console.out += begin::on_paper(form->form, form->said, screen.width);
    return Exit::clean;
}

} // namespace

std::optional<JobForms> all_forms(const Console& console) {
    const std::string folder = folder_that_comes_along("templates");
    if (folder.empty()) {
        console.say("The forms that come with Loomproof are not there: its folder \"templates\" is missing.");
        return std::nullopt;
    }
    const Result<std::string> common = read_file(folder + "/common.form", largest_form);
    JobForms out;
    out.names.assign(jobs.begin(), jobs.end());
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
        out.forms.push_back(std::move(*form));
    }
    return out;
}

std::vector<std::string> names_of_jobs() { return {jobs.begin(), jobs.end()}; }

Exit begin(const Given& given, Console& console) {
    const auto forms = all_forms(console);
    if (!forms) return Exit::failed;
    const std::string typed = given.value("JOB");
    const begin::Wanted wanted =
        given.has("JOB") ? begin::wanted_form(forms->forms, forms->names, typed) : begin::Wanted{};
    if (wanted.forms.size() > 1) {
        console.say(fmt::format("{} can be {}: say which.", typed, names_of(*forms, wanted.forms)));
        return Exit::failed;
    }
    if (given.has("JOB") && wanted.forms.empty()) {
        const std::vector<std::string> known(jobs.begin(), jobs.end());
        const auto near = nearest_name(typed, known);
        console.say(fmt::format("There is no form for {}; there are {}.{}", typed, list_of(known),
                                near ? " The nearest is " + *near + '.'
                                     : " big-load fits most single things: loomproof begin big-load."));
        return Exit::failed;
    }
    std::optional<OldFile> into;
    if (given.has("--into") && !(into = read_old_file(given.value("--into"), console))) return Exit::failed;
    const OldFile* file = into ? &*into : nullptr;
    if (given.has("--paper")) return on_paper(*forms, wanted, file, console);
    Asking asking(console);
    if (given.has("--answers") && !asking.answers_from(given.value("--answers"))) return Exit::failed;
    return BeginTalk(console, asking, *forms, file).run(wanted);
}

} // namespace loomproof::app
