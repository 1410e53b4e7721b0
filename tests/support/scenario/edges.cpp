// The flat list for the peers and the truth for everybody, one thing a line, tab-separated.
//
//   circuit  polarity                    polarity of the pole that is tied to the body: minus or plus
//   node     number  name
//   body     node
//   source   node                        a live terminal of a strong source
//   limited  node  most/A                a live terminal of a source that limits its own current
//   edge     kind  a  b  name  piece  length/m  rating/A  control  positions
//
// Kinds: wire, joint, contact, protector, diode (conducts a to b), load, coil, source (a plus, b minus). Only what is there now.
// A rating of inf is a protector that does not say what it lets through. Numbers are the generator's own.
#include "support/scenario/scenario.hpp"

#include <cmath>
#include <map>

#include <fmt/core.h>
#include <fmt/format.h>

namespace loomproof::scenario {

std::string edge_list(const Plan& plan) {
    fmt::memory_buffer out;
    const auto put = [&]<class... Args>(fmt::format_string<Args...> format, Args&&... args) {
        fmt::format_to(fmt::appender(out), format, std::forward<Args>(args)...);
    };
    put("circuit\t{}\n", plan.positive_ground ? "plus" : "minus");
    for (std::size_t i = 0; i < plan.nodes.size(); ++i) { put("node\t{}\t{}\n", i, plan.nodes[i].name); }
    put("body\t{}\n", plan.body);
    for (int source : plan.sources) { put("source\t{}\n", source); }
    for (const Edge& e : plan.edges) {
        if (e.element == Element::source && !e.strong && e.alive) { put("limited\t{}\t{}\n", e.a, e.rating); }
    }
    // A wire without a name is called by its place among the wires of the text.
    std::map<int, std::size_t> place;
    for (std::size_t i = 0; i < plan.statements.size(); ++i) {
        if (plan.statements[i].head.starts_with("wire ")) { place.emplace(static_cast<int>(i), place.size() + 1); }
    }
    for (const Edge& e : plan.edges) {
        if (!e.alive) { continue; }
        std::string name = e.name;
        if (e.wire >= 0 && !plan.wires[static_cast<std::size_t>(e.wire)].named) {
            name = fmt::format("wire {}", place.at(plan.wires[static_cast<std::size_t>(e.wire)].statement));
        }
        put("edge\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\t{}\n", word(e.element), e.a, e.b, name, e.piece, e.length, e.rating,
            e.control < 0 ? "" : plan.controls[static_cast<std::size_t>(e.control)].name, fmt::join(e.closed_in, "|"));
    }
    return fmt::to_string(out);
}

std::string truth(const Scenario& s) {
    fmt::memory_buffer out;
    const auto put = [&]<class... Args>(fmt::format_string<Args...> format, Args&&... args) {
        fmt::format_to(fmt::appender(out), format, std::forward<Args>(args)...);
    };
    const Plan& plan = s.plan;
    put("scenario\t{}\t{}\t{}\n", s.seed, s.size, word(s.profile));
    put("clean\t{}\n", plan.clean && plan.finished ? "yes" : "no");
    const Written text = write(s);
    for (const Wire& w : plan.wires) {
        if (!w.alive) { continue; }
        const Written::Line at = text.line_of[static_cast<std::size_t>(w.statement)];
        put("wire\t{}\tline\t{}\tprotection\t{}\tcarries\t{:.4g}", w.named ? w.name : "-", at.line,
            std::isnan(w.protection) ? "not known" : typed(w.protection), w.carries);
        for (const auto& [source, length] : w.unprotected) {
            put("\tunprotected\t{}\t{}", plan.nodes[static_cast<std::size_t>(source)].name, typed(length));
        }
        put("\n");
    }
    for (const Load& l : plan.loads) {
        const Part& part = plan.parts[static_cast<std::size_t>(l.part)];
        put("load\t{}{}{}\tline\t{}\tamps\t{:.4g}\ton", part.name, l.filament.empty() ? "" : ":", l.filament,
            text.line_of[static_cast<std::size_t>(part.statement)].line, l.amps);
        for (const Combination& combination : l.on.any) {
            put("\t");
            const char* gap = "";
            for (const auto& [control, positions] : combination) {
                put("{}{}={}", gap, plan.controls[static_cast<std::size_t>(control)].name, fmt::join(positions, "|"));
                gap = " & ";
            }
            if (combination.empty()) { put("always"); }
        }
        put("\n");
    }
    return fmt::to_string(out);
}

} // namespace loomproof::scenario
