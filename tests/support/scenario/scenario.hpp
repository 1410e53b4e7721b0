#pragma once
/// The one generator of circuits: every suite takes its random circuits from here.
///
/// A scenario is made from (seed, size, profile) by recorded choices. Profiles `clean`, `history` and `noisy` are clean by
/// construction: sizes and fuses are chosen from the tables with margin, fuses sit within 0.15 m of their source, every part is
/// wired, every ground is there: all rules have to be silent. The truth that comes with it says what protects each wire, when
/// each load is on, and which single change of the text makes which rule speak.

#include "support/scenario/choices.hpp"
#include "support/scenario/plan.hpp"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace loomproof::scenario {

enum class Profile {
    clean,   ///< as it is now, without a history
    history, ///< factory and jobs; clean as it is now and as built
    tangled, ///< shapes that are legal text but not good wiring: doubled and tied feeds, holds, loops, parts tied to nothing
    doubt,  ///< clean, with figures unknown, guessed, left out: nothing certain may be concluded
    noisy,  ///< clean or history, in the handwriting of a phone
    stress, ///< one battery, one tree of boxes, any number of wires: a load for the machine, not a vehicle
};
const char* word(Profile);
/// By its word; throws std::invalid_argument.
Profile profile_of(std::string_view word);

/// One file, or several tied together by `use`.
struct Written {
    struct File {
        std::string path; ///< as `use` names it; the main file first
        std::string text;
    };
    struct Line {
        int file = -1;
        int line = 0; ///< from 1
    };
    std::vector<File> files{};
    std::vector<Line> line_of{}; ///< by statement; {-1, 0} for one that is not there
    const std::string& main() const { return files.front().text; }
};

/// How the text is typed. All zero: the plain form.
struct Hand {
    std::uint64_t seed = 0;
    bool comments = false, blanks = false, tabs = false, crlf = false, phone = false, wrapped = false;
    bool shuffled = false; ///< statements of one block in another order (ids and unnamed wires then change)
    bool split = false;    ///< statements outside blocks partly in other files
};

struct Scenario {
    std::uint64_t seed = 0;
    int size = 0;
    Profile profile = Profile::clean;
    std::vector<std::uint32_t> choices{}; ///< what was recorded; replay(choices, size, profile) makes the same
    Plan plan;
    Hand hand;
};

/// About `size` wires, a few more; 0 makes a file without any.
Scenario make(std::uint64_t seed, int size, Profile);
Scenario replay(std::vector<std::uint32_t> choices, int size, Profile);

/// The circuit file, and on which line each statement stands.
Written write(const Plan&, const Hand& = {});
inline Written write(const Scenario& s) { return write(s.plan, s.hand); }

/// The circuit as a flat list for the peers: their own numbers, one thing a line, tab-separated. The format is described in edges.cpp.
std::string edge_list(const Plan&);

/// What is true of it, one fact a line; made for people and for tests in other languages.
std::string truth(const Scenario&);

/// Is the load on with these positions (control name -> position)? Controls that are not named are at rest.
bool is_on(const Plan&, const Load&, const std::map<std::string, std::string>& positions);

/// The text with `damages` random tokens dropped, doubled, swapped, cut short or replaced. Stays valid UTF-8 unless `bytes`.
std::string damaged(std::string text, std::uint64_t seed, int damages, bool bytes = false);

} // namespace loomproof::scenario
