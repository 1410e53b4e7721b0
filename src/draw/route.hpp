#pragma once
/// Heights, and the way of each wire between the rows: every sideways run gets a track of its own.

#include "draw/geometry.hpp"
#include "draw/weave.hpp"

#include <vector>

namespace loomproof::draw {

inline constexpr double least_channel = 26; ///< between two rows

struct Channel {
    double top = 0; ///< below the row above
    double height = 0;
    int tracks = 0;
};

struct Route {
    std::vector<double> row_top, row_height;
    std::vector<Channel> channels;         ///< channel r lies below row r
    std::vector<std::vector<Point>> paths; ///< by wire, from `a` to `b`, corners only; straight runs are merged
    double width = 0, height = 0;
    int crossings = 0, bends = 0;
};

/// How much room further to the least: by channel, added below the row above; units.
using Lanes = std::vector<double>;

/// Where a half column stands, units from the left of the first column. The middle of column c is half column 2 * c.
double x_of_half_column(int half_column);

/// A sideways run in a channel, from where it comes from above to where it goes on below, in half columns from the left (in the middle of
/// column c at 2 * c).
struct Run {
    int piece = 0;
    int from = 0, to = 0;
    int track = -1; ///< from the top
    int left() const { return from < to ? from : to; }
    int right() const { return from < to ? to : from; }
};

/// By channel, those of one piece in order downwards.
using Runs = std::vector<std::vector<Run>>;

/// Tracks for everything, for the columns found. Two sideways runs that would lie on each other get different ones; two that would have to
/// change places with each other get a bend more, in the half column between two columns.
Runs find_runs(const Weave& weave);

/// Routes everything; `runs` as found. Top of the first row is 0.
Route route(const Sketch& sketch, const Weave& weave, const Runs& runs, const Lanes& lanes);

/// y of a body's top edge within its row.
double top_of(const Weave& weave, const Route& route, int node);
/// y of the line of a bar or turn.
double line_of(const Weave& weave, const Route& route, int node);

} // namespace loomproof::draw
