#pragma once
/// What a finding is: plain words, figures and spans. No pointer into a circuit, so it outlives it.
///
/// One Finding renders to everything: terminal, sheet, marks on the drawing. Rules fill it; the folding stage
/// (rules/fold.hpp) puts consequences under their cause; report/ prints it.

#include "base/span.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof {

enum class Severity {
    danger, ///< fire, injury, loss of control, engine cannot be stopped
    fault,  ///< will not work, or breaks a part; a mistake in the text
    advice, ///< works, not good practice
    note,   ///< worth knowing; never counts against the circuit
};

enum class Certainty {
    certain,
    possible,  ///< depends on where a part lies within its published limits
    undecided, ///< a value is unknown: `measure` says what decides, and what each answer would mean
};

/// A place in the text that the finding speaks about, with a label of a few words ("no fuse on this lead").
/// The first citation is the main one. Labels may be empty.
struct Citation {
    Span span;
    std::string label;
};

/// A size that a remedy asks for one wire.
struct AskedSize {
    std::string wire;  ///< its name in the file
    double copper = 0; ///< [m2]
    std::string words; ///< as it stands in the remedy's text: "4 mm2"
};

/// One way to mend it. Several remedies are alternatives, best first, each with its consequence in its own words.
struct Remedy {
    std::string text;
    std::optional<AskedSize> size{}; ///< where it is thicker wire: all remedies for that wire name the thickest
};

/// A change of the text that carries out a remedy.
struct TextEdit {
    enum class Grade { sure, your_choice, needs_a_value };
    Span span; ///< replaced; empty for an insertion
    std::string replacement;
    Grade grade = Grade::your_choice;
};

struct Finding {
    std::string rule; ///< permanent readable id, such as unfused-feed
    Severity severity = Severity::fault;
    Certainty certainty = Certainty::certain;

    /// One whole sentence that makes sense alone, read out over the phone: what is wrong, where, how far over.
    std::string headline;
    /// Where on the car, in words ("engine bay, left inner wing"); may be empty.
    std::string place;
    std::vector<Citation> cites;

    std::string why; ///< what happens if it stays, with figures; may be empty
    std::string
        limit; ///< the limit and where it comes from ("0.18 m (33 CFR 183.455, written for boats)"); may be empty
    std::vector<Remedy> cures;
    std::string measure; ///< undecided: what to measure and what each answer would decide; may be empty
    /// A path or loop stop by stop ("battery +", "F1", "K1:30"); printed with > between; may be empty.
    std::vector<std::string> path;
    std::vector<TextEdit> edits;

    /// Names of the things this finding is about (wires, parts, terminals as "K1:86"), the main one first. `accept` and folding match on them.
    std::vector<std::string> subjects;
    /// Of a symptom ("E1 stays dark"): names of all that it hangs on, so that folding can put it under what is wrong with one of them.
    std::vector<std::string> hangs_on;

    /// Consequences put here by the folding stage.
    std::vector<Finding> consequences;

    /// Reason given in the file, where it accepts this finding.
    std::optional<std::string> accepted_because;
};

/// "danger", "fault", "advice", "note".
const char* word(Severity);
const char* word(Certainty);

} // namespace loomproof
