// The one file that knows librsvg and cairo.
#include "draw/render_module.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <librsvg/rsvg.h>

#include <cmath>
#include <memory>
#include <vector>

namespace {

struct Drop {
    void operator()(RsvgHandle* handle) const { g_object_unref(handle); }
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using Handle = std::unique_ptr<RsvgHandle, Drop>;
using Surface = std::unique_ptr<cairo_surface_t, Drop>;
using Context = std::unique_ptr<cairo_t, Drop>;

enum Trouble { fine = 0, wrong_arguments = 1, unreadable = 2, too_large = 3, library_failed = 4, stopped = 5 };

struct Page {
    Handle handle;
    double width = 0, height = 0; ///< inches
};

double inches(const RsvgLength& length) {
    switch (length.unit) {
    case RSVG_UNIT_IN: return length.length;
    case RSVG_UNIT_CM: return length.length / 2.54;
    case RSVG_UNIT_MM: return length.length / 25.4;
    case RSVG_UNIT_PT: return length.length / 72;
    case RSVG_UNIT_PC: return length.length / 6;
    case RSVG_UNIT_PX: return length.length / 96;
    default: return 0;
    }
}

int open_page(const char* svg, unsigned long length, Page& page) {
    GError* error = nullptr;
    page.handle.reset(rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(svg), length, &error));
    if (error != nullptr) g_error_free(error);
    if (!page.handle) return unreadable;
    gboolean has_width = 0, has_height = 0, has_box = 0;
    RsvgLength width{}, height{};
    RsvgRectangle box{};
    rsvg_handle_get_intrinsic_dimensions(page.handle.get(), &has_width, &width, &has_height, &height, &has_box, &box);
    page.width = inches(width);
    page.height = inches(height);
    return page.width > 0 && page.height > 0 ? fine : unreadable;
}

struct Out {
    loomproof_sink sink;
    void* where;
    bool stopped = false;
};

cairo_status_t put(void* closure, const unsigned char* bytes, unsigned count) {
    Out& out = *static_cast<Out*>(closure);
    if (out.sink(out.where, bytes, count) != 0) out.stopped = true;
    return out.stopped ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

bool draw(const Page& page, cairo_t* context, double width, double height) {
    const RsvgRectangle all{0, 0, width, height};
    GError* error = nullptr;
    const bool done = rsvg_handle_render_document(page.handle.get(), context, &all, &error) != 0;
    if (error != nullptr) g_error_free(error);
    return done;
}

// A surface's trouble is known for sure only once it is finished.
int end(cairo_surface_t* surface, const Out& out) {
    cairo_surface_finish(surface);
    if (out.stopped) return stopped;
    return cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS ? fine : library_failed;
}

int to_pdf(const std::vector<Page>& pages, const char* title, Out& out) {
    constexpr double points = 72; // in an inch
    // PDF 32000-1, annex C: a page of user space unit 1 is at most 14400 wide and high.
    for (const Page& page : pages)
        if (std::fmax(page.width, page.height) * points > 14400) return too_large;
    const Surface surface(
        cairo_pdf_surface_create_for_stream(put, &out, pages[0].width * points, pages[0].height * points));
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE, title);
    // Unless it is told otherwise, the library writes the time of the day.
    cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
    const Context context(cairo_create(surface.get()));
    for (const Page& page : pages) {
        cairo_pdf_surface_set_size(surface.get(), page.width * points, page.height * points);
        if (!draw(page, context.get(), page.width * points, page.height * points))
            return out.stopped ? stopped : library_failed;
        cairo_show_page(context.get());
    }
    return end(surface.get(), out);
}

int to_png(const Page& page, double pixels_per_inch, Out& out) {
    const double width = std::ceil(page.width * pixels_per_inch), height = std::ceil(page.height * pixels_per_inch);
    constexpr double most = 32767; // a side, in cairo's image surfaces
    if (!(width >= 1 && height >= 1 && width <= most && height <= most)) return too_large;
    const Surface surface(
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(width), static_cast<int>(height)));
    const Context context(cairo_create(surface.get()));
    if (cairo_status(context.get()) != CAIRO_STATUS_SUCCESS) return too_large;
    cairo_set_source_rgb(context.get(), 1, 1, 1);
    cairo_paint(context.get());
    if (!draw(page, context.get(), width, height)) return library_failed;
    const bool written = cairo_surface_write_to_png_stream(surface.get(), put, &out) == CAIRO_STATUS_SUCCESS;
    if (out.stopped) return stopped;
    return written ? fine : library_failed;
}

} // namespace

extern "C" int loomproof_render(int pages, const char* const* svg, const unsigned long* length, double pixels_per_inch,
                                const char* title, loomproof_sink sink, void* where) {
    const bool one_picture = pixels_per_inch > 0;
    if (pages < 1 || sink == nullptr || (one_picture && pages != 1)) return wrong_arguments;
    std::vector<Page> all(static_cast<std::size_t>(pages));
    for (std::size_t p = 0; p < all.size(); ++p)
        if (const int trouble = open_page(svg[p], length[p], all[p]); trouble != fine) return trouble;
    Out out{sink, where};
    return one_picture ? to_png(all[0], pixels_per_inch, out) : to_pdf(all, title, out);
}

extern "C" double loomproof_measure(const char* text, double size, int bold) {
    const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, 8, 8));
    const Context context(cairo_create(surface.get()));
    cairo_font_options_t* const options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_set_font_options(context.get(), options);
    cairo_font_options_destroy(options);
    cairo_select_font_face(context.get(), "Helvetica", CAIRO_FONT_SLANT_NORMAL,
                           bold != 0 ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(context.get(), size);
    cairo_text_extents_t extents{};
    cairo_text_extents(context.get(), text, &extents);
    return extents.x_advance;
}
