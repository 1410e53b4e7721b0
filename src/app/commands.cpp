#include "app/command.hpp"

#include <algorithm>
#include <array>

namespace loomproof::app {

namespace {

constexpr Argument circuit_file{"FILE", "the circuit file; - reads standard input"};
constexpr std::array one_file{circuit_file};
constexpr std::array file_to_draw{Argument{circuit_file.name, circuit_file.help, false}};
constexpr std::array rule_name{
    Argument{"RULE", "the name that stands at the right of a finding, or a word such as splice; without it: all rules",
             false, names_to_explain, true}};
constexpr std::array help_word{Argument{
    "WORD", "a command, a rule, a word of the trade, or what you want to type: motor, switch, wire; words: all words",
    false, names_for_help, true}};
constexpr std::array<std::string_view, 3> shells{"bash", "zsh", "fish"};
constexpr std::array help_options{
    Option{"--man", nullptr, "the manual page: loomproof help --man > loomproof.1; man ./loomproof.1"},
    Option{"--completion", "SHELL", "what makes a shell complete the words of loomproof: bash, zsh or fish", shells},
};

constexpr std::array<std::string_view, 4> severities{"danger", "fault", "advice", "note"};

constexpr std::array check_options{
    Option{"--all", nullptr, "show every finding; else every danger, and at most three findings in all"},
    Option{
        "--threshold", "SEVERITY",
        "from which severity on a finding makes the exit status 1: danger, fault, advice or note; fault unless you say",
        severities},
};

constexpr std::array watch_options{
    check_options[0],
    Option{"-o", "FILE", "also draws the circuit, to this file, after each check: .svg, .pdf or .png"},
};

constexpr std::array<std::string_view, 3> papers{"A4", "A3", "letter"};
constexpr std::array<std::string_view, 3> groupings{"fuse", "function", "job"};
constexpr std::array<std::string_view, 2> relay_styles{"together", "apart"};

constexpr Option planned{"--planned", nullptr, "with the planned jobs; else only what is fitted"};

constexpr std::array draw_options{
    Option{"-o", "FILE",
           "where the drawing goes, by its ending as .svg, .pdf or .png; without it, SVG to standard output"},
    Option{"--paper", "SIZE",
           "on sheets of paper in place of one page: FILE-1.svg, FILE-2.svg, ... with FILE-contents.svg (what is "
           "where) and "
           "FILE-overview.svg (the supply down to the fuses), or all in one FILE.pdf; A4, A3 or letter",
           papers},
    Option{"--keep", "DRAWING",
           "everything keeps the place that it has in this drawing, an SVG of the same circuit that was made before; "
           "what is new finds a place beside it. With --paper the sheets DRAWING-1.svg, -2.svg ... are meant, of the "
           "same paper: name them as -o did"},
    Option{"--by", "WHAT",
           "what stands together on a sheet: what hangs on one fuse, has one function or belongs to one job; "
           "fuse unless you say",
           groupings},
    Option{"--relays", "HOW", "together, as usual, or apart: coil and contact each in the path of its own current",
           relay_styles},
    Option{"--factory", nullptr, "before any job: as the maker built it, or what stands outside the jobs"},
    planned,
    Option{"--changes", nullptr,
           "with what the jobs changed: added wires with a doubled edge and the job's letter, cuts, caps, stubs of "
           "what was taken off"},
    Option{"--symbols", nullptr, "all symbols with what they stand for, in place of a circuit; needs no FILE"},
    Option{"--black-and-white", nullptr, "for a printer without colour: wires as hollow tubes, stripes as ticks"},
};

constexpr std::array tidy_options{
    Option{"--write", nullptr, "change FILE itself, in place of printing the result"},
    Option{"--number-wires", nullptr, "give each wire without a name the next free one: W1, W2, ..."},
};

constexpr Option when{"--when",
                      "POSITIONS",
                      "how the switches stand: \"S1 run, S5 on\", \"engine running\"; else everything is at rest",
                      {},
                      true};
constexpr std::array predict_options{
    when,
    Option{"--at", "PART", "only the rows at this part"},
    Option{"--behind", "FUSE", "only this fuse, relay or switch and what hangs behind it"},
    Option{"--in", "PLACE", "only parts that lie there: engine-bay"},
    Option{"--job", "TITLE", "only parts that this job put in"},
    planned,
};
constexpr std::array trace_arguments{circuit_file, Argument{"FROM", "where to begin: battery:+, K1:30, SP1"},
                                     Argument{"TO", "where to end"}};
constexpr std::array trace_options{when, planned};

constexpr std::array size_arguments{
    Argument{"WHAT",
             "what it takes and how far it is: 120 W at 13.8 V, 3 m; then, if you like: round trip, body return, in "
             "engine-bay, 60 degC, drop 3 %, GXL. Or a circuit file",
             true, nullptr, true}};
constexpr std::array size_options{
    Option{"--all", nullptr, "of a load: how it comes about, where published tables disagree, and what was assumed"},
    Option{"--job", "JOB", "of a circuit file: only what this job put in, by its title or letter"},
    Option{"--write", nullptr,
           "of a circuit file: change the sizes and ratings in it that do not do, and nothing else"},
};

constexpr std::array begin_arguments{
    Argument{"JOB", "the job, by its name or in your own words (air compressor); without it: the list", false,
             names_of_jobs, true}};
constexpr std::array begin_options{
    Option{"--answers", "FILE", "takes the answers from FILE, one a line, in place of the keyboard"},
    Option{
        "--into", "FILE",
        "adds the job at the end of a circuit file that is there: names that it has already get the next number, and "
        "its battery feeds the job; what stands in it stays as it is"},
    Option{"--paper", nullptr, "prints the questions of JOB, to be filled in by hand; without JOB the list of jobs"},
};

constexpr std::array plug_arguments{
    Argument{"NAME", "what the plug is called: X7"},
    Argument{"FILE", "a circuit file: new, or there already; the plug is added at its end. Without it: printed",
             false}};
constexpr std::array plug_options{
    Option{"--holes", "N", "how many holes it has, so that nobody asks"},
    Option{"--answers", "FILE", "takes the answers from FILE, one a line, in place of the keyboard"},
    Option{"--blank", nullptr, "prints an empty grid to fill in by hand, with --holes rows or 8"},
};

constexpr std::array table{
    Command{"begin", "a first circuit file, by at most 12 questions",
            "Asks what you want to fit and a few things about it, shows the line that each answer becomes, writes the "
            "circuit file, checks and "
            "draws it. To each question ? explains, \"don't know\" is an answer, back goes back, stop ends. Nothing is "
            "written over.",
            begin_arguments, begin_options, begin},
    Command{"check", "what is dangerous, wrong or unwise in a circuit, and how to mend it",
            "Reads a circuit file and says what is dangerous, wrong or unwise in it, why, and how to mend it; what was "
            "assumed, "
            "and what could not be checked. Mistakes in the text count as faults. Planned jobs count as done.",
            one_file, check_options, check},
    Command{"watch", "checks again whenever the file is saved",
            "Checks a circuit file, and checks it again whenever it or a file that it uses is saved, by any editor; "
            "then it says what came, what is "
            "gone, and the verdict. With -o it is drawn again too, after the check; everything keeps its place on the "
            "drawing from save to save. ctrl-C ends it.",
            one_file, watch_options, watch},
    Command{"draw", "the circuit as it is now, as a drawing (SVG, PDF, PNG)",
            "Draws the circuit as it is now, without jobs that are only planned: a drawing in SVG, which any browser "
            "opens and prints, in PDF or in PNG. "
            "On paper, a wire that goes on "
            "elsewhere says on which sheet, in which path and at which terminal.",
            file_to_draw, draw_options, draw},
    Command{
        "predict", "what a meter and a test lamp should show, point by point",
        "The table to take to the car: for each point the volts under load, what a test lamp does there, and the amps "
        "in the wire, with the switches set as you say; then where volts are lost on the way.",
        one_file, predict_options, predict},
    Command{
        "trace", "the way between two points, with the volts lost at each step",
        "Follows the way from one point to another, stop by stop, with the volts there and the drop over each wire, "
        "contact and plug.",
        trace_arguments, trace_options, trace},
    Command{"size", "wire and fuse for a load (120 W at 13.8 V, 3 m) or for each wire of a file",
            "Says which wire and which fuse a load needs; with --all also how that comes about, and where published "
            "tables disagree. With a circuit file in place "
            "of words: which size every wire needs, and which rating every fuse, on the currents that flow in any "
            "switch position.",
            size_arguments, size_options, size},
    Command{"plug", "writes down a plug as seen: colours and readings, hole by hole",
            "Asks hole by hole for colour and reading, says where two wires look alike (tag them before you cut) and "
            "what each reading allows, and "
            "writes the rows. What a hole could be is only noted, never put in as a fact. To type a plug into a file "
            "yourself: loomproof help connector.",
            plug_arguments, plug_options, plug},
    Command{"tidy", "the circuit file in its tidy form",
            "Prints the circuit file with blanks, columns and spellings put in order. The meaning stays, comments "
            "stay, and a "
            "statement with a mistake stays as it was typed.",
            one_file, tidy_options, tidy},
    Command{
        "explain",
        "what a rule looks for, or what a word means",
        "Says what a rule looks for, and when what it finds is a danger or less; or what a word of the trade means.",
        rule_name,
        {},
        explain},
    Command{"help", "this text, what a command takes, words of the trade",
            "Prints help: for a command what it takes, for a rule or a word of the trade what it means, for a part or "
            "a wire what to type in a circuit file; the manual page, and what shells need to complete a command line.",
            help_word, help_options, help_command},
};

} // namespace

std::span<const Command> commands() { return table; }

const Command* find_command(std::string_view name) {
    const auto at = std::find_if(table.begin(), table.end(), [&](const Command& c) { return c.name == name; });
    return at == table.end() ? nullptr : &*at;
}

} // namespace loomproof::app
