// A finger on the sheets: an arrow points at the way to what its heading names, a table is where its plug is or the sheet says where, a wire's
// pieces can be told apart, and the overview leads to the very end of the wire that it speaks of.
#include "circuit/read.hpp"
#include "draw/bench.hpp"
#include "draw/bind.hpp"
#include "draw/draw.hpp"
#include "draw/feeds.hpp"
#include "draw/from_circuit.hpp"
#include "draw/legend.hpp"
#include "draw/symbols.hpp"
#include "support/circuit_file.hpp"
#include "support/places.hpp"
#include "support/scenario/scenario.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <set>

using namespace loomproof;
using namespace loomproof::draw;

namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

struct Drawn {
    std::string name;
    Sketch sketch;
    Options options{};
    Sheet page{}; ///< all of it on one page, of any size
    Bound made{}; ///< on A4, with contents
    SheetSet set{};
};

// Every example in every way in which it can be drawn, and vehicles that were made up.
void make_all(const std::function<void(const Drawn&)>& look) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(support::source_path("tests/cases/real")))
        if (entry.path().extension() == ".loom") files.push_back(entry.path());
    for (const char* demo : {"demo-vehicle", "demo-vehicle-corrected", "demo-vehicle-factory"})
        files.push_back(support::source_path(std::string("netlists/") + demo + ".loom"));
    std::sort(files.begin(), files.end());
    for (const auto& file : files) {
        const Reading reading = support::read_circuit_file(file);
        if (!reading.readable || reading.circuit.wires.empty()) continue;
        const View now = View::now(reading.circuit);
        const std::string name = file.parent_path().filename().string() + "/" + file.filename().string();
        look({name, sketch_of(now)});
        look({name + " apart", sketch_of(now, {.title = {}, .relays = Relays::apart}), {.relays = Relays::apart}});
        if (reading.circuit.revisions.size() < 2) continue;
        look({name + " factory", sketch_of(View::factory(reading.circuit))});
        look({name + " changes", sketch_of(now, {.title = {}, .changes = true})});
        look({name + " by job", sketch_of(now), {.together = Together::by_job}});
    }
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
        const scenario::Scenario s =
            scenario::make(seed, 6 + static_cast<int>(seed) * 2,
                           seed % 2 == 0 ? scenario::Profile::history : scenario::Profile::clean);
        Sources sources;
        const Reading reading = read_circuit_text(sources, "made-up.loom", scenario::write(s).main());
        look({"made up " + std::to_string(seed), sketch_of(View::now(reading.circuit))});
    }
}

// Bound once for all that is looked at here.
void for_all(const std::function<void(const Drawn&)>& look) {
    static const std::vector<Drawn> all = [] {
        std::vector<Drawn> out;
        make_all([&](const Drawn& drawn) {
            out.push_back(drawn);
            out.back().options.with_contents = true;
            Drawn& last = out.back();
            Result<Sheet> page = lay_out(last.sketch, {.starts = 24});
            REQUIRE(page);
            last.page = std::move(*page);
            Result<Bound> made = bind(last.sketch, paper::a4, last.options);
            REQUIRE(made);
            last.made = std::move(*made);
            Result<SheetSet> set = set_of(last.sketch, last.made, paper::a4, last.options);
            REQUIRE(set);
            last.set = std::move(*set);
        });
        return out;
    }();
    for (const Drawn& drawn : all) look(drawn);
}

// ---- arrows

struct Met {
    double top = 1e9;
    int symbol = -1, wire = -1;
};

// What one meets first who goes straight down from there. A bar or a battery is no obstacle where one of its wires goes on below.
Met first_below(const Sheet& sheet, const Sketch& sketch, Point from) {
    Met met;
    const auto look = [&](const Box& box, int symbol, int wire) {
        if (box.left > from.x || box.right < from.x || box.bottom < from.y || box.top >= met.top) return;
        met = {box.top, symbol, wire};
    };
    const auto tap_of = [&](int bar) {
        for (const PaintedWire& w : sheet.wires)
            if (sketch.wires[at(w.wire)].a.symbol == bar && std::abs(w.path.front().x - from.x) < 0.01) return true;
        return false;
    };
    for (const PaintedSymbol& s : sheet.symbols) {
        const SymbolKind kind = sketch.symbols[at(s.symbol)].kind;
        const bool passed = row_of(kind).nature == SymbolRow::Nature::bar || kind == SymbolKind::battery ||
                            kind == SymbolKind::alternator;
        if (!passed || !tap_of(s.symbol)) look(box_of(Picture{s.picture.ink, {}}), s.symbol, -1);
        for (const Word& word : s.picture.words) look(box_of(word), s.symbol, -1);
    }
    for (const PaintedWire& w : sheet.wires) {
        for (std::size_t i = 0; i + 1 < w.path.size(); ++i)
            look({std::min(w.path[i].x, w.path[i + 1].x), std::min(w.path[i].y, w.path[i + 1].y),
                  std::max(w.path[i].x, w.path[i + 1].x), std::max(w.path[i].y, w.path[i + 1].y)},
                 -1, w.wire);
        for (const Word& word : w.labels) look(box_of(word), -1, w.wire);
    }
    for (const Word& word : sheet.notes.words)
        if (word.kind == WordKind::heading) look(box_of(word), -1, -1);
    return met;
}

// All that current from there comes to, down the wires and through everything but loads; of a relay any way through.
std::set<int> reached(const Sketch& sketch, const Met& from) {
    std::set<int> seen;
    std::vector<int> open;
    const auto go = [&](int s) {
        if (seen.insert(s).second) open.push_back(s);
    };
    if (from.symbol >= 0) go(from.symbol);
    if (from.wire >= 0) go(sketch.wires[at(from.wire)].b.symbol);
    while (!open.empty()) {
        const int here = open.back();
        open.pop_back();
        if (is_for_something(sketch.symbols[at(here)])) continue;
        for (const draw::Wire& w : sketch.wires)
            if (!w.removed && w.a.symbol == here) go(w.b.symbol);
    }
    return seen;
}

struct Arrows {
    int arrows = 0, in_words = 0, headings = 0;
};

void check_arrows(const Sheet& sheet, const Sketch& sketch, Arrows& seen) {
    for (const Arrow& arrow : sheet.arrows) {
        ++seen.arrows;
        const Heading& heading = sketch.headings[at(arrow.heading)];
        CAPTURE(heading.text);
        const bool drawn = std::any_of(sheet.notes.ink.begin(), sheet.notes.ink.end(), [&](const auto& ink) {
            const Trace* t = std::get_if<Trace>(&ink);
            return t != nullptr && t->look == Look::solid &&
                   std::any_of(t->steps.begin(), t->steps.end(), [&](const Step& s) { return s.to == arrow.foot; });
        });
        CHECK(drawn);
        const Met met = first_below(sheet, sketch, arrow.foot);
        const std::string what = met.symbol >= 0 ? sketch.symbols[at(met.symbol)].key
                                 : met.wire >= 0 ? sketch.wires[at(met.wire)].key
                                                 : "the words of a heading";
        const std::set<int> behind = reached(sketch, met);
        const bool leads =
            std::any_of(heading.symbols.begin(), heading.symbols.end(), [&](int s) { return behind.contains(s); });
        CHECK_MESSAGE(leads, "an arrow points at " << what);
        if (met.symbol >= 0) {
            const SymbolKind kind = sketch.symbols[at(met.symbol)].kind;
            CHECK_MESSAGE((kind != SymbolKind::battery && kind != SymbolKind::alternator), what);
        }
    }
    // A heading whose arrow would mislead says its paths.
    for (std::size_t h = 0; h < sketch.headings.size(); ++h) {
        const Heading& heading = sketch.headings[h];
        if (heading.symbols.empty() || heading.text.empty()) continue;
        ++seen.headings;
        const bool pointed = std::any_of(sheet.arrows.begin(), sheet.arrows.end(),
                                         [&](const Arrow& a) { return a.heading == static_cast<int>(h); });
        if (pointed) continue;
        ++seen.in_words;
        const bool said = std::any_of(sheet.notes.words.begin(), sheet.notes.words.end(), [&](const Word& w) {
            if (w.kind != WordKind::heading || !w.text.starts_with(heading.text + " (path")) return false;
            return std::all_of(heading.symbols.begin(), heading.symbols.end(), [&](int s) {
                return w.text.find(std::to_string(sheet.path_of[at(s)])) != std::string::npos;
            });
        });
        CHECK_MESSAGE(said, heading.text);
    }
}

std::string text_of(const std::vector<Word>& words) {
    std::string all;
    for (const Word& w : words) all += w.text + "\n";
    return all;
}

} // namespace

TEST_CASE("whoever goes down from a heading's arrow meets the way to what it names before anything else; else it says "
          "its paths") {
    Arrows seen;
    for_all([&](const Drawn& drawn) {
        CAPTURE(drawn.name);
        check_arrows(drawn.page, drawn.sketch, seen);
        const Bound* const made = &drawn.made;
        for (std::size_t p = 0; p < made->parts.size(); ++p) {
            CAPTURE(p);
            check_arrows(made->sheets[p], made->parts[p].sketch, seen);
        }
    });
    MESSAGE(seen.headings << " headings, " << seen.arrows << " arrows, " << seen.in_words << " in words");
    CHECK(seen.arrows > 500);
    CHECK(seen.in_words * 100 < seen.headings * 23);
}

TEST_CASE("the table of a plug or relay stands on a sheet that shows it, or each sheet that shows it says where; so do "
          "the contents") {
    int with_part = 0, away = 0, only_in_contents = 0;
    for_all([&](const Drawn& drawn) {
        CAPTURE(drawn.name);
        const Bound* const made = &drawn.made;
        if (made->parts.size() < 2) return;
        std::map<std::string, int> sheet_of; // by the table's title
        for (std::size_t p = 0; p < made->sheets.size(); ++p)
            for (const SideTable& table : drawn.sketch.tables)
                for (const Word& w : made->sheets[p].notes.words)
                    if (w.kind == WordKind::name && w.text == table.title)
                        CHECK_MESSAGE(sheet_of.try_emplace(table.title, static_cast<int>(p) + 1).second, w.text);
        const SheetSet* const set = &drawn.set;
        for (const SideTable& table : drawn.sketch.tables) {
            CAPTURE(table.title);
            REQUIRE(sheet_of.contains(table.title));
            const int sheet = sheet_of[table.title];
            const std::string said = "table: sheet\u00A0" + std::to_string(sheet);
            const bool in_contents =
                std::any_of(set->contents.begin(), set->contents.end(),
                            [&](const SheetDrawing& c) { return c.drawing.svg.find(said + "<") != std::string::npos; });
            CHECK(in_contents);
            for (std::size_t p = 0; p < made->parts.size(); ++p) {
                const std::vector<Symbol>& symbols = made->parts[p].sketch.symbols;
                std::string words, name;
                for (std::size_t s = 0; s < symbols.size(); ++s) {
                    if (std::find(table.about.begin(), table.about.end(), symbols[s].key) == table.about.end())
                        continue;
                    words += text_of(made->sheets[p].symbols[s].picture.words);
                    name = symbols[s].kind == SymbolKind::hole ? symbols[s].group : symbols[s].name;
                }
                if (name.empty()) continue; // it is not on this sheet
                if (sheet == static_cast<int>(p) + 1) {
                    ++with_part;
                    continue;
                }
                ++away;
                const std::string foot = text_of(made->sheets[p].notes.words);
                const bool at_foot = foot.find("Table") != std::string::npos && foot.find(name) != std::string::npos;
                if (words.find(said) == std::string::npos && !at_foot) ++only_in_contents;
            }
        }
    });
    MESSAGE(with_part << " tables with their part, " << away << " away, " << only_in_contents
                      << " said in the contents only");
    CHECK(with_part > 100);
    CHECK(with_part > 3 * away);
    CHECK(only_in_contents * 20 <= away);
}

TEST_CASE("two pieces of one wire with two lengths say which piece each is") {
    int pieces = 0;
    for_all([&](const Drawn& drawn) {
        CAPTURE(drawn.name);
        std::map<std::string, std::vector<const draw::Wire*>> by_name;
        for (const draw::Wire& w : drawn.sketch.wires)
            if (!w.name.empty() && !w.removed && !w.mounting && !w.length.empty()) by_name[w.name].push_back(&w);
        for (const auto& [name, wires] : by_name) {
            if (wires.size() < 2) continue;
            std::set<std::string> said;
            for (const draw::Wire* w : wires) {
                ++pieces;
                CHECK_MESSAGE(said.insert(w->piece).second, name << ": " << w->length << w->piece);
                CHECK_MESSAGE(
                    (w->piece.find(" from ") != std::string::npos || w->piece.find(" to ") != std::string::npos),
                    name << ": " << w->length << w->piece);
            }
        }
    });
    MESSAGE(pieces << " pieces");
    CHECK(pieces > 20);
}

TEST_CASE("each line of the overview's marks leads to where that wire's end is: sheet, path and terminal") {
    int lines = 0;
    for_all([&](const Drawn& drawn) {
        CAPTURE(drawn.name);
        const SheetSet* const set = &drawn.set;
        if (!set->overview) return;
        const Bound* const made = &drawn.made;
        // By sheet, number and name of the terminal: is there an end of a wire above that number at that terminal?
        const auto is_there = [&](std::size_t sheet, int path, const std::string& name) {
            const Sketch& sketch = made->parts[sheet].sketch;
            double x = -1e9;
            for (const Word& w : made->sheets[sheet].notes.words)
                if (w.kind == WordKind::path && w.text == std::to_string(path)) x = w.at.x;
            for (const PaintedWire& painted : made->sheets[sheet].wires) {
                const draw::Wire& wire = sketch.wires[at(painted.wire)];
                for (const auto& [end, point] :
                     {std::pair{wire.a, painted.path.front()}, {wire.b, painted.path.back()}}) {
                    const Symbol& symbol = sketch.symbols[at(end.symbol)];
                    const std::string& stamp = symbol.terminals[at(end.terminal)].stamp;
                    const std::string called = symbol.name.empty() ? (symbol.lines.empty() ? "" : symbol.lines.front())
                                               : stamp.empty()     ? symbol.name
                                                                   : symbol.name + ":" + stamp;
                    if (std::abs(point.x - x) < 0.01 && called == name) return true;
                }
            }
            return false;
        };
        // Each mark: "goes on: sheet 3", then a line for each wire: "path 4, F1:1".
        const std::string& svg = set->overview->drawing.svg;
        for (std::size_t from = svg.find("<g "); from != std::string::npos; from = svg.find("<g ", from + 1)) {
            std::vector<std::string> words;
            const std::size_t next = svg.find("<g ", from + 1);
            for (std::size_t t = svg.find("<text", from); t < next; t = svg.find("<text", t + 1)) {
                const std::size_t begin = svg.find('>', t) + 1;
                words.push_back(svg.substr(begin, svg.find('<', begin) - begin));
            }
            std::string all;
            for (const std::string& w : words) all += (all.empty() ? "" : " ") + w;
            std::size_t sheet_at = std::string::npos;
            for (const char* lead : {"goes on: sheet ", "comes from: sheet ", "joins: sheet "})
                if (all.starts_with(lead)) sheet_at = std::string(lead).size();
            if (sheet_at == std::string::npos) continue;
            const auto sheet = static_cast<std::size_t>(std::stoi(all.substr(sheet_at)) - 1);
            REQUIRE(sheet < made->parts.size());
            const std::string lead = "path\u00A0";
            for (std::size_t p = all.find(lead); p != std::string::npos; p = all.find(lead, p + 1)) {
                const int path = std::stoi(all.substr(p + lead.size()));
                const std::size_t comma = all.find(", ", p);
                if (comma == std::string::npos) continue;
                ++lines;
                // The name is what follows, as far as some terminal there is called so: a purpose may stand behind it.
                bool found = false;
                for (std::size_t end = comma + 2; end <= all.size() && !found; ++end)
                    if (end == all.size() || all[end] == ' ')
                        found = is_there(sheet, path, all.substr(comma + 2, end - comma - 2));
                CHECK_MESSAGE(found, all);
            }
        }
    });
    MESSAGE(lines << " references");
    CHECK(lines > 100);
}

TEST_CASE("a battery's plus without a wire is free only where no feed is live whose way is not drawn") {
    int not_drawn = 0;
    for_all([&](const Drawn& drawn) {
        CAPTURE(drawn.name);
        const Sketch& sketch = drawn.sketch;
        const auto wired = [&](std::size_t s) {
            return std::any_of(sketch.wires.begin(), sketch.wires.end(), [&](const draw::Wire& w) {
                return (w.a.symbol == static_cast<int>(s) && w.a.terminal == 0) ||
                       (w.b.symbol == static_cast<int>(s) && w.b.terminal == 0);
            });
        };
        bool fed = false;
        for (std::size_t s = 0; s < sketch.symbols.size(); ++s)
            fed = fed ||
                  ((sketch.symbols[s].kind == SymbolKind::supply || sketch.symbols[s].kind == SymbolKind::existing) &&
                   wired(s));
        for (std::size_t s = 0; s < sketch.symbols.size(); ++s) {
            if (sketch.symbols[s].kind != SymbolKind::battery || wired(s)) continue;
            CHECK((sketch.symbols[s].terminals.front().unwired == "free") == !fed);
            not_drawn += fed ? 1 : 0;
        }
    });
    CHECK(not_drawn >= 1);
    // The nearly identical twin without the feed.
    test::Bench bench;
    bench.pair(SymbolKind::battery, "battery");
    const Result<Drawing> page = draw::draw(bench.sketch);
    REQUIRE(page);
    CHECK(page->svg.find(">free<") != std::string::npos);
    bench.sketch.symbols.front().terminals.front() = {.stamp = "+", .unwired = "not drawn", .goes_on = true};
    const Result<Drawing> other = draw::draw(bench.sketch);
    REQUIRE(other);
    CHECK(other->svg.find(">not drawn<") != std::string::npos);
}

TEST_CASE("a bus on up to eight other sheets names them all; joints and the box beside a coil are explained") {
    for_all([&](const Drawn& drawn) {
        CAPTURE(drawn.name);
        // Of several sheets the contents explain the marks.
        const bool lone = drawn.made.parts.size() == 1;
        std::string marks;
        for (const std::string& line :
             lone ? drawn.made.parts.front().sketch.footnotes : leading_marks(drawn.sketch, "", false))
            marks += line + " ";
        const std::vector<Symbol>& symbols = drawn.sketch.symbols;
        const auto explained = [&](const char* words, auto test) {
            CHECK_MESSAGE((marks.find(words) != std::string::npos) == std::any_of(symbols.begin(), symbols.end(), test),
                          words);
        };
        explained("Sleeve with two bars",
                  [](const Symbol& s) { return s.kind == SymbolKind::joint && s.joint == JointStyle::crimp; });
        explained("Second box beside", [](const Symbol& s) { return s.suppression == Suppression::resistor; });
        for (const SketchPart& part : drawn.made.parts)
            for (const Symbol& s : part.sketch.symbols)
                for (const std::string& line : s.lines)
                    if (line.ends_with(" more sheets"))
                        CHECK(std::stoi(line.substr(std::string("and on ").size())) >= 8);
    });
}

// ---- labels, flags and marks that are read as another wire's

namespace {

double between(const Box& a, const Box& b) {
    return std::hypot(std::max({0.0, a.left - b.right, b.left - a.right}),
                      std::max({0.0, a.top - b.bottom, b.top - a.bottom}));
}

struct Labels {
    int pairs = 0, stacked = 0; ///< level labels of two wires one above the other; so near that they are read as one
    int legs = 0, unnamed = 0;  ///< wires side by side at a battery's post; without a name in sight of it
};

void count_labels(const Sheet& sheet, const Sketch& sketch, Labels& seen) {
    std::vector<std::pair<Box, int>> level;
    for (const PaintedWire& w : sheet.wires)
        for (const Word& label : w.labels)
            if (!label.upright) level.emplace_back(box_of(label), w.wire);
    for (std::size_t i = 0; i < level.size(); ++i)
        for (std::size_t j = i + 1; j < level.size(); ++j) {
            const Box &a = level[i].first, &b = level[j].first;
            if (level[i].second == level[j].second || a.left >= b.right || b.left >= a.right) continue;
            ++seen.pairs;
            if (between(a, b) < 7.9) ++seen.stacked;
        }
    std::map<std::pair<int, int>, std::vector<const PaintedWire*>> posts;
    for (const PaintedWire& w : sheet.wires) {
        const draw::Wire& wire = sketch.wires[at(w.wire)];
        if (sketch.symbols[at(wire.a.symbol)].kind == SymbolKind::battery && !wire.mounting && !wire.name.empty())
            posts[{wire.a.symbol, wire.a.terminal}].push_back(&w);
    }
    for (const auto& [post, legs] : posts) {
        if (legs.size() < 2) continue;
        for (const PaintedWire* leg : legs) {
            ++seen.legs;
            const Point from = leg->path.front();
            const bool named = std::any_of(leg->labels.begin(), leg->labels.end(), [&](const Word& word) {
                return between(box_of(word), {from.x, from.y, from.x, from.y}) < 100;
            });
            if (!named) ++seen.unnamed;
        }
    }
}

} // namespace

TEST_CASE("labels of two wires do not stand one above the other like two lines of one; legs of a battery say their "
          "name at its post") {
    Labels seen;
    for_all([&](const Drawn& drawn) {
        for (std::size_t p = 0; p < drawn.made.parts.size(); ++p)
            count_labels(drawn.made.sheets[p], drawn.made.parts[p].sketch, seen);
    });
    MESSAGE(seen.stacked << " of " << seen.pairs << " pairs stand on each other; " << seen.unnamed << " of "
                         << seen.legs << " legs are not named at their post");
    CHECK(seen.pairs > 1000);
    CHECK(seen.stacked <= 74);
    CHECK(seen.legs > 100);
    CHECK(seen.unnamed <= 55); // a leg right below the post's own line has no room there
}

TEST_CASE("at the mark of a finding stands no other wire's label, nor two jobs' flags in one gap where there is room "
          "farther on") {
    const Reading reading = support::read_circuit_file(support::source_path("netlists/demo-vehicle.loom"));
    REQUIRE(reading.readable);
    const Sketch planned =
        sketch_of(View{reading.circuit, static_cast<Revision>(reading.circuit.revisions.size() - 1)});
    int marks = 0, flags = 0;
    // As it is, and with a job more on a wire that begins beside those of the others.
    for (const auto& [black_and_white, one_more] :
         {std::pair{false, std::string()}, {true, ""}, {false, "W3"}, {false, "W4"}, {false, "W5"}}) {
        CAPTURE(one_more);
        Sketch sketch = planned;
        for (draw::Wire& wire : sketch.wires) {
            if (wire.name == "W80") wire.remarks = {"D1"};
            if (wire.name == one_more) wire.job = 'C';
        }
        const Result<Bound> made = bind(sketch, paper::a4, {.black_and_white = black_and_white});
        REQUIRE(made);
        for (std::size_t p = 0; p < made->parts.size(); ++p) {
            const std::vector<PaintedWire>& wires = made->sheets[p].wires;
            for (const PaintedWire& own : wires)
                for (const Flag& flag : own.flags)
                    for (const PaintedWire& other : wires) {
                        if (other.wire == own.wire) continue;
                        for (const Flag& strange : other.flags) {
                            ++flags;
                            const std::string pair = flag.text + " by " + strange.text;
                            if (flag.text != strange.text) CHECK_MESSAGE(between(flag.box, strange.box) >= 12, pair);
                        }
                        if (flag.is_mark)
                            for (const Word& label : other.labels) {
                                ++marks;
                                CHECK_MESSAGE(between(flag.box, box_of(label)) >= 10, label.text);
                            }
                    }
        }
    }
    CHECK(marks > 10);
    CHECK(flags > 10);
}
