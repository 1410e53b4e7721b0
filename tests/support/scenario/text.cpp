// Writes a plan as a circuit file, plainly or in the handwriting of somebody on a phone.
#include "support/scenario/scenario.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

constexpr std::array<std::string_view, 7> remarks = {
    "as found",
    "wire from nowhere to F1, 2,5 mm2 {",
    "} ask the owner",
    "\"open quote",
    "20 A? or 25",
    "<!-- & -->",
    "h\xc3\xb6her // twice",
};
constexpr std::array<std::string_view, 9> units = {"A", "V", "W", "m", "mm2", "ohm", "Ah", "mA", "kW"};

// The typing of one statement: the same for the same statement, whatever is changed elsewhere.
class Typist {
  public:
    Typist(const Hand& hand, std::size_t statement)
        : hand_(hand), state_(hand.seed ^ (statement * 0x9e3779b97f4a7c15U)) {}

    bool chance(unsigned percent) { return splitmix64(state_) % 100 < percent; }
    template <class List> auto one_of(const List& list) { return list[splitmix64(state_) % list.size()]; }

    std::string blank() {
        if (hand_.tabs && chance(20)) { return chance(50) ? "\t" : " \t "; }
        return hand_.blanks && chance(15) ? std::string(1 + splitmix64(state_) % 4, ' ') : " ";
    }
    std::string comment() { return fmt::format("//{}{}", chance(80) ? " " : "", one_of(remarks)); }

    // A run of words without commas: blanks between words and what a phone makes of figures and signs.
    std::string words(std::string_view text) {
        std::string out;
        bool quoted = false, after_number = false;
        for (std::size_t i = 0; i < text.size();) {
            if (text[i] == '"') {
                const bool curly = hand_.phone && curly_;
                if (!quoted) { curly_ = chance(60); }
                out += hand_.phone && (quoted ? curly : curly_) ? (quoted ? "\xe2\x80\x9d" : "\xe2\x80\x9c") : "\"";
                quoted = !quoted;
                ++i;
            } else if (quoted) {
                out += text[i++];
            } else if (text[i] == ' ') {
                ++i;
                const std::string_view next = text.substr(i, std::min(text.find_first_of(" ,+\"", i), text.size()) - i);
                if (after_number && hand_.phone && std::find(units.begin(), units.end(), next) != units.end()) {
                    out += chance(50) ? "" : " ";
                    out += next == "mm2" && chance(50) ? "mm\xc2\xb2" : std::string(next);
                    i += next.size();
                    after_number = false;
                } else {
                    out += blank();
                }
            } else {
                const std::size_t stop = std::min(text.find_first_of(" \"", i), text.size());
                std::string_view word = text.substr(i, stop - i);
                after_number = word.find_first_not_of("0123456789.") == std::string_view::npos;
                if (hand_.phone && word.ends_with(":-") && chance(60)) {
                    out += word.substr(0, word.size() - 1);
                    out += chance(50) ? "\xe2\x80\x93" : "\xe2\x88\x92";
                } else {
                    out += word;
                }
                i = stop;
            }
        }
        return out;
    }

    std::string first_letter(std::string text) {
        if (hand_.phone && chance(40) && !text.empty()) {
            text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
        }
        return text;
    }

  private:
    const Hand& hand_;
    std::uint64_t state_;
    bool curly_ = false;
};

class Writer {
  public:
    Writer(const Plan& plan, const Hand& hand) : plan_(plan), hand_(hand) {
        out_.line_of.resize(plan.statements.size());
    }

    Written run() {
        open("scenario.loom");
        std::vector<int> head, rest;
        for (std::size_t i = 0; i < plan_.statements.size(); ++i) {
            const Statement& s = plan_.statements[i];
            if (s.block < 0 && s.after < 0 && !s.gone) { (s.fixed ? head : rest).push_back(static_cast<int>(i)); }
        }
        shuffle(rest);
        std::vector<std::vector<int>> parts(1);
        if (hand_.split && rest.size() > 6) {
            parts.resize(3);
            for (std::size_t i = 0; i < rest.size(); ++i) { parts[i * 3 / rest.size()].push_back(rest[i]); }
        } else {
            parts[0] = rest;
        }
        all(head);
        for (std::size_t i = 1; i < parts.size(); ++i) { line(fmt::format("use \"parts/p{}.loom\"", i)); }
        for (std::size_t b = 0; b < plan_.blocks.size(); ++b) { block(static_cast<int>(b)); }
        all(parts[0]);
        close();
        for (std::size_t i = 1; i < parts.size(); ++i) {
            open(fmt::format("parts/p{}.loom", i));
            line("loom 1");
            all(parts[i]);
            close();
        }
        return std::move(out_);
    }

  private:
    void open(std::string path) {
        out_.files.push_back({std::move(path), {}});
        lines_ = 0;
        if (hand_.phone && hand_.seed % 3 == 0) {
            out_.files.back().text = "\xef\xbb\xbf"; // a byte-order mark, as some editors put it
        }
    }
    void close() {
        std::string& text = out_.files.back().text;
        if (hand_.blanks && hand_.seed % 2 == 0 && !text.empty()) {
            text.resize(text.size() - (hand_.crlf ? 2 : 1)); // no end to the last line
        }
    }
    void line(std::string_view text) {
        std::string& file = out_.files.back().text;
        file += text;
        file += hand_.crlf ? "\r\n" : "\n";
        ++lines_;
    }

    void shuffle(std::vector<int>& list) const {
        if (!hand_.shuffled) { return; }
        std::uint64_t state = hand_.seed;
        for (std::size_t i = list.size(); i > 1; --i) { std::swap(list[i - 1], list[splitmix64(state) % i]); }
    }

    void all(const std::vector<int>& list) {
        for (int i : list) {
            statement(i);
            for (std::size_t k = 0; k < followers_.size(); ++k) {
                if (plan_.statements[static_cast<std::size_t>(followers_[k])].after == i) { statement(followers_[k]); }
            }
        }
    }

    void block(int b) {
        std::vector<int> list;
        bool steps = false;
        for (std::size_t i = 0; i < plan_.statements.size(); ++i) {
            const Statement& s = plan_.statements[i];
            if (s.block == b && s.after < 0 && !s.gone) {
                list.push_back(static_cast<int>(i));
                steps = steps || s.fixed;
            }
        }
        if (!steps) { shuffle(list); }
        line("");
        line(plan_.blocks[static_cast<std::size_t>(b)].head + " {");
        all(list);
        line("}");
    }

    void statement(int index) {
        const Statement& s = plan_.statements[static_cast<std::size_t>(index)];
        Typist typist(hand_, static_cast<std::size_t>(index));
        const std::string indent = s.block >= 0                       ? (hand_.tabs ? "\t" : "  ")
                                   : hand_.blanks && typist.chance(5) ? " "
                                                                      : "";
        if (hand_.blanks && typist.chance(10)) { line(typist.chance(50) ? "" : "   "); }
        if (hand_.comments && typist.chance(10)) { line(indent + typist.comment()); }
        out_.line_of[static_cast<std::size_t>(index)] = {static_cast<int>(out_.files.size()) - 1, lines_ + 1};
        std::string text = indent + typist.first_letter(typist.words(s.head));
        for (const std::string& clause : s.clauses) {
            text += hand_.blanks && typist.chance(10) ? " ," : ",";
            if (hand_.wrapped && typist.chance(20)) {
                finish(text, typist, 20);
                if (hand_.comments && typist.chance(10)) { line(indent + "     " + typist.comment()); }
                text = indent + "    " + typist.words(clause);
            } else {
                const bool digits =
                    text.size() > 1 &&
                    std::isdigit(static_cast<unsigned char>(text[text.size() - 2])) != 0; // "30,18" is asked back
                text += (hand_.blanks && !digits && typist.chance(10) ? "" : typist.blank()) + typist.words(clause);
            }
        }
        rows(s, indent, text, typist);
        if (hand_.blanks && typist.chance(10)) { text += "  "; }
        finish(text, typist, 15);
    }

    void rows(const Statement& s, const std::string& indent, std::string& text, Typist& typist) {
        if (s.rows.empty()) { return; }
        const bool nested = s.rows.front().find('{') != std::string::npos;
        if (!nested && s.rows.size() <= 3 && !(hand_.wrapped && typist.chance(50))) {
            text += " { ";
            for (std::size_t i = 0; i < s.rows.size(); ++i) { text += (i > 0 ? " | " : "") + typist.words(s.rows[i]); }
            text += " }";
            return;
        }
        text += " {";
        finish(text, typist, 15);
        for (const std::string& row : s.rows) {
            std::string inner = indent + "  " + typist.words(row);
            finish(inner, typist, 15);
        }
        text = indent + "}";
    }

    void finish(std::string& text, Typist& typist, unsigned percent) {
        if (hand_.comments && typist.chance(percent)) { text += "  " + typist.comment(); }
        line(text);
        text.clear();
    }

  public:
    void collect_followers() {
        for (std::size_t i = 0; i < plan_.statements.size(); ++i) {
            if (plan_.statements[i].after >= 0 && !plan_.statements[i].gone) {
                followers_.push_back(static_cast<int>(i));
            }
        }
    }

  private:
    const Plan& plan_;
    const Hand& hand_;
    Written out_;
    std::vector<int> followers_; ///< statements that stand right behind another one
    int lines_ = 0;
};

} // namespace

Written write(const Plan& plan, const Hand& hand) {
    Writer writer(plan, hand);
    writer.collect_followers();
    return writer.run();
}

// Token damage: what fingers, transfers and half-saved files do.
std::string damaged(std::string text, std::uint64_t seed, int damages, bool bytes) {
    std::uint64_t state = seed;
    const auto token = [&](std::size_t* length) {
        std::size_t at = splitmix64(state) % (text.size() + 1);
        const auto letter = [&](std::size_t i) {
            return i < text.size() && (std::isalnum(static_cast<unsigned char>(text[i])) != 0 || (text[i] & 0x80) != 0);
        };
        while (at > 0 && letter(at) && letter(at - 1)) { --at; }
        std::size_t end = at;
        while (letter(end)) { ++end; }
        *length = end > at ? end - at : at < text.size() ? 1 : 0;
        return at;
    };
    static constexpr std::array<std::string_view, 22> junk = {
        "{",
        "}",
        "\"",
        ",",
        ":",
        "\n",
        "|",
        "//",
        "wire",
        "from",
        "cut",
        "unknown",
        "-",
        "\xe2\x80\x9c",
        "\xef\xbf\xbd",
        "999999999999999999999",
        "1e400",
        "*",
        "+ + +",
        "job \"x\" {",
        "\t",
        "\r",
    };
    for (int i = 0; i < damages && !text.empty(); ++i) {
        std::size_t length = 0;
        const std::size_t at = token(&length);
        switch (splitmix64(state) % (bytes ? 8 : 7)) {
        case 0: text.erase(at, length); break;
        case 1: text.insert(at, text.substr(at, length)); break;
        case 2: text.insert(at, junk[splitmix64(state) % junk.size()]); break;
        case 3: text.replace(at, length, junk[splitmix64(state) % junk.size()]); break;
        case 4: { // two tokens change places
            std::size_t other_length = 0;
            const std::size_t other = token(&other_length);
            const std::string moved = text.substr(other, other_length);
            text.insert(at, moved);
            break;
        }
        case 5: { // a line is lost
            const std::size_t from = text.rfind('\n', at);
            const std::size_t to = text.find('\n', at);
            const std::size_t begin = from == std::string::npos ? 0 : from;
            text.erase(begin, (to == std::string::npos ? text.size() : to) - begin);
            break;
        }
        case 6:
            if (splitmix64(state) % 8 == 0) {
                text.resize(at); // half saved
            }
            break;
        default: text.insert(at, 1, static_cast<char>(splitmix64(state) % 256)); break;
        }
    }
    return text;
}

} // namespace loomproof::scenario
