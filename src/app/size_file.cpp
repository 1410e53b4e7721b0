#include "app/size_file.hpp"
#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "app/loader.hpp"
#include "app/to_buy.hpp"
#include "app/typed_name.hpp"
#include "base/file.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "report/page.hpp"
#include "report/size_text.hpp"
#include "rules/battery_returns.hpp"
#include "rules/fuse_above_part.hpp"
#include "rules/sides.hpp"
#include "rules/survey.hpp"
#include "sizing/proposal.hpp"
#include "solve/predict.hpp"

#include <algorithm>
#include <array>

#include <fmt/core.h>

namespace loomproof::app {

namespace {

/// What proposals are for. Every other danger or fault changes what flows, so that sizes found with it would be wrong.
constexpr std::array about_size{"fuse-above-wire",   "wire-overloaded", "fuse-near-limit",
                                "start-opens-fuse",  "voltage-drop",    "part-overloaded",
                                "one-end-protected", "link-too-large",  "ground-undersized"};

constexpr int most_rounds = 6;

std::vector<std::string> to_mend_first(const rules::Outcome& outcome) {
    std::vector<std::string> out;
    // A load that is only half on because its volts are lost on the way is what sizing mends.
    const auto is = [](const char* rule) {
        return [rule](const Finding& f) {
            return f.rule == rule ||
                   std::ranges::any_of(f.consequences, [&](const Finding& more) { return more.rule == rule; });
        };
    };
    const bool volts_are_lost = std::ranges::any_of(outcome.findings, is("voltage-drop"));
    for (const Finding& f : outcome.findings)
        if (f.severity <= Severity::fault && !(volts_are_lost && f.rule == "expectation-not-met") &&
            std::ranges::find(about_size, f.rule) == about_size.end())
            out.push_back(f.headline);
    return out;
}

/// What may burn with the sizes of this circuit. They are proposed for one job, or none fits: said here, so that nobody takes silence for safety.
std::vector<std::string> still_dangerous(const rules::Study& study) {
    std::vector<std::string> out;
    for (const Finding& f : rules::check(study).findings)
        if (f.severity == Severity::danger && std::ranges::find(about_size, f.rule) != about_size.end())
            out.push_back(f.headline);
    return out;
}

std::string name_of_wire(const Circuit& c, WireId id) {
    const std::string name = c.at(id).named ? name_of(c, id) : "wire";
    return name.size() < 9 ? name : name + ' ';
}

/// Below this a figure is what leaks, or rounding.
constexpr Amps no_amps{1e-6};

std::optional<Amps> amps_of(const std::optional<rules::Peak>& peak) {
    return peak ? std::optional(peak->amps) : std::nullopt;
}

void say_what_hangs_behind(const rules::Study& study, sizing::Flows& out) {
    const Circuit& c = study.circuit;
    out.outlets.resize(c.primitives.size());
    out.not_smaller.resize(c.primitives.size());
    for (PrimitiveId id : study.now.primitives()) {
        if (c.at(id).element != Element::protector) continue;
        const auto behind = rules::hang_behind(study, {{}, id});
        out.not_smaller[id.index] = !behind || !rules::of_unknown_current(study, *behind).empty();
        if (!behind || behind->empty()) continue;
        std::optional<Amps> weakest;
        bool outlets_alone = true;
        for (PartId part : *behind) {
            std::optional<Amps> made_for;
            for (PrimitiveId load : study.now.primitives())
                if (c.at(load).part == part && rules::is_load(c.at(load)) && c.at(load).current.known())
                    made_for = c.at(load).current.nominal;
            outlets_alone = outlets_alone && c.at(part).kind == Kind::socket && made_for;
            if (outlets_alone) weakest = std::min(weakest.value_or(*made_for), *made_for);
        }
        if (outlets_alone)
            out.outlets[id.index] = sizing::Flows::OutletsBehind{*weakest, rules::suits_outlet(*weakest)};
    }
}

/// Fuses that would open where their load starts, as the proposal made them smaller.
std::vector<PrimitiveId> opened_at_start(const rules::Outcome& mended, const Circuit& c,
                                         const sizing::Proposal& proposal) {
    std::vector<PrimitiveId> out;
    for (const sizing::ForFuse& f : proposal.fuses) {
        const std::string name = name_of(c, c.at(f.device).part);
        const auto names_it = [&](const Finding& found) {
            return (found.rule == "start-opens-fuse" || found.rule == "fuse-near-limit") &&
                   std::ranges::find(found.subjects, name) != found.subjects.end();
        };
        if (f.smaller && std::ranges::any_of(mended.findings, [&](const Finding& found) {
                return names_it(found) || std::ranges::any_of(found.consequences, names_it);
            }))
            out.push_back(f.device);
    }
    return out;
}

sizing::Flows flows_of(const rules::Study& study, const rules::Survey& survey) {
    const Circuit& c = study.circuit;
    sizing::Flows out;
    const auto take = [](std::vector<std::optional<Amps>>& to, const std::vector<std::optional<rules::Peak>>& from,
                         std::size_t size) {
        to.resize(size);
        for (std::size_t i = 0; i < from.size(); ++i) to[i] = amps_of(from[i]);
    };
    take(out.wire, survey.wire, c.wires.size());
    take(out.wire_passing, survey.wire_passing, c.wires.size());
    take(out.part, survey.part, c.primitives.size());
    take(out.part_passing, survey.part_passing, c.primitives.size());
    for (const rules::LoadSeen& load : survey.loads) {
        if (!load.ever() || !(load.lost.si > 0)) continue;
        const auto lost = solve::lost_on_the_way(study.now, survey.behaviour.point(load.lost_at), load.load);
        if (!lost) continue;
        sizing::LoadWay way{load.load, {}, {}};
        for (const auto* side : {&lost->feed, &lost->ground})
            for (const solve::Share& s : *side) {
                if (s.what.is_wire() && c.at(s.what.wire).length.known())
                    way.wires.push_back(s.what.wire);
                else
                    way.others += s.volts;
            }
        out.ways.push_back(std::move(way));
    }
    out.limited_by.resize(c.wires.size());
    for (std::size_t w = 0; w < study.protection.size(); ++w)
        if (study.protection[w].fed && !study.protection[w].unprotected)
            out.limited_by[w] = study.protection[w].devices;
    for (const rules::FuseOverReturn& r : rules::fuses_over_battery_returns(study))
        if (out.limited_by[r.wire.index].empty()) out.limited_by[r.wire.index] = {r.fuse};
    say_what_hangs_behind(study, out);
    return out;
}

std::string spelled_in_file(const sizing::Wire& w) { return lower(reference::spelled(w.size)); }

std::string about(const Circuit& c, const sizing::ForFuse& f, const report::Screen& screen) {
    const std::string name = name_of(c, c.at(f.device).part);
    const std::string has = f.has.known() ? text(f.has.nominal) : "no rating said";
    std::string line;
    if (!f.why_not.empty())
        line = fmt::format("{}: no proposal, {}.", has, f.why_not);
    else if (f.for_outlets)
        line = fmt::format("{}{}: nothing else limits what is plugged in behind it.", has,
                           f.becomes ? " -> " + text(*f.becomes) : " stays");
    else if (f.smaller)
        line = fmt::format("{} -> {}: {} flow for long, so that {} would do, and wires behind it are too thin for {}.",
                           has, text(*f.becomes), text(f.steady), text(f.needs->rating.rating), has);
    else if (f.becomes)
        line = fmt::format(
            "{} -> {}: {} flow for long, {:.0f} % of {}; a plug-in fuse is loaded to {:.0f} % there (common practice).",
            has, text(*f.becomes), text(f.steady), f.steady / *f.becomes * 100, text(*f.becomes), f.needs->share * 100);
    else
        line = fmt::format("{} stays: {} flow for long{}.", has, text(f.steady),
                           f.needs ? ", " + text(f.needs->rating.rating) + " would do" : "");
    return report::labelled(screen, name, line);
}

std::string about(const Circuit& c, const sizing::ForWire& f, const report::Screen& screen) {
    const loomproof::Wire& w = c.at(f.wire);
    const std::string has = w.size.empty() ? "no size said" : w.size;
    std::string line = fmt::format("{} to {}, {}", end_of(c, w.a), end_of(c, w.b), has);
    if (!f.why_not.empty())
        return report::labelled(screen, name_of_wire(c, f.wire), line + ": no proposal, " + f.why_not + ".");
    const std::string need =
        fmt::format("{}{}", f.need.amps < no_amps ? "no current flows in it" : text(f.need.amps) + " flow",
                    f.need.carries > f.need.amps
                        ? fmt::format(", and it must carry the {} that its fuse lets through", text(f.need.carries))
                    : f.fuse_unknown ? " (what its fuse lets through is not said, so only that counts here)"
                                     : "");
    if (f.stays) {
        line += fmt::format(" stays: {}; it carries {}", need, text(f.has->carrying.amps));
        return report::labelled(screen, name_of_wire(c, f.wire), line + '.');
    }
    line += fmt::format(" -> {}: {}.", spelled_in_file(*f.needs), need);
    if (f.has && f.has->carrying.amps < f.need.carries)
        line += fmt::format(" {} carries {} only.", has, text(f.has->carrying.amps));
    if (f.way) {
        if (f.has) line += fmt::format(" {} loses {}.", has, text(f.has->lost));
        line += fmt::format(" The wires on the way of {} together lose {}, and may lose {}.",
                            name_of(c, c.at(f.way->load).part), text(f.way->lost), text(f.way->allowed));
    }
    if (f.own_fuse)
        line += fmt::format(" Or give it a fuse of its own where it begins, {} or less, and {} stays.",
                            text(*f.own_fuse), has);
    line += ' ' + report::arithmetic(*f.needs, f.need);
    if (const std::string other = report::other_table(*f.needs, f.need.amps); !other.empty())
        line += " Another table says: " + other;
    return report::labelled(screen, name_of_wire(c, f.wire), line);
}

std::optional<Revision> revision_called(const Circuit& c, const std::string& wanted) {
    for (std::size_t i = 0; i < c.revisions.size(); ++i)
        if (equal_ignoring_case(c.revisions[i].title, wanted) ||
            (c.revisions[i].letter != 0 && equal_ignoring_case(std::string(1, c.revisions[i].letter), wanted)))
            return static_cast<Revision>(i);
    return std::nullopt;
}

} // namespace

Exit size_file(const std::string& file, const Given& given, Console& console) {
    if (file == "-" && given.has("--write")) {
        console.say("Standard input cannot be changed: leave --write out.");
        return Exit::failed;
    }
    Sources sources;
    const std::optional<Reading> reading = read(file, sources, console);
    if (!reading) return Exit::failed;
    const Circuit& c = reading->circuit;
    // Jobs are measured against the wiring that they found: that stays as it is.
    sizing::Chosen chosen{static_cast<Revision>(c.revisions.size() > 1 ? 1 : 0), c.last_revision()};
    const auto job = given.has("--job") ? revision_called(c, given.value("--job")) : std::nullopt;
    if (job) chosen = {*job, *job};
    if (given.has("--job") && !job) {
        std::vector<std::string> known;
        for (const RevisionInfo& r : c.revisions)
            if (r.letter != 0) known.push_back(fmt::format("{} \"{}\"", r.letter, r.title));
        console.say(fmt::format("No job is called {}{}.", given.value("--job"),
                                known.empty() ? "; this file has none" : "; there is " + list_of(known)));
        return Exit::failed;
    }
    const rules::Study study(c);
    const rules::Survey* survey = rules::survey_of(study);
    if (survey == nullptr) {
        console.say("The circuit has too many switch positions to try them all: no current is known for sure, so "
                    "nothing is proposed.");
        return Exit::failed;
    }
    const std::vector<std::string> first = to_mend_first(rules::check(study));
    sizing::Flows flows = flows_of(study, *survey);
    // What stands in lines that cannot be read may hang on any fuse.
    if (!reading->findings.empty()) flows.not_smaller.assign(flows.not_smaller.size(), true);
    sizing::Proposal proposal;
    std::vector<std::string> elsewhere;
    std::vector<PrimitiveId> held; // fuses that a smaller one cannot take the place of
    std::vector<sizing::Edit> edits;
    const std::string typed = sources.at(0).text;
    std::string changed = typed;
    // Thicker wires let more flow: sizes are found anew on what then flows, until they stay as they are. Statements stay, so things keep their ids.
    const auto read_changed = [&](Sources& again) {
        const FileLoader files(file);
        return read_circuit(again, file, [&](const std::string& path) {
            return path == file ? Result<std::string>(changed) : files(path);
        });
    };
    for (int round = 0; round < most_rounds; ++round) {
        proposal = sizing::propose(study.now, flows, chosen);
        elsewhere.clear();
        edits = sizing::edits(study.now, proposal, 0, elsewhere);
        std::string next = typed;
        for (auto edit = edits.rbegin(); edit != edits.rend(); ++edit)
            next.replace(edit->span.begin, edit->span.end - edit->span.begin, edit->text);
        if (next == changed) break;
        changed = std::move(next);
        Sources again;
        const Reading then = read_changed(again);
        if (!then.readable || then.circuit.wires.size() != c.wires.size() ||
            then.circuit.primitives.size() != c.primitives.size())
            break;
        const rules::Study mended(then.circuit);
        if (const rules::Survey* flowing = rules::survey_of(mended)) flows = flows_of(mended, *flowing);
        if (std::ranges::any_of(proposal.fuses, &sizing::ForFuse::smaller)) {
            const std::vector<PrimitiveId> opened = opened_at_start(rules::check(mended), c, proposal);
            held.insert(held.end(), opened.begin(), opened.end());
        }
        if (!reading->findings.empty()) flows.not_smaller.assign(flows.not_smaller.size(), true);
        for (PrimitiveId fuse : held) flows.not_smaller[fuse.index] = true;
    }

    std::vector<std::string> left;
    if (edits.empty()) {
        left = still_dangerous(study);
    } else {
        Sources again;
        const Reading then = read_changed(again);
        left = still_dangerous(rules::Study(then.circuit));
    }

    const report::Screen& screen = console.screen();
    if (!reading->findings.empty())
        console.out +=
            report::paragraph(
                screen,
                fmt::format(
                    "The file has {}; what stands in those lines is in no figure. loomproof check {} shows them.",
                    counted(reading->findings.size(), "mistake"), typed_name(file))) +
            '\n';
    if (!first.empty()) {
        console.out += "Mend these first: they change what flows, and every figure below may be wrong.\n";
        for (const std::string& headline : first) console.out += report::labelled(screen, "-", headline);
        console.out += '\n';
        if (given.has("--write")) {
            console.out += "Nothing was changed in the file.\n";
            return Exit::found;
        }
    }
    if (!proposal.fuses.empty()) console.out += "Fuses\n";
    for (const auto& f : proposal.fuses) console.out += about(c, f, screen);
    if (!proposal.wires.empty()) console.out += std::string(proposal.fuses.empty() ? "" : "\n") + "Wires\n";
    for (const auto& f : proposal.wires) console.out += about(c, f, screen);
    if (proposal.fuses.empty() && proposal.wires.empty()) console.out += "Nothing to size here.\n";
    console.out += to_buy(study.now, proposal, screen);
    if (chosen.first > 0)
        console.out += '\n' + report::paragraph(
                                  screen, "Wiring from before is taken as it is: only what came with a job is sized.");
    console.out +=
        '\n' +
        report::paragraph(
            screen,
            "Volts: 0.7 V may be lost between a 12 V source and a load, out and back (trade practice); the "
            "wires of a way have what plugs, contacts and fuses leave, less a twentieth. Thicker become those that "
            "bring most volts back, up to what fits where they end: 6 mm2 on the usual blades, 4 mm2 in a hole of "
            "a plug, 2.5 mm2 at a lamp (common practice). A motor or lamp that starts hard may need a larger "
            "fuse: loomproof check says so.");
    if (!elsewhere.empty())
        console.out += report::paragraph(
            screen,
            fmt::format(
                "Not changed by --write, as their figure stands in another file or belongs to a wire that was cut: {}.",
                list_of(elsewhere)));

    for (const sizing::ForWire::Way& way : proposal.too_long)
        console.out += report::labelled(
            screen, name_of(c, c.at(way.load).part),
            fmt::format(
                "Its wires still lose {} with that, and may lose {}: what fits where they end does not mend it. "
                "Shorten its way, give it a wire of its own, or join a thicker wire to a short thin tail.",
                text(way.lost), text(way.allowed)));

    if (!left.empty()) {
        console.out += "\nStill dangerous with that; loomproof check says why, and what else mends it:\n";
        for (const std::string& headline : left) console.out += report::labelled(screen, "-", headline);
    }

    if (given.has("--write") && !edits.empty()) {
        if (const Result<void> written = write_file(file, changed); !written) {
            console.say(written.error());
            return Exit::failed;
        }
    }
    console.out +=
        edits.empty()
            ? "Nothing in the file has to change.\n"
            : fmt::format("{} {}.\n", counted(edits.size(), "figure"),
                          given.has("--write") ? "changed in " + file
                          : first.empty()      ? "would change; --write does it"
                                               : "would change; --write does it once what stands at the top is mended");
    console.out += report::paragraph(
        screen,
        "Loomproof advises, it does not certify. Battery off (grounded post first) before you touch the wiring.");
    return reading->findings.empty() && first.empty() && left.empty() ? Exit::clean : Exit::found;
}

} // namespace loomproof::app
