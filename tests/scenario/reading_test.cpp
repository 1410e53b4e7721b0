// The reader against the generator: what was meant is what is understood, in any handwriting, and damage stays where it is.
#include "scenario/understood.hpp"

#include "circuit/kind.hpp"
#include "circuit/view.hpp"
#include "netlist/tidy.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <string>
#include <tuple>

#include <doctest/doctest.h>
#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

constexpr Profile read_profiles[] = {Profile::clean, Profile::history, Profile::tangled,
                                     Profile::doubt, Profile::noisy,   Profile::stress};

Scenario some(std::uint64_t seed) { return make(seed, static_cast<int>(seed * 7 % 110), read_profiles[seed % 6]); }

/// Wires alive now as "from > to length", sorted, by the names that both sides use.
std::vector<std::string> meant(const Plan& plan) {
    std::vector<std::string> lines;
    for (const Edge& e : plan.edges) {
        if (!e.alive || e.element != Element::wire) { continue; }
        const Wire& w = plan.wires[static_cast<std::size_t>(e.wire)];
        lines.push_back(fmt::format("{} {} {:.9g} {}", w.named ? e.name : "-", e.piece, e.length, w.size->area));
    }
    std::sort(lines.begin(), lines.end());
    return lines;
}

std::vector<std::string> understood(const Circuit& c) {
    std::vector<std::string> lines;
    const View now = View::now(c);
    for (WireId id : now.wires()) {
        const loomproof::Wire& w = c.at(id);
        // The generator's own table has rounded areas; compare by nearest.
        double area = 0, best = 1e9;
        for (Family family : {Family::metric, Family::awg, Family::sae}) {
            for (const Size& s : sizes(family)) {
                const double off = std::abs(s.area - w.area.nominal.si * 1e6) / s.area;
                if (off < best) { std::tie(best, area) = std::pair(off, s.area); }
            }
        }
        CHECK(best < 0.02);
        lines.push_back(fmt::format("{} {} {:.9g} {}", w.named ? w.name : "-", w.piece, w.length.nominal.si, area));
    }
    std::sort(lines.begin(), lines.end());
    return lines;
}

} // namespace

TEST_CASE("reading finds nothing to ask in what the generator writes") {
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        const Scenario s = some(seed);
        const Understood u(write(s));
        CAPTURE(seed);
        CAPTURE(word(s.profile));
        CHECK(u.reading.readable);
        REQUIRE(u.told(u.reading.findings) == "");
    }
}

TEST_CASE("every kind, and everything that may be said about it, is said in 300 seeds") {
    std::set<std::pair<Kind, Attr>> said;
    std::set<Kind> kinds;
    std::set<std::string> flags;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        const Understood u(write(some(seed)));
        for (const loomproof::Part& p : u.circuit().parts) {
            kinds.insert(p.kind);
            for (const Attribute& a : p.attributes) { said.insert({p.kind, a.key}); }
        }
        for (const loomproof::Wire& w : u.circuit().wires) {
            for (const auto& [on, flag] : {std::pair{w.starter_cable, "starter cable"},
                                           {w.signal, "signal"},
                                           {w.screen, "screen"},
                                           {w.sleeved, "sleeved"},
                                           {w.bare, "bare"},
                                           {w.capped_b, "capped"}}) {
                if (on) { flags.insert(flag); }
            }
        }
    }
    for (const KindSpec& kind : kind_table()) {
        if (kind.keyword == nullptr) { continue; }
        CAPTURE(std::string(kind.keyword));
        CHECK(kinds.contains(kind.kind));
        for (const AttrSpec& a : kind.attributes) {
            CAPTURE(std::string(a.pattern));
            if (*a.meaning == '\0') { continue; } // another spelling
            CHECK(said.contains({kind.kind, a.key}));
        }
    }
    for (const char* flag : {"starter cable", "signal", "screen", "sleeved", "bare", "capped"}) {
        CAPTURE(std::string(flag));
        CHECK(flags.contains(flag));
    }
    CHECK(kinds.contains(Kind::cut));
    CHECK(kinds.contains(Kind::loose_end));
    CHECK(kinds.contains(Kind::unknown_end));
}

TEST_CASE("wires, lengths and sizes are understood as they were meant, histories included") {
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        static constexpr Profile known[] = {Profile::clean, Profile::history, Profile::noisy, Profile::tangled};
        const Scenario s = make(seed, static_cast<int>(5 + seed % 80), known[seed % 4]);
        const Understood u(write(s));
        CAPTURE(seed);
        CAPTURE(word(s.profile));
        CHECK(understood(u.circuit()) == meant(s.plan));
    }
}

TEST_CASE("handwriting changes nothing: the same circuit from the plain and from the scribbled text") {
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        const Scenario s =
            make(seed, static_cast<int>(5 + seed % 60), seed % 2 == 0 ? Profile::clean : Profile::history);
        const std::string plain = dump(Understood(write(s.plan)).circuit());
        Hand hand{seed};
        for (bool* habit : {&hand.comments, &hand.blanks, &hand.tabs, &hand.crlf, &hand.phone, &hand.wrapped}) {
            std::uint64_t state = seed * 6 + static_cast<std::uint64_t>(habit - &hand.comments);
            *habit = splitmix64(state) % 2 == 0;
        }
        CAPTURE(seed);
        const Understood scribbled(write(s.plan, hand));
        REQUIRE(scribbled.told(scribbled.reading.findings) == "");
        CHECK(dump(scribbled.circuit()) == plain);
    }
}

TEST_CASE("other order and several files: the same wires") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const Scenario s = make(seed, static_cast<int>(10 + seed % 60), Profile::clean);
        Hand hand{seed};
        hand.shuffled = true;
        hand.split = seed % 2 == 0;
        const Understood u(write(s.plan, hand));
        CAPTURE(seed);
        REQUIRE(u.told(u.reading.findings) == "");
        CHECK(understood(u.circuit()) == meant(s.plan));
    }
}

TEST_CASE("tidy keeps the circuit, and tidy of tidy is tidy") {
    const TidyOptions words{is_keyword};
    const auto tidied = [&](const Written& text) {
        Written out = text;
        const Understood u(text);
        for (Written::File& file : out.files) {
            for (const Tree& tree : u.reading.trees) {
                if (u.sources.at(tree.source).name == file.path) { file.text = tidy(u.sources, tree, words); }
            }
        }
        return out;
    };
    int changed = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        const Scenario s =
            make(seed, static_cast<int>(seed * 7 % 90), seed % 3 == 0 ? read_profiles[seed / 3 % 6] : Profile::noisy);
        const Written text = write(s), once = tidied(text);
        CAPTURE(seed);
        REQUIRE(once.files.size() == text.files.size());
        changed += once.main() != text.main();
        const Understood before(text), after(once);
        CHECK(after.told(after.reading.findings) == "");
        CHECK(dump(after.circuit()) == dump(before.circuit()));
        for (std::size_t i = 0; i < once.files.size(); ++i) { CHECK(tidied(once).files[i].text == once.files[i].text); }
    }
    CHECK(changed > 100);
}

TEST_CASE("tidy of a damaged text is read as the damaged text was, and is tidy") {
    const TidyOptions words{is_keyword};
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        Written text = write(make(seed, static_cast<int>(5 + seed % 40), read_profiles[seed % 4]));
        text.files.resize(1);
        text.files.front().text = damaged(text.files.front().text, seed, 1 + static_cast<int>(seed % 9));
        const Understood before(text);
        CAPTURE(seed);
        REQUIRE(before.reading.trees.size() == 1);
        Written once = text;
        once.files.front().text = tidy(before.sources, before.reading.trees.front(), words);
        const Understood after(once);
        CHECK(dump(after.circuit()) == dump(before.circuit()));
        REQUIRE(after.reading.trees.size() == 1);
        CHECK(tidy(after.sources, after.reading.trees.front(), words) == once.files.front().text);
    }
}

TEST_CASE("damaged texts are read to the end, twice the same, and every finding points into the text") {
    int asked = 0;
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        Written text = write(make(seed, static_cast<int>(5 + seed % 40), read_profiles[seed % 5]));
        for (Written::File& file : text.files) {
            file.text = damaged(file.text, seed, 1 + static_cast<int>(seed % 12));
        }
        const Understood u(text);
        CAPTURE(seed);
        CHECK(u.reading.readable);
        CHECK(u.told(u.reading.findings) == Understood(text).told(u.reading.findings));
        asked += !u.reading.findings.empty();
        for (const Finding& f : u.reading.findings) {
            CHECK(f.rule.starts_with("text-"));
            CHECK_FALSE(f.headline.empty());
            REQUIRE_FALSE(f.cites.empty());
            for (const Citation& cite : f.cites) {
                CAPTURE(f.headline);
                REQUIRE(cite.span.exists());
                CHECK(cite.span.begin <= cite.span.end);
                CHECK(cite.span.end <= u.sources.at(cite.span.source).text.size());
            }
        }
        for (const loomproof::Wire& w : u.circuit().wires) {
            CHECK(w.a.index < u.circuit().terminals.size());
            CHECK(w.b.index < u.circuit().terminals.size());
        }
        CHECK_FALSE(dump(u.circuit()).empty());
    }
    CHECK(asked > 300);
}

TEST_CASE("a text with broken bytes is refused with a reason or read; never half a crash") {
    int refused = 0;
    for (std::uint64_t seed = 1; seed <= 100; ++seed) {
        Written text = write(make(seed, 12, Profile::noisy));
        text.files.resize(1);
        text.files.front().text = damaged(text.files.front().text, seed, 8, true);
        const Understood u(text);
        refused += !u.reading.readable;
        CHECK((u.reading.readable || !u.reading.failure.empty()));
    }
    CHECK(refused > 20);
}

TEST_CASE("a mistake in one statement leaves all other parts and wires as they were") {
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        Scenario s = make(seed, static_cast<int>(8 + seed % 40), Profile::clean);
        const Understood whole(write(s.plan));
        // One clause of one part becomes nonsense; blocks stay closed.
        std::uint64_t state = seed;
        std::vector<std::size_t> parts;
        for (std::size_t i = 0; i < s.plan.parts.size(); ++i) {
            if (!s.plan.statements[static_cast<std::size_t>(s.plan.parts[i].statement)].clauses.empty()) {
                parts.push_back(i);
            }
        }
        const Part& victim = s.plan.parts[parts[splitmix64(state) % parts.size()]];
        static constexpr const char* nonsense[] = {"2,5 mm2",       "20",    "pruple", "%%%", "5 furlongs",
                                                   "\"half a text", "about", "K1:30"};
        std::string& clause = s.plan.statements[static_cast<std::size_t>(victim.statement)].clauses.back();
        clause = nonsense[splitmix64(state) % 8];
        const Understood hurt(write(s.plan));
        CAPTURE(seed);
        CAPTURE(victim.name);
        CAPTURE(clause);
        CHECK(hurt.reading.findings.size() >= 1);
        // Names that are lost bring further findings; nothing else may.
        std::map<std::string, const loomproof::Part*> there;
        for (const loomproof::Part& p : hurt.circuit().parts) { there[p.name] = &p; }
        for (const loomproof::Part& p : whole.circuit().parts) {
            CAPTURE(p.name);
            REQUIRE(there.contains(p.name));
            const bool same = there[p.name]->attributes.size() == p.attributes.size() && !there[p.name]->poisoned;
            CHECK((same || p.name == victim.name));
        }
        CHECK(hurt.circuit().wires.size() + 12 >= whole.circuit().wires.size());
    }
}

} // namespace loomproof::scenario
