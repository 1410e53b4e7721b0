#include "app/drawing_files.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <system_error>

#include <fmt/core.h>

namespace loomproof::app {

namespace fs = std::filesystem;

namespace {

constexpr std::size_t largest_sheet = 200'000'000;

std::uint64_t check_sum(std::string_view text) {
    std::uint64_t hash = 0xcbf29ce484222325u;
    for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    return hash;
}

std::string svg_mark(std::string_view before) { return fmt::format("<!-- Loomproof {:016x} -->\n", check_sum(before)); }

// CRC-32 of the PNG specification, annex D.
std::uint32_t crc(std::string_view bytes) {
    std::uint32_t c = 0xffffffffu;
    for (const char b : bytes) {
        c ^= static_cast<unsigned char>(b);
        for (int bit = 0; bit < 8; ++bit) c = (c & 1u) != 0 ? 0xedb88320u ^ (c >> 1u) : c >> 1u;
    }
    return c ^ 0xffffffffu;
}

std::string four_bytes(std::uint32_t value) {
    std::string out;
    for (int shift = 24; shift >= 0; shift -= 8)
        out += static_cast<char>(value >> static_cast<unsigned>(shift) & 0xffu);
    return out;
}

std::string png_mark(std::string_view before) {
    std::string data = "tEXtLoomproof";
    data += '\0';
    data += fmt::format("{:016x}", check_sum(before));
    return four_bytes(static_cast<std::uint32_t>(data.size() - 4)) + data + four_bytes(crc(data));
}

constexpr std::size_t png_end = 12; // the last chunk of every PNG is empty

/// What the mark of a file with that much in front of it is, and where it begins.
struct Mark {
    std::size_t at;
    std::string text;
};
std::optional<Mark> expected_mark(std::string_view content, Format format) {
    const std::size_t behind = format == Format::png ? png_end : 0;
    const std::size_t size = format == Format::png ? png_mark("").size() : svg_mark("").size();
    if (format == Format::pdf || content.size() < size + behind) return std::nullopt;
    const std::size_t at = content.size() - behind - size;
    return Mark{at, format == Format::png ? png_mark(content.substr(0, at)) : svg_mark(content.substr(0, at))};
}

std::string_view ending(Format format) {
    return format == Format::png ? ".png" : format == Format::pdf ? ".pdf" : ".svg";
}

/// "3", "contents", "contents-2", "overview"
bool is_which(std::string_view which) {
    const auto number = [](std::string_view w) {
        return !w.empty() && w.size() < 6 && w.front() != '0' &&
               std::all_of(w.begin(), w.end(), [](char c) { return c >= '0' && c <= '9'; });
    };
    constexpr std::string_view contents = "contents-";
    return number(which) || which == "overview" || which == "contents" ||
           (which.starts_with(contents) && number(which.substr(contents.size())));
}

bool holds_ours(const std::string& file, Format format) {
    const Result<std::string> content = read_file(file, largest_sheet);
    return content && is_ours(*content, format);
}

} // namespace

std::optional<Format> format_of(const std::string& target) {
    const std::string end = lower(fs::path(target).extension().string());
    if (end.empty() || end == ".svg") return Format::svg;
    if (end == ".pdf") return Format::pdf;
    if (end == ".png") return Format::png;
    return std::nullopt;
}

std::string sheet_name(const std::string& target, std::string_view which) {
    const fs::path path(target);
    std::string name = path.stem().string();
    name += '-';
    name += which;
    name += path.extension().empty() ? std::string(ending(Format::svg)) : path.extension().string();
    return (path.parent_path() / name).string();
}

std::string marked(std::string content, Format format) {
    if (format == Format::svg) return content + svg_mark(content);
    if (format == Format::png && content.size() > png_end) {
        const std::size_t at = content.size() - png_end;
        content.insert(at, png_mark(std::string_view(content).substr(0, at)));
    }
    return content;
}

bool is_ours(std::string_view content, Format format) {
    const std::optional<Mark> mark = expected_mark(content, format);
    return mark && content.substr(mark->at, mark->text.size()) == mark->text;
}

Leftovers leftovers(const std::string& target, Format format, const std::vector<std::string>& written) {
    const fs::path path(target);
    const fs::path folder = path.parent_path();
    const std::string begin = path.stem().string() + "-";
    const std::string end = path.extension().empty() ? std::string(ending(Format::svg)) : path.extension().string();
    Leftovers found;
    std::error_code none;
    std::vector<std::string> names;
    for (fs::directory_iterator at(folder.empty() ? fs::path(".") : folder, none), last; !none && at != last;
         at.increment(none))
        if (at->is_regular_file(none)) names.push_back(at->path().filename().string());
    std::sort(names.begin(), names.end(), [](const std::string& a, const std::string& b) {
        return a.size() != b.size() ? a.size() < b.size() : a < b;
    });
    for (const std::string& name : names) {
        if (!name.starts_with(begin) || !name.ends_with(end) || name.size() <= begin.size() + end.size()) continue;
        if (!is_which(std::string_view(name).substr(begin.size(), name.size() - begin.size() - end.size()))) continue;
        const std::string file = (folder / name).string();
        if (std::find(written.begin(), written.end(), file) != written.end()) continue;
        (holds_ours(file, format) ? found.ours : found.others).push_back(file);
    }
    return found;
}

std::vector<std::string> not_ours(const std::vector<std::string>& files, Format format) {
    std::vector<std::string> found;
    std::error_code none;
    for (const std::string& file : files)
        if (fs::exists(file, none) && !holds_ours(file, format)) found.push_back(file);
    return found;
}

} // namespace loomproof::app
