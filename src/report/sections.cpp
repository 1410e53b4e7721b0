#include "report/sections.hpp"

#include "base/number.hpp"
#include "report/columns.hpp"

#include <algorithm>
#include <array>

#include <fmt/core.h>

namespace loomproof::report {

namespace {

std::size_t section_room(const Screen& screen) { return std::max<std::size_t>(24, screen.width - section_indent); }

/// Sets paragraphs under a title: the title stands before the first, and all begin in one column.
class Section {
  public:
    Section(const Screen& screen, std::string_view title) : screen_(screen), title_(title) {}

    void paragraph(std::string_view text, std::size_t indent = 0) {
        const std::size_t room = section_room(screen_) - indent;
        for (const std::string& line : wrap(text, room, room)) row(std::string(indent, ' ') + line);
    }

    void row(std::string_view line) {
        out_ += inked(screen_, Ink::strong, title_) + std::string(section_indent - title_.size(), ' ');
        title_ = {};
        out_ += line;
        out_ += '\n';
    }

    std::string take() { return std::move(out_); }

  private:
    const Screen& screen_;
    std::string_view title_;
    std::string out_;
};

/// Names in one row; of many the first ones and how many more there are.
std::string names(const std::vector<std::string>& all) {
    constexpr std::size_t most = 8;
    if (all.size() <= most) return list_of(all);
    const std::vector<std::string> first(all.begin(), all.begin() + most);
    return fmt::format("{} and {} more", with_commas(first), all.size() - most);
}

struct AssumedRow {
    std::vector<std::string> subjects;
    std::array<std::string, 3> cells; ///< what, why, to change
};

std::vector<AssumedRow> assumed_rows(const std::vector<Assumption>& assumptions) {
    std::vector<const Assumption*> firsts;
    std::vector<AssumedRow> rows;
    for (const Assumption& a : assumptions) {
        const auto same = std::find_if(firsts.begin(), firsts.end(), [&](const Assumption* f) {
            return f->value == a.value && f->basis == a.basis && f->to_change == a.to_change;
        });
        if (same != firsts.end()) {
            rows[static_cast<std::size_t>(same - firsts.begin())].subjects.push_back(a.subject);
            continue;
        }
        firsts.push_back(&a);
        rows.push_back({{a.subject}, {"", a.basis, a.to_change.empty() ? "" : "to change: " + a.to_change}});
    }
    for (std::size_t i = 0; i < rows.size(); ++i)
        rows[i].cells[0] = printable(names(rows[i].subjects) + ' ' + firsts[i]->value);
    for (AssumedRow& row : rows)
        for (std::string& cell : row.cells) cell = printable(cell);
    return rows;
}

} // namespace

std::string as_sentence(std::string_view text) {
    std::string out(text);
    while (!out.empty() && out.back() == ' ') out.pop_back();
    if (out.empty() || std::string_view(".!?").find(out.back()) != std::string_view::npos) return out;
    return out + '.';
}

std::string with_commas(const std::vector<std::string>& items) {
    std::string out;
    for (const std::string& item : items) out += (out.empty() ? "" : ", ") + item;
    return out;
}

std::string assumed_section(const std::vector<Assumption>& assumptions, const Screen& screen) {
    if (assumptions.empty()) return {};
    const std::vector<AssumedRow> rows = assumed_rows(assumptions);
    constexpr std::size_t gap = 3;
    std::array<std::size_t, 3> widest{};
    for (const AssumedRow& row : rows)
        for (std::size_t i = 0; i < widest.size(); ++i) widest[i] = std::max(widest[i], columns(row.cells[i]));
    const bool side_by_side = widest[0] + gap + widest[1] + gap + widest[2] <= section_room(screen);

    Section section(screen, "I assumed");
    for (const AssumedRow& row : rows) {
        const auto& [what, why, change] = row.cells;
        if (!side_by_side) {
            section.paragraph(why.empty() ? what : fmt::format("{}, {}", what, why));
            if (!change.empty()) section.paragraph(change, 2);
            continue;
        }
        std::string line = what;
        line.append(widest[0] - columns(what) + gap, ' ') += why;
        if (!change.empty()) line.append(widest[1] - columns(why) + gap, ' ') += change;
        line.erase(line.find_last_not_of(' ') + 1);
        section.row(line);
    }
    return section.take();
}

std::string accepted_section(const std::vector<Finding>& accepted, const Screen& screen) {
    if (accepted.empty()) return {};
    Section section(screen, "Accepted");
    for (const Finding& f : accepted) {
        section.paragraph(fmt::format("{} Reason: {} ({})", as_sentence(f.headline),
                                      as_sentence(f.accepted_because.value_or("none given")), f.rule));
    }
    return section.take();
}

std::string new_functions_section(const std::vector<rules::NewFunction>& all, const Screen& screen) {
    if (all.empty()) return {};
    Section section(screen, "New functions");
    for (std::size_t i = 0; i < all.size();) {
        std::vector<std::string> what;
        const std::string& job = all[i].job;
        while (i < all.size() && all[i].job == job) what.push_back(all[i++].what);
        std::string text;
        for (const std::string& each : what) text += (text.empty() ? "" : "; ") + each;
        section.paragraph(as_sentence(fmt::format("with the job \"{}\": {}", job, text)));
    }
    return section.take();
}

std::string still_to_wire_section(const std::vector<std::string>& ends, const Screen& screen) {
    if (ends.empty()) return {};
    Section section(screen, "Still to wire");
    section.paragraph(
        with_commas(ends) +
        ". When you think that all is done, add a line: complete. From then on each end that is missing is a fault.");
    return section.take();
}

std::string not_checked_section(const std::vector<rules::NotChecked>& open, const Screen& screen, std::size_t most) {
    if (open.empty()) return {};
    std::vector<const rules::NotChecked*> reasons;
    std::vector<std::vector<std::string>> things;
    for (const rules::NotChecked& n : open) {
        const auto same = std::find_if(reasons.begin(), reasons.end(), [&](const rules::NotChecked* r) {
            return r->why == n.why && r->measure == n.measure;
        });
        const auto at = static_cast<std::size_t>(same - reasons.begin());
        if (same == reasons.end()) {
            reasons.push_back(&n);
            things.emplace_back();
        }
        if (std::find(things[at].begin(), things[at].end(), n.what) == things[at].end()) things[at].push_back(n.what);
    }
    Section section(screen, "Not checked");
    for (std::size_t i = 0; i < reasons.size() && i < most; ++i) {
        std::string text = names(things[i]);
        if (!reasons[i]->why.empty()) text += ": " + reasons[i]->why;
        text = as_sentence(text);
        if (!reasons[i]->measure.empty()) text += ' ' + as_sentence(reasons[i]->measure);
        section.paragraph(text);
    }
    if (reasons.size() > most) section.paragraph(fmt::format("and {} more; --all shows them.", reasons.size() - most));
    return section.take();
}

} // namespace loomproof::report
