#ifndef LOOMPROOF_DRAW_LAYOUT_MODULE_H
#define LOOMPROOF_DRAW_LAYOUT_MODULE_H
/// The whole interface of loomproof-layout.so, the one file that holds Graphviz: integers in, integers out.
///
/// Given a connected acyclic graph with nodes 0 .. nodes-1, finds an integer level for each node so that for each edge
///     level[head] - level[tail] >= shortest
/// and the sum over the edges of weight * (level[head] - level[tail]) is as small as possible; the lowest level is 0.
/// Between a node pair there may be one edge only, and no edge from a node to itself; weights and shortest >= 0.
///
/// Returns 0, or the number of the first thing that went wrong: 1 arguments out of range, 2 the library refused,
/// 3 the levels found break an edge (a circle in the edges ends here), 4 out of memory.
/// Not safe to call from two threads at once: the caller holds a lock.
#ifdef __cplusplus
extern "C" {
#endif

typedef int (*loomproof_levels_function)(int nodes, int edges, const int* tail, const int* head, const int* shortest,
                                         const int* weight, int* level);

__attribute__((visibility("default"))) int loomproof_levels(int nodes, int edges, const int* tail, const int* head,
                                                            const int* shortest, const int* weight, int* level);

#ifdef __cplusplus
}
#endif
#endif
