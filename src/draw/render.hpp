#pragma once
/// Finished SVG as PDF and PNG. The library that does it is loaded the first time it is asked for.

#include "base/result.hpp"

#include <string>
#include <vector>

namespace loomproof::draw {

struct Rendered {
    std::string bytes;
    /// A sentence for people where the type on this machine is wider than what the drawing reckoned with, so that words may touch; else empty.
    std::string remark;
};

/// One PDF with a page for each SVG, each page as large as its SVG says. The same pages give the same bytes on the same machine.
/// Fails where loomproof-render.so cannot be used, and where a page is larger than PDF allows (5.08 m a side).
Result<Rendered> to_pdf(const std::vector<std::string>& svgs, const std::string& title);

/// 200 pixels to the inch; fewer where a side would have more than 16000. Fails as to_pdf does.
Result<Rendered> to_png(const std::string& svg, double longer_side_mm);

/// How far a text advances as this machine shows it, in the unit of `size`: what paper::text_width is held against. Fails as to_pdf does.
Result<double> shown_width(const std::string& text, double size, bool bold);

} // namespace loomproof::draw
