#include "draw/measure.hpp"

#include "paper/type.hpp"

#include <fmt/format.h>
#include <pugixml.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <stdexcept>
#include <string_view>

namespace loomproof::draw::test {
namespace {

struct P {
    double x, y;
};
struct R {
    double l, t, r, b;
    bool meets(const R& o) const { return l < o.r && o.l < r && t < o.b && o.t < b; }
    bool holds(const R& o) const { return l <= o.l && t <= o.t && r >= o.r && b >= o.b; }
    R grown(double d) const { return {l - d, t - d, r + d, b + d}; }
};
struct Stroke {
    P a, b;
    double width;
    R box() const { return R{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}; }
};
struct Ring {
    P c;
    double r;
};

// Commands and figures of a path.
class PathReader {
  public:
    explicit PathReader(std::string_view d) : d_(d) {}
    char command() {
        skip();
        if (at_ < d_.size() && std::isalpha(static_cast<unsigned char>(d_[at_])) != 0) last_ = d_[at_++];
        return last_;
    }
    bool done() {
        skip();
        return at_ >= d_.size();
    }
    double number() {
        skip();
        double value = 0;
        const auto result = std::from_chars(d_.data() + at_, d_.data() + d_.size(), value);
        if (result.ec != std::errc{}) throw std::runtime_error("bad path " + std::string(d_));
        at_ = static_cast<std::size_t>(result.ptr - d_.data());
        return value;
    }
    P point() {
        const double x = number();
        return {x, number()};
    }

  private:
    void skip() {
        while (at_ < d_.size() && (d_[at_] == ' ' || d_[at_] == ',')) ++at_;
    }
    std::string_view d_;
    std::size_t at_ = 0;
    char last_ = 'M';
};

struct Lines {
    std::vector<Stroke> strokes;
    std::vector<P> stops; // ends of the strokes
};

// Straight pieces of a path; an arc becomes pieces along it.
Lines lines_of(std::string_view d, double width) {
    Lines lines;
    PathReader reader(d);
    P at{0, 0}, begin{0, 0};
    const auto to = [&](P p) {
        lines.strokes.push_back({at, p, width});
        at = p;
        lines.stops.push_back(p);
    };
    while (!reader.done()) {
        switch (reader.command()) {
        case 'M':
            at = begin = reader.point();
            lines.stops.push_back(at);
            break;
        case 'L': to(reader.point()); break;
        case 'H': to({reader.number(), at.y}); break;
        case 'V': to({at.x, reader.number()}); break;
        case 'Z': to(begin); break;
        case 'A': {
            const double r0 = reader.number();
            for (int i = 0; i < 3; ++i) reader.number();
            const bool clockwise = reader.number() != 0;
            const P end = reader.point();
            const double dx = end.x - at.x, dy = end.y - at.y, chord = std::hypot(dx, dy), r = std::max(r0, chord / 2);
            const double away = std::sqrt(std::max(0.0, r * r - chord * chord / 4)) * (clockwise ? 1 : -1);
            const P c{(at.x + end.x) / 2 - dy / chord * away, (at.y + end.y) / 2 + dx / chord * away};
            double from = std::atan2(at.y - c.y, at.x - c.x), until = std::atan2(end.y - c.y, end.x - c.x);
            const double turn = 2 * std::acos(-1.0);
            if (clockwise && until < from) until += turn;
            if (!clockwise && until > from) until -= turn;
            for (int i = 1; i < 6; ++i) {
                const double angle = from + (until - from) * i / 6;
                to({c.x + r * std::cos(angle), c.y + r * std::sin(angle)});
            }
            to(end);
            break;
        }
        default: throw std::runtime_error("unknown path command in " + std::string(d));
        }
    }
    return lines;
}

bool has_class(pugi::xml_node node, std::string_view wanted) {
    const std::string all = " " + std::string(node.attribute("class").value()) + " ";
    return all.find(" " + std::string(wanted) + " ") != std::string::npos;
}

constexpr double least_gap = 2; // between words: half a millimetre
struct Text {
    std::string words;
    R box;
    std::string wire{}; // whose label it is
};
struct WireSeen {
    std::string id, from, to;
    double width = 0;
    std::vector<P> corners; // without gaps
    struct Gap {
        P a, b;
    };
    std::vector<Gap> gaps;
};
struct SymbolSeen {
    std::string id;
    std::vector<Stroke> strokes;
    std::vector<P> stops;
    std::vector<Ring> rings;
};

// Does the stroke, as thick as it is, meet the box?
bool meets(const Stroke& s, const R& box) {
    // Across the stroke its half width counts, along it nothing: its ends are cut square.
    const double half = s.width / 2 - 0.01;
    const bool upright = s.a.x == s.b.x, level = s.a.y == s.b.y;
    const R grown{box.l - (level ? 0 : half), box.t - (upright ? 0 : half), box.r + (level ? 0 : half),
                  box.b + (upright ? 0 : half)};
    if (!R{s.box().l - 0.005, s.box().t - 0.005, s.box().r + 0.005, s.box().b + 0.005}.meets(grown)) return false;
    // Liang and Barsky's clipping.
    double t0 = 0, t1 = 1;
    const double dx = s.b.x - s.a.x, dy = s.b.y - s.a.y;
    const double p[4] = {-dx, dx, -dy, dy};
    const double q[4] = {s.a.x - grown.l, grown.r - s.a.x, s.a.y - grown.t, grown.b - s.a.y};
    for (int i = 0; i < 4; ++i) {
        if (p[i] == 0) {
            if (q[i] <= 0) return false;
            continue;
        }
        const double t = q[i] / p[i];
        if (p[i] < 0)
            t0 = std::max(t0, t);
        else
            t1 = std::min(t1, t);
        if (t0 >= t1) return false;
    }
    return true;
}

bool meets(const Ring& ring, const R& box) {
    const double nx = std::clamp(ring.c.x, box.l, box.r), ny = std::clamp(ring.c.y, box.t, box.b);
    if (std::hypot(nx - ring.c.x, ny - ring.c.y) >= ring.r) return false;
    double farthest = 0;
    for (const double x : {box.l, box.r})
        for (const double y : {box.t, box.b}) farthest = std::max(farthest, std::hypot(x - ring.c.x, y - ring.c.y));
    return farthest > ring.r; // wholly inside touches no line
}

class Reader {
  public:
    explicit Reader(const std::string& svg) {
        const pugi::xml_parse_result result = document_.load_string(svg.c_str());
        if (!result) throw std::runtime_error(std::string("no XML: ") + result.description());
        read_styles();
        read_sizes();
        walk(document_.child("svg"));
    }

    Measure run() {
        measure_.wires = static_cast<int>(wires_.size());
        measure_.words = static_cast<int>(texts_.size());
        check_ends();
        check_texts();
        check_labels();
        check_wires();
        count_crossings();
        return std::move(measure_);
    }

  private:
    void read_styles() {
        const std::string css = document_.child("svg").child_value("style");
        std::size_t at = 0;
        while ((at = css.find("{font-size:", at)) != std::string::npos) {
            const std::size_t dot = css.rfind('.', at), end = css.find('}', at);
            const std::string name = css.substr(dot + 1, at - dot - 1), rule = css.substr(at, end - at);
            double size = 0;
            std::from_chars(rule.data() + 11, rule.data() + rule.size(), size);
            sizes_[name] = {size, rule.find("bold") != std::string::npos};
            at = end;
        }
    }

    void read_sizes() {
        PathReader box(document_.child("svg").attribute("viewBox").value());
        const P origin = box.point(), size = box.point();
        if (origin.x != 0 || origin.y != 0) throw std::runtime_error("view box does not begin at 0");
        measure_.width = size.x;
        measure_.height = size.y;
    }

    void walk(pugi::xml_node node) {
        for (pugi::xml_node child : node.children()) {
            const std::string_view name = child.name();
            if (name == "g" && has_class(child, "wire"))
                read_wire(child);
            else if (name == "g" && has_class(child, "of-wire")) {
                label_of_ = child.attribute("data-wire").value();
                walk(child);
                label_of_.clear();
            } else if (name == "g" && has_class(child, "symbol"))
                read_symbol(child);
            else if (name == "g")
                walk(child);
            else if (name == "text")
                read_text(child);
            else if (name == "path" && has_class(child, "flag")) {
                const Lines lines = lines_of(child.attribute("d").value(), 0);
                R box = lines.strokes.front().box();
                for (const Stroke& s : lines.strokes) {
                    const R b = s.box();
                    box = {std::min(box.l, b.l), std::min(box.t, b.t), std::max(box.r, b.r), std::max(box.b, b.b)};
                }
                flags_.push_back({"flag", box, label_of_});
            } else if (name == "path" && has_class(child, "leader")) {
                const Stroke line = lines_of(child.attribute("d").value(), 1).strokes.front();
                leaders_.push_back({label_of_, line});
                loose_.push_back(line);
            } else if (name == "path" && child.attribute("class")) {
                for (const Stroke& s : lines_of(child.attribute("d").value(), 1.2).strokes) loose_.push_back(s);
            }
        }
    }

    void read_text(pugi::xml_node node) {
        const auto found = sizes_.find(node.attribute("class").value());
        if (found == sizes_.end()) throw std::runtime_error(std::string("text without size: ") + node.child_value());
        const auto [size, bold] = found->second;
        Text text{node.child_value(), {}, label_of_};
        const double width = paper::text_width(text.words, size, bold ? paper::Weight::bold : paper::Weight::normal);
        const double x = node.attribute("x").as_double(), y = node.attribute("y").as_double();
        const std::string_view anchor = node.attribute("text-anchor").value();
        const double before = anchor == "middle" ? width / 2 : anchor == "end" ? width : 0;
        // The signs of Chinese, Japanese and Korean (in UTF-8 from 0xE3 to 0xED) stand a little below the line of the letters.
        const bool hangs = text.words.find_first_of("gjpqy,;Q()_") != std::string::npos ||
                           std::any_of(text.words.begin(), text.words.end(), [](char c) {
                               return static_cast<unsigned char>(c) >= 0xE3 && static_cast<unsigned char>(c) <= 0xED;
                           });
        const double rise = size * 0.72, fall = hangs ? size * 0.2 : 0;
        const bool upright = node.attribute("transform");
        if (upright)
            text.box = {x - rise, y + before - width, x + fall, y + before};
        else
            text.box = {x - before, y - rise, x - before + width, y + fall};
        const std::string_view word_class = node.attribute("class").value();
        if (word_class == "flag-letter" || word_class == "mark-number" || word_class == "advice-number") return;
        texts_.push_back(std::move(text));
        inside(texts_.back().box);
    }

    void inside(const R& box) {
        if (!R{0, 0, measure_.width, measure_.height}.holds(box)) ++measure_.outside;
    }

    void read_wire(pugi::xml_node node) {
        WireSeen wire{node.attribute("id").value(),
                      node.attribute("data-from").value(),
                      node.attribute("data-to").value(),
                      0,
                      {},
                      {}};
        wire.width = has_class(node, "thick") ? 8.1 : has_class(node, "middle") ? 6.6 : 5.6;
        // The second edge of a wire that a job added goes around that of a white one too.
        const bool outlined = !node.find_child_by_attribute("class", "outline").empty();
        if (outlined)
            wire.width += 4.8;
        else if (has_class(node, "pale"))
            wire.width += 1;
        pugi::xml_node path = node.find_child_by_attribute("class", "casing");
        if (!path) {
            path = node.find_child_by_attribute("class", "mounting");
            if (!path) path = node.find_child_by_attribute("class", "mounting assumed");
            wire.width = 1.7;
        }
        PathReader reader(path.attribute("d").value());
        while (!reader.done()) {
            switch (reader.command()) {
            case 'M': {
                const P p = reader.point();
                if (wire.corners.empty())
                    wire.corners.push_back(p);
                else {
                    wire.gaps.push_back({wire.corners.back(), p});
                    wire.corners.pop_back();
                }
                break;
            }
            case 'L': wire.corners.push_back(reader.point()); break;
            case 'Q': {
                const P corner = reader.point();
                reader.point();
                wire.corners.pop_back();
                wire.corners.push_back(corner);
                ++measure_.bends;
                break;
            }
            default: throw std::runtime_error("unknown path command in a wire");
            }
        }
        for (const P& p : wire.corners) inside({p.x, p.y, p.x, p.y});
        for (std::size_t i = 0; i + 1 < wire.corners.size(); ++i)
            measure_.wire_length +=
                std::hypot(wire.corners[i + 1].x - wire.corners[i].x, wire.corners[i + 1].y - wire.corners[i].y);
        wires_.push_back(std::move(wire));
    }

    void read_symbol(pugi::xml_node node) {
        SymbolSeen symbol{node.attribute("id").value(), {}, {}, {}};
        const std::map<std::string_view, double> widths{{"heavy", 3},    {"bar", 4.4},  {"rail", 6.6},
                                                        {"dashed", 1.4}, {"hair", 0.9}, {"solid", 0}};
        for (pugi::xml_node child : node.children()) {
            const std::string_view name = child.name();
            if (name == "text") read_text(child);
            if (name == "circle")
                symbol.rings.push_back({{child.attribute("cx").as_double(), child.attribute("cy").as_double()},
                                        child.attribute("r").as_double()});
            if (name != "path") continue;
            const auto width = widths.find(child.attribute("class").value());
            const Lines lines = lines_of(child.attribute("d").value(), width == widths.end() ? 1.7 : width->second);
            symbol.strokes.insert(symbol.strokes.end(), lines.strokes.begin(), lines.strokes.end());
            symbol.stops.insert(symbol.stops.end(), lines.stops.begin(), lines.stops.end());
        }
        for (const P& p : symbol.stops) inside({p.x, p.y, p.x, p.y});
        symbols_.push_back(std::move(symbol));
    }

    const SymbolSeen* symbol(const std::string& id) const {
        for (const SymbolSeen& s : symbols_)
            if (s.id == id) return &s;
        return nullptr;
    }

    void check_ends() {
        for (const WireSeen& wire : wires_) {
            for (const auto& [id, end] : {std::pair{wire.from, wire.corners.front()}, {wire.to, wire.corners.back()}}) {
                const SymbolSeen* s = symbol(id);
                const bool on =
                    s != nullptr && std::any_of(s->stops.begin(), s->stops.end(), [&, p = end](const P& stop) {
                        return std::abs(stop.x - p.x) < 0.02 && std::abs(stop.y - p.y) < 0.02;
                    });
                if (on)
                    ++measure_.ends_on_terminal;
                else
                    measure_.wrong_ends.push_back(fmt::format("{} does not reach {}", wire.id, id));
            }
        }
    }

    std::vector<Stroke> strokes_of(const WireSeen& wire) const {
        std::vector<Stroke> strokes;
        for (std::size_t i = 0; i + 1 < wire.corners.size(); ++i)
            strokes.push_back({wire.corners[i], wire.corners[i + 1], wire.width});
        return strokes;
    }

    void wrong(const std::string& line) { measure_.overlaps.push_back(line); }

    void check_texts() {
        std::vector<Text> all = texts_;
        all.insert(all.end(), flags_.begin(), flags_.end());
        for (std::size_t i = 0; i < all.size(); ++i) {
            for (std::size_t j = i + 1; j < all.size(); ++j)
                if (all[i]
                        .box.grown(i < texts_.size() && j < texts_.size() ? least_gap / 2 : 0)
                        .meets(all[j].box.grown(i < texts_.size() && j < texts_.size() ? least_gap / 2 : 0)))
                    wrong(fmt::format("word '{}' on word '{}'", all[i].words, all[j].words));
            for (const WireSeen& wire : wires_)
                for (const Stroke& s : strokes_of(wire))
                    if (meets(s, all[i].box)) wrong(fmt::format("word '{}' on wire {}", all[i].words, wire.id));
            for (const SymbolSeen& s : symbols_) {
                bool hit = std::any_of(s.strokes.begin(), s.strokes.end(),
                                       [&](const Stroke& k) { return meets(k, all[i].box); });
                hit = hit ||
                      std::any_of(s.rings.begin(), s.rings.end(), [&](const Ring& k) { return meets(k, all[i].box); });
                if (hit) wrong(fmt::format("word '{}' on symbol {}", all[i].words, s.id));
            }
            for (const Stroke& s : loose_)
                if (meets(s, all[i].box)) wrong(fmt::format("word '{}' on a line", all[i].words));
        }
    }

    // From which line a label speaks must be plain: it is nearer to its own wire than to any other, or a line leads to it.
    void check_labels() {
        constexpr double nearer_by = 1, farthest = 9, over_the_bar = 22;
        const auto away = [&](const R& box, const WireSeen& wire) {
            double nearest = 1e9;
            for (const Stroke& s : strokes_of(wire)) nearest = std::min(nearest, gap(s.box().grown(s.width / 2), box));
            return nearest;
        };
        std::vector<Text> labels = texts_;
        labels.insert(labels.end(), flags_.begin(), flags_.end());
        // Two lines of one label are read together.
        for (std::size_t i = 0; i < texts_.size(); ++i)
            for (std::size_t j = 0; j < texts_.size(); ++j) {
                const R &a = texts_[i].box, &b = texts_[j].box;
                if (i != j && texts_[i].wire == texts_[j].wire && a.l < b.r && b.l < a.r && gap(a, b) < 8)
                    labels[i].box = {std::min(a.l, b.l), std::min(a.t, b.t), std::max(a.r, b.r), std::max(a.b, b.b)};
            }
        for (const Text& label : labels) {
            if (label.wire.empty()) continue;
            const auto own =
                std::find_if(wires_.begin(), wires_.end(), [&](const WireSeen& w) { return w.id == label.wire; });
            if (own == wires_.end()) {
                wrong(fmt::format("label '{}' of no wire", label.words));
                continue;
            }
            const auto leader = std::find_if(leaders_.begin(), leaders_.end(), [&](const Leader& l) {
                return l.wire == label.wire && gap({l.line.a.x, l.line.a.y, l.line.a.x, l.line.a.y}, label.box) < 5;
            });
            if (leader != leaders_.end()) {
                const P at = leader->line.b;
                if (away({at.x, at.y, at.x, at.y}, *own) > 1)
                    wrong(fmt::format("the line of '{}' does not reach its wire", label.words));
                for (const WireSeen& w : wires_)
                    for (const Stroke& s : strokes_of(w))
                        if (w.id != own->id && meets(leader->line, s.box().grown(s.width / 2)))
                            wrong(fmt::format("the line of '{}' meets {}", label.words, w.id));
                continue;
            }
            const double here = away(label.box, *own);
            // In line with the wire's end a label may stand beyond the bar from which the wire comes.
            const bool in_line = std::any_of(own->corners.begin(), own->corners.end(), [&](const P& p) {
                return std::abs(p.x - (label.box.l + label.box.r) / 2) < 1;
            });
            if (here > (in_line ? over_the_bar : farthest))
                wrong(fmt::format("label '{}' is {:.0f} from its wire", label.words, here));
            for (const WireSeen& w : wires_)
                if (const double there = away(label.box, w); w.id != own->id && there < here + nearer_by)
                    wrong(fmt::format("label '{}' of {} is as near to {}: {:.2f} and {:.2f}", label.words, own->id,
                                      w.id, here, there));
        }
    }

    static double gap(const R& a, const R& b) {
        return std::hypot(std::max({0.0, a.l - b.r, b.l - a.r}), std::max({0.0, a.t - b.b, b.t - a.b}));
    }

    void check_wires() {
        for (std::size_t i = 0; i < wires_.size(); ++i) {
            const std::vector<Stroke> mine = strokes_of(wires_[i]);
            for (std::size_t j = i; j < wires_.size(); ++j) {
                const std::vector<Stroke> others = strokes_of(wires_[j]);
                for (std::size_t a = 0; a < mine.size(); ++a)
                    for (std::size_t b = i == j ? a + 1 : 0; b < others.size(); ++b)
                        if (on_one_track(mine[a], others[b]))
                            wrong(fmt::format("wires {} and {} on one track", wires_[i].id, wires_[j].id));
            }
            for (const SymbolSeen& s : symbols_) {
                for (const Stroke& wire : mine) {
                    // The last bit at an end belongs to the terminal.
                    R box = wire.box().grown(wires_[i].width / 2 - 0.5);
                    const bool own = s.id == wires_[i].from || s.id == wires_[i].to;
                    if (own) shorten(box, wire, wires_[i]);
                    const bool hit =
                        std::any_of(s.strokes.begin(), s.strokes.end(),
                                    [&](const Stroke& k) { return meets(k, box); }) ||
                        std::any_of(s.rings.begin(), s.rings.end(), [&](const Ring& k) { return meets(k, box); });
                    if (hit) wrong(fmt::format("wire {} on symbol {}", wires_[i].id, s.id));
                }
            }
        }
    }

    static void shorten(R& box, const Stroke& stroke, const WireSeen& wire) {
        for (const P& end : {wire.corners.front(), wire.corners.back()}) {
            if (std::abs(stroke.a.x - stroke.b.x) > 0.01) continue;
            const double grown = wire.width / 2 + 0.5;
            if (std::abs(stroke.a.y - end.y) < 0.01 || std::abs(stroke.b.y - end.y) < 0.01) {
                if (std::abs(end.y - std::min(stroke.a.y, stroke.b.y)) < 0.01)
                    box.t += grown;
                else
                    box.b -= grown;
            }
        }
    }

    static bool on_one_track(const Stroke& s, const Stroke& t) {
        const bool s_level = s.a.y == s.b.y, t_level = t.a.y == t.b.y;
        if (s_level != t_level) return false;
        const R a = s.box(), b = t.box();
        const double apart = (s.width + t.width) / 2 + 1;
        if (s_level) return std::abs(s.a.y - t.a.y) < apart && std::min(a.r, b.r) - std::max(a.l, b.l) > -1;
        return std::abs(s.a.x - t.a.x) < apart && std::min(a.b, b.b) - std::max(a.t, b.t) > -1;
    }

    void count_crossings() {
        for (const WireSeen& level : wires_)
            for (const Stroke& l : strokes_of(level)) {
                if (l.a.y != l.b.y) continue;
                for (const WireSeen& upright : wires_)
                    for (const Stroke& u : strokes_of(upright)) {
                        if (u.a.x != u.b.x) continue;
                        const R a = l.box(), b = u.box();
                        if (!(a.l < u.a.x && u.a.x < a.r && b.t < l.a.y && l.a.y < b.b)) continue;
                        ++measure_.crossings;
                        const bool open =
                            std::any_of(level.gaps.begin(), level.gaps.end(), [&](const WireSeen::Gap& g) {
                                return std::abs(g.a.y - l.a.y) < 0.02 &&
                                       std::min(g.a.x, g.b.x) < u.a.x - upright.width / 2 &&
                                       std::max(g.a.x, g.b.x) > u.a.x + upright.width / 2;
                            });
                        if (!open) ++measure_.crossings_without_gap;
                    }
            }
    }

    pugi::xml_document document_;
    std::map<std::string, std::pair<double, bool>> sizes_;
    std::vector<Text> texts_, flags_;
    std::vector<WireSeen> wires_;
    std::vector<SymbolSeen> symbols_;
    std::vector<Stroke> loose_;
    struct Leader {
        std::string wire;
        Stroke line;
    };
    std::vector<Leader> leaders_;
    std::string label_of_; // the wire whose words are read
    Measure measure_;
};

} // namespace

Measure measure(const std::string& svg) { return Reader(svg).run(); }

} // namespace loomproof::draw::test
