#pragma once
/// A few words that somebody typed outside a file (an answer, a command line), read by the rules of the language.

#include "circuit/cursor.hpp"
#include "findings/finding.hpp"

#include <string>
#include <string_view>
#include <utility>

namespace loomproof {

/// What a finding says and the first thing to do about it, in one go.
inline std::string in_short(const Finding& f) {
    std::string out = f.headline;
    for (const Remedy& cure : f.cures) out += ' ' + cure.text;
    return out;
}

/// Must stay where it is while a cursor looks into it.
class Typed {
  public:
    explicit Typed(std::string_view words) {
        const std::uint32_t source = sources_.add("what you typed", std::string(words));
        parsed_ = parse(sources_, source);
        const Tree& tree = parsed_.tree;
        whole_.last = static_cast<std::uint32_t>(tree.tokens.size());
        while (whole_.last > 0 && tree.tokens[whole_.last - 1].kind == TokenKind::end) --whole_.last;
    }
    Typed(const Typed&) = delete;
    Typed& operator=(const Typed&) = delete;

    /// At the first token of all that was typed; line ends inside it are tokens of kind `end`.
    Cursor cursor() const { return {sources_, parsed_.tree, whole_}; }
    /// What cannot be read at all; empty where nothing is wrong.
    std::string problem() const {
        return parsed_.findings.empty() ? std::string{} : in_short(parsed_.findings.front());
    }

  private:
    Sources sources_;
    Parsed parsed_;
    Statement whole_;
};

} // namespace loomproof
