#include "solve/predict.hpp"

#include "app/as_it_is.hpp"
#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "app/switched.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/graph.hpp"
#include "report/predict_text.hpp"

#include <fmt/core.h>

#include <algorithm>

namespace loomproof::app {

namespace {

/// The part, and what hangs behind it: over wires, joints, fuses and contacts, as far as loads and the ground.
std::vector<PartId> with_what_hangs_behind(const View& view, PartId part) {
    const Circuit& c = view.circuit();
    const Graph graph(view);
    std::vector<PartId> parts{part};
    for (TerminalId end : c.at(part).terminals) {
        const Reach reach = graph.walk(
            std::vector{end},
            [&](EdgeRef e, TerminalId from) {
                const Kind kind = c.part_of(from).kind;
                if (kind == Kind::metal || kind == Kind::ground || kind == Kind::battery) return false;
                if (e.is_wire()) return true;
                const Primitive& p = c.at(e.primitive);
                return p.part != part &&
                       (p.element == Element::joint || p.element == Element::protector ||
                        p.element == Element::contact || p.element == Element::junction || p.element == Element::meter);
            },
            [](EdgeRef) { return 1.0; });
        const auto is_source = [&](TerminalId t) {
            return std::ranges::any_of(view.primitives_at(t), [&](PrimitiveId id) {
                return c.at(id).element == Element::source && c.at(id).part != part;
            });
        };
        if (std::ranges::any_of(reach.in_order(), is_source)) continue; // the side that it is fed from
        for (TerminalId t : reach.in_order())
            if (const PartId there = c.at(t).part; c.part_of(t).kind != Kind::metal &&
                                                   c.part_of(t).kind != Kind::ground &&
                                                   std::ranges::find(parts, there) == parts.end())
                parts.push_back(there);
    }
    return parts;
}

/// By --at, --behind, --in and --job; what several of them ask for is what all of them allow. Empty where none stands there; nothing where
/// one of them names what is not there, which has been said.
std::optional<std::vector<PartId>> parts_asked_for(const View& view, const Given& given, const Console& console) {
    const Circuit& c = view.circuit();
    std::optional<std::vector<PartId>> wanted;
    const auto narrow = [&](const std::vector<PartId>& parts) {
        if (!wanted)
            wanted = parts;
        else
            std::erase_if(*wanted, [&](PartId p) { return std::ranges::find(parts, p) == parts.end(); });
    };
    const auto those = [&](const auto& is) {
        std::vector<PartId> parts;
        for (PartId p : view.parts())
            if (is(c.at(p))) parts.push_back(p);
        return parts;
    };
    const auto say_known = [&](std::string problem, std::vector<std::string> known, const char* none) {
        console.say(problem + " " + (known.empty() ? std::string(none) : "There is " + list_of(known) + "."));
    };
    if (const std::string at = given.value("--at"); !at.empty()) {
        const std::optional<PartId> part = part_called(view, at, console);
        if (!part) return std::nullopt;
        narrow({*part});
    }
    if (const std::string behind = given.value("--behind"); !behind.empty()) {
        const std::optional<PartId> part = part_called(view, behind, console);
        if (!part) return std::nullopt;
        narrow(with_what_hangs_behind(view, *part));
    }
    if (const std::string in = given.value("--in"); !in.empty()) {
        const auto lies = [&](const Part& p) {
            return p.place.exists() && equal_ignoring_case(c.at(p.place).name, in);
        };
        const std::vector<PartId> parts = those(lies);
        if (parts.empty()) {
            std::vector<std::string> known;
            for (PartId p : view.parts())
                if (c.at(p).place.exists())
                    if (const std::string& name = c.at(c.at(p).place).name;
                        std::ranges::find(known, name) == known.end())
                        known.push_back(name);
            say_known(fmt::format("No part lies in {}.", in), known, "No part of this file says where it lies.");
            return std::nullopt;
        }
        narrow(parts);
    }
    if (const std::string job = given.value("--job"); !job.empty()) {
        std::vector<std::string> known;
        std::vector<PartId> parts;
        for (std::size_t r = 1; r < c.revisions.size(); ++r) {
            const std::string& title = c.revisions[r].title;
            if (!title.empty()) known.push_back('"' + title + '"');
            if (!equal_ignoring_case(title, job)) continue;
            for (PartId p : view.parts())
                if (c.at(p).life.born == static_cast<Revision>(r)) parts.push_back(p);
        }
        if (parts.empty()) {
            say_known(fmt::format("No job called \"{}\" put a part in.", job), known, "This file has no jobs.");
            return std::nullopt;
        }
        narrow(parts);
    }
    if (wanted && wanted->empty()) {
        console.say("No part is all of that: leave one of them away.");
        return std::nullopt;
    }
    return wanted.value_or(std::vector<PartId>{});
}

} // namespace

Exit predict(const Given& given, Console& console) {
    Sources sources;
    const std::optional<Switched> asked = read_switched(given, sources, console);
    if (!asked) return Exit::failed;
    const View now = as_it_is(asked->reading.circuit, given);
    if (const std::string none = nothing_fitted(now, given.value("FILE")); !none.empty()) {
        console.say(none);
        return Exit::failed;
    }
    if (names_what_is_planned(now, asked->wish, console)) return Exit::failed;

    report::PredictOptions options;
    std::optional<std::vector<PartId>> only = parts_asked_for(now, given, console);
    if (!only) return Exit::failed;
    options.only = std::move(*only);
    console.out =
        plan_remark(now) + report::predict_text(now, solve::predict(now, asked->wish), console.screen(), options);
    return asked->reading.findings.empty() ? Exit::clean : Exit::found;
}

} // namespace loomproof::app
