// What Loomproof makes of circuits, for the peers: graph_dump FILE... prints for each file, tab-separated,
//
//   file  NAME  how many findings reading gave
//   wire  NAME  PIECE  PROTECTION/A  RULES/A  bridge|-  BLOCK|-  SOURCE=LENGTH/m ...
//
// PROTECTION: the larger of the smallest cuts between the sources and its two ends, the wire taken out; "none" where nothing
// feeds it. RULES: the same as the rules reckon it, sources that limit their own current included. Bridge and block are about all wires, joints and contacts. SOURCE=LENGTH: the unprotected way from a live pole of a
// strong source to the wire's far end. Contacts count as closed one by one.
#include "circuit/graph.hpp"
#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "rules/protection.hpp"
#include "rules/study.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>

namespace loomproof::scenario {

namespace {

std::string content(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file) { throw std::runtime_error("cannot read " + path); }
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

class Dump {
  public:
    explicit Dump(const Circuit& circuit) : c_(circuit), view_(View::now(circuit)), graph_(view_), study_(circuit) {
        find_reference();
        find_sources();
    }

    std::string lines() const {
        const auto blocks = graph_.cyclic_blocks([&](EdgeRef e, TerminalId) { return metal(e); });
        std::vector<bool> bridge(c_.wires.size());
        for (EdgeRef e : graph_.bridges([&](EdgeRef edge, TerminalId) { return metal(edge); })) {
            if (e.is_wire()) { bridge[e.wire.index] = true; }
        }
        std::vector<std::string> unprotected(c_.wires.size());
        for (TerminalId source : sources_) {
            const Reach reach = graph_.walk(
                std::vector{source}, [&](EdgeRef e, TerminalId from) { return conducts(e, from) && !protects(e); },
                length());
            for (WireId w : view_.wires()) {
                const Wire& wire = c_.at(w);
                double nearest = std::numeric_limits<double>::infinity();
                for (TerminalId end : {wire.a, wire.b}) {
                    nearest = reach.reached(end) && !touches_reference(wire.a, wire.b)
                                  ? std::min(nearest, reach.distance(end))
                                  : nearest;
                }
                if (std::isfinite(nearest)) {
                    unprotected[w.index] +=
                        fmt::format("\t{}={}", name_of(c_, source), nearest + wire.length.nominal.si);
                }
            }
        }
        const auto judged = rules::protection_of_wires(study_);
        fmt::memory_buffer out;
        for (WireId w : view_.wires()) {
            const Wire& wire = c_.at(w);
            const auto& block = blocks.wire[w.index];
            fmt::format_to(fmt::appender(out), "wire\t{}\t{}\t{}\t{}\t{}\t{}{}\n", wire.name, wire.piece, protection(w),
                           as_rules_see_it(judged[w.index]), bridge[w.index] ? "bridge" : "-",
                           block ? std::to_string(*block) : "-", unprotected[w.index]);
        }
        return fmt::to_string(out);
    }

  private:
    bool touches_reference(TerminalId a, TerminalId b) const { return reference_[a.index] || reference_[b.index]; }
    bool protects(EdgeRef e) const { return !e.is_wire() && c_.at(e.primitive).element == Element::protector; }
    LengthOf length() const {
        return [this](EdgeRef e) { return e.is_wire() ? c_.at(e.wire).length.nominal.si : 0.0; };
    }

    // Metal to metal, at least in some position.
    bool metal(EdgeRef e) const {
        return e.is_wire() || c_.at(e.primitive).element == Element::joint ||
               c_.at(e.primitive).element == Element::contact;
    }

    // Can carry a fault current from `from`: never into the solid reference, never through a load or a coil.
    bool conducts(EdgeRef e, TerminalId from) const {
        if (e.is_wire()) { return !touches_reference(c_.at(e.wire).a, c_.at(e.wire).b); }
        const Primitive& p = c_.at(e.primitive);
        if (touches_reference(p.a, p.b)) { return false; }
        switch (p.element) {
        case Element::joint:
        case Element::contact:
        case Element::meter:
        case Element::protector: return true;
        case Element::junction: return (from == p.a) != c_.vehicle.positive_ground;
        default: return false;
        }
    }

    void find_reference() {
        const auto solid = graph_.components(
            [&](EdgeRef e, TerminalId) { return e.is_wire() || c_.at(e.primitive).element == Element::joint; });
        reference_.resize(c_.terminals.size());
        for (std::size_t i = 0; i < c_.parts.size(); ++i) {
            if (c_.parts[i].kind == Kind::metal && c_.parts[i].name == "body") {
                for (std::size_t t = 0; t < solid.size(); ++t) {
                    reference_[t] = solid[t] == solid[c_.parts[i].terminals.front().index];
                }
            }
        }
    }

    void find_sources() {
        for (PrimitiveId p : view_.primitives()) {
            const Primitive& source = c_.at(p);
            if (source.element == Element::source && source.strong) {
                for (TerminalId pole : {source.a, source.b}) {
                    if (!reference_[pole.index]) { sources_.push_back(pole); }
                }
            }
        }
    }

    std::string protection(WireId w) const {
        const Wire& wire = c_.at(w);
        double most = 0;
        for (TerminalId end : {wire.a, wire.b}) {
            if (std::find(sources_.begin(), sources_.end(), end) != sources_.end()) { return "inf"; }
            const auto passes = [&](EdgeRef e, TerminalId from) { return e.wire != w && conducts(e, from); };
            const auto capacity = [&](EdgeRef e) {
                const double unlimited = std::numeric_limits<double>::infinity();
                return protects(e) ? rules::rating_of(study_, e.primitive).or_else(Amps{unlimited}).si : unlimited;
            };
            most = std::max(most, graph_.smallest_cut(sources_, end, passes, capacity).capacity);
        }
        return most == 0 ? "none" : fmt::format("{}", most);
    }

    static std::string as_rules_see_it(const rules::Protection& p) {
        return !p.fed ? "none" : p.unprotected ? "inf" : fmt::format("{}", p.lets_through.si);
    }

    const Circuit& c_;
    View view_;
    Graph graph_;
    rules::Study study_;
    std::vector<bool> reference_;
    std::vector<TerminalId> sources_;
};

int run(int count, char** values) {
    for (int i = 1; i < count; ++i) {
        Sources sources;
        const std::string path = values[i];
        const Reading reading = read_circuit_text(sources, path, content(path));
        const std::string text = fmt::format("file\t{}\t{}\n{}", path.substr(path.rfind('/') + 1),
                                             reading.findings.size(), Dump(reading.circuit).lines());
        std::fwrite(text.data(), 1, text.size(), stdout);
        for (const Finding& f : reading.findings) {
            std::fprintf(stderr, "%s: %s: %s\n", values[i], f.rule.c_str(), f.headline.c_str());
        }
    }
    return 0;
}

} // namespace

int dump(int count, char** values) {
    try {
        return run(count, values);
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return 2;
    }
}

} // namespace loomproof::scenario

int main(int count, char** values) { return loomproof::scenario::dump(count, values); }
