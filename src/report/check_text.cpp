#include "report/check_text.hpp"

#include "base/number.hpp"
#include "report/columns.hpp"
#include "report/excerpt.hpp"
#include "report/page.hpp"
#include "report/sections.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <span>

#include <fmt/core.h>

namespace loomproof::report {

namespace {

constexpr std::size_t heading_width = 8; ///< "DANGER  "
constexpr std::array severities{Severity::danger, Severity::fault, Severity::advice, Severity::note};

constexpr std::string_view caution =
    "Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.";

Ink ink_of(Severity severity) {
    switch (severity) {
    case Severity::danger: return Ink::danger;
    case Severity::fault: return Ink::fault;
    case Severity::advice: return Ink::advice;
    case Severity::note: return Ink::note;
    }
    return Ink::plain;
}

bool is_mistake(const Finding& f) { return f.rule.starts_with("text-") && f.severity <= Severity::fault; }

/// "DANGER", "DANGER?" where a measurement must decide, "MEASURE" where that decides no more than an advice, "MISTAKE" for the text.
std::string heading_of(const Finding& f) {
    if (is_mistake(f)) return "MISTAKE";
    if (f.certainty == Certainty::undecided && f.severity >= Severity::advice) return "MEASURE";
    std::string out = word(f.severity);
    std::transform(out.begin(), out.end(), out.begin(), [](char c) { return static_cast<char>(c - 'a' + 'A'); });
    return f.certainty == Certainty::undecided ? out + '?' : out;
}

/// Lines of findings, in the order in which a finding is read.
class Page {
  public:
    Page(const Sources& sources, const Screen& screen) : sources_(sources), screen_(screen) {}

    void finding(const Finding& f) {
        const Ink ink = ink_of(f.severity);
        const std::string heading = heading_of(f);
        headed(inked(screen_, ink, heading) + std::string(heading_width - heading.size(), ' '), heading_width,
               f.headline, f.rule);
        labelled("where", f.place);
        out_ += excerpt(sources_, f.cites, screen_, ink);
        path(f.path);
        labelled("why", f.why);
        labelled("limit", f.limit);
        for (std::size_t i = 0; i < f.cures.size(); ++i) labelled(i == 0 ? "cure" : "or", f.cures[i].text);
        labelled("measure", f.measure);
        // Under a note stand its cases, under anything else what follows from it.
        for (const Finding& c : f.consequences)
            consequence(f.severity == Severity::note ? "namely" : "and so", c, f.severity, 2);
    }

    void paragraph(std::string_view text) { out_ += report::paragraph(screen_, text); }

    void blank() {
        if (!out_.empty()) out_ += '\n';
    }
    void add(std::string_view text) { out_ += text; }
    std::string take() { return std::move(out_); }

  private:
    /// A sentence after `lead` (as wide as `indent`), the rule's name at the right edge of its first line.
    void headed(std::string_view lead, std::size_t indent, std::string_view sentence, std::string_view rule) {
        constexpr std::size_t least = 28; // columns of the sentence that are worth a line beside the rule's name
        const std::size_t room = std::max(least, screen_.width - std::min(screen_.width, indent));
        const std::size_t rule_width = columns(rule);
        const bool beside = rule_width > 0 && room >= least + 2 + rule_width;
        const std::vector<std::string> lines = wrap(sentence, beside ? room - rule_width - 2 : room, room);
        for (std::size_t i = 0; i < lines.size(); ++i) {
            out_ += i == 0 ? std::string(lead) : std::string(indent, ' ');
            out_ += lines[i];
            if (i == 0 && beside) rule_name(room - columns(lines[i]), rule, rule_width);
            out_ += '\n';
        }
        if (!beside && rule_width > 0) {
            out_ += std::string(indent, ' ');
            rule_name(std::max(room, rule_width), rule, rule_width);
            out_ += '\n';
        }
    }

    void rule_name(std::size_t room, std::string_view rule, std::size_t rule_width) {
        out_ += std::string(room - rule_width, ' ') + inked(screen_, Ink::faint, printable(rule));
    }

    void labelled(std::string_view label, std::string_view text, std::size_t indent = 2) {
        out_ += report::labelled(screen_, label, text, indent);
    }

    /// Stop by stop; a line that goes on begins with >.
    void path(const std::vector<std::string>& stops) {
        const std::size_t room = std::max<std::size_t>(24, screen_.width - label_width);
        std::string lead = fmt::format("  {:{}}", "path", label_width - 2), line;
        for (const std::string& stop : stops) {
            std::string next = (&stop == &stops.front() ? "" : "> ") + printable(stop);
            if (!line.empty() && columns(line) + 1 + columns(next) > room) {
                out_ += lead + line + '\n';
                lead.assign(label_width, ' ');
                line.clear();
            }
            line += (line.empty() ? "" : " ") + next;
        }
        if (!line.empty()) out_ += lead + line + '\n';
    }

    void consequence(std::string_view label, const Finding& f, Severity above, std::size_t indent) {
        const std::string lead = fmt::format("{:{}}{:{}}", "", indent, label, label_width - 2);
        // A consequence that is worse than its cause says so.
        const std::string worse = f.severity < above ? fmt::format("({}) ", word(f.severity)) : "";
        headed(lead, lead.size(), worse + f.headline, f.rule);
        labelled("measure", f.measure, indent + 2);
        for (const Finding& c : f.consequences) consequence(label, c, std::min(above, f.severity), indent + 2);
    }

    const Sources& sources_;
    const Screen& screen_;
    std::string out_;
};

struct Count {
    std::size_t all = 0, undecided = 0;
};

std::array<Count, severities.size()> count(std::span<const Finding> findings) {
    std::array<Count, severities.size()> out;
    for (const Finding& f : findings) {
        Count& c = out[static_cast<std::size_t>(f.severity)];
        ++c.all;
        if (f.certainty == Certainty::undecided) ++c.undecided;
    }
    return out;
}

/// "1 danger, 2 faults (1 undecided), 3 advice"
std::vector<std::string> tally(std::span<const Finding> findings) {
    const auto counts = count(findings);
    std::vector<std::string> out;
    for (const Severity s : severities) {
        const Count& c = counts[static_cast<std::size_t>(s)];
        if (c.all == 0) continue;
        std::string text = s == Severity::advice ? fmt::format("{} advice", c.all) : counted(c.all, word(s));
        if (c.undecided > 0)
            text += c.undecided == c.all ? " (undecided)" : fmt::format(" ({} undecided)", c.undecided);
        out.push_back(std::move(text));
    }
    return out;
}

std::size_t mistakes_of(const Checked& checked) {
    return static_cast<std::size_t>(std::count_if(checked.mistakes.begin(), checked.mistakes.end(), is_mistake));
}

void add_mistakes(Page& page, const Checked& checked, Extent extent) {
    if (checked.mistakes.empty()) return;
    const std::size_t n = mistakes_of(checked);
    if (n > 0)
        page.paragraph(fmt::format("The file has {}; what stands in {} is not checked.", counted(n, "mistake"),
                                   n == 1 ? "that line" : "those lines"));
    const std::size_t shown =
        extent.all ? checked.mistakes.size() : std::min(Extent::most_mistakes, checked.mistakes.size());
    for (std::size_t i = 0; i < shown; ++i) {
        page.blank();
        page.finding(checked.mistakes[i]);
    }
    if (shown < checked.mistakes.size()) {
        page.blank();
        page.paragraph(fmt::format("{} more; mend these first, or add --all.", checked.mistakes.size() - shown));
    }
}

/// By its rule: what comes of it can burn or cannot be stopped.
bool can_burn(const Finding& f) {
    const rules::Rule* rule = rules::find_rule(f.rule);
    return rule != nullptr && rule->harm == rules::Harm::burns_or_runs_on && f.severity != Severity::note;
}

void add_findings(Page& page, const std::vector<Finding>& findings, Extent extent) {
    const auto is_danger = [](const Finding& f) { return worst_of(f) == Severity::danger; };
    const auto dangers = static_cast<std::size_t>(std::count_if(findings.begin(), findings.end(), is_danger));
    const std::size_t others =
        extent.all ? findings.size() : Extent::most_findings - std::min(dangers, Extent::most_findings);
    // Places go by severity first, that of what comes of it too; of one severity to what can burn. A fault that was cut for an advice
    // would leave the reader with a circuit that does not work; what is cut and can get hot is named below.
    std::vector<const Finding*> shown;
    for (const Finding& f : findings)
        if (!is_danger(f)) shown.push_back(&f);
    std::stable_sort(shown.begin(), shown.end(), [](const Finding* a, const Finding* b) {
        return std::pair(worst_of(*a), !can_burn(*a)) < std::pair(worst_of(*b), !can_burn(*b));
    });
    if (shown.size() > others) shown.resize(others);
    std::vector<Finding> hidden;
    for (const Finding& f : findings) {
        if (!is_danger(f) && std::find(shown.begin(), shown.end(), &f) == shown.end()) {
            hidden.push_back(f);
            continue;
        }
        page.blank();
        page.finding(f);
    }
    if (!hidden.empty()) {
        page.blank();
        std::vector<std::string> hot;
        for (const Finding& f : hidden)
            if (can_burn(f) && std::find(hot.begin(), hot.end(), f.rule) == hot.end()) hot.push_back(f.rule);
        page.paragraph(fmt::format("Not shown: {}.{} To see all: --all.", with_commas(tally(hidden)),
                                   hot.empty() ? ""
                                               : fmt::format(" What {} {} of can get hot or cannot be stopped.",
                                                             list_of(hot), hot.size() == 1 ? "speaks" : "speak")));
    }
}

/// Those of `all` that `others` does not have; of several alike as many as there are more.
std::vector<Finding> less(const std::vector<Finding>& all, const std::vector<Finding>& others) {
    std::map<std::string, int> there;
    const auto key = [](const Finding& f) { return f.rule + '\n' + heading_of(f) + f.headline; };
    for (const Finding& f : others) ++there[key(f)];
    std::vector<Finding> out;
    for (const Finding& f : all)
        if (there[key(f)]-- <= 0) out.push_back(f);
    return out;
}

void add_last_words(Page& page, const Checked& checked, const Screen& screen) {
    page.blank();
    const std::string final_word = verdict(checked);
    for (const std::string_view last : {std::string_view(final_word), caution}) {
        if (screen.person)
            page.paragraph(last);
        else
            page.add(std::string(last) + '\n');
    }
}

/// " (fuse-above-wire)": the checks that were left open, by name where they are few; else where they stand.
std::string which_open(const rules::Outcome& outcome, std::size_t open) {
    if (open == 0) return {};
    std::vector<std::string> names;
    for (const rules::NotChecked& n : outcome.not_checked) {
        std::string name = rules::find_rule(n.rule) != nullptr ? n.rule : "what a part does by itself";
        if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(std::move(name));
    }
    constexpr std::size_t few = 3;
    if (names.size() != open) return {};
    if (names.size() > few) return ", see \"Not checked\"";
    return fmt::format(" ({})", list_of(names));
}

} // namespace

Severity worst_of(const Finding& f) {
    Severity worst = f.severity;
    for (const Finding& c : f.consequences) worst = std::min(worst, worst_of(c));
    return worst;
}

std::string finding_text(const Finding& f, const Sources& sources, const Screen& screen) {
    Page page(sources, screen);
    page.finding(f);
    return page.take();
}

std::string verdict(const Checked& checked) {
    if (checked.nothing_described && checked.mistakes.empty())
        return "There is nothing to check yet: the file holds no wire and no part.";
    std::vector<std::string> found = tally(checked.outcome.findings);
    const std::size_t mistakes = mistakes_of(checked);
    if (mistakes > 0) found.insert(found.begin(), counted(mistakes, "mistake") + " in the text");
    std::string out = found.empty() ? "" : with_commas(found) + ". ";
    // Unfinished is not wrong, but it is not done either: who reads only the last line must not take it for the end.
    const std::size_t left = checked.still_to_wire.size();
    std::vector<std::string> ends; // without what the list says of them
    for (const std::string& end : checked.still_to_wire) ends.push_back(end.substr(0, end.find(" (")));
    if (left > 0)
        out += fmt::format("Not finished: {} still to wire. ",
                           left <= 3 ? printable(list_of(ends)) + (left == 1 ? " is" : " are")
                                     : counted(left, "end") + " are");
    if (checked.nothing_described) return out + "Nothing else could be read, so nothing was checked.";

    // Who reads only the last line must not take it for an all-clear: a fault may burn too, and what could not be read or
    // is not wired yet was not looked at.
    const auto& findings = checked.outcome.findings;
    const bool harm =
        std::any_of(findings.begin(), findings.end(), [](const Finding& f) { return worst_of(f) <= Severity::fault; });
    const std::size_t run = checked.outcome.rules_run, open = std::min(checked.outcome.rules_open, run);
    out += fmt::format("{} {}dangerous found in {} of {}; not checked: {}{}",
                       mistakes > 0 ? "In what could be read nothing"
                       : left > 0   ? "So far nothing"
                                    : "Nothing",
                       harm ? "else " : "", run - open, counted(run, "check"), open, which_open(checked.outcome, open));
    if (mistakes > 0)
        out += fmt::format(", and what stands in the {} with {}", mistakes == 1 ? "line" : "lines",
                           mistakes == 1 ? "the mistake" : "mistakes");
    return out + '.';
}

std::string check_text(const Checked& checked, const Sources& sources, const Screen& as_given, Extent extent) {
    Screen screen = as_given;
    screen.width = std::max<std::size_t>(40, screen.width);
    Page page(sources, screen);
    add_mistakes(page, checked, extent);
    add_findings(page, checked.outcome.findings, extent);

    const std::string sections =
        assumed_section(checked.assumptions, screen) + accepted_section(checked.outcome.accepted, screen) +
        new_functions_section(checked.outcome.new_functions, screen) +
        still_to_wire_section(checked.still_to_wire, screen) +
        not_checked_section(checked.outcome.not_checked, screen,
                            extent.all ? checked.outcome.not_checked.size() : Extent::most_open);
    if (!sections.empty()) {
        page.blank();
        page.add(sections);
    }
    add_last_words(page, checked, screen);
    return page.take();
}

std::string changes_text(const Checked& before, const Checked& now, const Sources& sources, const Screen& as_given,
                         Extent extent) {
    Screen screen = as_given;
    screen.width = std::max<std::size_t>(40, screen.width);
    Page page(sources, screen);
    const auto mistakes = less(now.mistakes, before.mistakes),
               findings = less(now.outcome.findings, before.outcome.findings);
    add_findings(page, mistakes, extent);
    add_findings(page, findings, extent);
    auto gone = less(before.mistakes, now.mistakes);
    for (Finding& f : less(before.outcome.findings, now.outcome.findings)) gone.push_back(std::move(f));
    if (!gone.empty()) {
        page.blank();
        page.paragraph(now.mistakes.empty() ? "Gone:" : "Gone, or no longer seen because of a mistake in the text:");
        for (const Finding& f : gone)
            page.add(report::labelled(screen, "-", fmt::format("{}: {} ({})", heading_of(f), f.headline, f.rule)));
    }
    if (mistakes.empty() && findings.empty() && gone.empty()) page.paragraph("No finding came or went.");
    add_last_words(page, now, screen);
    return page.take();
}

} // namespace loomproof::report
