#ifndef LOOMPROOF_DRAW_RENDER_MODULE_H
#define LOOMPROOF_DRAW_RENDER_MODULE_H
/// The whole interface of loomproof-render.so, the one file that holds librsvg and cairo: SVG in, PDF or PNG out.
#ifdef __cplusplus
extern "C" {
#endif

/// Takes the output piece by piece, in order; anything but 0 stops.
typedef int (*loomproof_sink)(void* where, const unsigned char* bytes, unsigned count);

/// Renders `pages` SVG texts (each with width and height in a fixed unit) to one PDF with a page each, or, where `pixels_per_inch` is above 0,
/// the only one to a PNG on white ground. Nothing in the result tells when it was made.
/// Returns 0, or the number of the first thing that went wrong: 1 arguments out of range, 2 an SVG that cannot be read, 3 larger than
/// the library can draw, 4 the library failed, 5 the sink stopped.
typedef int (*loomproof_render_function)(int pages, const char* const* svg, const unsigned long* length, double pixels_per_inch,
                                         const char* title, loomproof_sink sink, void* where);

/// How far a text advances in the face that stands in for Helvetica on this machine, in the unit of `size`, unhinted.
typedef double (*loomproof_measure_function)(const char* text, double size, int bold);

__attribute__((visibility("default"))) int loomproof_render(int pages, const char* const* svg, const unsigned long* length,
                                                            double pixels_per_inch, const char* title, loomproof_sink sink, void* where);
__attribute__((visibility("default"))) double loomproof_measure(const char* text, double size, int bold);

#ifdef __cplusplus
}
#endif
#endif
