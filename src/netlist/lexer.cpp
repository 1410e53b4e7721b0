#include "netlist/lexer.hpp"

#include "netlist/characters.hpp"
#include "netlist/plain_block.hpp"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <utility>

namespace loomproof {

namespace {

using K = CharacterKind;
constexpr std::size_t nowhere = static_cast<std::size_t>(-1);

/// Digits with at most one point, such as could be the front of a decimal.
bool is_plain_number(std::string_view word) {
    return std::count(word.begin(), word.end(), '.') <= 1 &&
           std::all_of(word.begin(), word.end(), [](char c) { return is_digit(c) || c == '.'; });
}

class Lexer {
  public:
    Lexer(std::string_view text, Mistakes& mistakes) : text_(text), mistakes_(&mistakes) {
        // Dense circuit files have two tokens for every five bytes; pages never touched cost nothing.
        out_.tokens.reserve(text.size() / 5 * 2 + 16);
    }

    Lexed run() {
        for (;;) {
            const std::size_t line_break = skip_gap();
            if (line_break != nowhere) end_line(line_break);
            if (at_ == text_.size()) return std::move(out_);
            read_token();
            read_plain();
        }
    }

  private:
    Character here() const { return character_at(text_, at_); }
    Character peek(std::size_t i) const {
        return i < text_.size() ? character_at(text_, i) : Character{0, 0, K::line_end, 0};
    }
    bool digit_at(std::size_t i) const { return i < text_.size() && is_digit(text_[i]); }

    // What nearly all of a file is made of

    /// Reads on from a token while nothing stands there but spaces, plain words, plain marks, and line ends behind which a line begins that
    /// is not indented; stops in front of whatever needs a closer look. It finds what the functions below would find, at a fraction of
    /// their time.
    void read_plain() {
        while (read_block()) {}
    }

    /// Reads one block. False where the next token needs a closer look.
    bool read_block() {
        std::vector<Token>& tokens = out_.tokens;
        bool behind_comma = tokens.back().mark == ',';
        const PlainBlock block = PlainBlock::look(text_, at_, tokens.back().kind != TokenKind::end && !behind_comma);
        if (block.size == 0) return false;
        const std::uint64_t glued = ~(block.room | block.room << 1 | static_cast<std::uint64_t>(room_));
        const char* const text = text_.data() + at_;
        for (std::uint64_t left = block.begins; left != 0; left &= left - 1) {
            const int at = std::countr_zero(left);
            const int length = std::countr_one(block.words >> at); // of a word; 0 for a mark
            const char mark = length > 0 ? '\0' : text[at];
            const bool turn = (block.turns >> at & 1) != 0;
            if (turn || (mark == ',' && behind_comma)) out_.turns.push_back(offset(tokens.size()));
            behind_comma = mark == ',';
            const TokenKind kind = length > 0 ? TokenKind::word : mark == '\n' ? TokenKind::end : TokenKind::mark;
            const std::size_t begin = at_ + static_cast<std::size_t>(at);
            const std::size_t end = begin + static_cast<std::size_t>(std::max(length, 1));
            tokens.push_back({kind, mark, (glued >> at & 1) != 0, false, offset(begin), offset(end)});
        }
        at_ += block.size;
        room_ = (block.room >> (block.size - 1) & 1) != 0;
        if (tokens.back().kind == TokenKind::word) word_end_ = tokens.back().end;
        const std::uint64_t feeds = block.room & block.begins;
        if (feeds != 0) indent_ = statement_indent_ = 0;
        return block.more;
    }

    // Gaps

    /// Moves to the next token. Returns the first line end on the way, or nowhere.
    std::size_t skip_gap() {
        std::size_t line_break = nowhere;
        while (at_ < text_.size() && plain_kind(text_[at_]) != K::word) {
            const Character c = here();
            if (c.kind == K::line_end) {
                if (line_break == nowhere) line_break = at_;
                indent_ = 0;
            } else if (c.kind == K::blank) {
                indent_ = c.code == '\t' ? (indent_ / 8 + 1) * 8 : indent_ + 1;
            } else if (c.code == '/' && peek(at_ + 1).code == '/') {
                skip_comment();
                room_ = true;
                continue;
            } else if (c.kind != K::invisible) {
                break;
            }
            room_ = room_ || c.kind != K::invisible;
            at_ += c.length;
        }
        return line_break;
    }

    void skip_comment() {
        while (at_ < text_.size()) {
            const Character c = here();
            if (c.kind == K::line_end) return;
            if (c.kind == K::direction) mistakes_->hidden_direction(at_, at_ + c.length, true);
            if (c.kind == K::broken) {
                report_broken();
                continue;
            }
            at_ += c.length;
        }
    }

    /// Ends the statement at a line end, unless it goes on behind a comma.
    void end_line(std::size_t line_break) {
        std::vector<Token>& tokens = out_.tokens;
        if (tokens.empty() || tokens.back().kind == TokenKind::end) return;
        const bool goes_on =
            tokens.back().mark == ',' && at_ < text_.size() && indent_ > statement_indent_ && text_[at_] != '}';
        if (goes_on) return;
        const std::size_t behind = line_break + line_end_at(text_, line_break);
        out_.turns.push_back(offset(tokens.size()));
        tokens.push_back({TokenKind::end, '\n', false, false, offset(line_break), offset(behind)});
    }

    // Tokens

    static std::uint32_t offset(std::size_t i) { return static_cast<std::uint32_t>(i); }

    void push(TokenKind kind, char mark, std::size_t begin, bool respelled = false) {
        std::vector<Token>& tokens = out_.tokens;
        const bool first = tokens.empty() || tokens.back().kind == TokenKind::end;
        const bool glued = !std::exchange(room_, false) && !first;
        const bool turn =
            mark == '{' || mark == '|' || mark == '}' || (mark == ',' && !first && tokens.back().mark == ',');
        if (turn) out_.turns.push_back(offset(tokens.size()));
        tokens.push_back({kind, mark, glued, respelled, offset(begin), offset(at_)});
    }

    void read_token() {
        if (out_.tokens.empty() || out_.tokens.back().kind == TokenKind::end) statement_indent_ = indent_;
        const std::size_t begin = at_;
        if (plain_kind(text_[at_]) == K::word) return read_word();
        const Character c = here();
        switch (c.kind) {
        case K::word: return read_word();
        case K::point: return read_point();
        case K::dots: return read_dots();
        case K::quote: return read_double_quote();
        case K::single_quote: return read_single_quote();
        case K::direction:
            at_ += c.length;
            mistakes_->hidden_direction(begin, at_, false);
            return push_stray(begin);
        case K::broken: report_broken(); return push_stray(begin);
        case K::mark:
        case K::dash:
        case K::times: at_ += c.length; return push(TokenKind::mark, c.mark, begin);
        default: return read_stray();
        }
    }

    /// What a run of word characters holds besides them.
    struct Word {
        bool other_dash = false;         ///< a dash other than '-'
        std::size_t invisible = nowhere; ///< first byte of its first invisible character
        std::size_t visible = nowhere;   ///< first byte behind that one and its neighbours
    };

    /// The first byte from `i` on that can be seen.
    std::size_t visible_from(std::size_t i) const {
        while (peek(i).kind == K::invisible) i += peek(i).length;
        return i;
    }

    /// Moves over a run of word characters with points and dashes between them, and whatever nobody sees inside it.
    Word skip_word() {
        Word word;
        while (at_ < text_.size()) {
            const K kind = plain_kind(text_[at_]); // nearly all that is typed is plain
            if (kind == K::word) {
                ++at_;
                continue;
            }
            if (kind != K::point && kind != K::dash && kind != K::wide) break;
            const std::size_t seen = visible_from(at_);
            const Character c = peek(seen);
            const bool joins = c.kind == K::point || c.kind == K::dash;
            if (c.kind != K::word && !(joins && peek(visible_from(seen + c.length)).kind == K::word)) break;
            if (seen > at_ && word.invisible == nowhere) {
                word.invisible = at_;
                word.visible = seen;
            }
            word.other_dash = word.other_dash || (c.kind == K::dash && c.length > 1);
            at_ = seen + c.length;
        }
        word_end_ = at_;
        return word;
    }

    void read_word() {
        const std::size_t begin = at_;
        const Word word = skip_word();
        if (number_goes_on() && may_be_decimal(begin)) return read_comma_number(begin);
        push_word(begin, word);
    }

    void push_word(std::size_t begin, const Word& word) {
        if (word.invisible != nowhere) {
            mistakes_->invisible_character(word.invisible, word.visible, begin, at_);
            return push(TokenKind::stray, 0, begin);
        }
        if (word.other_dash)
            out_.respelled.push_back({offset(begin), with_plain_dashes(text_.substr(begin, at_ - begin))});
        push(TokenKind::word, 0, begin, word.other_dash);
    }

    static std::string with_plain_dashes(std::string_view word) {
        std::string plain;
        for (std::size_t i = 0; i < word.size();) {
            const Character c = character_at(word, i);
            plain += c.kind == K::dash ? std::string(1, '-') : std::string(word.substr(i, c.length));
            i += c.length;
        }
        return plain;
    }

    /// Whether a digit stands before here, then a comma, then a digit or a decimal without its leading zero.
    bool number_goes_on() const {
        if (at_ == 0 || !digit_at(at_ - 1)) return false;
        const std::size_t comma = visible_from(at_);
        if (peek(comma).code != ',') return false;
        const std::size_t behind = visible_from(comma + 1);
        return digit_at(behind) || (peek(behind).code == '.' && digit_at(behind + 1));
    }

    /// Whether the word from `begin` to here could be the front of a decimal. In "F1,20" and "mm2,5" it has letters, in "K1:30,5" it
    /// names a terminal: there the comma can only part two things.
    bool may_be_decimal(std::size_t begin) const {
        const std::vector<Token>& tokens = out_.tokens;
        if (!room_ && !tokens.empty() && tokens.back().mark == ':') return false;
        return is_plain_number(text_.substr(begin, at_ - begin));
    }

    /// "2,5" becomes one stray token.
    void read_comma_number(std::size_t begin) {
        while (number_goes_on()) {
            at_ = visible_from(visible_from(at_) + 1);
            skip_number_word();
        }
        mistakes_->unreadable_number(begin, at_);
        push(TokenKind::stray, 0, begin);
    }

    void skip_number_word() {
        if (text_[at_] == '.') ++at_;
        skip_word();
    }

    void read_point() {
        const std::size_t begin = at_;
        if (peek(at_ + 1).kind == K::point || peek(at_ + 1).kind == K::dots) return read_dots();
        ++at_;
        if (!digit_at(at_) || word_end_ == begin) {
            mistakes_->stray_character(begin, at_);
            return push_stray(begin);
        }
        const Word word = skip_word();
        if (number_goes_on() && may_be_decimal(begin)) return read_comma_number(begin);
        push_word(begin, word);
    }

    void read_dots() {
        const std::size_t begin = at_;
        for (K kind = here().kind; kind == K::point || kind == K::dots; kind = peek(at_).kind) at_ += here().length;
        push(TokenKind::mark, '.', begin);
    }

    // Quotes

    /// Moves behind the closing quote of the text that begins here. False: there is none on this line, nothing moved.
    bool skip_text(K quote) {
        std::size_t i = at_ + here().length;
        while (i < text_.size()) {
            const Character c = character_at(text_, i);
            if (c.kind == K::line_end) return false;
            i += c.length;
            // An apostrophe inside a text in single quotes ends nothing.
            if (c.kind == quote && (quote == K::quote || peek(i).kind != K::word)) {
                report_inside(at_, i);
                at_ = i;
                return true;
            }
        }
        return false;
    }

    void report_inside(std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end;) {
            const Character c = character_at(text_, i);
            if (c.kind == K::direction) mistakes_->hidden_direction(i, i + c.length, true);
            if (c.kind == K::broken) mistakes_->broken_encoding(i, i + 1);
            i += c.length;
        }
    }

    void read_double_quote() {
        const std::size_t begin = at_;
        if (behind_figure()) {
            at_ += here().length;
            mistakes_->stray_character(begin, at_);
            return push_stray(begin);
        }
        if (!skip_text(K::quote)) return give_up_quote();
        if (peek(at_).kind != K::word) return push(TokenKind::text, 0, begin);
        skip_word();
        mistakes_->quote_in_text(begin, at_);
        push_stray(begin);
    }

    void read_single_quote() {
        const std::size_t begin = at_;
        if (word_end_ != at_) {
            if (!skip_text(K::single_quote)) return give_up_quote();
            return push(TokenKind::text, 0, begin);
        }
        at_ += here().length;
        mistakes_->stray_character(begin, at_);
        push_stray(begin);
    }

    /// Whether a word that begins with a digit ends here: the quote then stands for inches.
    bool behind_figure() const {
        return word_end_ == at_ && !out_.tokens.empty() && digit_at(out_.tokens.back().begin);
    }

    /// The rest of the line is stray, but braces at its end that open or close a block beyond this line stay.
    void give_up_quote() {
        const std::size_t begin = at_;
        std::size_t last = begin; // one past the last character that is not blank
        long depth = 0;
        for (std::size_t i = begin; i < text_.size();) {
            const Character c = character_at(text_, i);
            if (c.kind == K::line_end || (c.code == '/' && peek(i + 1).code == '/')) break;
            depth += c.code == '{' ? 1 : c.code == '}' ? -1 : 0;
            i += c.length;
            if (c.kind != K::blank) last = i;
        }
        if (depth > 0 && text_[last - 1] == '{') last = without_blanks(begin, last - 1);
        for (; depth < 0 && text_[last - 1] == '}'; ++depth) last = without_blanks(begin, last - 1);
        at_ = last;
        mistakes_->unclosed_quote(begin, at_);
        report_inside(begin, at_);
        push_stray(begin);
    }

    /// The end of [begin, end) without spaces and tabs behind its first character.
    std::size_t without_blanks(std::size_t begin, std::size_t end) const {
        while (end > begin + 1 && (text_[end - 1] == ' ' || text_[end - 1] == '\t')) --end;
        return end;
    }

    // What cannot be read

    void read_stray() {
        const std::size_t begin = at_;
        while (at_ < text_.size() && here().kind == K::stray) at_ += here().length;
        mistakes_->stray_character(begin, at_);
        push_stray(begin);
    }

    void report_broken() {
        const std::size_t begin = at_;
        while (at_ < text_.size() && here().kind == K::broken) ++at_;
        mistakes_->broken_encoding(begin, at_);
    }

    /// [begin, here) is stray. Where it stands inside a word the whole word is: half a name is another name.
    void push_stray(std::size_t begin) {
        if (word_end_ != begin || peek(at_).kind != K::word) return push(TokenKind::stray, 0, begin);
        skip_word();
        spread_stray();
    }

    /// The last token becomes stray and reaches to here.
    void spread_stray() {
        Token& token = out_.tokens.back();
        if (token.respelled) out_.respelled.pop_back();
        token.kind = TokenKind::stray;
        token.respelled = false;
        token.end = offset(at_);
    }

    std::string_view text_;
    Mistakes* mistakes_;
    Lexed out_;
    std::size_t at_ = 0;
    std::size_t word_end_ = nowhere;   ///< one past the last word character read
    bool room_ = false;                ///< something that takes room was skipped since the last token
    std::size_t indent_ = 0;           ///< column of the next token, if it is the first of its line
    std::size_t statement_indent_ = 0; ///< indentation of the line on which the current statement began
};

} // namespace

Lexed lex(std::string_view text, Mistakes& mistakes) { return Lexer(text, mistakes).run(); }

} // namespace loomproof
