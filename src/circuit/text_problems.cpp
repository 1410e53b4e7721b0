#include "circuit/text_problems.hpp"

#include "circuit/figures.hpp"

namespace loomproof {

namespace {
constexpr TextId ids[] = {
    {"text-word-unknown", "A word that this language does not know in this place."},
    {"text-name-unknown", "A name that nothing in the file carries at this point."},
    {"text-name-twice", "Two things carry one name, or two names differ only by capitals."},
    {"text-name-missing", "A part that needs a name has none."},
    {"text-terminal-unknown", "The part has no terminal of that name, or none was said where there are several."},
    {"text-end-unclear", "A third wire at a part with two ends: the file must say which end."},
    {"text-unit-missing", "A number without its unit."},
    {"text-unclear-figure", "A figure that can be read in two ways; both are shown."},
    {"text-said-twice", "One thing is said in two ways; neither is chosen."},
    {"text-size-unknown", "A wire size that no table has."},
    {"text-colour-unclear", "Colour letters that mean different colours in different drawings."},
    {"text-statement-unfinished", "A statement that stops before it says what it must."},
    {"text-gone", "A statement about something that an earlier statement took away."},
    {"text-use", "A file that `use` names cannot be read, or reads itself."},
};
} // namespace

std::span<const TextId> circuit_text_ids() { return ids; }

Finding text_problem(const char* id, Span at, std::string headline, std::string cure, std::string label) {
    Finding f;
    f.rule = id;
    f.severity = Severity::fault;
    f.headline = std::move(headline);
    f.cites.push_back({at, std::move(label)});
    if (!cure.empty()) f.cures.push_back({std::move(cure)});
    return f;
}

std::string one_line(std::string_view text) {
    std::string out;
    for (char ch : text) {
        const bool blank = ch == ' ' || ch == '\t' || ch == '\n' || ch == '\r';
        if (!blank)
            out += ch;
        else if (!out.empty() && out.back() != ' ')
            out += ' ';
    }
    return out;
}

/// "1,2 m" is 1.2 m in a line that is offered to be typed: it shall not hold the next mistake. Three digits may be thousands, and stay.
static std::string with_points(std::string line) {
    const auto digit = [&](std::size_t i) { return i < line.size() && line[i] >= '0' && line[i] <= '9'; };
    const auto blank = [](char ch) { return ch == ' ' || ch == '\t'; };
    bool quoted = false;
    for (std::size_t at = 0; at < line.size(); ++at) {
        if (line[at] == '"') quoted = !quoted;
        if (quoted || line[at] != ',' || at == 0 || !digit(at - 1) || !digit(at + 1)) continue;
        std::size_t begin = at;
        while (begin > 0 && digit(begin - 1)) --begin;
        if (begin > 0 && !blank(line[begin - 1])) continue; // "1,2,3 m", "X7:1,2"
        std::size_t end = at + 1;
        while (digit(end)) ++end;
        if (end - at > 3) continue;
        std::size_t unit = end;
        while (unit < line.size() && blank(line[unit])) ++unit;
        std::size_t behind = unit;
        while (behind < line.size() && !blank(line[behind]) && line[behind] != ',') ++behind;
        if (unit_split('1' + line.substr(unit, behind - unit)) != 0) line[at] = '.';
    }
    return line;
}

std::string line_with(const Sources& sources, Span whole, Span at, std::string_view instead) {
    if (!whole.exists()) return std::string(instead);
    std::string line(sources.text(whole));
    if (at.source == whole.source && at.begin >= whole.begin && at.end <= whole.end)
        line.replace(at.begin - whole.begin, at.end - at.begin, instead);
    return one_line(with_points(std::move(line)));
}

} // namespace loomproof
