#pragma once
/// Wire colours: words, letters, and what the letters may mean.
///
/// Base colour first, stripe second. Letters are printed in several sets that use the same letters for different colours:
/// P is purple on British and pink on Japanese diagrams, GR grey or green, B/R one set's two colours and another's brown.
/// So letters are read under the set that the vehicle's diagram declares, and where they could mean two things both are
/// returned and neither is chosen.
///
/// Sets and their sources: IEC 60757 (BK BN RD OG YE GN BU VT GY confirmed, the other letters from memory); German letters
/// of DIN 47002 (confirmed); Japanese (B W R G L confirmed, the others from memory), British letters after BS AU 7 and
/// American three-letter codes: common practice in vehicle diagrams, from memory.

#include "reference/source.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::reference {

/// The colours of IEC 60757 in its order (green-and-yellow is green with a yellow stripe), then what else looms are made of.
enum class Colour : unsigned char {
    black,
    brown,
    red,
    orange,
    yellow,
    green,
    blue,
    violet,
    grey,
    white,
    pink,
    gold,
    turquoise,
    silver,
    light_green,
    dark_green,
    light_blue,
    dark_blue,
    tan,
    beige,
};
constexpr int colour_count = 20;

struct WireColour {
    Colour base = Colour::black;
    std::optional<Colour> stripe;
    bool operator==(const WireColour&) const = default;
};

/// Whose letters the file writes; `undeclared` where it does not say.
enum class ColourSet { undeclared, iec, british, german, japanese, american };

/// "iec", "british", "german", "japanese", "american", as a circuit file declares it; case ignored.
std::optional<ColourSet> find_colour_set(std::string_view);
std::string_view word(ColourSet); ///< empty for undeclared
Source source_of(ColourSet);      ///< where the set's letters come from; the weaker standing where they differ

struct ColourReading {
    WireColour colour;
    std::string_view whose; ///< "IEC 60757", "British letters", "some diagrams"; lives for ever
};

/// What a text means. `colour` is set when it can mean one thing only. Otherwise `readings` holds all that it could mean
/// (two or more, or one of a set that nobody declared), in a fixed order; both empty: no colour at all.
struct ColourAnswer {
    std::optional<WireColour> colour;
    std::vector<ColourReading> readings;
};

/// Reads one colour as people write it: "red", "light green", "grey/black", "blue-white", "RD/BK", "BU", "GNYE".
/// Case, and spaces around, do not matter, except where noted.
/// - "blue with a red stripe", "blue with red", "BU with RD tracer" are "blue/red".
/// - English words are read in every set; purple is violet, gray is grey, slate is grey, sky blue is light blue.
/// - Letters of the declared set are read, with / or - between base and stripe; IEC 60757, German, British and Japanese
///   letters also without anything between them, as those diagrams print them ("RB", "RDBK", "swge").
/// - IEC two-letter and American three-letter codes are read in every set, unless the declared set reads the same letters
///   otherwise: under British letters BN is brown (IEC) or black with a brown stripe, so both come back.
/// - Under Japanese letters "Gr" as printed is grey; "GR" and "gr" are grey or green with a red stripe.
/// - Without a declared set one letter is never sure, and neither are two letters that are no IEC code ("GR", "BL").
ColourAnswer read_colour(std::string_view text, ColourSet);

/// The English words that read_colour knows, for suggesting the nearest.
std::span<const std::string> colour_words();

std::string_view word(Colour);       ///< "grey", "light green"
std::string word(const WireColour&); ///< "grey", "grey/black"

/// Letters of a set, IEC 60757 where undeclared: "GY/BK", "S/B", "gr/sw". In words where the set has no letters for one of
/// the two, so that a label never mixes both.
std::string letters(const WireColour&, ColourSet);

/// Letters of one colour, "GY"; empty where the set has none for it. Lives for ever.
std::string_view letters(Colour, ColourSet);

/// How the drawing paints it, "#rrggbb". Our own choice: told apart on white paper; every wire carries letters as well.
std::string_view hex(Colour);

} // namespace loomproof::reference
