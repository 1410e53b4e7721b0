#include "netlist/dump.hpp"

#include "netlist/characters.hpp"

#include <fmt/core.h>

namespace loomproof::test {

Read read(std::string_view text) {
    Read r;
    const std::uint32_t source = r.sources.add("test.loom", std::string(text));
    r.parsed = parse(r.sources, source);
    return r;
}

namespace {

std::string shown(const Read& r, const Token& token) {
    std::string word(spelling(r.sources, r.tree(), token));
    if (token.kind == TokenKind::text) return '"' + word + '"';
    if (token.kind == TokenKind::stray) return '<' + word + '>';
    return word;
}

void dump_block(const Read& r, std::uint32_t first, std::size_t depth, std::string& out) {
    const Tree& tree = r.tree();
    for (std::uint32_t i = first; i != Statement::none; i = tree.statements[i].next) {
        const Statement& s = tree.statements[i];
        out += std::string(2 * depth, ' ');
        for (std::uint32_t t = s.first; t < s.last; ++t) {
            if (t > s.first && !tree.tokens[t].glued) out += ' ';
            out += shown(r, tree.tokens[t]);
        }
        if (s.open != Statement::none) {
            if (s.last > s.first) out += ' ';
            out += s.close == Statement::none ? "{?" : s.first_child == Statement::none ? "{}" : "{";
        }
        out += '\n';
        if (s.first_child == Statement::none) continue;
        dump_block(r, s.first_child, depth + 1, out);
        if (s.close != Statement::none) out += std::string(2 * depth, ' ') + "}\n";
    }
}

bool only_blank(std::string_view gap) {
    for (std::size_t i = 0; i < gap.size();) {
        const Character c = character_at(gap, i);
        if (c.code == '/' && gap.substr(i, 2) == "//") {
            while (i < gap.size() && line_end_at(gap, i) == 0) ++i;
            continue;
        }
        if (c.kind != CharacterKind::blank && c.kind != CharacterKind::line_end && c.kind != CharacterKind::invisible)
            return false;
        i += c.length;
    }
    return true;
}

bool only_invisible(std::string_view gap) {
    for (std::size_t i = 0; i < gap.size(); i += character_at(gap, i).length)
        if (character_at(gap, i).kind != CharacterKind::invisible) return false;
    return true;
}

std::string token_flaw(const Read& r) {
    const Tree& tree = r.tree();
    const std::string_view text = r.sources.at(0).text;
    std::uint32_t at = 0;
    for (std::size_t i = 0; i < tree.tokens.size(); ++i) {
        const Token& t = tree.tokens[i];
        if (t.begin < at || t.end <= t.begin || t.end > text.size())
            return fmt::format("token {} lies at {}-{}", i, t.begin, t.end);
        if (!only_blank(text.substr(at, t.begin - at))) return fmt::format("something is lost before token {}", i);
        const bool glued =
            i > 0 && t.mark != '\n' && tree.tokens[i - 1].mark != '\n' && only_invisible(text.substr(at, t.begin - at));
        if (t.glued != glued) return fmt::format("token {} is glued or not", i);
        if ((t.mark != 0) != (t.kind == TokenKind::mark || t.kind == TokenKind::end) && t.kind != TokenKind::stray)
            return fmt::format("token {} has mark {}", i, t.mark);
        at = t.end;
    }
    return only_blank(text.substr(at)) ? "" : "something is lost at the end";
}

std::string statement_flaw(const Read& r) {
    const Tree& tree = r.tree();
    std::vector<int> uses(tree.tokens.size(), 0);
    std::uint32_t before = 0;
    for (std::uint32_t i = 0; i < tree.statements.size(); ++i) {
        const Statement& s = tree.statements[i];
        if (s.first < before || s.last < s.first || s.last > tree.tokens.size())
            return fmt::format("statement {} out of order", i);
        if (s.first == s.last && s.open == Statement::none) return fmt::format("statement {} is empty", i);
        before = s.last;
        for (std::uint32_t t = s.first; t < s.last; ++t) {
            ++uses[t];
            if (tree.tokens[t].kind == TokenKind::end || tree.tokens[t].mark == '{' || tree.tokens[t].mark == '}')
                return fmt::format("statement {} runs over its end", i);
        }
        if (s.last > s.first && tree.tokens[s.last - 1].mark == ',')
            return fmt::format("statement {} ends with a comma", i);
        if (s.open != Statement::none && tree.tokens[s.open].mark != '{')
            return fmt::format("statement {} opens wrongly", i);
        if (s.close != Statement::none && tree.tokens[s.close].mark != '}')
            return fmt::format("statement {} closes wrongly", i);
        if (s.next != Statement::none && (s.next <= i || tree.statements[s.next].parent != s.parent))
            return fmt::format("statement {} has a wrong neighbour", i);
        if (s.first_child != Statement::none && (s.first_child != i + 1 || tree.statements[s.first_child].parent != i))
            return fmt::format("statement {} has a wrong child", i);
        const Span span = tree.span(s);
        if (span.begin >= span.end || span.end > r.sources.at(0).text.size())
            return fmt::format("statement {} has a wrong span", i);
    }
    for (std::size_t t = 0; t < uses.size(); ++t)
        if (uses[t] > 1) return fmt::format("token {} belongs to {} statements", t, uses[t]);
    return {};
}

} // namespace

std::string dump(const Read& r) {
    std::string out;
    dump_block(r, r.tree().first, 0, out);
    return out;
}

std::string findings(const Read& r) {
    std::string out;
    for (const Finding& f : r.parsed.findings) {
        const LineColumn at = r.sources.position(0, f.cites.front().span.begin);
        out += fmt::format("{}:{} {} {}\n", at.line, at.column, f.rule, f.headline);
    }
    return out;
}

std::string rules(const Read& r) {
    std::string out;
    for (const Finding& f : r.parsed.findings) out += (out.empty() ? "" : " ") + f.rule;
    return out;
}

std::string rebuilt(const Read& r) {
    const std::string_view text = r.sources.at(0).text;
    std::string out;
    std::uint32_t at = 0;
    for (const Token& t : r.tree().tokens) {
        out += text.substr(at, t.begin - at);
        out += r.sources.text(r.tree().span(t));
        at = t.end;
    }
    return out += text.substr(at);
}

std::string flaw(const Read& r) {
    std::string found = token_flaw(r);
    if (found.empty()) found = statement_flaw(r);
    return found;
}

} // namespace loomproof::test
