#include "circuit/blocks.hpp"

#include "base/rows.hpp"
#include "circuit/graph.hpp"

namespace loomproof {

namespace {

template <class Add> void add_arcs(std::span<const NetEdge> edges, const Add& add) {
    for (Number e = 0; e < edges.size(); ++e) {
        add(edges[e].a, BlockArc{e, edges[e].b});
        add(edges[e].b, BlockArc{e, edges[e].a});
    }
}

constexpr auto every = [](Number) { return true; };

} // namespace

std::vector<bool> on_some_way(std::uint32_t nodes, std::span<const NetEdge> edges, std::uint32_t from,
                              std::uint32_t to) {
    // An edge lies on such a way exactly if a wire straight across would close a simple cycle with it.
    const auto across = static_cast<Number>(edges.size());
    const Rows<BlockArc> arcs(nodes, [&](const auto& add) {
        add_arcs(edges, add);
        add(from, BlockArc{across, to});
        add(to, BlockArc{across, from});
    });
    BlockSearch search(nodes, across + 1, arcs, every);
    search.run();
    std::vector<bool> on(edges.size());
    for (Number e = 0; e < across; ++e) on[e] = search.block[e] == search.block[across] && edges[e].a != edges[e].b;
    return on;
}

WaysFrom::WaysFrom(std::uint32_t nodes, std::span<const NetEdge> edges, std::uint32_t from)
    : from_(from), above_(nodes, none), at_(nodes) {
    const Rows<BlockArc> arcs(nodes, [&](const auto& add) { add_arcs(edges, add); });
    BlockSearch search(nodes, static_cast<Number>(edges.size()), arcs, every);
    search.run_from(from);
    top_.assign(search.blocks, from);
    in_block_.resize(search.blocks);
    for (Number e = 0; e < edges.size(); ++e) {
        const Number block = search.block[e];
        if (block == nothing) continue;
        in_block_[block].push_back(e);
        for (Number node : {edges[e].a, edges[e].b}) {
            if (in_block_[block].front() == e && node == edges[e].a) top_[block] = node;
            if (search.entered[node] < search.entered[top_[block]]) top_[block] = node;
            at_[node].push_back(block);
        }
    }
    for (Number node = 0; node < nodes; ++node) {
        std::ranges::sort(at_[node]);
        at_[node].erase(std::ranges::unique(at_[node]).begin(), at_[node].end());
        for (Number block : at_[node])
            if (node != from && top_[block] != node) above_[node] = block;
    }
}

std::vector<std::uint32_t> WaysFrom::to(std::uint32_t node) const {
    std::vector<std::uint32_t> on;
    for (Number here = node; here != from_ && above_[here] != none; here = top_[above_[here]])
        on.insert(on.end(), in_block_[above_[here]].begin(), in_block_[above_[here]].end());
    std::ranges::sort(on);
    return on;
}

std::vector<std::uint32_t> WaysFrom::around(std::uint32_t node) const {
    std::vector<std::uint32_t> all = to(node);
    for (Number block : at_[node])
        if (block != above_[node]) all.insert(all.end(), in_block_[block].begin(), in_block_[block].end());
    std::ranges::sort(all);
    return all;
}

} // namespace loomproof
