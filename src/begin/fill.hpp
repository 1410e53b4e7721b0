#pragma once
/// Answers put into a form, and what follows from them: wire sizes, fuses, relays.

#include "begin/form.hpp"

#include <map>
#include <string>
#include <vector>

namespace loomproof::begin {

/// One answer as it stands in the file: "120 W", "guessed 2 m", "blue/white", a text without its quotes; empty where nobody knows and
/// the clause is left out.
using Answers = std::map<std::string, std::string>;

/// The answers, and what follows from them.
Answers all_values(const Form&, const Answers&);

/// Does it hold, by these answers and what follows from them?
bool holds(const Condition&, const Answers&);

/// The cautions for what was said of the job. What it is may be asked yet: then all of them.
std::vector<std::string> cautions_of(const Form&, const Answers& said);

/// What can be worked out from these answers: "feed" -> "2.5 mm2", "feed fuse" -> "15 A" and so on. Wire in AWG where the answer to
/// `sold` is "awg".
Answers worked_out(const Form&, const Answers&);

/// Why each wire is as thick as it is, one sentence for each sum of the form that can be worked out; with what stands against it.
std::vector<std::string> why_these(const Form&, const Answers&);

/// The file with these answers, in its tidy form. What is not answered yet shows as a word of its own.
std::string filled(const Form&, const Answers&);
/// A sentence of the form with its gaps filled as those of the file are.
std::string with_values(const std::string&, const Form&, const Answers&);

/// The name for it, "air-compressor.loom".
std::string named(const Form&, const Answers&);

/// What an answer becomes: the lines that it stands in, with "..." for what is not answered yet, and those that are whole now because of it.
std::vector<std::string> lines_of(const Form&, const Answers&, const std::string& id);

} // namespace loomproof::begin
