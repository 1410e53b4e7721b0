#include "reference/colours.hpp"

#include "base/words.hpp"

#include <algorithm>
#include <iterator>

namespace loomproof::reference {

namespace {

struct ColourRow {
    Colour colour;
    std::string_view word;
    std::string_view hex;
};

constexpr ColourRow colour_rows[] = {
    {Colour::black, "black", "#1a1a1a"},
    {Colour::brown, "brown", "#7a4a1e"},
    {Colour::red, "red", "#d3212d"},
    {Colour::orange, "orange", "#f07d00"},
    {Colour::yellow, "yellow", "#f6d500"},
    {Colour::green, "green", "#1f9d3a"},
    {Colour::blue, "blue", "#1f5fc4"},
    {Colour::violet, "violet", "#7d3fa8"},
    {Colour::grey, "grey", "#83888d"},
    {Colour::white, "white", "#ffffff"},
    {Colour::pink, "pink", "#f490b5"},
    {Colour::gold, "gold", "#b8901c"},
    {Colour::turquoise, "turquoise", "#17b3ac"},
    {Colour::silver, "silver", "#c4c9cf"},
    {Colour::light_green, "light green", "#93d44f"},
    {Colour::dark_green, "dark green", "#0d5a29"},
    {Colour::light_blue, "light blue", "#7cc0f2"},
    {Colour::dark_blue, "dark blue", "#152f6b"},
    {Colour::tan, "tan", "#d0a878"},
    {Colour::beige, "beige", "#ecdfc4"},
};
static_assert(std::size(colour_rows) == colour_count);

struct Synonym {
    std::string_view word;
    Colour colour;
};
constexpr Synonym synonyms[] = {
    {"purple", Colour::violet},       {"gray", Colour::grey},          {"slate", Colour::grey},
    {"sky blue", Colour::light_blue}, {"lt blue", Colour::light_blue}, {"lt green", Colour::light_green},
};

/// Letter sets in the order in which readings are listed. `elsewhere` collects what some diagrams print outside any set.
enum class Letters { iec, british, german, japanese, american, elsewhere };
constexpr Letters all_letters[] = {Letters::iec,      Letters::british,  Letters::german,
                                   Letters::japanese, Letters::american, Letters::elsewhere};

/// The spelling that a diagram prints; where a set has two codes for one colour the first is written, both are read.
struct Code {
    Letters set;
    std::string_view spelled;
    Colour colour;
};
constexpr Code codes[] = {
    {Letters::iec, "BK", Colour::black},
    {Letters::iec, "BN", Colour::brown},
    {Letters::iec, "RD", Colour::red},
    {Letters::iec, "OG", Colour::orange},
    {Letters::iec, "YE", Colour::yellow},
    {Letters::iec, "GN", Colour::green},
    {Letters::iec, "BU", Colour::blue},
    {Letters::iec, "VT", Colour::violet},
    {Letters::iec, "GY", Colour::grey},
    {Letters::iec, "WH", Colour::white},
    {Letters::iec, "PK", Colour::pink},
    {Letters::iec, "GD", Colour::gold},
    {Letters::iec, "TQ", Colour::turquoise},
    {Letters::iec, "SR", Colour::silver},

    {Letters::british, "B", Colour::black},
    {Letters::british, "N", Colour::brown},
    {Letters::british, "R", Colour::red},
    {Letters::british, "O", Colour::orange},
    {Letters::british, "Y", Colour::yellow},
    {Letters::british, "G", Colour::green},
    {Letters::british, "U", Colour::blue},
    {Letters::british, "P", Colour::violet},
    {Letters::british, "S", Colour::grey},
    {Letters::british, "W", Colour::white},
    {Letters::british, "K", Colour::pink},
    {Letters::british, "LG", Colour::light_green},

    {Letters::german, "sw", Colour::black},
    {Letters::german, "br", Colour::brown},
    {Letters::german, "rt", Colour::red},
    {Letters::german, "or", Colour::orange},
    {Letters::german, "ge", Colour::yellow},
    {Letters::german, "gn", Colour::green},
    {Letters::german, "bl", Colour::blue},
    {Letters::german, "vi", Colour::violet},
    {Letters::german, "gr", Colour::grey},
    {Letters::german, "ws", Colour::white},
    {Letters::german, "rs", Colour::pink},
    {Letters::german, "tk", Colour::turquoise},

    {Letters::japanese, "B", Colour::black},
    {Letters::japanese, "Br", Colour::brown},
    {Letters::japanese, "R", Colour::red},
    {Letters::japanese, "O", Colour::orange},
    {Letters::japanese, "Y", Colour::yellow},
    {Letters::japanese, "G", Colour::green},
    {Letters::japanese, "L", Colour::blue},
    {Letters::japanese, "V", Colour::violet},
    {Letters::japanese, "Gr", Colour::grey},
    {Letters::japanese, "W", Colour::white},
    {Letters::japanese, "P", Colour::pink},
    {Letters::japanese, "Lg", Colour::light_green},
    {Letters::japanese, "Sb", Colour::light_blue},

    {Letters::american, "BLK", Colour::black},
    {Letters::american, "BRN", Colour::brown},
    {Letters::american, "RED", Colour::red},
    {Letters::american, "ORN", Colour::orange},
    {Letters::american, "YEL", Colour::yellow},
    {Letters::american, "GRN", Colour::green},
    {Letters::american, "BLU", Colour::blue},
    {Letters::american, "PPL", Colour::violet},
    {Letters::american, "VIO", Colour::violet},
    {Letters::american, "GRY", Colour::grey},
    {Letters::american, "WHT", Colour::white},
    {Letters::american, "PNK", Colour::pink},
    {Letters::american, "LT GRN", Colour::light_green},
    {Letters::american, "DK GRN", Colour::dark_green},
    {Letters::american, "LT BLU", Colour::light_blue},
    {Letters::american, "DK BLU", Colour::dark_blue},
    {Letters::american, "TAN", Colour::tan},

    {Letters::elsewhere, "GR", Colour::green},
    {Letters::elsewhere, "BL", Colour::black},
};

std::string_view whose(Letters set) {
    switch (set) {
    case Letters::iec: return "IEC 60757";
    case Letters::british: return "British letters";
    case Letters::german: return "German letters";
    case Letters::japanese: return "Japanese letters";
    case Letters::american: return "American letters";
    case Letters::elsewhere: return "some diagrams";
    }
    return "";
}

Letters letters_of(ColourSet set) {
    switch (set) {
    case ColourSet::british: return Letters::british;
    case ColourSet::german: return Letters::german;
    case ColourSet::japanese: return Letters::japanese;
    case ColourSet::american: return Letters::american;
    case ColourSet::iec:
    case ColourSet::undeclared: break;
    }
    return Letters::iec;
}

/// "Light-Green" and "light  green" -> "light green".
std::string plain_words(std::string_view text) {
    std::string out;
    for (const char c : lower(trimmed(text))) {
        const char put = c == '-' || c == '\t' ? ' ' : c;
        if (put != ' ' || (!out.empty() && out.back() != ' ')) out += put;
    }
    return out;
}

std::optional<Colour> read_word(std::string_view text) {
    const std::string plain = plain_words(text);
    for (const ColourRow& row : colour_rows)
        if (row.word == plain) return row.colour;
    for (const Synonym& synonym : synonyms)
        if (synonym.word == plain) return synonym.colour;
    return std::nullopt;
}

std::optional<Colour> read_code(std::string_view text, Letters set) {
    // Asked of every piece of every word of a file: letters alone need no copy.
    const bool letters_alone = text.find_first_of(" -\t\r\n") == std::string_view::npos;
    const std::string words = letters_alone ? std::string() : plain_words(text);
    const std::string_view plain = letters_alone ? text : std::string_view(words);
    for (const Code& code : codes)
        if (code.set == set && code.spelled.size() == plain.size() && equal_ignoring_case(code.spelled, plain))
            return code.colour;
    return std::nullopt;
}

bool as_printed(std::string_view text, Letters set) {
    return std::ranges::any_of(codes, [&](const Code& c) { return c.set == set && c.spelled == text; });
}

std::optional<Colour> read_word_or_code(std::string_view text, Letters set) {
    const auto colour = read_word(text);
    return colour ? colour : read_code(text, set);
}

void add(std::vector<WireColour>& list, WireColour colour) {
    if (std::ranges::find(list, colour) == list.end()) list.push_back(colour);
}

bool prints_pairs_unseparated(Letters set) { return set != Letters::american && set != Letters::elsewhere; }

/// Everything that the text can mean in one set, without repeats.
std::vector<WireColour> readings_in(std::string_view text, Letters set) {
    std::vector<WireColour> out;
    if (const auto whole = read_word_or_code(text, set)) add(out, {*whole, {}});
    if (!out.empty() && (as_printed(text, set) || read_word(text))) return out;
    for (std::size_t i = 1; i < text.size(); ++i) {
        std::string_view stripe = text.substr(i);
        const bool separated = text[i] == '/' || text[i] == '-';
        if (separated)
            stripe.remove_prefix(1);
        else if (!prints_pairs_unseparated(set) || text[i] == ' ' || text[i - 1] == ' ')
            continue;
        const auto read = separated ? &read_word_or_code : &read_code;
        const auto base_colour = read(text.substr(0, i), set);
        const auto stripe_colour = read(stripe, set);
        if (base_colour && stripe_colour && base_colour != stripe_colour) add(out, {*base_colour, *stripe_colour});
    }
    return out;
}

/// Whether a set is read under a declaration: the declared one, and the two that are understood everywhere.
bool speaks(Letters set, ColourSet declared) {
    return set == Letters::iec || set == Letters::american ||
           (declared != ColourSet::undeclared && set == letters_of(declared));
}

} // namespace

std::optional<ColourSet> find_colour_set(std::string_view name) {
    for (const ColourSet set :
         {ColourSet::iec, ColourSet::british, ColourSet::german, ColourSet::japanese, ColourSet::american})
        if (equal_ignoring_case(word(set), name)) return set;
    return std::nullopt;
}

std::string_view word(ColourSet set) {
    switch (set) {
    case ColourSet::undeclared: break;
    case ColourSet::iec: return "iec";
    case ColourSet::british: return "british";
    case ColourSet::german: return "german";
    case ColourSet::japanese: return "japanese";
    case ColourSet::american: return "american";
    }
    return "";
}

Source source_of(ColourSet set) {
    switch (set) {
    case ColourSet::undeclared:
    case ColourSet::iec: return {"IEC 60757", Standing::from_memory};
    case ColourSet::british: return {"BS AU 7 letters, common practice in British diagrams", Standing::from_memory};
    case ColourSet::german: return {"DIN 47002 letters", Standing::confirmed};
    case ColourSet::japanese: return {"letters of Japanese diagrams, common practice", Standing::from_memory};
    case ColourSet::american: return {"letters of American diagrams, common practice", Standing::from_memory};
    }
    return {};
}

namespace {
/// Without its last word, where that says that the colour before it is a stripe.
std::optional<std::string_view> before_the_word_stripe(std::string_view text) {
    for (const std::string_view last : {" stripe", " tracer", " trace"})
        if (text.size() > last.size() && equal_ignoring_case(text.substr(text.size() - last.size()), last))
            return trimmed(text.substr(0, text.size() - last.size()));
    return std::nullopt;
}

/// "blue with a red stripe", "blue with red" -> "blue/red"; so is "blue w/ red stripe", "blue wi red stripe" and "blue red stripe", where the
/// last word leaves no doubt; empty where it is not said so.
std::string without_the_word_stripe(std::string_view text) {
    const std::string plain = lower(text);
    const auto before = before_the_word_stripe(text);
    std::string_view base, stripe;
    for (const std::string_view with : {" with ", " wi ", " w/", " w "}) {
        const std::size_t at = plain.find(with);
        if (at == std::string::npos || (with != " with " && !before)) continue;
        base = text.substr(0, at);
        stripe = trimmed(text.substr(at + with.size()));
        break;
    }
    if (base.empty() && before)
        for (std::size_t at = before->find(' '); at != std::string_view::npos; at = before->find(' ', at + 1))
            if (read_word(before->substr(0, at)) && read_word(trimmed(before->substr(at + 1))))
                return std::string(before->substr(0, at)) + '/' + std::string(trimmed(before->substr(at + 1)));
    if (base.empty()) return {};
    if (equal_ignoring_case(stripe.substr(0, 2), "a ")) stripe.remove_prefix(2);
    stripe = before_the_word_stripe(stripe).value_or(stripe);
    if (stripe.find('/') != std::string_view::npos || base.find('/') != std::string_view::npos) return {};
    return std::string(trimmed(base)) + '/' + std::string(trimmed(stripe));
}
} // namespace

ColourAnswer read_colour(std::string_view text, ColourSet declared) {
    text = trimmed(text);
    if (const std::string joined = without_the_word_stripe(text); !joined.empty()) return read_colour(joined, declared);
    if (text.find_first_of("0123456789:") != std::string_view::npos)
        return {}; // a name or a figure: none is written so
    const auto readings = [&](bool speaking) {
        std::vector<ColourReading> out;
        for (const Letters set : all_letters)
            if (speaks(set, declared) == speaking)
                for (const WireColour& colour : readings_in(text, set)) out.push_back({colour, whose(set)});
        return out;
    };
    const std::vector<ColourReading> sure = readings(true);
    if (sure.empty()) return {std::nullopt, readings(false)};
    const WireColour first = sure.front().colour;
    if (std::ranges::all_of(sure, [&](const ColourReading& r) { return r.colour == first; })) return {first, {}};
    return {std::nullopt, sure};
}

std::span<const std::string> colour_words() {
    static const std::vector<std::string> words = [] {
        std::vector<std::string> out;
        for (const ColourRow& row : colour_rows) out.emplace_back(row.word);
        for (const Synonym& synonym : synonyms) out.emplace_back(synonym.word);
        return out;
    }();
    return words;
}

std::string_view word(Colour colour) { return colour_rows[static_cast<std::size_t>(colour)].word; }

std::string word(const WireColour& colour) {
    std::string out(word(colour.base));
    if (colour.stripe) (out += '/') += word(*colour.stripe);
    return out;
}

std::string_view letters(Colour colour, ColourSet set) {
    const auto* row =
        std::ranges::find_if(codes, [&](const Code& k) { return k.set == letters_of(set) && k.colour == colour; });
    return row == std::end(codes) ? std::string_view{} : row->spelled;
}

std::string letters(const WireColour& colour, ColourSet set) {
    std::string out(letters(colour.base, set));
    if (!colour.stripe) return out.empty() ? word(colour) : out;
    const std::string_view stripe = letters(*colour.stripe, set);
    if (out.empty() || stripe.empty()) return word(colour);
    (out += '/') += stripe;
    return out;
}

std::string_view hex(Colour colour) { return colour_rows[static_cast<std::size_t>(colour)].hex; }

} // namespace loomproof::reference
