#include "netlist/tidy.hpp"

#include "base/words.hpp"
#include "netlist/characters.hpp"
#include "netlist/tidy_lines.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

namespace loomproof {

namespace {

constexpr std::uint32_t none = Statement::none;
constexpr std::size_t longest_paragraph = 1000; ///< lines aligned together at most, so that memory stays small

/// One comment between two tokens, or the rest behind the last one, and what stands before it.
struct GapPiece {
    bool new_line = false;    ///< a line ended since the piece before
    bool empty_line = false;  ///< and an empty line follows that one
    std::string_view comment; ///< empty for the rest
};

/// Comments and line ends of a stretch of text between statements. Its commas and bars say nothing.
std::vector<GapPiece> pieces_of(std::string_view gap) {
    std::vector<GapPiece> pieces(1);
    bool after_line_end = false; // with nothing but blanks since
    for (std::size_t i = 0; i < gap.size();) {
        if (const std::size_t ending = line_end_at(gap, i); ending > 0) {
            pieces.back().new_line = true;
            pieces.back().empty_line = pieces.back().empty_line || after_line_end;
            after_line_end = true;
            i += ending;
        } else if (gap.substr(i, 2) == "//") {
            std::size_t end = i;
            while (end < gap.size() && line_end_at(gap, end) == 0) ++end;
            std::size_t last = end;
            while (last > i && (gap[last - 1] == ' ' || gap[last - 1] == '\t')) --last;
            pieces.back().comment = gap.substr(i, last - i);
            pieces.emplace_back();
            after_line_end = false;
            i = end;
        } else {
            after_line_end = after_line_end && gap[i] != ',' && gap[i] != '|';
            ++i;
        }
    }
    return pieces;
}

bool has_line_break(std::string_view gap) {
    for (std::size_t i = 0; i < gap.size(); ++i)
        if (line_end_at(gap, i) > 0) return true;
    return false;
}

bool holds(std::string_view text, CharacterKind kind) {
    for (std::size_t i = 0; i < text.size(); i += character_at(text, i).length)
        if (character_at(text, i).kind == kind) return true;
    return false;
}

class Tidier {
  public:
    Tidier(const Sources& sources, const Tree& tree, const TidyOptions& options)
        : sources_(&sources), tree_(&tree), options_(&options), text_(sources.at(tree.source).text) {
        if (options.number_wires) next_wire_ = highest_wire() + 1;
    }

    std::string run() {
        if (!braces_match()) return std::string(text_);
        for (std::uint32_t i = tree_->first; i != none;) i = write_statement(i);
        write_gap(text_.size());
        flush();
        return std::move(out_);
    }

  private:
    const Token& token(std::uint32_t i) const { return tree_->tokens[i]; }
    const Statement& statement(std::uint32_t i) const { return tree_->statements[i]; }
    std::string_view typed(const Token& t) const { return text_.substr(t.begin, t.end - t.begin); }
    std::string_view gap_before(std::uint32_t i) const {
        return text_.substr(token(i - 1).end, token(i).begin - token(i - 1).end);
    }
    std::string_view spelled(std::uint32_t i) const { return spelling(*sources_, *tree_, token(i)); }
    bool is_word(std::uint32_t i, std::string_view word) const {
        return i < tree_->tokens.size() && token(i).kind == TokenKind::word && equal_ignoring_case(spelled(i), word);
    }
    bool is_figure(std::uint32_t i) const {
        const char first = text_[token(i).begin];
        return token(i).kind == TokenKind::word && (is_digit(first) || first == '.');
    }

    // What stays as typed

    /// Whether every block is whole and stands where it belongs, and no `|` follows another.
    bool braces_match() const {
        const auto is_end = [&](std::uint32_t i) {
            return i >= tree_->tokens.size() || token(i).kind == TokenKind::end || token(i).mark == '}';
        };
        for (const Statement& s : tree_->statements) {
            if (s.first == s.last) return false;
            if (s.open == none) continue;
            if (s.close == none || token(s.open - 1).kind == TokenKind::end || !is_end(s.close + 1)) return false;
            if (s.first_child == none && s.close != s.open + 1 && !is_empty(s)) return false;
        }
        for (std::uint32_t i = 0; i < tree_->tokens.size(); ++i) {
            if (token(i).mark == '}' && token(i).kind == TokenKind::stray) return false;
            if (i > 0 && token(i).mark == '|' && token(i - 1).mark == '|' && !has_line_break(gap_before(i)))
                return false;
        }
        return true;
    }

    /// A block with nothing but ends and commas in it, against one that was too deep to read.
    bool is_empty(const Statement& s) const {
        for (std::uint32_t i = s.open + 1; i < s.close; ++i)
            if (token(i).kind != TokenKind::end && token(i).mark != ',') return false;
        return true;
    }

    bool has_mistake(std::uint32_t first, std::uint32_t last) const {
        for (std::uint32_t i = first; i < last; ++i) {
            if (token(i).kind == TokenKind::stray) return true;
            const bool starts = i == first || token(i - 1).kind == TokenKind::end || token(i - 1).mark == '{';
            if (token(i).mark == ',' && (starts || token(i - 1).mark == ',')) return true;
        }
        return false;
    }

    // Statements, blocks and what stands between

    /// Writes statement `i`; the block it opens, if that is a long one, begins, and blocks that end behind it end. Returns the
    /// statement to write next, or none.
    std::uint32_t write_statement(std::uint32_t i) {
        const Statement& s = statement(i);
        write_gap(token(s.first).begin);
        const bool in_one_line = s.open != none && is_in_one_line(s);
        const std::uint32_t last = in_one_line ? s.close + 1 : s.last;
        const bool opens = s.open != none && !in_one_line;
        write_tokens(s.first, last, opens);
        at_ = token(last - 1).end;
        if (opens) {
            after_open_ = true;
            depth_ += 1;
            write_gap(token(s.open).begin);
            at_ = token(s.open).end;
            if (s.first_child != none) return s.first_child;
            close_block(s);
            after_open_ = false;
        }
        return next_behind(i);
    }

    std::uint32_t next_behind(std::uint32_t i) {
        while (statement(i).next == none && statement(i).parent != none) {
            i = statement(i).parent;
            close_block(statement(i));
        }
        return statement(i).next;
    }

    void close_block(const Statement& s) {
        write_gap(token(s.close).begin);
        wants_empty_line_ = false;
        depth_ -= 1;
        flush();
        lines_.emplace_back(2 * depth_, "}");
        flush_but_last();
        at_ = token(s.close).end;
    }

    bool is_in_one_line(const Statement& s) const {
        return !has_line_break(text_.substr(token(s.last - 1).end, token(s.close).begin - token(s.last - 1).end));
    }

    /// Writes comments and empty lines between the last thing written and byte `end`.
    void write_gap(std::size_t end) {
        for (const GapPiece& piece : pieces_of(text_.substr(at_, end - at_))) {
            if (piece.comment.empty()) {
                wants_empty_line_ = wants_empty_line_ || piece.empty_line;
            } else if (!piece.new_line && !lines_.empty() && lines_.back().comment.empty() &&
                       lines_.back().layout != Layout::comment) {
                lines_.back().comment = piece.comment;
                continue;
            } else {
                wants_empty_line_ = wants_empty_line_ || piece.empty_line;
                begin_line();
                lines_.emplace_back(2 * depth_, std::string(piece.comment), Layout::comment);
            }
        }
        at_ = end;
    }

    /// The empty line that is due before the next line, unless a block or the text begins here.
    void begin_line() {
        const bool empty_line = wants_empty_line_ && !after_open_ && !(out_.empty() && lines_.empty());
        if (empty_line || after_open_ || lines_.size() >= longest_paragraph) flush();
        if (empty_line) out_ += '\n';
        wants_empty_line_ = false;
        after_open_ = false;
    }

    void flush() { write_paragraph(lines_, out_); }

    /// Braces stand outside the columns of what is around them, but a comment may still come behind them.
    void flush_but_last() {
        TidyLine last = std::move(lines_.back());
        lines_.pop_back();
        flush();
        lines_.push_back(std::move(last));
    }

    // Tokens of a statement

    /// The text of tokens [first, last) as one line, or as several where it goes on.
    void write_tokens(std::uint32_t first, std::uint32_t last, bool opens) {
        begin_line();
        const bool as_typed = has_mistake(first, last);
        const std::size_t first_line = lines_.size();
        lines_.emplace_back(2 * depth_, "", as_typed ? Layout::as_typed : Layout::none);
        starts_.assign(1, 0);
        std::string text;
        connects_ = false;
        for (std::uint32_t i = first; i < last; ++i) {
            connects_ = (connects_ && !starts_statement(i, first)) || is_word(i, "connects");
            if (!as_typed && says_nothing(i, last)) continue;
            if (i > first && has_line_break(gap_before(i))) {
                lines_.back().cells[0] = std::exchange(text, {});
                go_on_in_next_line(gap_before(i));
            } else if (i > first) {
                if (as_typed)
                    text += gap_before(i);
                else if (blank_between(i - 1, i))
                    text += ' ';
            }
            if (lines_.size() == first_line + 1) note_column(first, i, text.size());
            text += as_typed ? std::string(typed(token(i))) : canonical(i, first, last);
        }
        if (opens) text += " {";
        lines_.back().cells[0] = std::move(text);
        if (opens) return flush_but_last();
        if (!as_typed && lines_.size() == first_line + 1 && token(last - 1).mark != '}')
            cut_into_cells(first, lines_.back());
    }

    /// A comma before a brace or the end of a statement, a bar at the front or back of a block.
    bool says_nothing(std::uint32_t i, std::uint32_t last) const {
        const char mark = token(i).mark;
        const char next = i + 1 < last ? token(i + 1).mark : '\0';
        if (mark == ',') return next == '{' || next == '}' || (i + 1 < last && token(i + 1).kind == TokenKind::end);
        return token(i).kind == TokenKind::end && (next == '}' || token(i - 1).mark == '{');
    }

    void go_on_in_next_line(std::string_view gap) {
        const std::size_t indent = 2 * depth_ + 4;
        const std::vector<GapPiece> pieces = pieces_of(gap);
        for (const GapPiece& piece : pieces) {
            if (piece.comment.empty()) continue;
            if (!piece.new_line && &piece == pieces.data())
                lines_.back().comment = piece.comment;
            else
                lines_.emplace_back(indent, std::string(piece.comment), Layout::comment);
        }
        lines_.emplace_back(indent);
    }

    /// Whether a blank stands between token i - 1 and token i of one statement. The rules that do not keep what was typed must not
    /// change what is read: the reader minds gluing only at colons and at signs behind a word.
    bool blank_between(std::uint32_t before, std::uint32_t i) const {
        const Token& a = token(before);
        const Token& b = token(i);
        if (b.mark == ',' || b.mark == ')' || a.mark == '(') return false;
        if (a.mark == ',' || a.mark == '{' || a.mark == '}' || a.mark == '|') return true;
        if (b.mark == '{' || b.mark == '}' || b.mark == '|') return true;
        const bool texts_and_words = a.kind != TokenKind::mark && b.kind != TokenKind::mark;
        if (texts_and_words || (b.mark == '%' && is_figure(before))) return true;
        if (is_sum(i) || is_sum(before)) return true;
        // Apart by something invisible only: together they would become a comment, or longer dots.
        if ((a.mark == '/' && b.mark == '/') || (a.mark == '.' && text_[b.begin] == '.')) return true;
        return !b.glued;
    }

    /// A '+' between two figures: "2.1 m + 0.2 m". Not the one of a stamp.
    bool is_sum(std::uint32_t i) const {
        if (token(i).mark != '+' || i < 2 || i + 1 >= tree_->tokens.size() || !is_figure(i + 1)) return false;
        if (token(i - 1).kind != TokenKind::word || (token(i).glued && !token(i + 1).glued)) return false;
        if (!is_figure(i - 1)) return is_figure(i - 2) && !token(i - 1).glued;
        return token(i - 2).mark != ':';
    }

    std::string canonical(std::uint32_t i, std::uint32_t first, std::uint32_t last) {
        const Token& t = token(i);
        if (t.kind == TokenKind::text) return with_straight_quotes(typed(t), spelled(i));
        if (t.kind == TokenKind::end) return "|";
        if (t.kind != TokenKind::word) return std::string(spelled(i));
        if (i > first && token(i - 1).mark == ':' && t.glued) return std::string(spelled(i));
        if (const std::size_t unit = unit_at(i, first, last); unit > 0)
            return std::string(spelled(i).substr(0, unit)) + " " + std::string(spelled(i).substr(unit));
        std::string word = lower(spelled(i));
        if (word != spelled(i) && (options_->is_keyword == nullptr || !options_->is_keyword(word))) word = spelled(i);
        const bool unnamed_wire = word == "wire" && starts_statement(i, first) && is_word(i + 1, "from");
        return options_->number_wires && unnamed_wire ? word + " W" + std::to_string(next_wire_++) : word;
    }

    bool starts_statement(std::uint32_t i, std::uint32_t first) const {
        return i == first || token(i - 1).kind == TokenKind::end || token(i - 1).mark == '{';
    }

    /// A text in double quotes; in single ones where it holds a double quote; as typed where it holds both.
    static std::string with_straight_quotes(std::string_view typed, std::string_view inside) {
        if (!holds(inside, CharacterKind::quote)) return '"' + std::string(inside) + '"';
        if (!holds(inside, CharacterKind::single_quote)) return '\'' + std::string(inside) + '\'';
        return std::string(typed);
    }

    // Figures

    /// Where the unit begins in "12v", or 0: only where a figure is sure to stand. Stamps such as 15a and 87a look the same.
    std::size_t unit_at(std::uint32_t i, std::uint32_t first, std::uint32_t last) const {
        if (options_->split_unit == nullptr || !is_figure(i) || i == first) return 0;
        if (i + 1 < last && token(i + 1).mark == ':') return 0;
        const Token& before = token(i - 1);
        static constexpr std::string_view figures_follow[] = {"about",    "and",     "at",   "behind", "between",
                                                              "coil",     "guessed", "in",   "least",  "marked",
                                                              "measured", "most",    "takes"};
        const bool behind_word =
            before.kind == TokenKind::word &&
            std::any_of(std::begin(figures_follow), std::end(figures_follow),
                        [&](std::string_view word) { return equal_ignoring_case(spelled(i - 1), word); });
        const bool behind_mark =
            before.mark == ',' || before.mark == '+' || before.mark == '/' || before.mark == '-' || before.mark == '*';
        if (!behind_word && !behind_mark && before.kind != TokenKind::text) return 0;
        const std::size_t unit = connects_ ? 0 : options_->split_unit(spelled(i));
        return unit > 0 && is_digit(spelled(i)[unit - 1]) ? unit : 0; // "0.m" is a slip of the finger, not nothing
    }

    // Columns

    /// Remembers where columns may begin in the one line of a statement: layout and cuts are known once it is whole.
    void note_column(std::uint32_t first, std::uint32_t i, std::size_t at) {
        starts_.resize(i - first + 1);
        starts_[i - first] = at;
    }

    void cut_into_cells(std::uint32_t first, TidyLine& line) {
        const std::uint32_t last = first + static_cast<std::uint32_t>(starts_.size());
        const auto find = [&](std::string_view word) {
            std::uint32_t i = first + 1;
            while (i < last && !(is_word(i, word) && blank_between(i - 1, i))) ++i;
            return i;
        };
        std::vector<std::uint32_t> cuts;
        if (is_word(first, "wire")) {
            line.layout = Layout::wire;
            cuts.push_back(find("from"));
            for (std::uint32_t i = cuts[0]; i + 1 < last && cuts.size() + 1 < TidyLine::most_cells; ++i)
                if (token(i).mark == ',') cuts.push_back(i + 1);
        } else if (is_word(first, "expect")) {
            line.layout = Layout::expectation;
            cuts.push_back(find("when"));
        } else {
            line.layout = Layout::position;
            cuts.push_back(find("connects"));
        }
        if (cuts[0] >= last)
            line.layout = Layout::none;
        else
            cut(line, first, cuts);
    }

    void cut(TidyLine& line, std::uint32_t first, const std::vector<std::uint32_t>& cuts) {
        const std::string text = std::move(line.cells[0]);
        line.count = 0;
        std::size_t from = 0;
        for (std::size_t i = 0; i <= cuts.size(); ++i) {
            const std::size_t to = i < cuts.size() ? starts_[cuts[i] - first] : text.size();
            std::size_t end = to;
            while (end > from && text[end - 1] == ' ') --end;
            line.cells[line.count++] = text.substr(from, end - from);
            from = to;
        }
    }

    // Wire numbers

    std::size_t highest_wire() const {
        std::size_t highest = 0;
        for (const Token& t : tree_->tokens) {
            const std::string_view word = typed(t);
            if (t.kind != TokenKind::word || (word[0] != 'W' && word[0] != 'w')) continue;
            std::size_t number = 0;
            for (std::size_t i = 1; i < word.size() && i <= 9 && is_digit(word[i]); ++i)
                number = number * 10 + static_cast<std::size_t>(word[i] - '0');
            highest = std::max(highest, number);
        }
        return highest;
    }

    const Sources* sources_;
    const Tree* tree_;
    const TidyOptions* options_;
    std::string_view text_;
    std::string out_;
    std::vector<TidyLine> lines_;     ///< the paragraph being written
    std::vector<std::size_t> starts_; ///< where each token of the current line begins in its text
    std::size_t at_ = 0;              ///< all bytes before this are written
    std::size_t depth_ = 0;
    std::size_t next_wire_ = 0;
    bool connects_ = false; ///< "connects" was written in this statement: what follows are stamps
    bool wants_empty_line_ = false;
    bool after_open_ = false; ///< the last line opened a block
};

} // namespace

std::string tidy(const Sources& sources, const Tree& tree, const TidyOptions& options) {
    return Tidier(sources, tree, options).run();
}

} // namespace loomproof
