// With kept.cpp, which reads again what is written here, the only ones that know pugixml.
#include "draw/svg.hpp"

#include <fmt/format.h>
#include <pugixml.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <set>

namespace loomproof::draw {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

// At most two digits after the point and no more than needed; never a locale.
std::string number(double value) {
    const long long hundredths = std::llround(value * 100);
    std::string text = hundredths < 0 ? "-" : "";
    const long long size = std::abs(hundredths), part = size % 100;
    text += std::to_string(size / 100);
    if (part == 0) return text;
    text += '.';
    text += static_cast<char>('0' + part / 10);
    if (part % 10 != 0) text += static_cast<char>('0' + part % 10);
    return text;
}

// What XML cannot hold (control characters, broken UTF-8) becomes a question mark. pugixml escapes the rest.
std::string clean(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const auto lead = static_cast<unsigned char>(text[i]);
        std::size_t bytes = lead < 0x80                   ? 1
                            : lead >= 0xC2 && lead < 0xE0 ? 2
                            : lead >= 0xE0 && lead < 0xF0 ? 3
                            : lead >= 0xF0 && lead < 0xF5 ? 4
                                                          : 0;
        bool good = bytes > 0 && i + bytes <= text.size() && (lead >= 0x20 || lead == '\t');
        for (std::size_t k = 1; good && k < bytes; ++k)
            good = (static_cast<unsigned char>(text[i + k]) & 0xC0u) == 0x80u;
        if (good && bytes == 3) {
            const auto next = static_cast<unsigned char>(text[i + 1]), last = static_cast<unsigned char>(text[i + 2]);
            const bool overlong = lead == 0xE0 && next < 0xA0, surrogate = lead == 0xED && next >= 0xA0;
            const bool no_letter = lead == 0xEF && next == 0xBF && last >= 0xBE;
            good = !overlong && !surrogate && !no_letter;
        }
        if (good && bytes == 4) {
            const auto next = static_cast<unsigned char>(text[i + 1]);
            good = !(lead == 0xF0 && next < 0x90) && !(lead == 0xF4 && next >= 0x90);
        }
        if (good)
            out.append(text, i, bytes);
        else
            out += '?';
        i += good ? bytes : 1;
    }
    return out;
}

struct Ink {
    std::string_view letters, hex;
};

// Printed colours for the IEC 60757 letters: chosen so that neighbours can be told apart on a phone.
constexpr std::array<Ink, 15> inks = {{{"BK", "#1c1c1c"},
                                       {"BN", "#7d4b25"},
                                       {"RD", "#d81f26"},
                                       {"OG", "#f0801a"},
                                       {"YE", "#f8d80f"},
                                       {"GN", "#1e8f3c"},
                                       {"BU", "#2462d4"},
                                       {"VT", "#8a3fb8"},
                                       {"GY", "#909090"},
                                       {"WH", "#ffffff"},
                                       {"PK", "#f59ac2"},
                                       {"TQ", "#2dbab5"},
                                       {"GD", "#c9a227"},
                                       {"SR", "#c3c7cc"},
                                       {"GNYE", "#1e8f3c"}}};

const Ink* find_ink(std::string_view letters) {
    const auto found = std::find_if(inks.begin(), inks.end(), [&](const Ink& ink) { return ink.letters == letters; });
    return found == inks.end() ? nullptr : &*found;
}

bool is_letters(std::string_view letters) { return find_ink(letters) != nullptr; }

// Colours that the standard has no letters for go by their words.
constexpr std::array<Ink, 6> word_inks = {{{"light green", "#93d44f"},
                                           {"dark green", "#0d5a29"},
                                           {"light blue", "#7cc0f2"},
                                           {"dark blue", "#152f6b"},
                                           {"tan", "#d0a878"},
                                           {"beige", "#ecdfc4"}}};

std::string ink_of(std::string_view letters) {
    if (const Ink* const found = find_ink(letters)) return std::string(found->hex);
    const auto by_word =
        std::find_if(word_inks.begin(), word_inks.end(), [&](const Ink& ink) { return ink.letters == letters; });
    return std::string(by_word == word_inks.end() ? "#ffffff" : by_word->hex);
}

std::string_view class_of(Look look) {
    switch (look) {
    case Look::ink: return "ink";
    case Look::heavy: return "heavy";
    case Look::bar: return "bar";
    case Look::rail: return "rail";
    case Look::dashed: return "dashed";
    case Look::hair: return "hair";
    case Look::frame: return "frame";
    case Look::solid: return "solid";
    case Look::flag: return "flag";
    case Look::mark: return "flag mark";
    case Look::advice: return "flag advice";
    case Look::planned: return "flag planned";
    case Look::lamp: return "frame";
    }
    return "ink";
}

std::string_view class_of(WordKind kind) {
    switch (kind) {
    case WordKind::name: return "name";
    case WordKind::rating: return "rating";
    case WordKind::line: return "line";
    case WordKind::stamp: return "stamp";
    case WordKind::letter: return "letter";
    case WordKind::sign: return "sign";
    case WordKind::label: return "label";
    case WordKind::heading: return "heading";
    case WordKind::path: return "path";
    case WordKind::flag: return "flag-letter";
    case WordKind::mark: return "mark-number";
    case WordKind::advice: return "advice-number";
    case WordKind::title: return "title";
    }
    return "line";
}

// Dashes of a stripe: a block with an edge before and behind it, so that red on grey or brown on red shows too.
constexpr double stripe_pitch = 17, stripe_block = 6;

std::string style(const Sheet& sheet, bool black_and_white) {
    std::string css;
    const auto add = [&](std::string_view rule) {
        css += rule;
        css += '\n';
    };
    add("");
    add(fmt::format("text{{font-family:{};fill:#000}}", paper::font_families));
    std::set<WordKind> kinds;
    const auto note = [&](const Picture& p) {
        for (const Word& w : p.words) kinds.insert(w.kind);
    };
    for (const PaintedSymbol& s : sheet.symbols) note(s.picture);
    note(sheet.notes);
    kinds.insert(WordKind::label);
    for (const PaintedWire& w : sheet.wires)
        for (const Flag& flag : w.flags)
            kinds.insert(flag.is_mark ? mark_words(flag.box, flag.text).kind : WordKind::flag);
    for (const WordKind kind : kinds)
        add(fmt::format(".{}{{font-size:{}px{}{}}}", class_of(kind), number(size_of(kind)),
                        weight_of(kind) == paper::Weight::bold ? ";font-weight:bold" : "",
                        kind == WordKind::mark ? ";fill:#fff" : ""));
    add("path,circle{fill:none;stroke:#000;stroke-width:1.7;stroke-linejoin:round}");
    add(".heavy{stroke-width:3}.bar{stroke-width:4.4}.rail{stroke-width:6.6}");
    add(".dashed{stroke-width:1.4;stroke-dasharray:5 "
        "4}.hair{stroke:#888;stroke-width:.9}.link{stroke:#777;stroke-width:1.2;stroke-dasharray:7 5}");
    add(".frame{fill:#fff}.solid{fill:#000;stroke:none}");
    add(".wire path{stroke-linejoin:round;stroke-linecap:butt}");
    add(".casing{stroke:#222}.thin .casing{stroke-width:5.6}.middle .casing{stroke-width:6.6}.thick "
        ".casing{stroke-width:8.1}");
    add(".thin .core,.thin .stripe,.thin .edge{stroke-width:4}.middle .core,.middle .stripe,.middle "
        ".edge{stroke-width:5}.thick .core,.thick .stripe,.thick .edge{stroke-width:6.5}");
    // White is told from the paper by its outline alone, on a coarse screen too.
    add(".pale .casing{stroke:#000}.pale.thin .casing{stroke-width:6.6}.pale.middle "
        ".casing{stroke-width:7.6}.pale.thick "
        ".casing{stroke-width:9.1}");
    add(fmt::format(".edge{{stroke:#222;stroke-dasharray:{} {};stroke-dashoffset:-7}}", number(stripe_block + 2),
                    number(stripe_pitch - stripe_block - 2)));
    add(fmt::format(".stripe{{stroke-dasharray:{} {};stroke-dashoffset:-8}}", number(stripe_block),
                    number(stripe_pitch - stripe_block)));
    add(".thin .outline{stroke-width:10.4}.middle .outline{stroke-width:11.4}.thick .outline{stroke-width:12.9}");
    add(".white{stroke:#fff}.thin .white{stroke-width:8.2}.middle .white{stroke-width:9.2}.thick "
        ".white{stroke-width:10.7}");
    add(".mounting{stroke-dasharray:3 3}.assumed{stroke-dasharray:10 4 2 4}.removed .casing,.removed "
        ".core{stroke-dasharray:7 6}.removed "
        ".core{stroke-opacity:.5}.removed .stripe,.removed .edge{stroke:none}.symbol.removed path,.symbol.removed "
        "circle{stroke-dasharray:4 3}.flag{fill:#fff;stroke-width:1.5}.symbol.removed "
        ".flag{stroke-dasharray:none}.flag.planned,.symbol.removed .flag.planned{stroke-dasharray:3 "
        "2}.leader{stroke-width:1}");
    if (kinds.contains(WordKind::mark)) add(".flag.mark{fill:#000;stroke:none}");
    add(".unsaid{stroke:#777;stroke-width:1.3;stroke-dasharray:2 5}");
    if (black_and_white) add(".core{stroke:#fff!important}.stripe{stroke:#222!important}");
    return css;
}

std::string path_data(const Trace& trace) {
    std::string d;
    for (const Step& s : trace.steps) {
        switch (s.type) {
        case Step::Type::move: d += fmt::format("M{} {}", number(s.to.x), number(s.to.y)); break;
        case Step::Type::line: d += fmt::format("L{} {}", number(s.to.x), number(s.to.y)); break;
        case Step::Type::arc:
            d += fmt::format("A{0} {0} 0 0 {1} {2} {3}", number(s.radius), s.clockwise ? 1 : 0, number(s.to.x),
                             number(s.to.y));
            break;
        case Step::Type::close: d += "Z"; break;
        }
    }
    return d;
}

double length(Point a, Point b) { return std::abs(a.x - b.x) + std::abs(a.y - b.y); }
Point towards(Point from, Point to, double by) {
    const double whole = length(from, to);
    return {from.x + (to.x - from.x) * by / whole, from.y + (to.y - from.y) * by / whole};
}

// Straight runs with rounded corners; each corner is the control point of its curve. Level runs are left open where an upright
// wire passes over them.
std::string wire_data(const PaintedWire& wire) {
    constexpr double roundness = 8;
    const std::vector<Point>& path = wire.path;
    if (path.size() < 2) return "";
    std::string d = fmt::format("M{} {}", number(path[0].x), number(path[0].y));
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
        const Point &a = path[i], &b = path[i + 1];
        std::vector<PaintedWire::Gap> gaps;
        for (const PaintedWire::Gap& g : wire.gaps)
            if (g.run == i) gaps.push_back(g);
        const bool right = b.x > a.x;
        std::sort(gaps.begin(), gaps.end(),
                  [&](const auto& l, const auto& r) { return right ? l.x < r.x : l.x > r.x; });
        for (const PaintedWire::Gap& g : gaps) {
            const double side = right ? g.half : -g.half;
            d += fmt::format("L{} {}M{} {}", number(g.x - side), number(a.y), number(g.x + side), number(a.y));
        }
        if (i + 2 == path.size()) {
            d += fmt::format("L{} {}", number(b.x), number(b.y));
            continue;
        }
        const double round = std::min({roundness, length(a, b) / 2, length(b, path[i + 2]) / 2});
        const Point in = towards(b, a, round), out = towards(b, path[i + 2], round);
        d += fmt::format("L{} {}Q{} {} {} {}", number(in.x), number(in.y), number(b.x), number(b.y), number(out.x),
                         number(out.y));
    }
    return d;
}

class Writer {
  public:
    Writer(const Sketch& sketch, const Sheet& sheet, const SvgOptions& options)
        : sketch_(sketch), sheet_(sheet), options_(options) {}

    std::string run() {
        root_ = document_.append_child("svg");
        set(root_, "xmlns", "http://www.w3.org/2000/svg");
        set(root_, "width", number(sheet_.width / paper::units_per_mm * options_.scale) + "mm");
        set(root_, "height", number(sheet_.height / paper::units_per_mm * options_.scale) + "mm");
        set(root_, "viewBox", fmt::format("0 0 {} {}", number(sheet_.width), number(sheet_.height)));
        set(root_, "role", "img");
        set(root_, "aria-labelledby", "title description");
        set(root_, "data-made-by", "Loomproof");
        set(root_, "data-origin", number(sheet_.origin));
        said(root_, "title", sketch_.title.empty() ? "Circuit" : sketch_.title, "title");
        said(root_, "desc", describe(), "description");
        root_.append_child("style")
            .append_child(pugi::node_pcdata)
            .set_value(style(sheet_, options_.black_and_white).c_str());
        pugi::xml_node paper_sheet = root_.append_child("path");
        set(paper_sheet, "d", fmt::format("M0 0H{}V{}H0Z", number(sheet_.width), number(sheet_.height)));
        set(paper_sheet, "style", "fill:#fff;stroke:none");

        pugi::xml_node wires = group(root_, "", "wires");
        for (const PaintedWire& wire : sheet_.wires) write_wire(wires, wire);
        pugi::xml_node symbols = group(root_, "", "symbols");
        for (const auto& [a, b] : sheet_.links) {
            pugi::xml_node link = symbols.append_child("path");
            set(link, "class", "link");
            set(link, "d", fmt::format("M{} {}L{} {}", number(a.x), number(a.y), number(b.x), number(b.y)));
        }
        for (const PaintedSymbol& symbol : sheet_.symbols) write_symbol(symbols, symbol);
        pugi::xml_node labels = group(root_, "", "labels");
        for (const PaintedWire& wire : sheet_.wires) write_labels(labels, wire);
        pugi::xml_node notes = group(root_, "", "notes");
        write(notes, sheet_.notes);

        struct Text : pugi::xml_writer {
            std::string all;
            void write(const void* data, std::size_t size) override {
                all.append(static_cast<const char*>(data), size);
            }
        } text;
        document_.save(text, "", pugi::format_indent | pugi::format_no_declaration, pugi::encoding_utf8);
        return std::move(text.all);
    }

  private:
    static void set(pugi::xml_node node, const char* name, std::string_view value) {
        node.append_attribute(name).set_value(clean(value).c_str());
    }

    static void said(pugi::xml_node parent, const char* tag, const std::string& text, std::string_view id = {}) {
        pugi::xml_node node = parent.append_child(tag);
        if (!id.empty()) set(node, "id", id);
        node.append_child(pugi::node_pcdata).set_value(clean(text).c_str());
    }

    static pugi::xml_node group(pugi::xml_node parent, std::string_view id, std::string_view classes) {
        pugi::xml_node node = parent.append_child("g");
        if (!id.empty()) set(node, "id", id);
        set(node, "class", classes);
        return node;
    }

    std::string describe() const {
        if (!sketch_.description.empty()) return sketch_.description;
        return fmt::format("Circuit drawing with {} symbols and {} wires.", sketch_.symbols.size(),
                           sketch_.wires.size());
    }

    std::string symbol_id(int symbol) const { return "s-" + id_of(sketch_.symbols[index(symbol)].key); }

    void write_wire(pugi::xml_node parent, const PaintedWire& painted) {
        const Wire& wire = sketch_.wires[index(painted.wire)];
        const std::string d = wire_data(painted);
        std::string classes = "wire ";
        classes += wire.mm2 >= 10 ? "thick" : wire.mm2 >= 4 ? "middle" : "thin";
        if (is_pale(wire)) classes += " pale";
        if (wire.removed) classes += " removed";
        pugi::xml_node g = group(parent, "w-" + id_of(wire.key), classes);
        set(g, "data-from", symbol_id(wire.a.symbol));
        set(g, "data-to", symbol_id(wire.b.symbol));
        std::string way;
        for (const WayPoint& point : painted.way)
            way += fmt::format("{}{},{}", way.empty() ? "" : " ", point.column, point.row);
        if (!way.empty()) set(g, "data-way", way);
        if (wire.mounting) {
            if (!wire.hint.empty()) said(g, "title", wire.hint);
            stroke(g, wire.assumed ? "mounting assumed" : "mounting", d, "");
            return;
        }
        const std::string colour = wire.colour.main + (wire.colour.stripe.empty() ? "" : "/" + wire.colour.stripe);
        if (is_letters(wire.colour.main) && (wire.colour.stripe.empty() || is_letters(wire.colour.stripe)))
            set(g, "data-colour", colour);
        said(g, "title", wire.hint.empty() ? wire.label : wire.hint);
        if (wire.added) {
            stroke(g, "outline", d, "");
            stroke(g, "white", d, "");
        }
        stroke(g, "casing", d, "");
        stroke(g, "core", d, ink_of(wire.colour.main));
        // A wire whose colour nobody said must not look like a white one.
        if (wire.colour.main.empty()) stroke(g, "unsaid", d, "");
        const std::string stripe = wire.colour.main == "GNYE" ? "YE" : wire.colour.stripe;
        if (stripe.empty()) return;
        stroke(g, "edge", d, "");
        stroke(g, "stripe", d, ink_of(stripe));
    }

    static void stroke(pugi::xml_node parent, std::string_view look, const std::string& d, const std::string& colour) {
        pugi::xml_node path = parent.append_child("path");
        set(path, "class", look);
        set(path, "d", d);
        if (!colour.empty()) set(path, "style", "stroke:" + colour);
    }

    void write_symbol(pugi::xml_node parent, const PaintedSymbol& painted) {
        const Symbol& symbol = sketch_.symbols[index(painted.symbol)];
        std::string classes = "symbol ";
        classes += row_of(symbol.kind).word;
        if (symbol.removed) classes += " removed";
        pugi::xml_node g = group(parent, symbol_id(painted.symbol), classes);
        set(g, "data-stands", fmt::format("{} {} {}", painted.stood.row, painted.stood.left, painted.stood.right));
        if (painted.stood.mirrored) set(g, "data-mirrored", "yes");
        write(g, painted.picture);
    }

    void write_labels(pugi::xml_node parent, const PaintedWire& painted) {
        if (painted.labels.empty() && painted.flags.empty()) return;
        const Wire& wire = sketch_.wires[index(painted.wire)];
        pugi::xml_node g = group(parent, {}, wire.removed ? "of-wire removed" : "of-wire");
        set(g, "data-wire", "w-" + id_of(wire.key));
        for (const Word& label : painted.labels) write(g, label);
        for (const Leader& leader : painted.leaders) {
            pugi::xml_node path = g.append_child("path");
            set(path, "class", "leader");
            set(path, "d",
                fmt::format("M{} {}L{} {}", number(leader.at_label.x), number(leader.at_label.y),
                            number(leader.at_wire.x), number(leader.at_wire.y)));
        }
        for (const Flag& flag : painted.flags) {
            if (flag.is_mark) {
                write(g, Picture{{mark_sign(flag.box, flag.text)}, {mark_words(flag.box, flag.text)}});
                continue;
            }
            pugi::xml_node path = g.append_child("path");
            const Box& b = flag.box;
            set(path, "class", wire.planned ? "flag planned" : "flag");
            set(path, "d",
                fmt::format("M{} {}H{}V{}H{}Z", number(b.left), number(b.top), number(b.right), number(b.bottom),
                            number(b.left)));
            write(g, Word{flag.text, {(b.left + b.right) / 2, b.bottom - 3.3}, Anchor::middle, WordKind::flag, false});
        }
    }

    static void write(pugi::xml_node parent, const Picture& picture) {
        for (const auto& mark : picture.ink) {
            if (const Disc* disc = std::get_if<Disc>(&mark)) {
                pugi::xml_node circle = parent.append_child("circle");
                set(circle, "class", class_of(disc->look));
                set(circle, "cx", number(disc->centre.x));
                set(circle, "cy", number(disc->centre.y));
                set(circle, "r", number(disc->radius));
                continue;
            }
            const Trace& trace = std::get<Trace>(mark);
            pugi::xml_node path = parent.append_child("path");
            set(path, "class", class_of(trace.look));
            set(path, "d", path_data(trace));
        }
        for (const Word& word : picture.words) write(parent, word);
    }

    static void write(pugi::xml_node parent, const Word& word) {
        pugi::xml_node text = parent.append_child("text");
        set(text, "class", class_of(word.kind));
        set(text, "x", number(word.at.x));
        set(text, "y", number(word.at.y));
        if (word.anchor != Anchor::start) set(text, "text-anchor", word.anchor == Anchor::middle ? "middle" : "end");
        if (word.upright)
            set(text, "transform", fmt::format("rotate(-90 {} {})", number(word.at.x), number(word.at.y)));
        text.append_child(pugi::node_pcdata).set_value(clean(word.text).c_str());
    }

    const Sketch& sketch_;
    const Sheet& sheet_;
    const SvgOptions& options_;
    pugi::xml_document document_;
    pugi::xml_node root_;
};

} // namespace

std::string id_of(std::string_view key) {
    std::string id;
    for (const char c : key) {
        const bool plain =
            (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_';
        if (plain)
            id += c;
        else
            id += fmt::format("-{:02x}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    }
    return id;
}

std::string to_svg(const Sketch& sketch, const Sheet& sheet, const SvgOptions& options) {
    return Writer(sketch, sheet, options).run();
}

} // namespace loomproof::draw
