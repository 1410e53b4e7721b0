#include "draw/draw.hpp"

#include "draw/body.hpp"
#include "draw/legend.hpp"
#include "draw/remarks.hpp"
#include "draw/sheet.hpp"
#include "draw/svg.hpp"
#include "draw/titles.hpp"

#include <numeric>
#include <vector>

namespace loomproof::draw {

Result<Drawing> draw(const Sketch& whole, const Options& options) {
    Sketch sketch = whole;
    if (sketch.title.empty() && !sketch.symbols.empty()) {
        std::vector<int> all(sketch.symbols.size());
        std::iota(all.begin(), all.end(), 0);
        sketch.title = title_of(sketch, feeds_of_loads(sketch), all);
    }
    const Grounds grounds(whole);
    const int minus = grounds.minus;
    share_remarks(sketch, whole, true);
    sketch.caution = caution;
    sketch.footnotes = legend_of(sketch, grounds, minus < 0 ? "" : path_blank, options.black_and_white);
    const bool known = options.kept != nullptr && !options.kept->sheets.empty();
    Result<Sheet> sheet = lay_out(
        sketch,
        {.starts = options.starts, .seed = options.seed, .kept = known ? &options.kept->sheets.front() : nullptr});
    if (!sheet) return failure(sheet.error());
    if (minus >= 0) fill_in_path(sheet->notes, sheet->path_of[static_cast<std::size_t>(minus)]);
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
