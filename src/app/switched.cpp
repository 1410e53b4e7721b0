#include "app/switched.hpp"

#include "app/as_it_is.hpp"
#include "app/circuit_file.hpp"
#include "app/typed_name.hpp"
#include "base/number.hpp"
#include "base/words.hpp"
#include "circuit/graph.hpp"
#include "circuit/wishes.hpp"
#include "report/columns.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <string_view>
#include <vector>

namespace loomproof::app {

namespace {

/// "hot" is "S1 hot" where S1 alone can be that; "ignition" and "ignition off" say whether "ignition on" holds. All else stays.
std::string in_full(const Circuit& circuit, const std::string& said) {
    if (said.empty() || equal_ignoring_case(said, "engine")) return said;
    std::vector<std::string> found;
    const auto add = [&](std::string text) {
        if (std::ranges::find(found, text) == found.end()) found.push_back(std::move(text));
    };
    for (const Control& control : circuit.controls) {
        if (control.type == Control::Type::condition) {
            if (equal_ignoring_case(control.name, said + " on")) add('"' + control.name + '"');
            for (const std::string_view negated : {" off", " no"}) {
                if (said.size() <= negated.size() ||
                    !equal_ignoring_case(std::string_view(said).substr(said.size() - negated.size()), negated))
                    continue;
                const std::string what = said.substr(0, said.size() - negated.size());
                if (equal_ignoring_case(control.name, what + " on") || equal_ignoring_case(control.name, what))
                    add('"' + control.name + "\" no");
            }
            continue;
        }
        if (control.type == Control::Type::relay || control.type == Control::Type::engine || !control.part.exists())
            continue;
        const std::string name = name_of(circuit, control.part);
        if (equal_ignoring_case(name, said)) return said;
        for (const std::string& position : control.positions)
            if (equal_ignoring_case(position, said))
                add(name + (control.name.empty() ? "" : " " + control.name) + ' ' + position);
    }
    return found.size() == 1 ? found.front() : said;
}

/// "main beam on, S1 on", "main beam on and S1 on": outside conditions named without quotes of their own get them (the shell has
/// eaten those that were typed). The longest condition that fits between two commas or ands wins.
std::string with_conditions_quoted(const Circuit& circuit, std::string_view text) {
    const auto is_condition = [&](std::string_view words) {
        return std::any_of(circuit.controls.begin(), circuit.controls.end(), [&](const Control& c) {
            return c.type == Control::Type::condition && equal_ignoring_case(c.name, words);
        });
    };
    // Pieces between commas and ands outside quotes.
    struct Piece {
        std::string text;
        bool behind_and = false;
    };
    std::vector<Piece> pieces(1);
    constexpr std::string_view and_ = " and ";
    bool inside = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '"') inside = !inside;
        if (!inside && text[i] == ',') {
            pieces.emplace_back();
        } else if (!inside && text.substr(i, and_.size()) == and_) {
            pieces.push_back({{}, true});
            i += and_.size() - 1;
        } else {
            pieces.back().text += text[i];
        }
    }
    for (Piece& piece : pieces) {
        piece.text.erase(piece.text.find_last_not_of(' ') + 1);
        piece.text.erase(0, piece.text.find_first_not_of(' '));
    }
    std::string quoted;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        std::string said = pieces[i].text, longest;
        std::size_t last = i;
        std::string together = said;
        for (std::size_t k = i;; together += std::string(and_) + pieces[k].text) {
            if (is_condition(together)) {
                longest = together;
                last = k;
            }
            if (++k == pieces.size() || !pieces[k].behind_and) break;
        }
        if (!longest.empty())
            said = '"' + longest + '"';
        else if (said.find('"') == std::string::npos)
            said = in_full(circuit, said);
        i = last;
        quoted += (quoted.empty() || said.empty() ? "" : ", ") + said;
    }
    return quoted;
}

/// "S1 run, S1 off" would leave no position: the first switch that is asked to stand in two ways at once, and how.
std::string contradiction(const Circuit& circuit, const Wish& wish) {
    std::map<std::uint32_t, std::uint64_t> left;
    for (const Wish::At& at : wish.at) {
        const auto [known, fresh] = left.try_emplace(at.control.index, at.positions);
        if (!fresh) known->second &= at.positions;
        if (known->second != 0) continue;
        const Control& control = circuit.at(at.control);
        const std::string name =
            control.type == Control::Type::condition ? '"' + control.name + '"' : name_of(circuit, control.part);
        return fmt::format("{} cannot stand in two positions at once: name one of them.", name);
    }
    return {};
}

/// "It can say: S1 off, accessory or run; S5 off or on; "main beam on"; engine running or stopped."
std::string what_can_be_said(const Circuit& circuit) {
    std::vector<std::string> all;
    for (std::size_t i = 0; i < circuit.controls.size(); ++i) {
        const Control& control = circuit.controls[i];
        if (control.type == Control::Type::relay || control.type == Control::Type::engine || !control.part.exists())
            continue;
        std::string said =
            control.type == Control::Type::condition ? '"' + control.name + '"' : name_of(circuit, control.part);
        if (control.type != Control::Type::condition) {
            if (!control.name.empty()) said += " " + control.name;
            for (std::size_t at = 0; at < control.positions.size(); ++at)
                said += (at == 0 ? " " : at + 1 == control.positions.size() ? " or " : ", ") + control.positions[at];
        }
        if (std::ranges::find(all, said) == all.end()) all.push_back(said);
    }
    std::string engine = "engine running or stopped";
    if (circuit.engine) {
        engine = "engine";
        for (const std::string& at : circuit.at(circuit.engine->control).positions)
            engine += (engine == "engine" ? " " : " or ") + at;
    }
    all.push_back(engine);
    std::string out;
    for (const std::string& said : all) out += (out.empty() ? "" : "; ") + said;
    return "--when can say: " + out + ".";
}

} // namespace

std::optional<Switched> read_switched(const Given& given, Sources& sources, const Console& console) {
    const std::string file = given.value("FILE");
    std::optional<Reading> reading = read(file, sources, console);
    if (!reading) return std::nullopt;
    if (!reading->findings.empty())
        console.say(
            fmt::format("The file has {}; what stands in those lines is in no figure. loomproof check {} shows them.",
                        counted(reading->findings.size(), "mistake"), typed_name(file)));
    Switched asked{std::move(*reading), {}};
    if (!given.has("--when")) return asked;
    Result<Wish> wish =
        read_wish(asked.reading.circuit, with_conditions_quoted(asked.reading.circuit, given.value("--when")));
    if (!wish) {
        console.say(wish.error() + " " + what_can_be_said(asked.reading.circuit));
        return std::nullopt;
    }
    if (const std::string problem = contradiction(asked.reading.circuit, *wish); !problem.empty()) {
        console.say(problem);
        return std::nullopt;
    }
    asked.wish = std::move(*wish);
    return asked;
}

bool names_what_is_planned(const View& view, const Wish& wish, const Console& console) {
    const Circuit& c = view.circuit();
    for (const Wish::At& at : wish.at) {
        const Control& control = c.at(at.control);
        // One condition may make several things live: enough that one of them is there.
        const bool elsewhere = std::ranges::any_of(wish.at, [&](const Wish::At& other) {
            const Control& o = c.at(other.control);
            return control.type == Control::Type::condition && o.type == control.type &&
                   equal_ignoring_case(o.name, control.name) && o.part.exists() && view.alive(o.part);
        });
        if (!control.part.exists() || elsewhere) continue;
        if (const std::string planned = still_planned(view, control.part); !planned.empty()) {
            console.say(planned);
            return true;
        }
    }
    return false;
}

std::string plan_remark(const View& view) {
    const std::string text = left_out(view, "not in these figures");
    std::string out;
    if (!text.empty())
        for (const std::string& line : report::wrap(text, 60, 60)) out += line + "\n";
    return out.empty() ? out : out + "\n";
}

std::optional<PartId> part_called(const View& view, const std::string& name, const Console& console) {
    std::vector<std::string> names;
    for (PartId p : view.parts()) {
        if (equal_ignoring_case(name_of(view.circuit(), p), name)) return p;
        names.push_back(name_of(view.circuit(), p));
    }
    for (std::size_t i = 0; i < view.circuit().parts.size(); ++i) {
        if (!equal_ignoring_case(name_of(view.circuit(), PartId{i}), name)) continue;
        if (const std::string planned = still_planned(view, PartId{i}); !planned.empty()) {
            console.say(planned);
            return std::nullopt;
        }
    }
    const auto near = nearest_name(name, names);
    console.say(fmt::format("Nothing here is called {}{}", name, near ? "; " + *near + " is near." : "."));
    return std::nullopt;
}

namespace {

/// "battery +", "battery+", "K1 87" as a file has it, battery:+; what names a part, or no part before its last word or sign, stays as it is.
std::string with_colon(const View& view, const std::string& typed) {
    const auto is_part = [&](std::string_view name) {
        return std::ranges::any_of(view.parts(),
                                   [&](PartId p) { return equal_ignoring_case(name_of(view.circuit(), p), name); });
    };
    if (typed.find(':') != std::string::npos || is_part(typed)) return typed;
    std::size_t at = typed.find_last_of(' ');
    if (at == std::string::npos && (typed.ends_with('+') || typed.ends_with('-'))) at = typed.size() - 1;
    if (at == std::string::npos || !is_part(trimmed(typed.substr(0, at)))) return typed;
    return std::string(trimmed(typed.substr(0, at))) + ':' + std::string(trimmed(typed.substr(at)));
}

/// Which of these ends reach the ground over wires, joints and contacts alone, past no load and no source?
std::vector<bool> grounded_ends(const View& view, const std::vector<TerminalId>& ends) {
    const Circuit& c = view.circuit();
    const Graph graph(view);
    const Role pole = view.ground_pole();
    std::vector<bool> grounded;
    for (TerminalId end : ends) {
        const Reach reach = graph.walk(
            std::vector{end},
            [&](EdgeRef e, TerminalId) {
                if (e.is_wire()) return true;
                const Element element = c.at(e.primitive).element;
                return element == Element::joint || element == Element::contact || element == Element::protector;
            },
            [](EdgeRef) { return 1.0; });
        grounded.push_back(std::ranges::any_of(reach.in_order(), [&](TerminalId t) {
            const Kind kind = c.part_of(t).kind;
            return kind == Kind::metal || kind == Kind::ground || (kind == Kind::battery && c.at(t).role == pole);
        }));
    }
    return grounded;
}

} // namespace

std::optional<TerminalId> terminal_called(const View& view, const std::string& typed, const Console& console) {
    const Circuit& c = view.circuit();
    const std::string name = with_colon(view, typed);
    for (PartId p : view.parts())
        for (TerminalId t : c.at(p).terminals)
            if (!c.at(t).internal && equal_ignoring_case(name_of(c, t), name)) return t;
    const std::size_t colon = name.find(':');
    const std::optional<PartId> part = part_called(view, name.substr(0, colon), console);
    if (!part) return std::nullopt;
    std::vector<std::string> there;
    std::vector<TerminalId> ends;
    for (TerminalId t : c.at(*part).terminals) {
        if (c.at(t).internal) continue;
        if (colon == std::string::npos) return t;
        if (there.empty() || there.back() != name_of(c, t)) there.push_back(name_of(c, t));
        ends.push_back(t);
    }
    const std::string stamp = name.substr(colon + 1);
    if (const bool plus = stamp == "+"; (plus || stamp == "-") && ends.size() > 1) {
        const std::vector<bool> grounded = grounded_ends(view, ends);
        std::vector<TerminalId> meant;
        for (std::size_t i = 0; i < ends.size(); ++i)
            if (grounded[i] != plus) meant.push_back(ends[i]);
        if (meant.size() == 1) return meant.front();
    }
    console.say(fmt::format("{} has no terminal of that name; there is {}.", name_of(c, *part), list_of(there)));
    return std::nullopt;
}

} // namespace loomproof::app
