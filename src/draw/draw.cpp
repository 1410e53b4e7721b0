#include "draw/draw.hpp"

#include "draw/sheet.hpp"
#include "draw/svg.hpp"
#include "draw/titles.hpp"

#include <numeric>
#include <vector>

namespace loomproof::draw {

Result<Drawing> draw(const Sketch& sketch, const Options& options) {
    if (sketch.title.empty() && !sketch.symbols.empty()) {
        Sketch titled = sketch;
        std::vector<int> all(sketch.symbols.size());
        std::iota(all.begin(), all.end(), 0);
        titled.title = title_of(sketch, feeds_of_loads(sketch), all);
        return draw(titled, options);
    }
    const Result<Sheet> sheet = lay_out(sketch, {.starts = options.starts, .seed = options.seed});
    if (!sheet) return failure(sheet.error());
    Drawing drawing;
    drawing.svg = to_svg(sketch, *sheet, {.black_and_white = options.black_and_white});
    drawing.width_mm = sheet->width / paper::units_per_mm;
    drawing.height_mm = sheet->height / paper::units_per_mm;
    drawing.crossings = sheet->crossings;
    drawing.bends = sheet->bends;
    drawing.labels_without_place = static_cast<int>(sheet->in_table.size());
    drawing.labels_in_table = sheet->in_table;
    drawing.repeats_left_out = sheet->left_out;
    return drawing;
}

} // namespace loomproof::draw
