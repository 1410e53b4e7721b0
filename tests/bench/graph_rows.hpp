#pragma once
/// The graph's questions beside Boost.Graph's own algorithms and networkx, and reading text beside a reader of JSON, in the same run.

#include <string>

namespace loomproof::bench {

/// `here`: the folder of the benches' sources, where the Python peer lies.
void graph_rows(const std::string& here);
void reading_rows();

} // namespace loomproof::bench
