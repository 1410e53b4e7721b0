#include "app/as_it_is.hpp"
#include "app/checking.hpp"
#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "app/drawing_files.hpp"
#include "app/kept_drawing.hpp"
#include "app/typed_name.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "draw/from_circuit.hpp"
#include "draw/remarks.hpp"
#include "draw/render.hpp"
#include "draw/symbol_sheet.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <filesystem>
#include <system_error>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

/// lightbar.svg for lightbar.loom
std::string usual_name(const std::string& file) {
    return file == "-" ? "circuit.svg" : std::filesystem::path(file).replace_extension(".svg").string();
}

/// Would writing to `target` destroy something that was just read?
bool is_a_source(const std::string& target, const Sources& sources) {
    std::error_code none;
    for (std::uint32_t i = 0; i < sources.count(); ++i)
        if (std::filesystem::equivalent(target, sources.at(i).name, none)) return true;
    return false;
}

bool same_texts(const Sources& a, const Sources& b) {
    bool same = a.count() == b.count();
    for (std::uint32_t i = 0; same && i < a.count(); ++i)
        same = a.at(i).name == b.at(i).name && a.at(i).text == b.at(i).text;
    return same;
}

paper::Paper paper_named(const std::string& name) {
    return name == "A3" ? paper::a3 : name == "letter" ? paper::us_letter : paper::a4;
}

draw::Options options_of(const Given& given) {
    draw::Options options;
    options.black_and_white = given.has("--black-and-white");
    const std::string by = given.value("--by");
    options.together = by == "function" ? draw::Together::by_function
                       : by == "job"    ? draw::Together::by_job
                                        : draw::Together::by_fuse;
    return options;
}

/// One run of the command.
class Work {
  public:
    Work(const Given& given, Console& console)
        : given_(given),
          console_(console),
          file_(given.value("FILE")),
          target_(given.value("-o")),
          to_stream_(!given.has("-o") || target_ == "-") {}

    void knows(const report::Checked& found, const Sources& of) {
        found_ = &found;
        found_of_ = &of;
    }

    /// Everything keeps its place in that page, where the file still shows mostly the same.
    void keeps(const std::string& page) {
        Result<draw::KeptSheet> sheet = draw::read_kept(page);
        if (!sheet) return; // none yet
        draw::KeptDrawing kept;
        kept.sheets.push_back(std::move(*sheet));
        before_ = std::move(kept);
    }

    /// The page that was drawn, as SVG, whatever was written; empty where none was.
    const std::string& page() const { return page_; }

    Exit run() {
        if (given_.has("--symbols")) return symbols();
        if (!given_.has("FILE"))
            return stop("draw needs a FILE: the circuit file; - reads standard input. See loomproof draw --help.");
        if (const std::string problem = unclear(); !problem.empty()) return stop(problem);
        std::optional<Reading> reading = read(file_, sources_, console_);
        if (!reading) return Exit::failed;
        const Circuit& circuit = reading->circuit;
        if (describes_nothing(circuit))
            return stop(fmt::format("There is nothing to draw in {} yet: no wire and no part.", file_));
        if (const std::string problem = without_history(circuit); !problem.empty()) return stop(problem);
        if (!to_stream_ && is_a_source(target_, sources_))
            return stop(fmt::format("{} holds the circuit: the drawing needs another file.", target_));
        if (!to_stream_ && !format_of(target_))
            return stop(fmt::format("A drawing can be .svg, .pdf or .png; {} asks for something else.", target_));

        const View shown = view_of(circuit);
        if (const std::string none = nothing_fitted(shown, file_); !none.empty() && !given_.has("--factory"))
            return stop(none);
        draw::Sketch sketch = sketch_for(shown);
        // What the maker built keeps its place, whatever jobs come to it.
        if (circuit.has_factory && shown.revision() > 0)
            if (const Result<void> known =
                    draw::remember_places(sketch, draw::sketch_of(View::factory(circuit), sketch_options()));
                !known)
                return stop(known.error());
        if (const std::string problem = keep(sketch); !problem.empty()) return stop(problem);
        title_ = sketch.title.empty() ? std::filesystem::path(file_).stem().string() : sketch.title;
        if (sketch.vehicle.empty() && file_ != "-") sketch.vehicle = std::filesystem::path(file_).filename().string();
        say_what_check_found(*reading, shown, sketch);
        const Result<void> done = given_.has("--paper") ? draw_set(sketch) : draw_page(sketch);
        if (!done) return stop(done.error());
        if (const std::string planned = left_out(shown, "not drawn"); !planned.empty() && !given_.has("--factory"))
            console_.say(planned);
        return mistakes(*reading);
    }

  private:
    Exit symbols() {
        if (given_.has("FILE")) return stop("--symbols draws no circuit: leave the FILE away.");
        if (given_.has("--keep")) return stop("--symbols draws no circuit, and always the same: leave --keep away.");
        draw::Drawing sheet = draw::draw_symbols(given_.has("--black-and-white"));
        title_ = "Symbols";
        if (to_stream_ && console_.screen().person)
            return stop("Say where the drawing goes: loomproof draw --symbols -o symbols.svg");
        if (!to_stream_ && !format_of(target_))
            return stop(fmt::format("A drawing can be .svg, .pdf or .png; {} asks for something else.", target_));
        if (const Result<void> written = write_page(sheet); !written) return stop(written.error());
        return Exit::clean;
    }

    Exit stop(const std::string& sentence) const {
        console_.say(sentence);
        return Exit::failed;
    }

    /// What speaks against it before anything is read; empty where nothing does.
    std::string unclear() const {
        if (given_.has("--by") && !given_.has("--paper"))
            return "--by says what stands together on a sheet: it needs --paper A4, A3 or letter.";
        if (given_.has("--factory") && given_.has("--changes"))
            return "--factory draws the circuit before any job, --changes what the jobs did: one of them.";
        if (given_.has("--factory") && given_.has("--planned"))
            return "--factory draws the circuit before any job, --planned with those that are planned: one of them.";
        if (to_stream_ && given_.has("--paper"))
            return fmt::format("Sheets are several files. Say what they are called: loomproof draw {} --paper {} -o {}",
                               typed_name(file_), given_.value("--paper"), typed_name(usual_name(file_)));
        if (to_stream_ && console_.screen().person)
            return fmt::format("Say where the drawing goes: loomproof draw {} -o {}", typed_name(file_),
                               typed_name(usual_name(file_)));
        return "";
    }

    /// What was before the jobs, or what they did, asked of a file that does not say it.
    std::string without_history(const Circuit& circuit) const {
        const bool jobs = circuit.revisions.size() > 1;
        if (given_.has("--changes") && !jobs)
            return fmt::format("There is no job in {}, so nothing is marked as added or changed. Put the lines of what "
                               "was done into a block: job \"what it was\" fitted 2026-05-02, and the lines behind it "
                               "between {{ and }}.",
                               file_);
        if (!given_.has("--factory") || circuit.has_factory) return "";
        if (!jobs)
            return fmt::format("{} has no factory block and no job: nothing in it says what was before. draw without "
                               "--factory draws all of it.",
                               file_);
        const View before = View::factory(circuit);
        const auto written = [](const auto& thing) {
            return thing.origin.provenance != Provenance::assumed && thing.span.exists();
        };
        if (std::ranges::none_of(before.wires(), [&](WireId w) { return written(circuit.at(w)); }) &&
            std::ranges::none_of(before.parts(), [&](PartId p) { return written(circuit.at(p)); }))
            return fmt::format("All that {} says stands in jobs: nothing in it says what was before them.", file_);
        return "";
    }

    /// Reads what --keep names. What is wrong with it; empty where nothing is.
    std::string keep(const draw::Sketch& sketch) {
        if (before_ && another_circuit(sketch, *before_, "", "").empty()) kept_ = std::move(before_);
        if (!given_.has("--keep")) return "";
        Result<draw::KeptDrawing> kept =
            given_.has("--paper")
                ? kept_sheets(given_.value("--keep"), given_.value("--paper"), paper_named(given_.value("--paper")))
                : kept_page(given_.value("--keep"));
        if (!kept) return kept.error();
        if (const std::string problem = another_circuit(sketch, *kept, given_.value("--keep"), file_); !problem.empty())
            return problem;
        kept_ = std::move(*kept);
        return "";
    }

    draw::Options options() const {
        draw::Options options = options_of(given_);
        if (kept_) options.kept = &*kept_;
        return options;
    }

    draw::SketchOptions sketch_options() const {
        draw::SketchOptions options;
        if (given_.value("--relays") == "apart") options.relays = draw::Relays::apart;
        return options;
    }

    /// What is drawn: what the jobs changed, or are to change, shows the planned ones too.
    View view_of(const Circuit& circuit) const {
        if (given_.has("--factory")) return View::factory(circuit);
        return given_.has("--changes") ? View::now(circuit) : as_it_is(circuit, given_);
    }

    draw::Sketch sketch_for(const View& view) const {
        draw::SketchOptions options = sketch_options();
        options.changes = given_.has("--changes");
        const std::string& vehicle = view.circuit().vehicle.text;
        const auto titled = [&](const char* behind, const std::string& alone) {
            return vehicle.empty()
                       ? alone
                       : vehicle + behind + std::string(1, static_cast<char>(std::tolower(alone[0]))) + alone.substr(1);
        };
        const std::vector<std::string> plan = planned_in(view);
        if (options.changes)
            options.title =
                titled(": ", plan.empty() ? "What the jobs changed" : "What the jobs changed, planned ones too");
        else if (given_.has("--factory"))
            options.title = titled(", ", view.circuit().has_factory ? "As its maker built it" : "Before any job");
        else if (!plan.empty())
            options.title = titled(", ", "With what is planned: " + list_of(plan));
        else if (!planned_after(view).empty())
            options.title = titled(", ", "As it is now, planned jobs not drawn");
        return draw::sketch_of(view, options);
    }

    /// Of exactly what is drawn: who holds the sheet must not take a clean drawing for a clean circuit.
    void say_what_check_found(const Reading& reading, const View& shown, draw::Sketch& sketch) const {
        const bool known =
            found_ && same_texts(*found_of_, sources_) && shown.revision() == reading.circuit.last_revision();
        const report::Checked found =
            known ? *found_ : checked(reading, rules::Study(reading.circuit, shown.revision()));
        const char* of_what = given_.has("--factory")
                                  ? (reading.circuit.has_factory ? "Check of what the maker built: "
                                                                 : "Check of what was before any job: ")
                              : planned_after(shown).empty() ? "Check: "
                                                             : "Check, without the planned jobs: ";
        draw::remark(sketch, found.outcome.findings, of_what + report::verdict(found));
    }

    Result<void> draw_page(const draw::Sketch& sketch) {
        Result<draw::Drawing> drawing = draw::draw(sketch, options());
        if (!drawing) return failure(drawing.error());
        page_ = drawing->svg;
        if (Result<void> written = write_page(*drawing); !written) return written;
        say_in_table(drawing->labels_in_table);
        return {};
    }

    Result<void> write_page(draw::Drawing& drawing) {
        if (to_stream_) {
            console_.out = std::move(drawing.svg);
            return {};
        }
        const Result<std::string> content =
            as(*format_of(target_), drawing.svg, std::max(drawing.width_mm, drawing.height_mm));
        if (!content) return failure(content.error());
        return write_file(target_, *content);
    }

    /// The SVG in that format.
    Result<std::string> as(Format format, std::string& svg, double longer_side_mm) {
        if (format == Format::svg) return std::move(svg);
        Result<draw::Rendered> made =
            format == Format::pdf ? draw::to_pdf({svg}, title_) : draw::to_png(svg, longer_side_mm);
        if (!made) return failure(made.error());
        say_once(made->remark);
        return std::move(made->bytes);
    }

    Result<void> draw_set(const draw::Sketch& sketch) {
        const paper::Paper paper = paper_named(given_.value("--paper"));
        Result<draw::SheetSet> set = draw::draw_set(sketch, paper, options());
        if (!set) return failure(set.error());
        const Format format = *format_of(target_);
        if (format == Format::pdf) return write_pages(*set);
        std::vector<FileContent> files;
        Result<void> done;
        const auto add = [&](const std::string& which, draw::SheetDrawing& sheet) {
            Result<std::string> content =
                as(format, sheet.drawing.svg, std::max(sheet.drawing.width_mm, sheet.drawing.height_mm));
            if (content)
                files.push_back({sheet_name(target_, which), marked(std::move(*content), format)});
            else
                done = failure(content.error());
        };
        for (std::size_t i = 0; i < set->contents.size(); ++i)
            add(i == 0 ? "contents" : fmt::format("contents-{}", i + 1), set->contents[i]);
        if (set->overview) add("overview", *set->overview);
        for (std::size_t i = 0; i < set->sheets.size(); ++i) add(std::to_string(i + 1), set->sheets[i]);
        if (done) done = write_sheets(files, format);
        if (done)
            say_what_was_written(*set, files.size() == 1
                                           ? files.front().path
                                           : fmt::format("{} to {}", files.front().path, files.back().path));
        return done;
    }

    /// All in one file, a page each.
    Result<void> write_pages(const draw::SheetSet& set) {
        std::vector<std::string> pages;
        for (const draw::SheetDrawing& sheet : set.contents) pages.push_back(sheet.drawing.svg);
        if (set.overview) pages.push_back(set.overview->drawing.svg);
        for (const draw::SheetDrawing& sheet : set.sheets) pages.push_back(sheet.drawing.svg);
        const Result<draw::Rendered> made = draw::to_pdf(pages, title_);
        if (!made) return failure(made.error());
        if (Result<void> written = write_file(target_, made->bytes); !written) return written;
        say_once(made->remark);
        say_what_was_written(set, target_);
        return {};
    }

    void say_once(const std::string& remark) {
        if (!remark.empty() && remark != said_) console_.say(remark);
        said_ = remark;
    }

    Result<void> write_sheets(const std::vector<FileContent>& files, Format format) {
        std::vector<std::string> names;
        for (const FileContent& file : files) names.push_back(file.path);
        const std::vector<std::string> strangers = not_ours(names, format);
        if (!strangers.empty()) {
            const bool several = strangers.size() > 1;
            return failure(fmt::format("{} {} there, and {} no unchanged sheet{} of Loomproof: nothing was written. "
                                       "Move {} away, or give another name behind -o.",
                                       list_of(strangers), several ? "are" : "is", several ? "are" : "is",
                                       several ? "s" : "", several ? "them" : "it"));
        }
        if (Result<void> written = write_files(files); !written) return written;
        const Leftovers old = leftovers(target_, format, names);
        std::vector<std::string> removed, stayed = old.others;
        std::error_code error;
        for (const std::string& file : old.ours)
            (std::filesystem::remove(file, error) ? removed : stayed).push_back(file);
        if (!removed.empty())
            console_.say(fmt::format("Removed {}, left from an earlier drawing with more sheets.", list_of(removed)));
        if (!stayed.empty())
            console_.say(fmt::format(
                "{} {} not part of this drawing; {} left alone, because {} no unchanged sheet of Loomproof.",
                list_of(stayed), stayed.size() > 1 ? "are" : "is", stayed.size() > 1 ? "they were" : "it was",
                stayed.size() > 1 ? "they are" : "it is"));
        return {};
    }

    void say_what_was_written(const draw::SheetSet& set, const std::string& where) {
        const std::string with = set.overview           ? ", with contents and overview"
                                 : set.contents.empty() ? ""
                                                        : ", with contents";
        console_.out = fmt::format("{}{}: {}\n", counted(set.sheets.size(), "sheet"), with, where);
        std::vector<std::string> in_table;
        for (const draw::SheetDrawing& sheet : set.sheets) {
            const std::vector<std::string>& here = sheet.drawing.labels_in_table;
            in_table.insert(in_table.end(), here.begin(), here.end());
        }
        say_in_table(in_table);
        say_what_is_small(set);
    }

    /// Which sheets had to be drawn smaller, and how high a capital is on them then. Rounded down: no sheet is said to be larger than it is.
    void say_what_is_small(const draw::SheetSet& set) const {
        const auto down = [](double value, double steps) { return std::floor(value * steps) / steps; };
        std::string small;
        for (std::size_t i = 0; i < set.sheets.size(); ++i) {
            const double scale = set.sheets[i].scale;
            if (scale >= 1) continue;
            small += fmt::format("{}heet {} {}at {:.2f}, capitals {:.1f} mm", small.empty() ? "S" : "; s", i + 1,
                                 small.empty() ? "had no room at full size and is drawn " : "", down(scale, 100),
                                 down(scale * paper::plain_size * paper::capital_height / paper::units_per_mm, 10));
        }
        if (!small.empty())
            console_.say(small + (given_.value("--paper") == "A3" ? "." : ". --paper A3 has more room."));
    }

    void say_in_table(std::vector<std::string> wires) const {
        if (wires.empty()) return;
        constexpr std::size_t most = 8;
        const std::size_t more = wires.size() > most ? wires.size() - most : 0;
        const bool several = wires.size() > 1;
        wires.resize(std::min(wires.size(), most));
        if (more > 0) wires.push_back(counted(more, "other"));
        console_.say(
            fmt::format("There was no room beside {} for all that is known of {}: a table below the circuit says it.",
                        list_of(wires), several ? "them" : "it"));
    }

    Exit mistakes(const Reading& reading) const {
        const auto count =
            static_cast<std::size_t>(std::count_if(reading.findings.begin(), reading.findings.end(),
                                                   [](const Finding& f) { return f.severity <= Severity::fault; }));
        if (count == 0) return Exit::clean;
        console_.say(fmt::format("{} in the text: what stands there is not drawn. loomproof check {} shows them.",
                                 counted(count, "mistake"), typed_name(file_)));
        return Exit::found;
    }

    const Given& given_;
    Console& console_;
    std::string file_, target_;
    bool to_stream_;
    std::string title_;
    std::string said_; ///< the last remark on type
    std::optional<draw::KeptDrawing> before_, kept_;
    std::string page_;
    Sources sources_;
    const report::Checked* found_ = nullptr; ///< of the texts in found_of_
    const Sources* found_of_ = nullptr;
};

} // namespace

Exit draw(const Given& given, Console& console) { return Work(given, console).run(); }

Exit draw_again(const Given& given, Console& console, const report::Checked& found, const Sources& of,
                std::string& page) {
    Work work(given, console);
    work.knows(found, of);
    work.keeps(page);
    const Exit exit = work.run();
    if (!work.page().empty()) page = work.page();
    return exit;
}

} // namespace loomproof::app
