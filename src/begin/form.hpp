#pragma once
/// A form: the questions for one job and the circuit file that the answers become. One data file each, netlists/templates/*.form.
///
/// ```
/// title   driving lights on a relay
/// file    driving-lights.loom        (or by an answer: <what>.loom)
/// called  spotlight, fog light               (what else people call this job)
/// nearest towing: why this is the nearest form for it
/// caution what belongs to this job, said before the first question; `[what=heater]` before it as in the file: where the words that the job
///         was asked for by answer that question, it is said only then
/// ask battery              (a question of common.form, or with lines of its own below)
/// ask load
///   say     What do the lamps take together?
///   help    Look for W or A on each; add them up.
///   takes   W A            (units; or: colour, words; `W A, or two`: "2 x 55 W" is an answer too)
///   option  60/55 W        (instead of `takes`: a choice of values, each with a text behind a bar)
///   also    mm, square     (what else is typed for the option above)
///   told    job            (the words that the job was asked for by may answer it: "inverter")
///   sets    kind motor     (what else follows from the option above: `<kind>` becomes "motor")
///   takes   W/W            (beside the options: two watts as well, "100/55")
///   when    other=relay    (it is asked only then; or `other!=relay`. Else what holds it is left out, and a length of it is none)
///   unknown guessed 110 W  (what "don't know" becomes; nothing: the clause is left out, and "none" is an answer to a question for a figure)
///   measure how to find it out
/// wire feed carries load x 2 behind kit-fuse over reach + back in engine-bay
///                          (`behind`: the answer that says which fuse it has; else, and where there is none, one is worked out)
/// later   relay-base        (what nobody asks for want of room and stands at the end as still to find out: the `measure` of a question of
///                           common.form, or a sentence; `[other=relay]` before it as in the file)
/// ---
/// loom 1
/// fuse F1, <feed fuse>
/// ```
/// Behind `---` stands the file, with `<load>` for an answer, and what follows from them: `<feed>` a wire size, `<feed fuse>`,
/// `<feed relay>` ratings, `<feed start>` what a motor may take to start, `<thin>` a size for trigger wires. A line behind `[other=relay]` or
/// `[other!=relay]` stands there only then; behind several such marks, where all hold. A name in the sum of `over` may also be a length: `0.3 m`.

#include "base/result.hpp"
#include "circuit/figures.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace loomproof::begin {

struct Option {
    std::string value, text;                                    ///< what stands in the file; what the person reads
    std::vector<std::string> also = {};                         ///< what else is typed for it, in small letters
    std::vector<std::pair<std::string, std::string>> sets = {}; ///< gaps that it fills besides
};

/// "relay=pressure", "relay!=pressure": of an answer or of what follows from the answers.
struct Condition {
    std::string id; ///< empty: always
    std::string value;
    bool other = false; ///< holds where it is anything else
};
/// Nothing where the text is none.
std::optional<Condition> read_condition(std::string_view);

struct Ask {
    enum class Takes { figure, colour, words, option };
    std::string id, say, help, measure;
    Takes takes = Takes::words;
    std::vector<Unit> units;
    std::string unit_words; ///< "W or A"
    bool or_two = false;    ///< two alike are an answer too: "2 x 55 W"
    bool by_job = false;    ///< the words that the job was asked for by may answer it
    bool or_pair = false;   ///< two watts in one are an answer beside the options: "100/55 W"
    Condition when;
    std::vector<Option> options;
    std::string unknown; ///< empty: what holds it is left out
};

/// Wires and a fuse for `load` (an answer), `times` over, along lengths that add up.
struct WireSum {
    std::string name, load;
    double times = 1;
    std::string fuse;              ///< an answer: the fuse that is there already; empty: one is worked out
    std::vector<std::string> over; ///< names of answers, or lengths
    std::string place;             ///< empty: not said
};

/// What people call a job, or one that has no form of its own.
struct Called {
    std::string words;
    std::string why; ///< empty: it is this job; else why this form comes nearest
};

/// A sentence, and where it holds.
struct Said {
    Condition when;
    std::string text;
};

struct Form {
    std::string title, file;
    std::vector<Called> called;
    std::vector<Said> cautions;
    std::vector<Ask> asks;
    std::vector<WireSum> wires;
    std::vector<Said> later; ///< what nobody asks, and stands in the file as usual
    std::string text;
};

/// `common`: the text of common.form, whose questions others may name. The failure says which line is wrong: it is a mistake of ours.
Result<Form> read_form(std::string_view name, std::string_view text, std::string_view common);

} // namespace loomproof::begin
