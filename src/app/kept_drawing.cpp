#include "app/kept_drawing.hpp"

#include "app/drawing_files.hpp"
#include "base/file.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <system_error>

#include <fmt/core.h>

namespace loomproof::app {
namespace {

constexpr std::size_t largest_drawing = 64u << 20u, most_sheets = 999;

bool is_there(const std::string& path) {
    std::error_code none;
    return std::filesystem::exists(path, none);
}

Result<draw::KeptSheet> read_sheet(const std::string& path) {
    const Result<std::string> text = read_file(path, largest_drawing);
    if (!text) return failure(text.error());
    Result<draw::KeptSheet> sheet = draw::read_kept(*text);
    if (!sheet)
        return failure(fmt::format("{} {}. --keep takes an SVG as loomproof draw wrote it; without --keep everything "
                                   "finds its place anew.",
                                   path, sheet.error()));
    return sheet;
}

// What is wrong with the name itself; empty where nothing is.
std::string no_svg(const std::string& name) {
    if (format_of(name) == Format::svg) return "";
    return fmt::format(
        "In {} no places can be read: --keep takes the drawing as SVG. Where there is only paper, PDF or "
        "PNG, everything finds its place anew without --keep.",
        name);
}

// Upright or lying.
bool is_of(const paper::Paper& paper, const draw::KeptSheet& sheet) {
    constexpr double rounded = 0.5; // mm
    const auto near = [](double a, double b) { return std::abs(a - b) < rounded; };
    return (near(paper.width, sheet.width_mm) && near(paper.height, sheet.height_mm)) ||
           (near(paper.height, sheet.width_mm) && near(paper.width, sheet.height_mm));
}

} // namespace

Result<draw::KeptDrawing> kept_page(const std::string& name) {
    if (const std::string problem = no_svg(name); !problem.empty()) return failure(problem);
    const std::string first = sheet_name(name, "1");
    if (!is_there(name) && is_there(first))
        return failure(
            fmt::format("{} is the first of several sheets: say on which paper, --paper A4, A3 or letter.", first));
    if (!is_there(name))
        return failure(
            fmt::format("There is no drawing {}: name one that was made before, or leave --keep away.", name));
    Result<draw::KeptSheet> sheet = read_sheet(name);
    if (!sheet) return failure(sheet.error());
    if (std::any_of(sheet->symbols.begin(), sheet->symbols.end(), [](const auto& s) { return s.off_sheet; }))
        return failure(fmt::format("{} is one sheet of several: say on which paper, --paper A4, A3 or letter, and name "
                                   "the sheets as -o did, without their number.",
                                   name));
    draw::KeptDrawing kept;
    kept.sheets.push_back(std::move(*sheet));
    return kept;
}

Result<draw::KeptDrawing> kept_sheets(const std::string& name, const std::string& paper_name,
                                      const paper::Paper& paper) {
    if (const std::string problem = no_svg(name); !problem.empty()) return failure(problem);
    draw::KeptDrawing kept;
    for (std::size_t number = 1; number <= most_sheets; ++number) {
        const std::string path = sheet_name(name, std::to_string(number));
        if (!is_there(path)) break;
        Result<draw::KeptSheet> sheet = read_sheet(path);
        if (!sheet) return failure(sheet.error());
        if (!is_of(paper, *sheet))
            return failure(fmt::format("{} is no sheet of {}: it is {} mm wide and {} mm high. Give the paper that it "
                                       "was drawn on behind --paper, or leave --keep away.",
                                       path, paper_name, std::lround(sheet->width_mm), std::lround(sheet->height_mm)));
        kept.sheets.push_back(std::move(*sheet));
    }
    if (const std::string path = sheet_name(name, "overview"); !kept.sheets.empty() && is_there(path)) {
        Result<draw::KeptSheet> sheet = read_sheet(path);
        if (!sheet) return failure(sheet.error());
        kept.overview = std::move(*sheet);
    }
    if (!kept.sheets.empty()) return kept;
    const std::string first = sheet_name(name, "1");
    if (is_there(name))
        return failure(
            fmt::format("There is no {}: {} is no set of sheets. Leave --paper away where it is a drawing on "
                        "one page; where it is one sheet of several, name them as -o did, without their "
                        "number.",
                        first, name));
    return failure(
        fmt::format("There is no {}: name sheets that were drawn before, as -o did, or leave --keep away.", first));
}

std::string another_circuit(const draw::Sketch& sketch, const draw::KeptDrawing& kept, const std::string& name,
                            const std::string& file) {
    constexpr double enough = 0.2; // of the drawing's symbols: half a circuit may have been taken out since
    if (draw::share_known(sketch, kept) >= enough) return "";
    return fmt::format("{} shows another circuit than {}: hardly anything on it is in the file. Name the drawing that "
                       "was made of this file, or leave --keep away.",
                       name, file);
}

} // namespace loomproof::app
