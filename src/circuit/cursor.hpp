#pragma once
/// A place in the tokens of one statement, and the small questions a reader asks there. Inside matter of the reader.

#include "base/words.hpp"
#include "netlist/syntax.hpp"

#include <string>
#include <string_view>

namespace loomproof {

/// Words that all mean the body of the vehicle, where nothing in the file carries them as a name.
inline bool means_ground(std::string_view word) {
    for (std::string_view ground : {"ground", "earth", "chassis", "gnd", "masse"})
        if (equal_ignoring_case(word, ground)) return true;
    return false;
}

struct Cursor {
    const Sources* sources;
    const Tree* tree;
    std::uint32_t first; ///< index of the statement's first token
    std::uint32_t at;    ///< index of the next token
    std::uint32_t last;  ///< one past the last token

    Cursor(const Sources& s, const Tree& t, const Statement& statement)
        : sources(&s), tree(&t), first(statement.first), at(statement.first), last(statement.last) {}

    bool done() const { return at >= last; }
    std::size_t left() const { return last - at; }
    const Token& token(std::uint32_t ahead = 0) const { return tree->tokens[at + ahead]; }
    bool has(std::uint32_t ahead) const { return at + ahead < last; }
    Span span(std::uint32_t ahead = 0) const {
        if (has(ahead)) return tree->span(token(ahead));
        if (last == 0) return {tree->source, 0, 0};
        const Token& before = tree->tokens[last - 1]; // at the end of the statement: point just behind its last token
        return {tree->source, before.begin, before.end};
    }
    Span span_from(std::uint32_t start) const {
        if (start >= at || at == 0) return start < last ? tree->span(tree->tokens[start]) : span();
        return {tree->source, tree->tokens[start].begin, tree->tokens[at - 1].end};
    }
    /// The token as spelled: texts without quotes; empty behind the end.
    std::string_view spelled(std::uint32_t ahead = 0) const {
        return has(ahead) ? spelling(*sources, *tree, token(ahead)) : std::string_view{};
    }
    bool is_word(std::uint32_t ahead = 0) const { return has(ahead) && token(ahead).kind == TokenKind::word; }
    bool is_text(std::uint32_t ahead = 0) const { return has(ahead) && token(ahead).kind == TokenKind::text; }
    bool is_mark(char c, std::uint32_t ahead = 0) const {
        return has(ahead) && token(ahead).kind == TokenKind::mark && token(ahead).mark == c;
    }
    bool is(std::string_view keyword, std::uint32_t ahead = 0) const {
        return is_word(ahead) && equal_ignoring_case(spelled(ahead), keyword);
    }
    bool take(std::string_view keyword) {
        if (!is(keyword)) return false;
        ++at;
        return true;
    }
    bool take_mark(char c) {
        if (!is_mark(c)) return false;
        ++at;
        return true;
    }
    /// Takes a run of words ("grounded by its mounting"), all or none.
    bool take_words(std::string_view words) {
        const std::uint32_t start = at;
        while (!words.empty()) {
            const std::size_t blank = words.find(' ');
            if (!take(words.substr(0, blank))) {
                at = start;
                return false;
            }
            words.remove_prefix(blank == std::string_view::npos ? words.size() : blank + 1);
        }
        return true;
    }
    /// Takes the name of a terminal behind its colon: "30", "+", "B+"; empty, and nothing taken, where there is none.
    std::string take_stamp() {
        std::string stamp;
        if (is_mark('+') || is_mark('-'))
            stamp = token().mark;
        else if (is_word())
            stamp = spelled();
        else
            return stamp;
        ++at;
        if ((is_mark('+') || is_mark('-')) && token().glued) { // "B+", "D-"
            stamp += token().mark;
            ++at;
        }
        return stamp;
    }
    /// Does a stray token stand between here and the next comma? It was reported where it was read, and so was the whole clause.
    bool clause_is_stray() const {
        for (std::uint32_t i = at; i < last && tree->tokens[i].mark != ','; ++i)
            if (tree->tokens[i].kind == TokenKind::stray) return true;
        return false;
    }
    bool rest_is_stray() const {
        for (std::uint32_t i = at; i < last; ++i)
            if (tree->tokens[i].kind == TokenKind::stray) return true;
        return false;
    }
    /// The whole statement, without a block; does not exist where it is empty.
    Span statement() const {
        return first < last ? Span{tree->source, tree->tokens[first].begin, tree->tokens[last - 1].end} : Span{};
    }
    /// Moves to the next comma or the end.
    void skip_clause() {
        while (!done() && !is_mark(',')) ++at;
    }
};

} // namespace loomproof
