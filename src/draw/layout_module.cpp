#include "draw/layout_module.h"

#include <gvc.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <vector>

extern "C" gvplugin_library_t gvplugin_dot_layout_LTX_library;

namespace {

// Attribute names and values are `char*` in this library though it never writes to them.
char* text(const char* constant) { return const_cast<char*>(constant); }

using Number = std::array<char, 16>;
char* as_text(int value, Number& room) {
    *std::to_chars(room.data(), room.data() + room.size() - 1, value).ptr = '\0';
    return room.data();
}

class Graph {
  public:
    explicit Graph(GVC_t* context) : context_(context), graph_(agopen(text("g"), Agstrictdirected, nullptr)) {}
    ~Graph() {
        if (graph_ == nullptr) return;
        if (laid_out_) gvFreeLayout(context_, graph_);
        agclose(graph_);
    }
    Graph(const Graph&) = delete;
    Graph& operator=(const Graph&) = delete;

    Agraph_t* get() const { return graph_; }
    bool lay_out() {
        laid_out_ = true;
        return gvLayout(context_, graph_, "dot") == 0;
    }

  private:
    GVC_t* context_;
    Agraph_t* graph_;
    bool laid_out_ = false;
};

// One context for the life of the module: making one is cheap, but the library never gives all of it back.
GVC_t* context() {
    static lt_symlist_t builtins[] = {{"gvplugin_dot_layout_LTX_library", &gvplugin_dot_layout_LTX_library},
                                      {nullptr, nullptr}};
    static GVC_t* const made = gvContextPlugins(builtins, 0);
    return made;
}

int silent(char*) { return 0; }

bool fits(int nodes, int edges, const int* tail, const int* head, const int* shortest, const int* weight) {
    if (nodes < 1 || edges < 0) return false;
    for (int e = 0; e < edges; ++e) {
        if (tail[e] < 0 || tail[e] >= nodes || head[e] < 0 || head[e] >= nodes || tail[e] == head[e]) return false;
        if (shortest[e] < 0 || weight[e] < 0) return false;
    }
    return true;
}

} // namespace

extern "C" int loomproof_levels(int nodes, int edges, const int* tail, const int* head, const int* shortest,
                                const int* weight, int* level) {
    if (!fits(nodes, edges, tail, head, shortest, weight)) return 1;
    if (context() == nullptr) return 2;
    agseterrf(silent);
    Graph graph(context());
    Agraph_t* const g = graph.get();
    if (g == nullptr) return 4;

    // "phase" 1 makes the dot engine stop after its network simplex; "shape" and "label" keep it from measuring any text.
    agattr(g, AGRAPH, text("phase"), text("1"));
    agattr(g, AGNODE, text("label"), text(""));
    agattr(g, AGNODE, text("shape"), text("box"));
    Agsym_t* const minlen = agattr(g, AGEDGE, text("minlen"), text("1"));
    Agsym_t* const cost = agattr(g, AGEDGE, text("weight"), text("1"));

    Number room{};
    std::vector<Agnode_t*> node(static_cast<std::size_t>(nodes));
    for (int n = 0; n < nodes; ++n) node[static_cast<std::size_t>(n)] = agnode(g, as_text(n, room), 1);
    for (int e = 0; e < edges; ++e) {
        Agedge_t* const edge =
            agedge(g, node[static_cast<std::size_t>(tail[e])], node[static_cast<std::size_t>(head[e])], nullptr, 1);
        if (edge == nullptr) return 4;
        agxset(edge, minlen, as_text(shortest[e], room));
        agxset(edge, cost, as_text(weight[e], room));
    }
    if (!graph.lay_out()) return 2;

    int lowest = ND_rank(node[0]);
    for (int n = 0; n < nodes; ++n) {
        level[n] = ND_rank(node[static_cast<std::size_t>(n)]);
        lowest = std::min(lowest, level[n]);
    }
    for (int n = 0; n < nodes; ++n) level[n] -= lowest;
    for (int e = 0; e < edges; ++e)
        if (level[head[e]] - level[tail[e]] < shortest[e]) return 3;
    return 0;
}
