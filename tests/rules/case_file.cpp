#include "rules/case_file.hpp"

#include "circuit/read.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <sstream>

#include <fmt/core.h>

namespace loomproof::cases {

namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

std::string bare(std::string line) {
    line.erase(std::min(line.find("//!"), line.size()));
    line.erase(line.find_last_not_of(" \t\r") + 1);
    return line;
}

std::vector<std::filesystem::path> sorted(const std::filesystem::path& folder,
                                          bool (*wanted)(const std::filesystem::directory_entry&)) {
    std::vector<std::filesystem::path> found;
    if (!exists(folder)) return found;
    for (const auto& entry : std::filesystem::directory_iterator(folder))
        if (wanted(entry)) found.push_back(entry.path());
    std::ranges::sort(found);
    return found;
}

} // namespace

std::set<Mark> marks_in(const std::string& text) {
    std::set<Mark> marks;
    const std::vector<std::string> lines = lines_of(text);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const std::size_t begin = lines[i].find("//!");
        if (begin == std::string::npos) continue;
        std::string ids = lines[i].substr(begin + 3);
        std::ranges::replace(ids, ',', ' ');
        std::istringstream in(ids);
        for (std::string id; in >> id;) marks.emplace(id, i + 1);
    }
    return marks;
}

Checking::Checking(const std::string& name, const std::string& text) {
    Reading reading = read_circuit_text(sources_, name, text);
    const rules::Study study(reading.circuit);
    mistakes_ = std::move(reading.findings);
    findings_ = rules::check(study).findings;
}

std::size_t Checking::line_of(const Finding& f) const {
    if (f.cites.empty() || !f.cites.front().span.exists()) return 0;
    return sources_.position(f.cites.front().span.source, f.cites.front().span.begin).line;
}

std::vector<const Finding*> Checking::all() const {
    std::vector<const Finding*> findings;
    for (const Finding& f : mistakes_) findings.push_back(&f);
    for (const Finding& f : findings_) findings.push_back(&f);
    return findings;
}

std::set<Mark> Checking::found() const {
    std::set<Mark> marks;
    for (const Finding* f : all()) marks.emplace(f->rule, line_of(*f));
    return marks;
}

std::vector<std::string> Checking::mended(const std::string& rule) const {
    std::vector<std::string> texts;
    for (const Finding* f : all()) {
        if (f->rule != rule || f->edits.empty()) continue;
        std::vector<TextEdit> edits = f->edits;
        std::ranges::sort(edits, [](const TextEdit& a, const TextEdit& b) { return a.span.begin > b.span.begin; });
        std::string text = sources_.at(0).text;
        for (const TextEdit& e : edits) text.replace(e.span.begin, e.span.end - e.span.begin, e.replacement);
        texts.push_back(std::move(text));
    }
    return texts;
}

std::size_t Checking::count(const std::string& rule) const {
    const auto findings = all();
    return static_cast<std::size_t>(std::ranges::count_if(findings, [&](const Finding* f) { return f->rule == rule; }));
}

std::string Checking::said() const {
    std::string text;
    for (const Finding* f : all()) text += fmt::format("{} (line {}): {}\n", f->rule, line_of(*f), f->headline);
    return text;
}

std::size_t lines_that_differ(const std::string& one, const std::string& other) {
    std::vector<std::string> a = lines_of(one), b = lines_of(other);
    std::ranges::transform(a, a.begin(), bare);
    std::ranges::transform(b, b.begin(), bare);
    // Least number of lines changed, added or taken away.
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = std::min({changed, row[j] + 1, row[j - 1] + 1});
        }
    }
    return row.back();
}

std::vector<std::filesystem::path> folders_in(const std::filesystem::path& folder) {
    return sorted(folder, [](const std::filesystem::directory_entry& e) { return e.is_directory(); });
}

std::vector<std::filesystem::path> files_in(const std::filesystem::path& folder, const std::string& extension) {
    std::vector<std::filesystem::path> files =
        sorted(folder, [](const std::filesystem::directory_entry& e) { return e.is_regular_file(); });
    std::erase_if(files, [&](const std::filesystem::path& p) { return p.extension() != extension; });
    return files;
}

} // namespace loomproof::cases
