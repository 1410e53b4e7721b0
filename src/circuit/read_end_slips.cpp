/// A wire end that names nothing which is there: what was meant, and the line as it should be typed.

#include "base/number.hpp"
#include "circuit/figures.hpp"
#include "circuit/reader.hpp"
#include "circuit/text_problems.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <vector>

namespace loomproof {

namespace {

/// What people call the body, and what they type when they mean to type that.
bool stands_for_ground(std::string_view typed) {
    static constexpr std::array<std::string_view, 15> words{"body", "frame",   "bodywork",  "minus",  "negative",
                                                            "neg",  "mass",    "grounding", "earth",  "earthing",
                                                            "car",  "vehicle", "shell",     "ground", "return"};
    return std::ranges::any_of(words, [&](std::string_view w) { return equal_ignoring_case(w, typed); });
}
bool nearly_ground(std::string_view typed) {
    const std::vector<std::string> words{"ground", "earth", "chassis"};
    return typed.size() >= 4 && nearest_name(typed, words).has_value();
}

} // namespace

/// Sheet metal and bolts of a vehicle, as people name the place of a ground.
static bool is_of_the_body(std::string_view word) {
    static constexpr std::array<std::string_view, 30> words{
        "wing",  "fender",  "bulkhead", "firewall", "sill",  "floor",       "pillar", "panel",  "bolt",   "bracket",
        "frame", "chassis", "trunk",    "boot",     "rail",  "crossmember", "door",   "bonnet", "hood",   "tailgate",
        "body",  "shell",   "scuttle",  "roof",     "apron", "subframe",    "stud",   "screw",  "member", "arch"};
    return std::ranges::any_of(words, [&](std::string_view w) { return equal_ignoring_case(w, word); });
}

/// "to left wing": a place on the metal of the vehicle, which a ground of its own stands for. Moves behind it.
bool Reader::ground_by_its_place(Cursor& c, const Item& item, bool from) {
    Cursor end = c;
    bool body = false;
    while (end.is_word() && !end.is("to") && !end.is("through") && !looks_like_figure(end)) {
        body = body || is_of_the_body(end.spelled());
        ++end.at;
    }
    if (!body || from || end.at == c.at || (end.at == c.at + 1 && stands_for_ground(c.spelled()))) return false;
    const Span at = end.span_from(c.at);
    const std::string place = one_line(sources_.text(at));
    std::string name;
    for (int n = 1; name.empty(); ++n)
        if (const std::string free = "GND" + std::to_string(n); !parts_.contains(lower(free))) name = free;
    Finding f = text_problem(
        "text-name-unknown", at, "Nothing here is called " + place + "; a place on bare metal is a ground.",
        "Add a line above: ground " + name + " \"" + place + "\"; and type: " + line_with(item, at, name));
    out_.findings.push_back(std::move(f));
    c.at = end.at;
    return true;
}

End Reader::unknown_end(Cursor& c, const Item& item, bool from) {
    const End end{{}, c.span(), false};
    const std::string typed(c.spelled());
    const std::uint32_t start = c.at;
    // "K1-30", "K1.30": a part and its terminal with another sign between.
    const std::size_t sign = typed.find_last_of("-._");
    const auto part = sign == std::string::npos ? std::nullopt : part_named(typed.substr(0, sign));
    const bool any = part && (c_.at(*part).kind == Kind::bus || c_.at(*part).kind == Kind::not_known ||
                              c_.at(*part).kind == Kind::connector);
    if (part && !any && find_terminal(*part, typed.substr(sign + 1))) {
        const std::string meant = c_.at(*part).name + ":" + typed.substr(sign + 1);
        problem("text-name-unknown", c.span(),
                "Nothing here is called " + typed + "; terminal " + typed.substr(sign + 1) + " of " +
                    c_.at(*part).name + " is written " + meant + ".",
                "Type: " + line_with(item, c.span(), meant));
        ++c.at;
        return skip_end(c), end;
    }
    // "fog lamps" where the name was put together of two words, and that was said.
    for (std::uint32_t words : {3u, 2u}) {
        std::string name;
        for (std::uint32_t i = 0; i < words; ++i) name += (i == 0 ? "" : "-") + std::string(c.spelled(i));
        if (const auto long_name = part_named(name); long_name && c.left() >= words) {
            c.at += words;
            return end_at_part(c, item, *long_name, c.span_from(start), from);
        }
    }
    if (ground_by_its_place(c, item, from)) return skip_end(c), end;
    const KindSpec* kind = find_kind(typed);
    if (const std::string name(c.spelled(1));
        kind && c.is_word(1) && name.find_first_of("0123456789") != std::string::npos &&
        std::isalpha(static_cast<unsigned char>(name[0])) != 0) { // "to splice SP1"
        c.at += 2;
        const Span at = c.span_from(start);
        Finding f =
            text_problem("text-word-unknown", at,
                         "At the end of a wire stands the name alone; what " + name + " is has a line of its own.",
                         "Type: " + line_with(item, at, name));
        if (!part_named(name)) f.cures.push_back({"Add a line above: " + std::string(kind->keyword) + " " + name});
        out_.findings.push_back(std::move(f));
        return skip_end(c), end;
    }
    // "fuse" or "fuse 1": the kind, but not which.
    std::vector<std::string> there;
    for (const auto& [name, id] : parts_)
        if (kind && c_.at(id).kind == kind->kind) there.push_back(c_.at(id).name);
    if (there.empty()) {
        std::vector<std::string> names;
        for (const auto& [name, id] : parts_) names.push_back(c_.at(id).name);
        const bool body = stands_for_ground(typed);
        if (body || (!kind && nearly_ground(typed) && !nearest_name(typed, names))) {
            // "to gruond", "to the frame": the body. A part of that name is what nobody meant.
            Finding f = text_problem("text-name-unknown", c.span(),
                                     "Nothing here is called " + typed +
                                         (body ? "; the vehicle's body is called ground." : "; ground is near."),
                                     "Type: " + line_with(item, c.span(), "ground"));
            if (equal_ignoring_case(typed, "frame"))
                f.cures.push_back({"If it is a metal of its own, with a strap to the body, add a line: metal frame"});
            if (equal_ignoring_case(typed, "minus") || equal_ignoring_case(typed, "negative") ||
                equal_ignoring_case(typed, "neg"))
                f.cures.push_back({"If the battery's own post is meant: " + line_with(item, c.span(), "battery:-")});
            out_.findings.push_back(std::move(f));
        } else {
            unknown_name(typed, c.span());
        }
        ++c.at;
        return skip_end(c), end;
    }
    ++c.at;
    const std::string number = c.is_word() && !c.is("to") && !c.is("through") ? std::string(c.spelled()) : "";
    std::vector<std::string> fit;
    for (const std::string& name : there)
        if (there.size() == 1 || (!number.empty() && name.ends_with(number))) fit.push_back(name);
    const bool is_stamp = fit.size() == 1 && !number.empty() && !fit.front().ends_with(number);
    if (fit.size() == 1 && !number.empty()) ++c.at;
    const Span at = c.span_from(start);
    if (is_stamp) { // "relay 30": the terminal of the only relay
        if (const auto only = part_named(fit.front()); only && find_terminal(*only, number)) {
            problem("text-name-unknown", at,
                    "Which " + std::string(kind->title) + " this is, is not said; it is called " + fit.front() + ".",
                    "Type: " + line_with(item, at, fit.front() + ":" + number));
            return skip_end(c), end;
        }
    }
    const std::string known = fit.size() == 1 ? "it is called " + fit.front() : "there are " + list_of(there);
    problem("text-name-unknown", at, "Which " + std::string(kind->title) + " this is, is not said; " + known + ".",
            (fit.size() == 1 ? "Type: " : "Type, with the right one: ") +
                line_with(item, at, fit.empty() ? there.front() : fit.front()));
    skip_end(c);
    return end;
}

} // namespace loomproof
