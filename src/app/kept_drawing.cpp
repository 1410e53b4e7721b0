#include "app/kept_drawing.hpp"

#include "app/drawing_files.hpp"
#include "base/file.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>

#include <fmt/core.h>

namespace loomproof::app {
namespace {

constexpr std::size_t largest_drawing = 64u << 20u;

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

} // namespace

Result<draw::KeptDrawing> kept_drawing(const std::string& name) {
    if (format_of(name) != Format::svg)
        return failure(fmt::format("In {} no places can be read: --keep takes the drawing as SVG. Where there is only "
                                   "paper, PDF or PNG, everything finds its place anew without --keep.",
                                   name));
    if (!is_there(name))
        return failure(
            fmt::format("There is no drawing {}: name one that was made before, or leave --keep away.", name));
    Result<draw::KeptSheet> sheet = read_sheet(name);
    if (!sheet) return failure(sheet.error());
    if (std::any_of(sheet->symbols.begin(), sheet->symbols.end(), [](const auto& s) { return s.off_sheet; }))
        return failure(fmt::format("{} is one sheet of several: --keep takes a drawing on one page. Leave --keep away.",
                                   name));
    draw::KeptDrawing kept;
    kept.sheets.push_back(std::move(*sheet));
    return kept;
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
