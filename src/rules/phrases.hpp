#pragma once
/// Pieces of sentences and citations that several rules put together.

#include "circuit/view.hpp"
#include "findings/finding.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace loomproof::rules {

/// A part's statement.
Citation cite_part(const Circuit&, PartId, std::string label = {});
/// The end of the first wire at the terminal, else the part's statement.
Citation cite_terminal(const View&, TerminalId, std::string label = {});

/// "hole 2 of X7". Precondition: a hole's primitive.
std::string hole_words(const Circuit&, const Primitive&);

/// Where a part lies, where the file says so; its label is no place, and headlines say it.
std::string where_it_lies(const Circuit&, PartId);

/// "K1:85", for subjects and lists.
std::vector<std::string> names_of(const Circuit&, const std::vector<TerminalId>&);
std::vector<std::string> names_of(const Circuit&, const std::vector<PartId>&);

/// A wire as a subject: its name, which all pieces of a run share; one without a name by colour and ends.
std::string subject_of(const Circuit&, WireId);

/// The stamp alone where people would say it so: "86" of K1:86; the whole name for parts with one terminal.
std::string stamp_of(const Circuit&, TerminalId);

/// What decides whether a relay that is left with little at its coil lets go: where to measure, and what each answer means.
std::string measure_of_release(const Circuit&, const Primitive& coil);

/// The cure for a switch whose other end has no wire because it has none: what to add to its line.
std::string grounded_by_its_body(const Circuit&, PartId);

/// The cure for a load whose current goes home over a screen or a signal wire. `end`: of the load, towards ground.
std::string home_by_itself(const Circuit&, WireId, TerminalId end);

/// First letter in capitals, for the start of a sentence.
std::string sentence_start(std::string);

/// A sentence that goes on after a colon: small first letter, no full stop.
std::string goes_on(std::string_view sentence);

/// "a 10 A fuse", "an 8 A fuse": the article before a figure.
std::string with_article(std::string figure);

/// "is" or "are", "has" or "have".
const char* verb(std::size_t count, const char* one, const char* several);

} // namespace loomproof::rules
