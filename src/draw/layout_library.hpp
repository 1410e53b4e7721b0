#pragma once
/// The rows of a drawing by Graphviz: the one question asked of it. The library lies in a module of its own (layout_module.h), loaded
/// the first time something is drawn, and never by a command that draws nothing.

#include "draw/levels.hpp"

namespace loomproof::draw {

/// Solves the problem like solve(), whatever its lean; parts of the graph that hang together in no way are each counted from 0. Of
/// equally good solutions it often finds another one: both are tried for the rows. The same problem gives the same levels, in any
/// thread: one lock for the whole process stands before the library. Fails where loomproof-layout.so lies neither beside the program
/// nor in ../lib/loomproof, or the edges run in a circle.
Result<std::vector<int>> rows_by_library(const LevelProblem& problem);

} // namespace loomproof::draw
