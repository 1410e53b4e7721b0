#include "circuit/reader.hpp"

#include "circuit/examples.hpp"
#include "circuit/figures.hpp"

#include "circuit/text_problems.hpp"

#include <algorithm>

namespace loomproof {

namespace {

constexpr std::size_t deepest_use = 16;

constexpr const char* around[] = {"expect", "never",  "accept",  "limit",    "still",  "place",
                                  "use",    "loom",   "vehicle", "complete", "system", "colours",
                                  "colors", "ground", "metal",   "no",       "type",   "bundle"};

bool among(std::span<const char* const> words, const Cursor& c) {
    return std::any_of(words.begin(), words.end(), [&](const char* w) { return c.is(w); });
}

/// Names that people use for a vehicle's metal without having said that it is there.
bool is_a_metal(std::string_view name) {
    return std::ranges::any_of(std::array{"engine", "trailer", "gearbox", "frame"},
                               [&](const char* metal) { return equal_ignoring_case(name, metal); });
}

/// The folder part of a path, with its slash; empty where there is none.
std::string folder_of(const std::string& path) {
    const std::size_t slash = path.rfind('/');
    return slash == std::string::npos ? std::string{} : path.substr(0, slash + 1);
}

/// Does a `use` path leave the folder of the main file?
bool escapes(std::string_view path) {
    if (path.empty() || path[0] == '/' || path.find('\\') != std::string_view::npos ||
        path.find(':') != std::string_view::npos)
        return true;
    while (!path.empty()) {
        const std::size_t slash = path.find('/');
        if (path.substr(0, slash) == "..") return true;
        path.remove_prefix(slash == std::string_view::npos ? path.size() : slash + 1);
    }
    return false;
}

} // namespace

void Reader::problem(const char* id, Span at, std::string headline, std::string cure, std::string label) {
    for (const Span& bad : poisoned_spans_) // what could not be read was reported where it stands
        if (bad.source == at.source && bad.begin <= at.begin && at.begin < bad.end) return;
    out_.findings.push_back(text_problem(id, at, std::move(headline), std::move(cure), std::move(label)));
}

/// Does another line that could not be read whole hold this word, so that it may say what the thing is?
bool Reader::in_a_line_with_a_mistake(std::string_view name, Span at) const {
    const auto part_of_a_name = [](char ch) {
        return ch == '_' || static_cast<unsigned char>(ch) >= 0x80 || (ch >= '0' && ch <= '9') ||
               (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z');
    };
    for (const Finding& f : out_.findings) {
        if (f.cites.empty() || f.rule == "text-name-unknown" || f.severity > Severity::fault) continue;
        const Span bad = f.cites.front().span;
        const Source& source = sources_.at(bad.source);
        const auto next = std::ranges::upper_bound(source.line_begins, bad.begin);
        const std::size_t begin = *std::prev(next), end = next == source.line_begins.end() ? source.text.size() : *next;
        if (bad.source == at.source && at.begin >= begin && at.begin < end) continue;
        const std::string line = lower(std::string_view(source.text).substr(begin, end - begin)), word = lower(name);
        for (std::size_t i = line.find(word); i != std::string::npos; i = line.find(word, i + 1)) {
            const bool whole = (i == 0 || !part_of_a_name(line[i - 1])) &&
                               (i + word.size() == line.size() || !part_of_a_name(line[i + word.size()]));
            if (whole) return true;
        }
    }
    return false;
}

/// "SP" of "SP1", in small letters.
static std::string letters_of(std::string_view name) {
    return lower(name.substr(0, std::min(name.find_first_of("0123456789"), name.size())));
}

/// A line that makes a part of this name, where the name tells the kind: by the letters that its names begin with, or as "pump" and "lamp2"
/// do. Empty where it tells none: a line of any kind would be taken, and the slip would stay as a part that nobody has.
static std::string line_for_name(std::string_view name) {
    const KindSpec* kind = nullptr;
    for (const KindSpec& k : kind_table())
        if (k.keyword && name.size() > letters_of(name).size() && lower(k.letter) == letters_of(name)) {
            kind = &k;
            break;
        }
    if (kind == nullptr) kind = find_kind(letters_of(name));
    if (kind == nullptr || kind->one_of_a_kind) return {};
    const std::string_view example = kind->example;
    const std::string_view line = example.substr(0, std::min(example.find('\n'), example.size()));
    const std::size_t begin = line.find(' ') + 1, end = std::min(line.find_first_of(" ,", begin), line.size());
    std::string rest(line.substr(end));
    if (const std::size_t text = rest.find(" \""); text != std::string::npos) // what the example's own is for
        rest.erase(text, rest.find('"', text + 2) + 1 - text);
    return std::string(line.substr(0, begin)) + std::string(name) + rest;
}

/// Of these names the one that has the letter of the kind in place of the kind's own word: F1 where "FUSE1" or "fuse_1" was typed.
static std::optional<std::string> spelled_out(std::string_view name, const std::vector<std::string>& known) {
    const KindSpec* kind = find_kind(letters_of(name));
    const std::size_t digit = name.find_first_of("0123456789");
    if (kind == nullptr || digit == std::string_view::npos) return std::nullopt;
    const std::string meant = kind->letter + std::string(name.substr(digit));
    const auto at = std::ranges::find_if(known, [&](const std::string& k) { return equal_ignoring_case(k, meant); });
    return at == known.end() ? std::nullopt : std::optional(*at);
}

void Reader::unknown_name(std::string_view name, Span at, Wanted wanted) {
    if (const auto gone = gone_.find(lower(name)); gone != gone_.end()) {
        Finding f = text_problem("text-gone", at, std::string(name) + " is not there any more at this point.",
                                 "Name what is there now, or move this statement up.");
        f.cites.push_back({gone->second, "taken away here"});
        out_.findings.push_back(std::move(f));
        return;
    }
    if (in_a_line_with_a_mistake(name, at) ||
        !unknown_names_.insert(lower(name)).second) { // one slip, one message: mended there, the name is known here
        poisoned_spans_.push_back(at);
        return;
    }
    std::vector<std::string> known;
    for (const auto& [key, id] : parts_) known.push_back(c_.at(id).name);
    for (const auto& [key, ids] : wires_)
        if (c_.at(ids.front()).named) known.push_back(c_.at(ids.front()).name);
    auto near = nearest_name(name, known);
    const auto by_kind = spelled_out(name, known); // "FUSE1" beside F1
    if (by_kind) near = by_kind;
    const std::string example = line_for_name(name), called(name);
    const std::string line =
        wanted == Wanted::a_wire ? "Give the wire that is meant its name, in its own line: wire " + called + " from ..."
        : is_a_metal(name)       ? "Add a line: metal " + lower(name)
        : !example.empty()       ? "Add a line that says what " + called + " is, such as: " + example
                                 : "If it is a part of its own, add a line for it above: what it is, and "
                                   "behind that its name, " +
                                 called + ".";
    const bool same_letters = by_kind || (near && letters_of(*near) == letters_of(name)); // "SP1" is no slip for "S1"
    Finding f =
        text_problem("text-name-unknown", at,
                     "Nothing here is called " + std::string(name) + (same_letters ? "; " + *near + " is near." : "."),
                     same_letters ? "If you mean " + *near + ", type that." : line);
    if (same_letters) f.cures.push_back({line});
    out_.findings.push_back(std::move(f));
}

std::string Reader::line_with(const Item& item, Span at, std::string_view instead) const {
    return loomproof::line_with(sources_, item.span(), at, instead);
}

std::string Reader::as_change_over(const Part& relay) const {
    for (const Attribute& a : relay.attributes)
        if (a.key == Attr::pins && a.span.exists()) return loomproof::line_with(sources_, relay.span, a.span, "5-pin");
    return one_line(sources_.text(relay.span)) + ", 5-pin";
}

std::string Reader::as_converter(const Part& charger) const {
    const std::string line = one_line(sources_.text(charger.span));
    const std::size_t at = lower(line).find("charger");
    return at == std::string::npos ? "converter " + charger.name
                                   : "converter" + line.substr(at + std::string_view("charger").size());
}

std::string Reader::free_name(const KindSpec& kind) const {
    for (std::size_t n = 1;; ++n) {
        std::string name = kind.letter + std::to_string(n);
        if (!parts_.contains(lower(name)) && !wires_.contains(lower(name))) return name;
    }
}

std::optional<PartId> Reader::part_named(std::string_view name) const {
    const auto it = parts_.find(lower(name));
    if (it == parts_.end()) return std::nullopt;
    return it->second;
}

TerminalId Reader::add_terminal(PartId part, Terminal t) {
    const TerminalId id{c_.terminals.size()};
    t.part = part;
    c_.terminals.push_back(std::move(t));
    c_.parts[part.index].terminals.push_back(id);
    return id;
}

PlaceId Reader::place(const std::string& name, Span mentioned) {
    const auto [it, fresh] = places_.try_emplace(lower(name), PlaceId{c_.places.size()});
    if (fresh) c_.places.push_back({name, {}, mentioned.exists() ? Span{} : mentioned});
    return it->second;
}

void Reader::read(const std::string& path, std::string text) {
    c_.revisions.push_back({});
    c_.revisions.front().title = "as found";
    open_files_.push_back(path);
    used_files_.insert(path);
    add_source(path, std::move(text));
    if (c_.has_factory) c_.revisions.front().title = "factory";
    for (const Item& item : items_) head_statement(item);
    for (std::size_t r = 0; r < c_.revisions.size(); ++r) read_revision(static_cast<Revision>(r));
    now_ = c_.last_revision();
    around_statements();
    assume_straps();
    check_names();
    warm_one_another();
    join_boxes();
    expand_all();
    expectations(); // they name conditions, which the parts make when they are expanded
    list_assumptions();
    unread_blocks();
    c_.has_mistakes = !out_.findings.empty();
    std::stable_sort(out_.findings.begin(), out_.findings.end(), [](const Finding& a, const Finding& b) {
        const Span x = a.cites.empty() ? Span{} : a.cites.front().span,
                   y = b.cites.empty() ? Span{} : b.cites.front().span;
        return x.source != y.source ? x.source < y.source : x.begin < y.begin;
    });
}

std::uint32_t Reader::block_of(const Tree& tree, std::uint32_t statement) {
    blocks_read_.insert(&tree.statements[statement]);
    return tree.statements[statement].first_child;
}

/// "lamp E1, 5 W { wire ... }": nothing may be dropped without a word.
void Reader::unread_blocks() {
    const std::size_t reported = out_.findings.size();
    for (const Tree& tree : out_.trees) {
        for (const Statement& statement : tree.statements) {
            if (statement.open == Statement::none || blocks_read_.contains(&statement)) continue;
            const Span whole = tree.span(statement);
            const bool known = std::any_of( // its line, or the block around it, has a mistake that comes first
                out_.findings.begin(), out_.findings.begin() + static_cast<std::ptrdiff_t>(reported),
                [&](const Finding& f) {
                    return std::ranges::any_of(f.cites, [&](const Citation& cite) {
                        return cite.span.source == whole.source && cite.span.begin >= whole.begin &&
                               cite.span.end <= whole.end;
                    });
                });
            const bool within =
                statement.parent != Statement::none && !blocks_read_.contains(&tree.statements[statement.parent]);
            if (known || within) continue;
            problem(
                "text-word-unknown", {whole.source, tree.tokens[statement.open].begin, whole.end},
                "What stands in { } behind this line is not read: it takes no block.",
                "Put each of those lines below it, by itself, and take the { } away; what belongs to the line itself "
                "stands in it, behind a comma.");
        }
    }
}

void Reader::add_source(const std::string& path, std::string text) {
    const std::uint32_t index = sources_.add(path, std::move(text));
    Parsed parsed = parse(sources_, index);
    for (Finding& f : parsed.findings) {
        for (const Citation& cite : f.cites) poisoned_spans_.push_back(cite.span);
        out_.findings.push_back(std::move(f));
    }
    out_.trees.push_back(std::move(parsed.tree));
    lay_out(out_.trees.size() - 1);
}

void Reader::lay_out(std::size_t index) {
    const Tree& tree = out_.trees[index];
    for (std::uint32_t s = tree.first; s != Statement::none; s = tree.statements[s].next) {
        const Statement& statement = tree.statements[s];
        Cursor c(sources_, tree, statement);
        Revision current = c_.last_revision();
        if (c.take("factory")) {
            c_.has_factory = true;
            if (c.take_words("confirmed by") && c.is_text()) c_.factory_confirmed_by = std::string(c.spelled());
            lay_out_block(tree, block_of(tree, s), 0, Provenance::factory);
        } else if (c.is("job")) {
            RevisionInfo info;
            head_of_job(tree, statement, info);
            c_.revisions.push_back(std::move(info));
            lay_out_block(tree, block_of(tree, s), c_.last_revision(), Provenance::job);
        } else if (c.is("use")) {
            use(tree, statement, current, Provenance::found);
        } else {
            // What stands outside blocks behind a job is there now, but no job says since when.
            const bool timeless = among(around, c) && !(c.is("ground") && c.is_mark(':', 1));
            if (!timeless && current > 0 && c_.revisions[current].status != RevisionInfo::Status::base) {
                RevisionInfo info;
                info.title = "not recorded";
                info.span = tree.head(statement);
                c_.revisions.push_back(std::move(info));
                current = c_.last_revision();
            }
            items_.push_back({&tree, s, timeless ? Revision{0} : current, Provenance::found});
        }
    }
}

void Reader::lay_out_block(const Tree& tree, std::uint32_t first, Revision revision, Provenance provenance) {
    for (std::uint32_t s = first; s != Statement::none; s = tree.statements[s].next) {
        Cursor c(sources_, tree, tree.statements[s]);
        if (c.is("use")) {
            use(tree, tree.statements[s], revision, provenance);
        } else if (c.is("why") || c.is("by")) {
            if (revision == 0) {
                problem("text-word-unknown", c.span(), "\"" + std::string(c.spelled()) + "\" belongs in a job.",
                        "Move it into the job it speaks of.");
                continue;
            }
            std::string& target = c.is("why") ? c_.revisions[revision].why : c_.revisions[revision].by;
            ++c.at;
            if (c.is_text())
                target = std::string(c.spelled());
            else
                problem("text-statement-unfinished", c.span(), "The reason is missing.",
                        "Put it in quotes: why \"the old fuse holder ran hot\"");
        } else {
            items_.push_back({&tree, s, revision, provenance});
        }
    }
}

void Reader::head_of_job(const Tree& tree, const Statement& statement, RevisionInfo& info) {
    Cursor c(sources_, tree, statement);
    ++c.at;
    info.status = RevisionInfo::Status::planned;
    info.span = tree.head(statement);
    std::size_t jobs = 0;
    for (const RevisionInfo& r : c_.revisions) jobs += r.letter != 0;
    info.letter = static_cast<char>('A' + std::min<std::size_t>(jobs, 25));
    info.title = "job " + std::string(1, info.letter);
    while (!c.done()) {
        if (c.take_mark(',')) continue;
        if (c.is_text()) {
            info.title = std::string(c.spelled());
            ++c.at;
        } else if (c.take("planned")) {
            info.status = RevisionInfo::Status::planned;
        } else if (c.take("fitted")) {
            info.status = RevisionInfo::Status::fitted;
            if (c.is_word()) {
                info.date = std::string(c.spelled());
                ++c.at;
            }
        } else {
            problem("text-word-unknown", c.span(),
                    "\"" + std::string(c.spelled()) + "\" is not known at the head of a job.",
                    "Type: job \"what it does\" planned { or job \"what it does\" fitted 2026-05-02 {");
            break;
        }
    }
}

void Reader::use(const Tree& tree, const Statement& statement, Revision revision, Provenance provenance) {
    Cursor c(sources_, tree, statement);
    ++c.at;
    const Span at = c.span();
    if (!c.is_text())
        return problem("text-use", at, "The file to use is missing.",
                       "Put its path in quotes: use \"parts/lamps.loom\"");
    const std::string wanted(c.spelled());
    if (escapes(wanted))
        return problem("text-use", at, "\"" + wanted + "\" lies outside the folder of this file.",
                       "Copy it beside this file and name it from here.");
    const std::string path = folder_of(open_files_.front()) + wanted;
    if (std::find(open_files_.begin(), open_files_.end(), path) != open_files_.end())
        return problem("text-use", at, "\"" + wanted + "\" uses itself, directly or through another file.",
                       "Take one of the `use` lines out.");
    if (!used_files_.insert(path).second) return; // read already: each file once
    if (open_files_.size() > deepest_use)
        return problem("text-use", at, "More than 16 files use one another in a row.",
                       "Name the files in the main file.");
    Result<std::string> text =
        loader_ ? loader_(path) : Result<std::string>(failure("No other file can be read here."));
    if (!text)
        return problem("text-use", at, text.error(), "Check the path; it counts from the folder of the main file.");
    if (Result<void> readable = check_readable(path, *text); !readable)
        return problem("text-use", at, readable.error());
    open_files_.push_back(path);
    if (provenance == Provenance::found) {
        add_source(path, std::move(*text));
    } else { // a file used inside a block belongs to that block
        const std::uint32_t index = sources_.add(path, std::move(*text));
        Parsed parsed = parse(sources_, index);
        for (Finding& f : parsed.findings) out_.findings.push_back(std::move(f));
        out_.trees.push_back(std::move(parsed.tree));
        const Tree& used = out_.trees.back();
        lay_out_block(used, used.first, revision, provenance);
    }
    open_files_.pop_back();
}

/// "12 V", "positive ground", "insulated return".
bool Reader::system_clause(Cursor& c) {
    if (const auto volts = read_figure(c, Unit::volts, out_.findings))
        c_.vehicle.system = Volts{volts->value.nominal};
    else if (c.take_words("negative ground") || c.take_words("negative earth"))
        c_.vehicle.positive_ground = false;
    else if (c.take_words("positive ground") || c.take_words("positive earth"))
        c_.vehicle.positive_ground = true;
    else if (c.take_words("insulated return") || c.take_words("no metal"))
        c_.vehicle.no_metal = true;
    else
        return false;
    return true;
}

bool Reader::head_statement(const Item& item) {
    Cursor c = item.cursor(sources_);
    if (c.take("loom")) {
        if (!c.is("1"))
            problem("text-statement-unfinished", c.span(), "This is not version 1 of the language.",
                    "The first line is: loom 1");
        return true;
    }
    if (const bool cable = is_cable_definition(c); cable || c.is("bundle")) {
        ++c.at;
        return bundle_statement(item, c, cable), true;
    }
    if (c.take("type")) return type_statement(item, c), true;
    if (c.take_words("no metal")) return c_.vehicle.no_metal = true;
    if (c.take("complete")) return c_.vehicle.complete = true;
    if (c.take("vehicle")) {
        c_.vehicle.described = true;
        c_.vehicle.span = item.span();
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (c.is_text()) {
                c_.vehicle.text = std::string(c.spelled());
                ++c.at;
            } else if (c.take_words("partly described")) {
                c_.vehicle.described = false;
            } else if (c.take("complete")) { // a line of its own; said here it can mean nothing else
                c_.vehicle.complete = true;
            } else if (system_clause(c)) {
                continue;
            } else {
                const std::uint32_t start = c.at;
                const bool no_metal = c.is("glass") || c.is("fibreglass") || c.is("fiberglass") || c.is("plastic") ||
                                      c.is("wooden") || c.is("GRP");
                c.skip_clause();
                const Span words = c.span_from(start);
                if (no_metal) {
                    problem("text-word-unknown", words,
                            "That nothing can be grounded on its body is a line of its own.",
                            "Take this out, and add the line: no metal");
                    continue;
                }
                problem("text-word-unknown", words, "What the vehicle is stands in quotes.",
                        "Type: " + line_with(item, words, "\"" + std::string(sources_.text(words)) + "\""));
            }
        }
        return true;
    }
    if (c.take("system")) {
        while (!c.done()) {
            if (c.take_mark(',')) continue;
            if (system_clause(c)) continue;
            if (c.is("tap") || c.is("tapped")) {
                problem(
                    "text-word-unknown", c.span(), "A tap is a wire from between two batteries in a row.",
                    "Take this out, and type two batteries of half the volts: battery B1, 12 V, and: battery B2, 12 V; "
                    "then: wire from B1:- to B2:+, and the tap from B2:+");
                break;
            }
            if (looks_like_figure(c)) {
                out_.findings.push_back(figure_problem(c, "Type: system 12 V, negative ground"));
                break;
            } else {
                problem("text-word-unknown", c.span(),
                        "\"" + std::string(c.spelled()) + "\" is not known about the system.",
                        "Type: system 12 V, negative ground");
                break;
            }
        }
        return true;
    }
    if (c.take("colours") || c.take("colors")) {
        if (const auto set = reference::find_colour_set(c.spelled()))
            colours_ = *set;
        else
            problem("text-word-unknown", c.span(),
                    "Nobody's colour letters are called \"" + std::string(c.spelled()) + "\" here.",
                    "Type: colours iec, british, german, japanese or american");
        return true;
    }
    if (c.take("place")) {
        if (!c.is_word() && !c.is_text())
            return problem("text-statement-unfinished", c.span(), "The place has no name.",
                           "Type: place engine-bay, 70 degC"),
                   true;
        const PlaceId id = place(take_place(c, &places_), {}); // "engine bay" too
        Place& p = c_.places[id.index];
        p.span = item.span();
        c.take_mark(',');
        if (c.done()) return true;
        if (const auto t = read_figure(c, Unit::celsius, out_.findings))
            p.temperature = {t->value.how,          Celsius{t->value.nominal},
                             Celsius{t->value.low}, Celsius{t->value.high},
                             t->value.span,         {}};
        else
            out_.findings.push_back(figure_problem(c, "How warm it gets: place engine-bay, 70 degC"));
        return true;
    }
    return false;
}

void Reader::read_revision(Revision revision) {
    now_ = revision;
    const auto first_word = [&](const Item& item, std::span<const char* const> words) {
        return among(words, item.cursor(sources_));
    };
    constexpr const char* head[] = {"loom",   "complete", "vehicle", "system", "colours",
                                    "colors", "place",    "no",      "type",   "bundle"};
    constexpr const char* after[] = {"expect", "never", "accept", "limit"};
    std::vector<const Item*> later;
    for (const Item& item : items_) {
        if (item.revision != revision || first_word(item, head) || first_word(item, after)) continue;
        const Cursor c = item.cursor(sources_);
        if (c.done() || (c.is("still") && c.is("to", 1)) || is_cable_definition(c)) continue;
        if ((c.is("wire") || c.is("existing")) && live_line(item)) continue;
        if (goes_somewhere(item) || !part_statement(item)) later.push_back(&item);
    }
    fill_boxes(revision);
    for (const Item* item : later) {
        Cursor c = item->cursor(sources_);
        Cursor end = c;
        ++end.at;
        if ((c.is("wire") || c.is("cable")) && wire_in_other_signs(*item) && wire_line(*item)) continue;
        if (c.is("wire") || (c.is("cable") && (end.is("from") || begins_with_end(end))))
            wire_statement(*item, c);
        else if (c.take("restraint"))
            mark_restraint(*item, c);
        else if (!job_statement(*item))
            unknown_statement(*item);
    }
}

} // namespace loomproof
