#include "netlist/characters.hpp"
#include "netlist/lexer.hpp"
#include "netlist/mistakes.hpp"
#include "netlist/syntax.hpp"

#include <algorithm>
#include <utility>

namespace loomproof {

namespace {

constexpr std::uint32_t none = Statement::none;

/// Groups the tokens of one text into statements and blocks.
///
/// Two ways of reading: by braces alone, and with the indentation closing a block whose brace is missing. The second is tried
/// only where the braces do not match, and kept if it explains the text with no more mistakes.
class Grouper {
  public:
    Grouper(const Sources& sources, Tree& tree, const std::vector<std::uint32_t>& turns, Mistakes& mistakes,
            bool by_indentation)
        : text_(sources.at(tree.source).text),
          tree_(&tree),
          turns_(&turns),
          mistakes_(&mistakes),
          by_indentation_(by_indentation) {}

    /// Fills tree.statements and tree.first. Says how many braces do not match.
    std::size_t run() {
        std::vector<Token>& tokens = tree_->tokens;
        for (index_ = 0; index_ < tokens.size(); ++index_) {
            if (current_ != none) skip_to_turn();
            if (index_ == tokens.size()) break;
            Token& token = tokens[index_];
            if (token.mark == '|' && !blocks_.empty() && blocks_.back().is_short) token.kind = TokenKind::end;
            const bool brace = token.mark == '{' || token.mark == '}';
            if (current_ != none && !brace && token.kind != TokenKind::end) { // a bar, or a comma behind another one
                commas_ = commas_ || token.mark == ',';
                continue;
            }
            if (token.mark != '\n') note_line();
            if (token.kind == TokenKind::end)
                on_end(token);
            else if (!brace)
                begin_statement();
            else if (token.mark == '{')
                open_block();
            else
                close_block();
        }
        finish_statement();
        while (!blocks_.empty()) leave_unclosed(none);
        return unmatched_;
    }

  private:
    struct Block {
        std::uint32_t statement = none;
        std::uint32_t last_child = none;
        std::size_t indent = 0; ///< of the line on which its `{` stands
        bool is_short = false;  ///< its first statement stands on the line of its `{`
        bool is_deeper = false; ///< its first statement is indented deeper, or stands on the line of its `{`
        bool has_statement = false;
    };

    Statement& statement(std::uint32_t i) { return tree_->statements[i]; }
    const Token& token(std::uint32_t i) const { return tree_->tokens[i]; }
    Span span_of(std::uint32_t i) const { return tree_->span(token(i)); }

    /// Moves to the next token that is not simply in the middle of a statement.
    void skip_to_turn() {
        while (turn_ < turns_->size() && (*turns_)[turn_] < index_) ++turn_;
        index_ = turn_ < turns_->size() ? (*turns_)[turn_] : static_cast<std::uint32_t>(tree_->tokens.size());
    }

    // Lines

    bool first_of_line(std::uint32_t i) const {
        if (i == 0 || token(i - 1).mark == '\n') return true;
        if (token(i).glued) return false;
        for (std::size_t at = token(i - 1).end; at < token(i).begin; ++at)
            if (line_end_at(text_, at) > 0) return true;
        return false;
    }

    /// Keeps `indent_` at the column of the first token of the current line. Most tokens lie in the middle of a statement, where nobody
    /// asks for it: they are looked at only once one asks behind them.
    void note_line() {
        std::uint32_t first = index_;
        bool begins = is_first_ = first_of_line(first);
        while (!begins && first > noted_) begins = first_of_line(--first);
        noted_ = index_ + 1;
        if (!begins) return; // a line that has been noted before
        std::size_t begin = token(first).begin;
        while (begin > 0 && !ends_line(begin)) --begin;
        indent_ = 0;
        while (begin < token(first).begin) {
            const Character c = character_at(text_, begin);
            if (c.kind == CharacterKind::blank) indent_ = c.code == '\t' ? (indent_ / 8 + 1) * 8 : indent_ + 1;
            begin += c.length;
        }
    }

    /// Whether a line end stands right before byte `at`.
    bool ends_line(std::size_t at) const {
        for (std::size_t length = 1; length <= 3 && length <= at; ++length)
            if (line_end_at(text_, at - length) == length) return true;
        return false;
    }

    // Statements

    void begin_statement() {
        if (by_indentation_ && is_first_) close_by_indentation();
        if (after_block_) {
            mistakes_->after_brace(token(index_).begin, end_of_rest());
            if (token(index_).kind == TokenKind::mark) poison_.push_back(index_);
        }
        add_statement(index_);
    }

    /// One past the last token before the end of this statement, in bytes.
    std::size_t end_of_rest() const {
        std::uint32_t i = index_;
        while (i + 1 < tree_->tokens.size() && token(i + 1).kind != TokenKind::end && token(i + 1).mark != '{' &&
               token(i + 1).mark != '}' && token(i + 1).mark != '|')
            ++i;
        return token(i).end;
    }

    void add_statement(std::uint32_t first_token) {
        current_ = static_cast<std::uint32_t>(tree_->statements.size());
        Statement made;
        made.first = made.last = first_token;
        if (!blocks_.empty()) {
            Block& block = blocks_.back();
            previous_ = block.last_child;
            made.parent = block.statement;
            if (block.last_child == none)
                statement(block.statement).first_child = current_;
            else
                statement(block.last_child).next = current_;
            block.last_child = current_;
            note_first_statement(block);
        } else {
            previous_ = last_top_;
            if (last_top_ == none)
                tree_->first = current_;
            else
                statement(last_top_).next = current_;
            last_top_ = current_;
        }
        tree_->statements.push_back(made);
    }

    void note_first_statement(Block& block) const {
        if (block.has_statement) return;
        block.has_statement = true;
        block.is_deeper = block.is_short || indent_ > block.indent;
    }

    /// Ends the statement before token `index_`: drops closing commas, and it with them where there is nothing else.
    void finish_statement() {
        if (current_ == none) return;
        Statement& s = statement(current_);
        s.last = index_;
        while (s.last > s.first && token(s.last - 1).mark == ',') --s.last;
        if (std::exchange(commas_, false) || token(s.first).mark == ',') report_empty_clauses(s);
        if (s.last == s.first) drop_current();
        current_ = none;
    }

    void report_empty_clauses(const Statement& s) {
        for (std::uint32_t i = s.first; i < s.last; ++i) {
            if (token(i).mark != ',') continue;
            const std::uint32_t from = i;
            while (i + 1 < s.last && token(i + 1).mark == ',') ++i;
            const bool reported = !poison_.empty() && poison_.back() == from;
            if (i > from || (from == s.first && !reported)) mistakes_->empty_clause(token(from).begin, token(i).end);
        }
    }

    /// Takes a statement of nothing but commas out again. It is the last one made, and has no children.
    void drop_current() {
        if (previous_ != none) statement(previous_).next = none;
        if (blocks_.empty()) {
            last_top_ = previous_;
            if (previous_ == none) tree_->first = none;
        } else {
            blocks_.back().last_child = previous_;
            if (previous_ == none) statement(blocks_.back().statement).first_child = none;
        }
        tree_->statements.pop_back();
    }

    void on_end(const Token& end) {
        const bool nothing = current_ == none && !after_block_;
        finish_statement();
        after_block_ = false;
        if (end.mark != '|') return;
        // Two of them on one line with nothing between; at the front or back of a line one may stand alone.
        if (nothing && index_ > 0 && token(index_ - 1).mark == '|' && !is_first_)
            mistakes_->empty_position(token(index_ - 1).begin, end.end);
    }

    // Blocks

    void open_block() {
        const std::uint32_t owner = owner_of_block();
        statement(owner).open = index_;
        current_ = none;
        after_block_ = false;
        if (blocks_.size() == deepest_block) return skip_block(owner);
        Block block;
        block.statement = owner;
        const std::uint32_t next = index_ + 1;
        block.is_short = next < tree_->tokens.size() && token(next).mark != '\n' && !first_of_line(next);
        block.indent = indent_;
        blocks_.push_back(block);
    }

    /// The statement before the brace; one on the line above; or, reported, one without head.
    std::uint32_t owner_of_block() {
        if (current_ != none) {
            const std::uint32_t owner = current_;
            finish_statement();
            if (owner < tree_->statements.size()) return owner;
        }
        const std::uint32_t before = blocks_.empty() ? last_top_ : blocks_.back().last_child;
        if (!after_block_ && before != none && statement(before).open == none) {
            mistakes_->stray_opening_brace(token(index_).begin, tree_->head(statement(before)));
            return before;
        }
        mistakes_->stray_opening_brace(token(index_).begin, {});
        add_statement(index_);
        return current_;
    }

    void skip_block(std::uint32_t owner) {
        const std::uint32_t open = index_;
        std::size_t depth = 0;
        for (; index_ < tree_->tokens.size(); ++index_) {
            note_line();
            if (token(index_).mark == '{') ++depth;
            if (token(index_).mark == '}' && --depth == 0) break;
        }
        const bool closed = index_ < tree_->tokens.size();
        if (closed)
            statement(owner).close = index_;
        else
            --index_;
        after_block_ = closed;
        mistakes_->too_deep(token(open).begin, token(index_).begin);
    }

    void close_block() {
        finish_statement();
        if (by_indentation_ && is_first_ && !closes_here()) {
            ++unmatched_;
            mistakes_->stray_closing_brace(token(index_).begin, {}, {});
            poison_.push_back(index_);
            return;
        }
        if (blocks_.empty()) {
            ++unmatched_;
            mistakes_->stray_closing_brace(token(index_).begin, suspect_open_, suspect_close_);
            poison_.push_back(index_);
            return;
        }
        Statement& s = statement(blocks_.back().statement);
        s.close = index_;
        note_suspect(blocks_.back());
        blocks_.pop_back();
        after_block_ = true;
    }

    /// Remembers the first `}` that stands at the front of a line and not under the line of its `{`.
    void note_suspect(const Block& block) {
        if (suspect_open_.exists() || !is_first_ || indent_ == block.indent) return;
        suspect_open_ = span_of(statement(block.statement).open);
        suspect_close_ = span_of(index_);
    }

    // Reading by indentation

    /// For a `}` at the front of its line: closes the blocks inside the one that begins at the same indentation. False where it
    /// stands deeper than the line of the block it would close, so that it is one too many.
    bool closes_here() {
        const bool fits =
            std::any_of(blocks_.begin(), blocks_.end(), [&](const Block& b) { return b.indent == indent_; });
        while (fits && blocks_.back().indent > indent_) leave_unclosed(index_);
        return blocks_.empty() || fits || !blocks_.back().is_deeper || blocks_.back().is_short ||
               indent_ < blocks_.back().indent;
    }

    void close_by_indentation() {
        while (!blocks_.empty() && blocks_.back().is_deeper && indent_ <= blocks_.back().indent) leave_unclosed(index_);
    }

    void leave_unclosed(std::uint32_t before) {
        const Statement& s = statement(blocks_.back().statement);
        ++unmatched_;
        mistakes_->unclosed_block(span_of(s.open), s.first == s.last ? Span{} : tree_->head(s),
                                  before == none ? Span{} : span_of(before));
        blocks_.pop_back();
    }

  public:
    /// Tokens that make no sense where they stand; they become stray once this way of reading is kept.
    const std::vector<std::uint32_t>& poison() const { return poison_; }

  private:
    std::string_view text_;
    Tree* tree_;
    const std::vector<std::uint32_t>* turns_; ///< Lexed::turns
    std::size_t turn_ = 0;                    ///< the first of them that is not behind `index_`, or one before that
    Mistakes* mistakes_;
    bool by_indentation_;
    bool commas_ = false;     ///< two commas with nothing between stand in the current statement
    bool is_first_ = true;    ///< the current token is the first of its line
    std::size_t indent_ = 0;  ///< indentation of the current line
    std::uint32_t noted_ = 0; ///< one past the last token that note_line() has looked at
    std::uint32_t index_ = 0;
    std::uint32_t current_ = none;
    std::uint32_t previous_ = none; ///< the sibling before the current statement
    std::uint32_t last_top_ = none;
    bool after_block_ = false; ///< a block closed since the last end
    std::vector<Block> blocks_;
    std::vector<std::uint32_t> poison_;
    std::size_t unmatched_ = 0;
    Span suspect_open_{};
    Span suspect_close_{};
};

/// Groups the tokens of `tree` anew. Returns the number of braces that do not match.
std::size_t group(const Sources& sources, Tree& tree, const std::vector<std::uint32_t>& turns, Mistakes& mistakes,
                  std::vector<std::uint32_t>& poison, bool by_indentation) {
    if (!tree.statements.empty()) { // grouped before
        tree.statements.clear();
        tree.first = none;
        for (Token& token : tree.tokens)
            if (token.mark == '|') token.kind = TokenKind::mark;
    }
    Grouper grouper(sources, tree, turns, mistakes, by_indentation);
    const std::size_t unmatched = grouper.run();
    poison = grouper.poison();
    return unmatched;
}

std::string_view ascii_form(char mark) {
    static constexpr std::string_view marks = ",:/{}|*+-=()#%&;";
    const std::size_t at = marks.find(mark);
    return at == std::string_view::npos ? ".." : marks.substr(at, 1);
}

std::string_view without_quotes(std::string_view text) {
    text.remove_prefix(character_at(text, 0).length);
    std::size_t last = text.size() - 1;
    while ((static_cast<unsigned char>(text[last]) & 0xc0) == 0x80) --last;
    return text.substr(0, last);
}

} // namespace

Span Tree::head(const Statement& s) const {
    if (s.first == s.last) return {source, tokens[s.first].begin, tokens[s.first].begin};
    return {source, tokens[s.first].begin, tokens[s.last - 1].end};
}

Span Tree::span(const Statement& s) const {
    Span whole = head(s);
    const Statement* at = &s;
    while (at->open != none) {
        whole.end = tokens[at->close != none ? at->close : at->open].end;
        if (at->close != none || at->first_child == none) return whole;
        at = &statements[at->first_child];
        while (at->next != none) at = &statements[at->next];
        whole.end = head(*at).end;
    }
    return whole;
}

std::string_view spelling(const Sources& sources, const Tree& tree, const Token& token) {
    const std::string_view typed = sources.text(tree.span(token));
    if (token.kind == TokenKind::text) return without_quotes(typed);
    if (token.kind == TokenKind::mark) return ascii_form(token.mark);
    if (!token.respelled) return typed;
    const auto found = std::lower_bound(tree.respelled.begin(), tree.respelled.end(), token.begin,
                                        [](const Respelling& r, std::uint32_t begin) { return r.begin < begin; });
    return found->word;
}

Parsed parse(const Sources& sources, std::uint32_t source) {
    Parsed parsed;
    Tree& tree = parsed.tree;
    tree.source = source;
    Mistakes mistakes(sources, source);
    Lexed lexed = lex(sources.at(source).text, mistakes);
    tree.tokens = std::move(lexed.tokens);
    tree.respelled = std::move(lexed.respelled);

    Mistakes by_braces(sources, source);
    std::vector<std::uint32_t> poison;
    const std::size_t unmatched = group(sources, tree, lexed.turns, by_braces, poison, false);
    if (unmatched == 0) {
        mistakes.absorb(std::move(by_braces));
    } else {
        Mistakes by_indentation(sources, source);
        const bool explains = group(sources, tree, lexed.turns, by_indentation, poison, true) <= unmatched;
        if (!explains) {
            by_braces = Mistakes(sources, source);
            group(sources, tree, lexed.turns, by_braces, poison, false);
        }
        mistakes.absorb(std::move(explains ? by_indentation : by_braces));
    }
    for (const std::uint32_t i : poison) tree.tokens[i].kind = TokenKind::stray;
    parsed.findings = mistakes.take();
    return parsed;
}

} // namespace loomproof
