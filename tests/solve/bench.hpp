#pragma once
/// A circuit from text, with its things by name: for tests of the solver.

#include "circuit/read.hpp"
#include "circuit/view.hpp"
#include "solve/model.hpp"

#include <stdexcept>
#include <string>
#include <string_view>

namespace loomproof::test {

class Bench {
  public:
    /// `text` without its first line, which is always the same. Mistakes in it throw.
    explicit Bench(const std::string& text) {
        reading = read_circuit_text(sources, "test", "loom 1\n" + text);
        for (const Finding& f : reading.findings) throw std::runtime_error(f.rule + ": " + f.headline);
    }
    Bench(const Bench&) = delete;
    Bench& operator=(const Bench&) = delete;

    const Circuit& circuit() const { return reading.circuit; }
    View view() const { return View::now(circuit()); }

    TerminalId terminal(std::string_view name) const {
        for (std::size_t i = 0; i < circuit().terminals.size(); ++i)
            if (name_of(circuit(), TerminalId{i}) == name) return TerminalId{i};
        throw std::runtime_error("no terminal " + std::string(name));
    }
    WireId wire(std::string_view name) const {
        for (std::size_t i = 0; i < circuit().wires.size(); ++i)
            if (name_of(circuit(), WireId{i}) == name) return WireId{i};
        throw std::runtime_error("no wire " + std::string(name));
    }
    /// The n-th primitive of a part.
    PrimitiveId primitive(std::string_view part, std::size_t n = 0) const {
        for (std::size_t i = 0; i < circuit().primitives.size(); ++i)
            if (name_of(circuit(), circuit().primitives[i].part) == part && n-- == 0) return PrimitiveId{i};
        throw std::runtime_error("no primitive of " + std::string(part));
    }
    ControlId control(std::string_view part, std::string_view section = "") const {
        for (std::size_t i = 0; i < circuit().controls.size(); ++i)
            if (name_of(circuit(), circuit().controls[i].part) == part &&
                (section.empty() || circuit().controls[i].name == section))
                return ControlId{i};
        throw std::runtime_error("no control of " + std::string(part));
    }
    std::uint8_t position(ControlId control, std::string_view word) const {
        const auto& all = circuit().at(control).positions;
        for (std::size_t i = 0; i < all.size(); ++i)
            if (all[i] == word) return static_cast<std::uint8_t>(i);
        throw std::runtime_error("no position " + std::string(word));
    }

    Sources sources;
    Reading reading;
};

} // namespace loomproof::test
