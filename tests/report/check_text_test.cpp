#include "report/check_text.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace loomproof::report {

namespace {

/// The citation of `words` where they first stand in a source.
Citation cite(const Sources& sources, std::string_view words, std::string label = {}) {
    const std::size_t at = sources.at(0).text.find(words);
    REQUIRE(at != std::string::npos);
    return {{0, static_cast<std::uint32_t>(at), static_cast<std::uint32_t>(at + words.size())}, std::move(label)};
}

Finding finding(std::string rule, Severity severity, std::string headline) {
    Finding f;
    f.rule = std::move(rule);
    f.severity = severity;
    f.headline = std::move(headline);
    return f;
}

const char* const bench = "loom 1\n"
                          "battery, 60 Ah\n"
                          "fuse F1, 20 A\n"
                          "led E1 \"light bar\", 120 W\n"
                          "wire from battery:+ to F1, 12 awg red, 0.8 m\n"
                          "wire from F1 to E1:+, 18 awg red, 3 m\n";

struct Bench {
    Sources sources;
    Bench() { sources.add("bench.loom", bench); }

    Finding unfused() const {
        Finding f = finding("unfused-feed", Severity::danger,
                            "Nothing protects the red wire from the battery to F1: 0.8 m of it can burn.");
        f.place = "engine bay, left inner wing";
        f.cites = {cite(sources, "battery:+"), cite(sources, "0.8 m", "bare")};
        f.path = {"battery:+", "F1"};
        f.why = "Shorted to the body it carries about 900 A and glows within two seconds; no fuse sits before it.";
        f.limit = "0.18 m of bare lead (33 CFR 183.455, written for boats; no road rule gives a length), 1.0 m if "
                  "sleeved all the way";
        f.cures = {{"Move F1 to within 0.18 m of the battery post."}, {"Sleeve the whole lead and write \"sleeved\"."}};
        f.subjects = {"wire 1", "F1"};
        return f;
    }
    std::string text(const Checked& checked, Extent extent = {}) const {
        return '\n' + check_text(checked, sources, {}, extent);
    }
};

Checked with(std::vector<Finding> findings, std::size_t run = 23, std::size_t open = 2) {
    Checked c;
    c.outcome.findings = std::move(findings);
    c.outcome.rules_run = run;
    c.outcome.rules_open = open;
    return c;
}

} // namespace

TEST_CASE("A finding: headline, place, lines, path, why, limit, cures") {
    const Bench b;
    CHECK('\n' + finding_text(b.unfused(), b.sources, {}) == R"(
DANGER  Nothing protects the red wire from the battery to F1:       unfused-feed
        0.8 m of it can burn.
  where    engine bay, left inner wing
   5 | wire from battery:+ to F1, 12 awg red, 0.8 m
     |           ~~~~~~~~~                    ~~~~~ bare
  path     battery:+ > F1
  why      Shorted to the body it carries about 900 A and glows within two
           seconds; no fuse sits before it.
  limit    0.18 m of bare lead (33 CFR 183.455, written for boats; no road rule
           gives a length), 1.0 m if sleeved all the way
  cure     Move F1 to within 0.18 m of the battery post.
        or Sleeve the whole lead and write "sleeved".
)");
}

TEST_CASE("The smallest finding is one line") {
    const Bench b;
    CHECK(finding_text(finding("colour-changes", Severity::note, "W1 changes from red to pink."), b.sources, {}) ==
          "NOTE    W1 changes from red to pink.                              colour-changes\n");
}

TEST_CASE("What a measurement must decide is a question, and says what to measure") {
    const Bench b;
    Finding f = finding("fuse-above-wire", Severity::danger,
                        "Can't tell whether F1 protects the wire to E1: its size is unknown.");
    f.certainty = Certainty::undecided;
    f.measure = "Read the size off the insulation: from 4 mm2 up F1 protects it, below it does not.";
    CHECK('\n' + finding_text(f, b.sources, {}) == R"(
DANGER? Can't tell whether F1 protects the wire to E1: its size  fuse-above-wire
        is unknown.
  measure  Read the size off the insulation: from 4 mm2 up F1 protects it, below
           it does not.
)");
}

TEST_CASE("A long path is broken before a stop") {
    const Bench b;
    Finding f = finding("back-feed", Severity::fault, "The horn sounds through the lamp.");
    f.path = {"battery +", "F1",   "K1:30", "K1:87", "E1",   "X7 hole 1", "S5:1",
              "S5:2",      "H1:1", "H1:2",  "GND2",  "body", "battery -"};
    CHECK('\n' + finding_text(f, b.sources, {}) == R"(
FAULT   The horn sounds through the lamp.                              back-feed
  path     battery + > F1 > K1:30 > K1:87 > E1 > X7 hole 1 > S5:1 > S5:2 > H1:1
           > H1:2 > GND2 > body > battery -
)");
}

TEST_CASE("What follows from a cause stands under it, and says so where it is worse") {
    const Bench b;
    Finding cause = finding("ground-missing", Severity::fault, "Nothing joins GND2 to the battery.");
    cause.consequences = {finding("never-powered", Severity::fault,
                                  "The light bar E1 never gets current, in any switch position that there is."),
                          finding("fuel-pump-runs-on", Severity::danger, "The pump M3 keeps running.")};
    Finding deeper = finding("never-powered", Severity::fault, "K1 never pulls in.");
    deeper.measure = "Measure at K1:86.";
    cause.consequences[0].consequences = {deeper};
    CHECK('\n' + finding_text(cause, b.sources, {}) == R"(
FAULT   Nothing joins GND2 to the battery.                        ground-missing
  and so   The light bar E1 never gets current, in any switch      never-powered
           position that there is.
    and so   K1 never pulls in.                                    never-powered
      measure  Measure at K1:86.
  and so   (danger) The pump M3 keeps running.                 fuel-pump-runs-on
)");
}

TEST_CASE("On a narrow screen the rule's name has a line of its own") {
    const Bench b;
    Finding f = b.unfused();
    f.limit.clear();
    CHECK('\n' + finding_text(f, b.sources, {44, false, true}) == R"(
DANGER  Nothing protects the red wire from
        the battery to F1: 0.8 m of it can
        burn.
                                unfused-feed
  where    engine bay, left inner wing
   5 | wire from battery:+ to F1,
     |           ~~~~~~~~~
     |   12 awg red, 0.8 m
     |               ~~~~~ bare
  path     battery:+ > F1
  why      Shorted to the body it carries
           about 900 A and glows within two
           seconds; no fuse sits before it.
  cure     Move F1 to within 0.18 m of the
           battery post.
        or Sleeve the whole lead and write
           "sleeved".
)");
}

TEST_CASE("Colour marks the severity, never carries it alone") {
    const Bench b;
    CHECK(finding_text(finding("back-feed", Severity::danger, "The horn sounds."), b.sources, {50, true, true}) ==
          "\x1b[1;31mDANGER\x1b[0m  The horn sounds.                 \x1b[2mback-feed\x1b[0m\n");
}

TEST_CASE("Escape sequences from the file never reach the terminal") {
    const Bench b;
    Finding f = finding("back\x1b[2J-feed", Severity::danger, "The \x1b]0;horn\x07 sounds.");
    f.path = {"a\x1b[A", "b"};
    f.why = f.place = f.limit = f.measure = "x\x1b[A";
    f.cures = {{"y\x1b[A"}};
    CHECK(finding_text(f, b.sources, {}).find('\x1b') == std::string::npos);
    Checked c = with({f});
    c.assumptions = {{"\x1b", "\x1b", "\x1b", "\x1b"}};
    c.still_to_wire = {"\x1b"};
    c.outcome.accepted = {f};
    c.outcome.not_checked = {{"\x1b", "\x1b", "\x1b", "\x1b"}};
    CHECK(b.text(c).find('\x1b') == std::string::npos);
}

TEST_CASE("The whole page") {
    const Bench b;
    Checked c = with({b.unfused()});
    Finding twins = finding("same-colour-in-connector", Severity::advice,
                            "Two wires in plug X7 are both blue/white: holes 1 and 3.");
    twins.cures = {{"Tie a tag on each before you cut."}};
    c.outcome.findings.push_back(twins);
    c.assumptions = {{"engine bay", "70 degC", "common practice", "place engine-bay, 85 degC"}};
    c.still_to_wire = {"K1:85", "E1:-"};
    c.outcome.not_checked = {{"voltage-drop", "voltage at E1", "length of the ground wire unknown",
                              "Measure it along its route; under 3 m the drop stays below 0.5 V."}};
    CHECK(b.text(c) == R"(
DANGER  Nothing protects the red wire from the battery to F1:       unfused-feed
        0.8 m of it can burn.
  where    engine bay, left inner wing
   5 | wire from battery:+ to F1, 12 awg red, 0.8 m
     |           ~~~~~~~~~                    ~~~~~ bare
  path     battery:+ > F1
  why      Shorted to the body it carries about 900 A and glows within two
           seconds; no fuse sits before it.
  limit    0.18 m of bare lead (33 CFR 183.455, written for boats; no road rule
           gives a length), 1.0 m if sleeved all the way
  cure     Move F1 to within 0.18 m of the battery post.
        or Sleeve the whole lead and write "sleeved".

ADVICE  Two wires in plug X7 are both blue/white:       same-colour-in-connector
        holes 1 and 3.
  cure     Tie a tag on each before you cut.

I assumed       engine bay 70 degC, common practice
                  to change: place engine-bay, 85 degC
Still to wire   K1:85, E1:-. When you think that all is done, add a line:
                complete. From then on each end that is missing is a fault.
Not checked     voltage at E1: length of the ground wire unknown. Measure it
                along its route; under 3 m the drop stays below 0.5 V.

1 danger, 1 advice. Not finished: K1:85 and E1:- are still to wire. So far nothing else dangerous found in 21 of 23 checks; not checked: 2.
Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.
)");
}

TEST_CASE("A person at a terminal gets the last lines set to its width as well") {
    const Bench b;
    CHECK('\n' + check_text(with({}), b.sources, {60, false, true}) == R"(
Nothing dangerous found in 21 of 23 checks; not checked: 2.
Loomproof advises, it does not certify. Battery off
(grounded post first) before you touch the wiring.
)");
}

TEST_CASE("Mistakes in the text come first, and what they hide is said") {
    const Bench b;
    Finding mistake = finding("text-name-unknown", Severity::fault, "Nothing here is called F7; F1 is near.");
    mistake.cites = {cite(b.sources, "from F1", "")};
    mistake.cures = {{"Say what F7 is: fuse F7, 20 A"}};
    Checked c = with({});
    c.mistakes = {mistake};
    CHECK(b.text(c) == R"(
The file has 1 mistake; what stands in that line is not checked.

MISTAKE Nothing here is called F7; F1 is near.                 text-name-unknown
   6 | wire from F1 to E1:+, 18 awg red, 3 m
     |      ~~~~~~~
  cure     Say what F7 is: fuse F7, 20 A

1 mistake in the text. In what could be read nothing dangerous found in 21 of 23 checks; not checked: 2, and what stands in the line with the mistake.
Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.
)");
    c.mistakes = std::vector<Finding>(12, finding("text-name-unknown", Severity::fault, "Nothing is called so."));
    const std::string many = b.text(c);
    CHECK(many.starts_with("\nThe file has 12 mistakes; what stands in those lines is not checked.\n"));
    CHECK(many.find("\n2 more; mend these first, or add --all.\n") != std::string::npos);
    CHECK(b.text(c, {true}).find("mend these first") == std::string::npos);
}

TEST_CASE("Every danger is shown, then at most three findings in all; how many more is said") {
    const Bench b;
    const auto shown = [&](std::size_t dangers, std::size_t faults, std::size_t notes, bool all) {
        std::vector<Finding> findings(dangers, finding("d", Severity::danger, "Danger."));
        findings.insert(findings.end(), faults, finding("f", Severity::fault, "Fault."));
        findings.insert(findings.end(), notes, finding("n", Severity::note, "Note."));
        const std::string text = b.text(with(std::move(findings)), {all});
        const auto count = [&](std::string_view what) {
            std::size_t n = 0;
            for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
            return n;
        };
        std::string out = std::to_string(count("\nDANGER")) + ' ' + std::to_string(count("\nFAULT")) + ' ' +
                          std::to_string(count("\nNOTE"));
        if (const std::size_t at = text.find("Not shown"); at != std::string::npos)
            out += ' ' + text.substr(at, text.find('\n', at) - at);
        return out;
    };
    CHECK(shown(0, 3, 0, false) == "0 3 0");
    CHECK(shown(1, 3, 2, false) == "1 2 0 Not shown: 1 fault, 2 notes. To see all: --all.");
    CHECK(shown(2, 0, 2, false) == "2 0 1 Not shown: 1 note. To see all: --all.");
    CHECK(shown(5, 2, 0, false) == "5 0 0 Not shown: 2 faults. To see all: --all.");
    CHECK(shown(5, 2, 3, true) == "5 2 3");
}

TEST_CASE("A fault is never cut from the short list before an advice; of one severity what can burn stays") {
    const Bench b;
    // Advice about heat is no danger: it says so where it is one. A fault does not work at all.
    std::vector<Finding> findings(2, finding("never-powered", Severity::fault, "Dark."));
    findings.insert(findings.end(), 3, finding("wire-overloaded", Severity::advice, "Hot."));
    findings.push_back(finding("never-powered", Severity::fault, "Dark last."));
    const std::string faults = b.text(with(findings));
    CHECK(faults.find("Dark last.") != std::string::npos);
    CHECK(faults.find("Hot.") == std::string::npos);
    // What is cut and can burn is named, each rule once.
    CHECK(faults.find("\nNot shown: 3 advice. What wire-overloaded speaks of can get hot or") != std::string::npos);
    // Of one severity what burns nothing is cut first, and all stay in their order.
    std::vector<Finding> alike(4, finding("never-powered", Severity::fault, "Dark."));
    alike.push_back(finding("wire-overloaded", Severity::fault, "Hot."));
    const std::string one = b.text(with(alike));
    CHECK(one.find("Hot.") != std::string::npos);
    CHECK(one.find("Not shown: 2 faults. To see all: --all.") != std::string::npos);
    CHECK(one.find("Dark.") < one.find("Hot."));
    // A note tells of what is left alone: it takes no place from a fault.
    std::vector<Finding> noted(3, finding("never-powered", Severity::fault, "Dark."));
    noted.push_back(finding("wire-overloaded", Severity::note, "Left alone."));
    const std::string left = b.text(with(noted));
    CHECK(left.find("Left alone.") == std::string::npos);
    CHECK(left.find("Not shown: 1 note. To see all: --all.") != std::string::npos);
}

TEST_CASE("A danger under a lesser cause is shown like any danger") {
    const Bench b;
    Finding cause = finding("ground-missing", Severity::fault, "Last fault.");
    cause.consequences = {finding("fuel-pump-runs-on", Severity::danger, "The pump keeps running.")};
    std::vector<Finding> findings(4, finding("f", Severity::fault, "Fault."));
    findings.push_back(cause);
    CHECK(worst_of(cause) == Severity::danger);
    CHECK(b.text(with(findings)).find("(danger) The pump keeps running.") != std::string::npos);
}

TEST_CASE("The verdict counts, and never says that all is well") {
    const auto danger = finding("d", Severity::danger, "Danger.");
    auto unsure = danger;
    unsure.certainty = Certainty::undecided;
    const auto fault = finding("f", Severity::fault, "Fault."), advice = finding("a", Severity::advice, "Advice."),
               note = finding("n", Severity::note, "Note.");
    const struct {
        std::vector<Finding> findings;
        std::size_t run, open;
        const char* expected;
    } rows[] = {
        {{}, 23, 2, "Nothing dangerous found in 21 of 23 checks; not checked: 2."},
        {{}, 23, 0, "Nothing dangerous found in 23 of 23 checks; not checked: 0."},
        {{}, 1, 0, "Nothing dangerous found in 1 of 1 check; not checked: 0."},
        {{note}, 23, 0, "1 note. Nothing dangerous found in 23 of 23 checks; not checked: 0."},
        {{fault}, 23, 0, "1 fault. Nothing else dangerous found in 23 of 23 checks; not checked: 0."},
        {{danger, danger, fault, advice, advice, note},
         23,
         1,
         "2 dangers, 1 fault, 2 advice, 1 note. Nothing else dangerous found in 22 of 23 checks; not checked: 1."},
        {{danger, unsure},
         23,
         1,
         "2 dangers (1 undecided). Nothing else dangerous found in 22 of 23 checks; not checked: 1."},
        {{unsure}, 23, 1, "1 danger (undecided). Nothing else dangerous found in 22 of 23 checks; not checked: 1."},
    };
    for (const auto& row : rows) CHECK(verdict(with(row.findings, row.run, row.open)) == row.expected);

    Checked c = with({}, 23, 2);
    c.mistakes = {finding("text-gone", Severity::fault, "M."), finding("text-gone", Severity::fault, "M."),
                  finding("text-hidden-direction", Severity::advice, "M.")};
    CHECK(verdict(c) ==
          "2 mistakes in the text. In what could be read nothing dangerous found in 21 of 23 checks; not checked: 2, "
          "and what stands in the lines with mistakes.");
}

TEST_CASE("Who reads only the last line is told what is not finished") {
    Checked c = with({}, 23, 2);
    c.still_to_wire = {"K1:30", "K1:85", "K1:86", "E1:2"};
    CHECK(verdict(c) ==
          "Not finished: 4 ends are still to wire. So far nothing dangerous found in 21 of 23 checks; not checked: 2.");
}

TEST_CASE("A file that describes nothing is not called free of danger") {
    Checked c = with({}, 23, 0);
    c.nothing_described = true;
    CHECK(verdict(c) == "There is nothing to check yet: the file holds no wire and no part.");
    c.mistakes = {finding("text-word-unknown", Severity::fault, "M.")};
    CHECK(verdict(c) == "1 mistake in the text. Nothing else could be read, so nothing was checked.");
}

} // namespace loomproof::report
