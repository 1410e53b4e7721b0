#include "rules/fold.hpp"

#include "base/number.hpp"
#include "base/words.hpp"
#include "rules/phrases.hpp"
#include "rules/rule.hpp"

#include <algorithm>
#include <iterator>
#include <tuple>
#include <utility>

#include <fmt/core.h>

namespace loomproof::rules {

// rule_list.hpp lists them
extern const Rule accepted_finding_stale;
extern const Rule as_built_by_maker;
extern const Rule back_feed;
extern const Rule diode_wrong_way;
extern const Rule excitation_lost;
extern const Rule expectation_not_met;
extern const Rule outputs_crossed;
extern const Rule part_overloaded;
extern const Rule relay_holds_itself;
extern const Rule restraint_circuit_touched;
extern const Rule short_circuit;
extern const Rule unfused_feed;

namespace {

constexpr Explains explanations[] = {
    {"always-powered", "expectation-not-met"},
    {"always-powered", "factory-function-changed"},
    {"always-powered", "feeds-joined"},
    {"always-powered", "unfused-feed"},
    {"back-feed", "alive-when-off"},
    {"back-feed", "always-powered"},
    {"back-feed", "coil-never-releases"},
    {"back-feed", "expectation-not-met"},
    {"back-feed", "factory-function-changed"},
    {"back-feed", "relay-holds-itself"},
    {"back-feed", "both-filaments-at-once"},
    {"both-filaments-at-once", "expectation-not-met"},
    {"both-filaments-at-once", "factory-function-changed"},
    {"charging-wire", "fuse-above-wire"},
    {"coil-contact-exchanged", "always-powered"},
    {"coil-contact-exchanged", "back-feed"},
    {"coil-contact-exchanged", "coil-never-pulls-in"},
    {"coil-contact-exchanged", "coil-never-releases"},
    {"coil-contact-exchanged", "feeds-joined"},
    {"coil-contact-exchanged", "fuse-above-wire"},
    {"coil-contact-exchanged", "fuse-near-limit"},
    {"coil-contact-exchanged", "never-powered"},
    {"coil-contact-exchanged", "part-overloaded"},
    {"coil-contact-exchanged", "relay-chatter"},
    {"coil-contact-exchanged", "relay-holds-itself"},
    {"coil-contact-exchanged", "runs-at-rest"},
    {"coil-contact-exchanged", "short-circuit"},
    {"coil-contact-exchanged", "start-opens-fuse"},
    {"coil-contact-exchanged", "switched-side-mismatch"},
    {"coil-contact-exchanged", "voltage-drop"},
    {"coil-contact-exchanged", "wire-overloaded"},
    {"coil-in-series", "back-feed"},
    {"coil-in-series", "coil-never-pulls-in"},
    {"coil-in-series", "expectation-not-met"},
    {"coil-in-series", "never-powered"},
    {"coil-never-pulls-in", "expectation-not-met"},
    {"coil-never-pulls-in", "factory-function-changed"},
    {"coil-never-pulls-in", "never-powered"},
    {"coil-never-releases", "expectation-not-met"},
    {"coil-never-releases", "factory-function-changed"},
    {"coil-never-releases", "fuse-above-wire"},
    {"coil-contact-exchanged", "common-and-output-swapped"},
    {"common-and-output-swapped", "expectation-not-met"},
    {"common-and-output-swapped", "never-powered"},
    {"common-and-output-swapped", "runs-at-rest"},
    {"cut-off-bypassed", "always-powered"},
    {"cut-off-bypassed", "alive-when-off"},
    {"diode-misplaced", "alive-when-off"},
    {"diode-misplaced", "always-powered"},
    {"diode-misplaced", "back-feed"},
    {"diode-misplaced", "coil-never-releases"},
    {"diode-misplaced", "runs-at-rest"},
    {"diode-wrong-way", "always-powered"},
    {"diode-wrong-way", "back-feed"},
    {"diode-wrong-way", "coil-never-pulls-in"},
    {"diode-wrong-way", "coil-never-releases"},
    {"diode-wrong-way", "excitation-lost"},
    {"diode-wrong-way", "fuse-near-limit"},
    {"diode-wrong-way", "never-powered"},
    {"diode-wrong-way", "part-overloaded"},
    {"diode-wrong-way", "relay-chatter"},
    {"diode-wrong-way", "relay-holds-itself"},
    {"diode-wrong-way", "runs-at-rest"},
    {"diode-wrong-way", "short-circuit"},
    {"diode-wrong-way", "wire-overloaded"},
    {"feeds-joined", "expectation-not-met"},
    {"feeds-joined", "factory-function-changed"},
    {"feeds-joined", "fuse-above-wire"},
    {"fuse-above-wire", "voltage-drop"},
    {"fuse-above-wire", "wire-overloaded"},
    {"fuse-near-limit", "expectation-not-met"},
    {"fuse-near-limit", "voltage-drop"},
    {"ground-fused", "fuse-near-limit"},
    {"ground-missing", "coil-never-pulls-in"},
    {"ground-missing", "coil-never-releases"},
    {"ground-missing", "never-powered"},
    {"ground-missing", "relay-chatter"},
    {"ground-missing", "relay-holds-itself"},
    {"joined-while-cranking", "fuse-near-limit"},
    {"joined-while-cranking", "part-overloaded"},
    {"joined-while-cranking", "start-opens-fuse"},
    {"never-powered", "expectation-not-met"},
    {"never-powered", "factory-function-changed"},
    {"never-powered", "unfused-feed"},
    {"one-end-protected", "lead-left-live"},
    {"double-fed", "shared-protection"},
    {"excitation-lost", "part-overloaded"},
    {"factory-function-changed", "expectation-not-met"},
    {"order-dependent", "expectation-not-met"},
    {"outputs-crossed", "both-filaments-at-once"},
    {"outputs-crossed", "expectation-not-met"},
    {"outputs-crossed", "never-powered"},
    {"outputs-crossed", "factory-function-changed"},
    {"outputs-crossed", "runs-at-rest"},
    {"outputs-crossed", "short-circuit"},
    {"relay-chatter", "expectation-not-met"},
    {"relay-holds-itself", "expectation-not-met"},
    {"relay-holds-itself", "factory-function-changed"},
    {"relay-holds-itself", "feeds-joined"},
    {"rest-contact-misused", "alive-when-off"},
    {"rest-contact-misused", "always-powered"},
    {"rest-contact-misused", "expectation-not-met"},
    {"rest-contact-misused", "factory-function-changed"},
    {"rest-contact-misused", "runs-at-rest"},
    {"runs-at-rest", "alive-when-off"},
    {"runs-at-rest", "expectation-not-met"},
    {"runs-at-rest", "factory-function-changed"},
    {"runs-at-rest", "never-powered"},
    {"reversed-polarity", "expectation-not-met"},
    {"reversed-polarity", "factory-function-changed"},
    {"reversed-polarity", "ground-fused"},
    {"reversed-polarity", "never-powered"},
    {"reversed-polarity", "short-circuit"},
    {"reversed-polarity", "unfused-feed"},
    {"reversed-polarity", "wrong-voltage"},
    {"shared-protection", "fuse-above-wire"},
    {"shared-protection", "fuse-near-limit"},
    {"short-circuit", "relay-chatter"},
    {"socket-mismatch", "expectation-not-met"},
    {"socket-mismatch", "factory-function-changed"},
    {"socket-mismatch", "never-powered"},
    {"socket-mismatch", "part-overloaded"},
    {"starter-unintended", "coil-never-releases"},
    {"starter-unintended", "relay-holds-itself"},
    {"switched-side-mismatch", "coil-never-pulls-in"},
    {"switched-side-mismatch", "expectation-not-met"},
    {"switched-side-mismatch", "factory-function-changed"},
    {"switched-side-mismatch", "never-powered"},
    {"terminal-not-wired", "coil-never-pulls-in"},
    {"terminal-not-wired", "coil-never-releases"},
    {"terminal-not-wired", "never-powered"},
    {"terminal-not-wired", "relay-chatter"},
    {"terminal-not-wired", "relay-holds-itself"},
    {"terminal-wired-twice", "always-powered"},
    {"terminal-wired-twice", "coil-never-pulls-in"},
    {"terminal-wired-twice", "coil-never-releases"},
    {"terminal-wired-twice", "feeds-joined"},
    {"terminal-wired-twice", "fuse-near-limit"},
    {"terminal-wired-twice", "never-powered"},
    {"terminal-wired-twice", "part-overloaded"},
    {"terminal-wired-twice", "relay-chatter"},
    {"terminal-wired-twice", "relay-holds-itself"},
    {"terminal-wired-twice", "short-circuit"},
    {"terminal-wired-twice", "terminal-not-wired"},
    {"terminal-wired-twice", "voltage-drop"},
    {"terminal-wired-twice", "wire-overloaded"},
    {"unfused-feed", "lead-left-live"},
    {"voltage-drop", "expectation-not-met"},
    {"voltage-drop", "ground-drop"},
    {"wire-overloaded", "ground-drop"},
    {"wire-overloaded", "shared-ground-offset"},
    {"wire-overloaded", "voltage-drop"},
    {"wrong-voltage", "coil-never-pulls-in"},
    {"wrong-voltage", "expectation-not-met"},
    {"wrong-voltage", "fuse-near-limit"},
    {"wrong-voltage", "never-powered"},
    {"wrong-voltage", "start-opens-fuse"},
    {"wrong-voltage", "wire-overloaded"},
};

/// What a mistake of these makes of the circuit cannot be told apart from them: they explain every symptom of what hangs on them.
constexpr std::string_view breaks_the_circuit[] = {
    "coil-contact-exchanged", "diode-wrong-way",    "ground-missing",       "plug-hole-conflict",
    "short-circuit",          "terminal-not-wired", "terminal-wired-twice",
};

bool about(const Finding& f, const std::string& thing) {
    return std::ranges::any_of(f.subjects, [&](const std::string& s) { return equal_ignoring_case(s, thing); });
}

bool share_a_subject(const Finding& a, const Finding& b) {
    return std::ranges::any_of(a.subjects, [&](const std::string& s) { return about(b, s); });
}

/// Moves what the file accepts from `findings` to `accepted`, and marks the acceptances that found something.
void take_out_accepted(const Circuit& c, std::vector<Finding>& findings, std::vector<Finding>& accepted,
                       std::vector<bool>& used) {
    std::erase_if(findings, [&](Finding& f) {
        for (std::size_t i = 0; i < c.acceptances.size(); ++i) {
            const Acceptance& a = c.acceptances[i];
            if (!equal_ignoring_case(a.rule, f.rule) || !about(f, a.thing)) continue;
            used[i] = true;
            if (f.rule == restraint_circuit_touched.id && f.severity == Severity::danger)
                continue; // nobody can accept this for those who sit there
            f.accepted_because = a.because;
            accepted.push_back(std::move(f));
            return true;
        }
        return false;
    });
}

Finding stale(const Acceptance& a) {
    Finding f;
    f.rule = accepted_finding_stale.id;
    f.severity = Severity::advice;
    f.subjects = {a.thing};
    if (find_rule(a.rule)) {
        f.cites.push_back({a.span, "matches nothing"});
        f.headline = fmt::format("The file accepts {} on {}, but that is not found there any more.", a.rule, a.thing);
        f.why = "A line that silences nothing today may silence something new tomorrow.";
        f.cures.push_back({"Take the line out."});
        return f;
    }
    std::vector<std::string> ids;
    for (const Rule* r : table()) ids.emplace_back(r->id);
    f.cites.push_back({a.rule_span.exists() ? a.rule_span : a.span, "no such rule"});
    f.headline = fmt::format("The file accepts {} on {}, but no rule is called {}.", a.rule, a.thing, a.rule);
    f.why = "It silences nothing.";
    if (const auto near = nearest_name(a.rule, ids))
        f.cures.push_back({fmt::format("Write {}, if that is what is meant.", *near)});
    else
        f.cures.push_back({"Take the line out, or write the name that the finding shows."});
    return f;
}

/// What keeps a load alive at rest besides.
constexpr std::string_view keeps_alive[] = {
    "back-feed",          "always-powered",    "coil-never-releases",   "never-powered",
    "relay-holds-itself", "reversed-polarity", "switched-side-mismatch"};

/// Does `f` hang on the thing that `cause` is about first?
bool hangs_on_it(const Finding& f, const Finding& cause) {
    const bool listed =
        std::ranges::find(breaks_the_circuit, cause.rule) != std::end(breaks_the_circuit) ||
        (f.rule == "fuse-above-wire" && cause.rule == "double-fed") ||
        (f.rule == "alive-when-off" && std::ranges::find(keeps_alive, cause.rule) != std::end(keeps_alive));
    return cause.rule != f.rule && listed &&
           std::ranges::any_of(f.hangs_on, [&](const std::string& thing) { return about(cause, thing); });
}

/// A fuse too large for a contact is so whichever way round things are wired: no symptom of that, and its cure is another one.
/// And a short is one of two wires exchanged only if it goes over one of these: both parts, and the ends of that wire.
bool stands_by_itself(const Finding& f, const Finding& cause) {
    if (f.rule == short_circuit.id && cause.rule == outputs_crossed.id)
        return std::ranges::count_if(f.subjects, [&](const std::string& s) { return about(cause, s); }) < 4;
    // What a machine gives goes over the switch that can part it, and what the starter takes does so on its own account: only the first
    // names both.
    if (f.rule == part_overloaded.id && cause.rule == excitation_lost.id)
        return std::ranges::count_if(f.subjects, [&](const std::string& s) { return about(cause, s); }) < 2;
    return f.rule == part_overloaded.id && f.severity == Severity::advice && cause.rule == diode_wrong_way.id;
}

bool explains(const Finding& cause, const Finding& f) {
    if (stands_by_itself(f, cause)) return false;
    const bool listed = std::ranges::any_of(
        explanations, [&](const Explains& e) { return cause.rule == e.cause && f.rule == e.consequence; });
    return (listed && share_a_subject(cause, f)) || hangs_on_it(f, cause);
}

bool can_burn(const Finding& f) {
    const Rule* rule = find_rule(f.rule);
    return rule && rule->harm == Harm::burns_or_runs_on;
}

/// A relay that may stay in: what follows from it is no more certain than that.
bool may_stay_in(const Finding& cause) { return cause.rule == back_feed.id || cause.rule == relay_holds_itself.id; }

/// What burns for certain is not put under a question: who goes there and finds the cause harmless would not read on. Two wires
/// exchanged are told by what comes of them: there it is the other way round.
bool would_hide(const Finding& cause, const Finding& f) {
    const bool told_by_it =
        may_stay_in(cause) || std::ranges::find(breaks_the_circuit, cause.rule) != std::end(breaks_the_circuit);
    return f.certainty == Certainty::certain && cause.certainty == Certainty::undecided && !told_by_it &&
           f.severity <= Severity::fault && can_burn(f);
}

/// What is worse than its cause makes the cause as bad, where it is certain. Where it is not, it would stand under something mild and
/// count as that: it speaks for itself, unless the cause is what makes it uncertain.
bool would_belittle(const Finding& cause, const Finding& f) {
    return f.certainty != Certainty::certain && cause.certainty == Certainty::certain && f.severity < cause.severity;
}

void put_under_causes(std::vector<Finding>& findings) {
    for (std::size_t i = 0; i < findings.size();) {
        const auto cause = std::ranges::find_if(findings, [&](const Finding& other) {
            return explains(other, findings[i]) && !would_hide(other, findings[i]) &&
                   !would_belittle(other, findings[i]);
        });
        if (cause == findings.end()) {
            ++i;
            continue;
        }
        // A wish that is not met because of what is not certain is not met for no certain.
        if (cause->certainty != Certainty::certain &&
            (may_stay_in(*cause) || findings[i].rule == expectation_not_met.id))
            findings[i].certainty = cause->certainty;
        // A mistake of which a danger comes for certain is one.
        // But a short over a diode is weighed by the diode's own rule, by the fuse before it, on whichever side the switch is.
        if (cause->rule == diode_wrong_way.id && findings[i].rule == short_circuit.id)
            findings[i].severity = std::max(findings[i].severity, cause->severity);
        if (findings[i].certainty == Certainty::certain)
            cause->severity = std::min(cause->severity, findings[i].severity);
        cause->consequences.push_back(std::move(findings[i]));
        findings.erase(findings.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

Span where(const Finding& f) { return f.cites.empty() ? Span{} : f.cites.front().span; }

/// What can burn or cannot be stopped first, then certain before undecided before possible, then as written.
auto weight(const Finding& f) {
    const int certainty = f.certainty == Certainty::certain ? 0 : f.certainty == Certainty::undecided ? 1 : 2;
    return std::tuple(f.severity, can_burn(f) ? 0 : 1, certainty, where(f).source, where(f).begin);
}

void rank(std::vector<Finding>& findings) { std::ranges::stable_sort(findings, {}, weight); }

/// Where no factory block says who built what, it all rests on a guess, and the note says so.
Finding note_of(const Circuit& c, std::vector<Finding> as_built) {
    rank(as_built);
    std::vector<std::string> things;
    Finding note;
    note.rule = as_built_by_maker.id;
    note.severity = Severity::note;
    for (Finding& f : as_built) {
        if (f.subjects.empty()) continue;
        if (std::ranges::find(things, f.subjects.front()) == things.end()) things.push_back(f.subjects.front());
        note.cites.push_back({where(f), f.rule});
    }
    note.headline = fmt::format("As built by the maker, untouched since: {} {} below what these rules ask of new work.",
                                list_of(things), things.size() == 1 ? "stays" : "stay");
    note.why = "Makers weigh routing, sleeving and tests that no file shows, so their wiring is the reference here. It "
               "will be judged like any other "
               "once a job lengthens, thins, taps or reroutes it, or puts a larger fuse or more load on it.";
    if (!c.has_factory) {
        note.headline =
            fmt::format("I take {} for the maker's own wiring, which stays as it is; if you made {}, put {} in a job.",
                        list_of(things), things.size() == 1 ? "it" : "them", things.size() == 1 ? "it" : "them");
        note.why = "Nobody said who built it: most vehicles left the works with a lead from the alternator that has no "
                   "fuse (common practice, no source). In a job it "
                   "is judged as new work; in a factory block it is left alone.";
    } else if (c.factory_confirmed_by.empty()) {
        note.measure = "Nobody said who confirmed that block. Compare it with the maker's diagram and write: factory "
                       "confirmed by \"workshop manual\". What an earlier owner did belongs in a job, where it is "
                       "judged as new work.";
    }
    note.subjects = std::move(things);
    for (Finding& f : as_built) {
        f.severity = Severity::note;
        // That it can burn is no word for what is let be: beside "nothing dangerous found" it would contradict it.
        if (f.rule == unfused_feed.id && !f.subjects.empty())
            f.headline = sentence_start(f.subjects.front() + " has no fuse.");
    }
    note.consequences = std::move(as_built);
    return note;
}

} // namespace

Outcome fold(const Circuit& c, Report report) {
    Outcome out;
    std::vector<bool> used(c.acceptances.size());
    take_out_accepted(c, report.findings, out.accepted, used);
    take_out_accepted(c, report.as_built, out.accepted, used);
    for (std::size_t i = 0; i < used.size(); ++i)
        if (!used[i] && (!c.has_mistakes || !find_rule(c.acceptances[i].rule)))
            report.findings.push_back(stale(c.acceptances[i]));
    rank(report.findings);
    put_under_causes(report.findings);
    if (!report.as_built.empty()) report.findings.push_back(note_of(c, std::move(report.as_built)));
    rank(report.findings);
    rank(out.accepted);
    out.findings = std::move(report.findings);
    out.not_checked = std::move(report.not_checked);
    out.new_functions = std::move(report.new_functions);
    out.assumptions = std::move(report.assumptions);
    return out;
}

} // namespace loomproof::rules
