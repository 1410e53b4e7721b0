#include "begin/into.hpp"

#include "base/number.hpp"
#include "base/words.hpp"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/core.h>

namespace loomproof::begin {

namespace {

bool is_letter(char ch) { return (ch >= 'A' && ch <= 'Z') || (ch >= 'a' && ch <= 'z'); }
bool is_digit(char ch) { return ch >= '0' && ch <= '9'; }
bool in_a_name(char ch) { return is_letter(ch) || is_digit(ch) || ch == '_'; }

/// Calls `found` with begin and length of each word such as F1 or SP12 (capitals, then digits); what it gives back stands there instead.
/// Between quotes nothing is a name, unless `quotes` says so.
template <class Found> std::string with_names(const std::string& text, bool quotes, Found found) {
    std::string out;
    bool quoted = false;
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '"') quoted = !quoted;
        if (text[at] == '\n') quoted = false;
        std::size_t end = at;
        while (end < text.size() && in_a_name(text[end])) ++end;
        if (end == at) {
            out += text[at++];
            continue;
        }
        const std::string word = text.substr(at, end - at);
        at = end;
        std::size_t letters = 0;
        while (letters < word.size() && word[letters] >= 'A' && word[letters] <= 'Z') ++letters;
        const bool name = letters > 0 && letters < word.size() &&
                          std::all_of(word.begin() + static_cast<std::ptrdiff_t>(letters), word.end(), is_digit);
        out += name && (!quoted || quotes) ? found(word) : word;
    }
    return out;
}

/// All names that the file has taken, in small letters.
std::set<std::string> names_in(const Circuit& c) {
    std::set<std::string> out;
    for (const Part& p : c.parts) out.insert(lower(p.name));
    for (const Wire& w : c.wires) out.insert(lower(w.name));
    return out;
}

/// "battery, <battery>" or "battery G1 ..., <battery>": the line and the name that wires call it by.
struct OwnBattery {
    std::size_t begin = 0, end = 0;
    std::string name;
};
OwnBattery own_battery(const std::string& text) {
    OwnBattery out;
    out.begin = text.find("\nbattery") + 1;
    out.end = text.find('\n', out.begin) + 1;
    const std::string line = text.substr(out.begin, out.end - out.begin);
    out.name = "battery";
    if (line[7] == ' ') out.name = line.substr(8, line.find_first_of(", \n", 8) - 8);
    return out;
}

std::string replaced(std::string text, const std::string& what, const std::string& with) {
    for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += with.size())
        text.replace(at, what.size(), with);
    return text;
}

bool minus_is_wired(const Circuit& c, const Part& battery) {
    return std::ranges::any_of(c.wires, [&](const Wire& w) {
        return std::ranges::any_of(battery.terminals,
                                   [&](TerminalId t) { return c.at(t).role == Role::minus && (w.a == t || w.b == t); });
    });
}

/// Where the forms put a battery, and a fuse beside it.
constexpr const char* usual_place = "engine-bay";

/// Where the file says that it is; what nobody said is taken for the usual.
std::string place_of(const Circuit& c, const Part& battery) {
    if (!battery.place.exists()) return usual_place;
    const std::string& name = c.at(battery.place).name;
    return name.find(' ') == std::string::npos ? name : '"' + name + '"';
}

/// The fuse at a battery's post, and the wire to it, are where the battery is: a gap stands there instead.
std::string with_place_of_battery(const std::string& text) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
        const std::string line = text.substr(at, end - at);
        const bool beside =
            line.find("<battery>:+") != std::string::npos || line.find("of the battery's post") != std::string::npos;
        out += beside ? replaced(line, std::string("in ") + usual_place, "in <battery place>") : line;
        at = end;
    }
    return out;
}

} // namespace

Result<ForCar> for_car(Form form, const Circuit& c, const std::string& file) {
    if (c.vehicle.system.si < 11 || c.vehicle.system.si > 15)
        return failure(fmt::format("The forms reckon with 12 V, and {} says {}. Its lines have to be typed; loomproof "
                                   "help wire shows how.",
                                   file, text(c.vehicle.system)));
    if (c.vehicle.positive_ground)
        return failure(fmt::format("The forms reckon with minus on the body, and {} says plus. Its lines have to be "
                                   "typed; loomproof help wire shows how.",
                                   file));
    if (c.vehicle.no_metal)
        return failure(
            fmt::format("The forms take the body as the way back, and {} says that it has no metal. Its lines "
                        "have to be typed; loomproof help wire shows how.",
                        file));
    ForCar out;
    // The battery of the form's own goes; where the vehicle has none the form brings it along.
    std::vector<const Part*> batteries;
    for (const Part& p : c.parts)
        if (p.kind == Kind::battery && p.life.at(c.last_revision())) batteries.push_back(&p);
    std::string& text = form.text;
    if (text.starts_with("loom 1\n")) text.erase(0, 7);
    text.insert(0, "\n");
    if (!batteries.empty()) {
        const OwnBattery own = own_battery(text);
        text.erase(own.begin, own.end - own.begin);
        if (minus_is_wired(c, *batteries.front()) || batteries.size() > 1)
            if (const std::size_t ground = text.find("\nwire from " + own.name + ":- to ground");
                ground != std::string::npos)
                text.erase(ground + 1, text.find('\n', ground + 1) - ground);
        text = replaced(text, " " + own.name + ":", " <battery>:");
        // What the file says of the way home is not asked again; else the battery that feeds it is meant.
        if (std::ranges::all_of(batteries, [&](const Part* p) { return minus_is_wired(c, *p); }))
            std::erase_if(form.later,
                          [](const Said& later) { return later.text.find("battery:-") != std::string::npos; });
        for (Said& later : form.later) later.text = replaced(later.text, "battery:-", "<battery>:-");
        const bool elsewhere = std::ranges::any_of(
            batteries, [&](const Part* p) { return p->place.exists() && place_of(c, *p) != usual_place; });
        if (elsewhere) text = with_place_of_battery(text);
        const auto asked = std::ranges::find(form.asks, "battery", &Ask::id);
        const auto called = [](const Part& p) {
            return p.label.empty() ? p.name : fmt::format("{} \"{}\"", p.name, p.label);
        };
        if (batteries.size() == 1) {
            out.said["battery"] = batteries.front()->name;
            if (elsewhere) text = replaced(text, "<battery place>", place_of(c, *batteries.front()));
            out.notes.push_back(fmt::format("The battery is the one in {}: {}.", file, called(*batteries.front())));
        } else if (asked != form.asks.end()) {
            Ask which;
            which.id = "battery";
            which.takes = Ask::Takes::option;
            which.say = fmt::format("{} has {} batteries. Which one shall feed it?", file, batteries.size());
            which.help = "The one that is nearest to it, or that shall run flat first: what starts the engine is best "
                         "spared. The fuse sits at the post of this battery.";
            which.unknown = batteries.front()->name;
            which.measure = fmt::format("which battery feeds it: {} was taken", batteries.front()->name);
            for (const Part* p : batteries)
                which.options.push_back({p->name, called(*p), {lower(p->label)}, {{"battery place", place_of(c, *p)}}});
            *asked = which;
        }
    }
    // Names that the file has already get the next number.
    std::set<std::string> taken = names_in(c);
    std::set<std::string> mine;
    const auto note = [&](const std::string& word) {
        mine.insert(lower(word));
        return word;
    };
    (void)with_names(text, false, note);
    for (const Ask& ask : form.asks)
        for (const Option& option : ask.options)
            for (const auto& [name, value] : option.sets) (void)with_names(value, false, note);
    std::map<std::string, std::string> becomes;
    std::vector<std::string> said;
    const auto renamed = [&](const std::string& word) {
        if (const auto known = becomes.find(word); known != becomes.end()) return known->second;
        if (!mine.contains(lower(word))) return word;
        const std::size_t digits = word.find_first_of("0123456789");
        std::string name = word;
        for (int n = std::stoi(word.substr(digits)); taken.contains(lower(name)); ++n)
            name = word.substr(0, digits) + std::to_string(n);
        taken.insert(lower(name));
        if (name != word) said.push_back(fmt::format("{} is {}", word, name));
        return becomes[word] = name;
    };
    text = with_names(text, false, renamed);
    for (Ask& ask : form.asks) {
        for (Option& option : ask.options)
            for (auto& [name, value] : option.sets) value = with_names(value, false, renamed);
        ask.help = with_names(ask.help, true, renamed);
        ask.measure = with_names(ask.measure, true, renamed);
    }
    for (Said& later : form.later) later.text = with_names(later.text, true, renamed);
    if (!said.empty())
        out.notes.push_back(fmt::format("Names that {} has already get the next number: {}.", file, list_of(said)));
    text.erase(0, text.find_first_not_of('\n'));
    if (c.revisions.size() > 1) {
        text = fmt::format("job \"{}\" planned {{\n{}}}\n", form.title.substr(0, form.title.find(" (")), text);
        out.notes.push_back(fmt::format("{} has jobs already: this becomes one more, planned.", file));
    }
    out.form = std::move(form);
    return out;
}

} // namespace loomproof::begin
