#pragma once
/// A text read as a circuit file, and what it became, in lines that a test can compare.

#include "circuit/read.hpp"
#include "circuit/view.hpp"

#include <doctest/doctest.h>

#include <string>

namespace loomproof::tests {

struct Read {
    Sources sources;
    Reading reading;
    explicit Read(const std::string& text) {
        reading = read_circuit_text(sources, "test.loom", "loom 1\n" + text + "\n");
    }
    const Circuit& circuit() const { return reading.circuit; }
    std::string findings() const {
        std::string out;
        for (const Finding& f : reading.findings) out += f.headline + "\n";
        return out;
    }
    /// Its terminals and its elements, a line each, as dump() writes them.
    inline std::string part(const std::string& name) const {
        const std::string all = dump(circuit());
        std::string out;
        for (std::size_t at = 0; at < all.size();) {
            const std::size_t end = all.find('\n', at);
            const std::string line = all.substr(at, end - at);
            const std::string indented = "  terminal " + name + ":";
            const bool element = line.find(' ' + name + ":") != std::string::npos &&
                                 line.find(" > ") != std::string::npos && !line.starts_with("wire ");
            if (line.starts_with(indented)) out += line.substr(indented.size()) + " ";
            if (element) out += "| " + line + " ";
            at = end + 1;
        }
        return out;
    }
    std::string open() const {
        std::string out;
        for (const std::string& text : not_solved(View::now(circuit()))) out += text + "\n";
        return out;
    }
};

inline std::string part(const std::string& statement, const std::string& name) {
    const Read r(statement);
    CHECK(r.findings() == "");
    return r.part(name);
}

} // namespace loomproof::tests
