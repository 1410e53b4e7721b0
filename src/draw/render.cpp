#include "draw/render.hpp"

#include "base/number.hpp"
#include "draw/module.hpp"
#include "draw/render_module.h"
#include "paper/type.hpp"

#include <algorithm>
#include <mutex>

namespace loomproof::draw {
namespace {

struct Renderer {
    loomproof_render_function render = nullptr;
    loomproof_measure_function measure = nullptr;
    std::string trouble;
};

Renderer load() {
    constexpr const char* file = "loomproof-render.so";
    const auto without = [&](const std::string& reason) {
        return Renderer{nullptr, nullptr,
                        std::string("PDF and PNG cannot be made: the file ") + file + " cannot be used (" + reason +
                            "). SVG can: give a name that ends in .svg."};
    };
    const Result<Module> module = Module::open(file);
    if (!module) return without(module.error());
    Renderer made{module->find<loomproof_render_function>("loomproof_render"),
                  module->find<loomproof_measure_function>("loomproof_measure"),
                  {}};
    if (made.render == nullptr || made.measure == nullptr) return without("it belongs to another version");
    return made;
}

// Everything that is drawn was given room by our own table of widths.
std::string remark_on_type(const Renderer& renderer) {
    constexpr double allowed = 1.03;
    constexpr const char* sample = "Headlamp, left: W31 2.5 RD/GN, 1.2 m, goes on: sheet 2, path 14, K1:87a";
    double worst = 1;
    for (const bool bold : {false, true}) {
        const double ours =
            paper::text_width(sample, paper::plain_size, bold ? paper::Weight::bold : paper::Weight::normal);
        worst = std::max(worst, renderer.measure(sample, paper::plain_size, bold ? 1 : 0) / ours);
    }
    if (worst <= allowed) return "";
    return "The type on this machine is " + figure((worst - 1) * 100, 2) +
           " % wider than the drawing allows for: words may touch. The package fonts-liberation has the right one.";
}

int append(void* where, const unsigned char* bytes, unsigned count) {
    static_cast<std::string*>(where)->append(reinterpret_cast<const char*>(bytes), count);
    return 0;
}

std::mutex one_at_a_time; // stands before the library

const Renderer& loaded() {
    static const Renderer renderer = load();
    return renderer;
}

Result<Rendered> render(const std::vector<std::string>& svgs, double pixels_per_inch, const std::string& title) {
    const std::lock_guard<std::mutex> lock(one_at_a_time);
    const Renderer& renderer = loaded();
    if (renderer.render == nullptr) return failure(renderer.trouble);
    std::vector<const char*> texts;
    std::vector<unsigned long> lengths;
    for (const std::string& svg : svgs) {
        texts.push_back(svg.data());
        lengths.push_back(svg.size());
    }
    Rendered made;
    const int wrong = renderer.render(static_cast<int>(svgs.size()), texts.data(), lengths.data(), pixels_per_inch,
                                      title.c_str(), append, &made.bytes);
    if (wrong == 3) return failure("The drawing is larger than a page can be. Draw it on sheets: --paper A4.");
    if (wrong != 0)
        return failure("The drawing could not be made: the library for PDF and PNG gave up (reason " +
                       std::to_string(wrong) + ").");
    made.remark = remark_on_type(renderer);
    return made;
}

} // namespace

Result<Rendered> to_pdf(const std::vector<std::string>& svgs, const std::string& title) {
    return render(svgs, 0, title);
}

Result<Rendered> to_png(const std::string& svg, double longer_side_mm) {
    constexpr double usual = 200, most_pixels = 16000;
    return render({svg}, std::min(usual, most_pixels * 25.4 / std::max(longer_side_mm, 1.0)), "");
}

Result<double> shown_width(const std::string& text, double size, bool bold) {
    const std::lock_guard<std::mutex> lock(one_at_a_time);
    const Renderer& renderer = loaded();
    if (renderer.measure == nullptr) return failure(renderer.trouble);
    return renderer.measure(text.c_str(), size, bold ? 1 : 0);
}

} // namespace loomproof::draw
