#include "support/scenario/mistakes.hpp"

#include "support/scenario/set_pieces.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <utility>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

using Words = std::vector<std::string>;

class Finder {
  public:
    Finder(const Plan& plan, std::size_t limit) : plan_(plan), limit_(limit) {}

    std::vector<Mistake> run() {
        for (const MistakeKind kind : all_mistakes()) { of_kind(kind); }
        for (Mistake& piece : set_pieces(plan_)) { found_.push_back(std::move(piece)); }
        return std::move(found_);
    }

  private:
    const Part& part(int id) const { return plan_.parts[static_cast<std::size_t>(id)]; }
    const Wire& wire(int id) const { return plan_.wires[static_cast<std::size_t>(id)]; }
    const Statement& statement(int id) const { return plan_.statements[static_cast<std::size_t>(id)]; }
    bool is(const End& e, std::string_view keyword) const { return e.part >= 0 && part(e.part).keyword == keyword; }
    bool protects(const End& e) const { return is(e, "fuse") || is(e, "breaker"); }

    // The wire is what its statement says: no job has cut or moved it.
    bool plain(const Wire& w) const {
        if (!w.alive || w.statement < 0) { return false; }
        Statement s = plan_.written(w);
        const Statement& now = statement(w.statement);
        return s.head == now.head && s.clauses == now.clauses;
    }

    bool full() const {
        return static_cast<std::size_t>(std::count_if(found_.begin(), found_.end(),
                                                      [&](const Mistake& m) { return m.kind == kind_; })) >= limit_;
    }

    void add(const char* rule, std::vector<Edit> edits, std::vector<int> cites, Words follows = {},
             const char* or_rule = "") {
        found_.push_back({kind_, rule, or_rule, std::move(edits), std::move(cites), std::move(follows)});
    }
    Edit replace(int index, Statement text) const {
        const Statement& old = statement(index);
        text.block = old.block;
        text.fixed = old.fixed;
        return {Edit::What::replace, index, std::move(text)};
    }
    Edit rewire(const Wire& w) const { return replace(w.statement, plan_.written(w)); }
    static Edit remove(int index) { return {Edit::What::remove, index, {}}; }
    Edit insert(int behind, std::string head, Words clauses) const {
        Statement s;
        s.block = statement(behind).block;
        s.head = std::move(head);
        s.clauses = std::move(clauses);
        s.after = behind;
        return {Edit::What::insert, behind, std::move(s)};
    }
    /// What else speaks where a feed runs into ground, or into more than was meant.
    static Words of_a_short(Words more = {}) {
        for (const char* rule : {"short-circuit", "fuse-near-limit", "start-opens-fuse", "part-overloaded",
                                 "wire-overloaded", "voltage-drop"})
            more.emplace_back(rule);
        return more;
    }
    static End renamed(const End& e, std::string text) { return {-1, {}, std::move(text), e.node}; }
    std::string terminal(int id, const char* stamp) const { return fmt::format("{}:{}", part(id).name, stamp); }

    void of_kind(MistakeKind kind) {
        kind_ = kind;
        switch (kind) {
        case MistakeKind::battery_ground_removed: return battery_ground();
        case MistakeKind::cut_end_live: return cut_ends();
        case MistakeKind::part_not_wired: return loose_part();
        case MistakeKind::twin_colours: return twins();
        case MistakeKind::stale_accept: return stale();
        case MistakeKind::clamp_diode_turned: return clamps();
        case MistakeKind::coil_contact_exchanged:
        case MistakeKind::relay_diode_turned:
        case MistakeKind::terminal_doubled:
        case MistakeKind::terminal_open:
        case MistakeKind::trigger_pulsed:
        case MistakeKind::contact_too_weak:
            for (const RelayPlan& r : plan_.relays) {
                if (!full()) { at_relay(r); }
            }
            return;
        case MistakeKind::fuse_too_large:
        case MistakeKind::link_too_large:
        case MistakeKind::holder_too_weak:
            for (std::size_t i = 0; i < plan_.parts.size(); ++i) {
                if (!full() && plan_.parts[i].alive) { at_fuse(static_cast<int>(i)); }
            }
            return;
        default:
            for (const Wire& w : plan_.wires) {
                if (!full() && plain(w)) { at_wire(w); }
            }
        }
    }

    const Wire* wire_from(int node) const {
        const auto found = std::find_if(plan_.wires.begin(), plan_.wires.end(),
                                        [&](const Wire& w) { return w.alive && w.a.node == node; });
        return found == plan_.wires.end() ? nullptr : &*found;
    }
    const Wire* wire_to(int node) const {
        const auto found = std::find_if(plan_.wires.begin(), plan_.wires.end(),
                                        [&](const Wire& w) { return w.alive && w.b.node == node; });
        return found == plan_.wires.end() ? nullptr : &*found;
    }

    void at_wire(const Wire& w) {
        switch (kind_) {
        case MistakeKind::fuse_bypassed: return bypass(w);
        case MistakeKind::fuse_at_far_end: return far_end(w);
        case MistakeKind::wire_too_thin: return thin(w);
        case MistakeKind::ground_removed: return no_ground(w);
        case MistakeKind::screen_loop: return screen(w);
        case MistakeKind::hole_beyond_plug: return hole(w);
        case MistakeKind::polarity_reversed: return reversed(w);
        case MistakeKind::fuse_in_ground: return ground_fuse(w);
        case MistakeKind::cool_insulation: return cool(w);
        case MistakeKind::diode_on_the_lamp: return lamp_diode(w);
        case MistakeKind::colour_changed: return colour(w);
        default: return;
        }
    }

    static bool bare_lead(const Wire& w) {
        return w.purpose == Purpose::lead && !w.unprotected.empty() &&
               std::find(w.more.begin(), w.more.end(), "starter cable") == w.more.end();
    }

    void bypass(const Wire& lead) {
        if (!bare_lead(lead) || !protects(lead.b)) { return; }
        const Wire* behind = wire_from(plan_.end(lead.b.part, "2").node);
        if (behind == nullptr || !behind->through.empty() || !(is(behind->b, "splice") || is(behind->b, "bus")) ||
            !plain(*behind)) {
            return;
        }
        Wire added = lead;
        added.b = behind->b;
        added.lengths = {1.5};
        added.how.clear();
        added.more.clear();
        added.named = false;
        const Statement s = plan_.written(added);
        const bool two = plan_.seen("second battery");
        add("unfused-feed", {insert(lead.statement, s.head, s.clauses)}, {},
            {"fuse-above-wire", "double-fed", "link-too-large"}, two ? "one-end-protected" : "");
    }

    void far_end(const Wire& lead) {
        if (!bare_lead(lead) || !(protects(lead.b) || is(lead.b, "link"))) { return; }
        if (plan_.seen("accept")) {
            return; // the lead may be the one that is accepted
        }
        Wire longer = lead;
        longer.lengths = {1.2};
        longer.how.clear();
        std::erase(longer.more, "sleeved");
        const bool between = plan_.joins.contains(lead.b.part);
        add("unfused-feed", {rewire(longer)}, {lead.statement}, {"voltage-drop"}, between ? "one-end-protected" : "");
    }

    void thin(const Wire& w) {
        const Size& thinnest = sizes(w.size->family).front();
        if ((w.purpose != Purpose::feed && w.purpose != Purpose::trunk) || !std::isfinite(w.protection) ||
            w.protection < thinnest.carries * 1.6) {
            return;
        }
        Wire thin = w;
        thin.size = &thinnest;
        add(w.behind_link ? "link-too-large" : "fuse-above-wire", {rewire(thin)}, {w.statement},
            {"voltage-drop", "wire-overloaded", "plug-hole-conflict"});
    }

    void no_ground(const Wire& w) {
        const bool to_ground = w.b.text == "ground" || is(w.b, "ground");
        const bool of_load = w.a.part >= 0 && std::any_of(plan_.loads.begin(), plan_.loads.end(),
                                                          [&](const Load& l) { return l.part == w.a.part; });
        if (!plan_.complete || w.purpose != Purpose::back || !to_ground || !of_load) { return; }
        add("ground-missing", {remove(w.statement)}, {part(w.a.part).statement},
            {"terminal-not-wired", "part-not-wired", "never-powered", "back-feed"});
    }

    void screen(const Wire& w) {
        if (w.purpose != Purpose::screen) { return; }
        Wire closed = w;
        closed.b = renamed(w.b, "ground");
        add("ground-loop", {rewire(closed)}, {w.statement});
    }

    void hole(const Wire& w) {
        if (w.through.empty() || !plain_edges(w)) { return; }
        Wire beyond = w;
        beyond.through.front() = renamed(w.through.front(), terminal(w.through.front().part, "99"));
        add("plug-hole-conflict", {rewire(beyond)}, {w.statement}, {"terminal-not-wired", "ground-missing"});
    }

    void reversed(const Wire& feed) {
        const bool polar = is(feed.b, "led") || is(feed.b, "electronics") || is(feed.b, "motor");
        if (!polar || !part(feed.b.part).nodes.contains("+") || feed.b.part == feed.a.part ||
            feed.purpose != Purpose::feed) {
            return;
        }
        const Statement& s = statement(part(feed.b.part).statement);
        const std::string other = feed.b.stamp == "+" ? "-" : "+";
        const Wire* back = wire_from(plan_.end(feed.b.part, other).node);
        if (back == nullptr || !plain(*back) ||
            std::find(s.clauses.begin(), s.clauses.end(), "reversible") != s.clauses.end()) {
            return;
        }
        Wire wrong_feed = feed, wrong_back = *back;
        wrong_feed.b = renamed(feed.b, terminal(feed.b.part, other.c_str()));
        wrong_back.a = renamed(back->a, terminal(feed.b.part, feed.b.stamp.c_str()));
        add("reversed-polarity", {rewire(wrong_feed), rewire(wrong_back)},
            {feed.statement, back->statement, part(feed.b.part).statement});
    }

    void ground_fuse(const Wire& w) {
        const bool to_ground = w.b.text == "ground" || is(w.b, "ground");
        if (w.purpose != Purpose::back || !to_ground || !w.through.empty() || w.a.part < 0) { return; }
        Wire before = w, behind = w;
        before.b = renamed(w.b, "F900:1");
        before.named = w.named;
        behind.a = renamed(w.a, "F900:2");
        behind.named = false;
        const Statement s = plan_.written(behind);
        Edit fuse = insert(w.statement, "fuse F900", {"10 A"});
        Edit rest = insert(w.statement, s.head, s.clauses);
        add("ground-fused", {rewire(before), std::move(fuse), std::move(rest)}, {w.statement}, {"ground-missing"});
    }

    void cool(const Wire& w) {
        if (w.place != "engine-bay" || w.purpose == Purpose::lead) { return; }
        Wire cool = w;
        static constexpr std::array<std::string_view, 4> insulations = {"GXL", "TXL", "SXL", "FLRY"};
        std::erase_if(cool.more, [](const std::string& m) {
            return std::find(insulations.begin(), insulations.end(), m) != insulations.end();
        });
        cool.more.emplace_back("GPT");
        add("insulation-class", {rewire(cool)}, {w.statement},
            {"fuse-above-wire", "wire-overloaded", "ground-undersized"});
    }

    void colour(const Wire& w) {
        const int block = statement(w.statement).block;
        const bool of_a_job = block >= 0 && plan_.blocks[static_cast<std::size_t>(block)].head.starts_with("job");
        if (!of_a_job || (w.purpose != Purpose::feed && w.purpose != Purpose::trigger) || !w.through.empty() ||
            w.colours.size() != 1 || w.lengths.size() != 1 || w.a.part < 0 || w.b.part < 0) {
            return;
        }
        Wire before = w, behind = w;
        before.b = renamed(w.b, "SP900");
        behind.a = renamed(w.a, "SP900");
        behind.named = false;
        before.lengths = behind.lengths = {0.5};
        before.how.clear();
        behind.how.clear();
        const char initial = static_cast<char>(std::tolower(static_cast<unsigned char>(w.colours.front().front())));
        behind.colours = {initial == 'p' || initial == 'v' ? "yellow" : "violet"}; // purple is violet, P either
        const Statement s = plan_.written(behind);
        add("colour-changes",
            {rewire(before), insert(w.statement, "splice SP900", {"crimp"}), insert(w.statement, s.head, s.clauses)},
            {w.statement}, {"voltage-drop", "insulation-class"});
    }

    void lamp_diode(const Wire& w) {
        if (plan_.positive_ground || !is(w.b, "alternator") || w.b.stamp != "L") { return; }
        const std::string lamp = plan_.spelled(w.b, false);
        add("diode-wrong-way",
            {insert(w.statement, "diode V900", {"band on 2"}),
             insert(w.statement, fmt::format("wire from {} to V900:1", lamp), {"1.5 mm2 blue", "0.3 m"}),
             insert(w.statement, "wire from V900:2 to ground", {"1.5 mm2 black", "0.3 m"})},
            {}, {"excitation-lost", "diode-misplaced", "engine-cannot-be-stopped", "never-powered"});
    }

    void at_fuse(int id) {
        const Part& p = part(id);
        const Statement& old = statement(p.statement);
        if (kind_ == MistakeKind::holder_too_weak) {
            const auto seated = [](const std::string& c) { return c.starts_with("inline") || c.starts_with("in "); };
            if (p.keyword != "fuse" || p.rating < 5 || plan_.renewed.contains(id) ||
                std::any_of(old.clauses.begin(), old.clauses.end(), seated)) {
                return;
            }
            Statement s = old;
            s.clauses.emplace_back("inline holder 3 A");
            add("socket-mismatch", {replace(p.statement, std::move(s))}, {p.statement}, {"part-overloaded"});
            return;
        }
        if (kind_ == MistakeKind::link_too_large) {
            if (p.keyword == "link") {
                Statement s = old;
                s.clauses.front() = "6 sae";
                add("link-too-large", {replace(p.statement, std::move(s))}, {p.statement}, {"fuse-above-wire"});
            }
            return;
        }
        if (p.keyword != "fuse" || plan_.renewed.contains(id)) { return; }
        const Wire* lead = wire_to(plan_.end(id, "1").node);
        const Wire* behind = wire_from(plan_.end(id, "2").node);
        if (lead == nullptr || behind == nullptr || behind->purpose != Purpose::feed || behind->size == nullptr ||
            lead->unprotected.empty()) {
            return; // behind a main fuse a larger one does less harm
        }
        if (protects(behind->b)) { return; } // a short lead to the next fuse may be thinner
        const double larger = fuse_for(behind->size->carries * 1.6);
        if (larger < behind->size->carries * 1.55) { return; }
        Statement s = old;
        s.clauses = {amps(larger)};
        add("fuse-above-wire", {replace(p.statement, std::move(s))}, {p.statement, behind->statement},
            {"ground-undersized", "part-overloaded"});
    }

    // The relay, and the wires at its coil.
    std::vector<int> coil_statements(const RelayPlan& r) const {
        std::vector<int> found{part(r.part).statement};
        for (const char* stamp : {"86", "85"}) {
            const int node = plan_.end(r.part, stamp).node;
            for (const Wire& w : plan_.wires) {
                if (w.alive && (w.a.node == node || w.b.node == node)) { found.push_back(w.statement); }
            }
        }
        return found;
    }

    void at_relay(const RelayPlan& r) {
        const Part& k = part(r.part);
        const Statement& old = statement(k.statement);
        if (kind_ == MistakeKind::relay_diode_turned) {
            Statement s = old;
            for (std::string& clause : s.clauses) {
                if (clause.starts_with("band on")) {
                    clause = clause == "band on 86" ? "band on 85" : "band on 86";
                    add("diode-wrong-way", {replace(k.statement, s)}, coil_statements(r), of_a_short());
                    return;
                }
            }
            return;
        }
        if (kind_ == MistakeKind::trigger_pulsed) { return pulse(r); }
        if (kind_ == MistakeKind::contact_too_weak) { return weaken(r); }
        if (r.wire_30 < 0 || r.wire_87 < 0 || r.wire_86 < 0 || r.wire_85 < 0) { return; }
        Wire w30 = wire(r.wire_30), w87 = wire(r.wire_87), w86 = wire(r.wire_86), w85 = wire(r.wire_85);
        if (!plain(w30) || !plain(w87) || !plain(w86) || !plain(w85)) { return; }
        if (kind_ == MistakeKind::terminal_open) {
            if (plan_.complete) {
                add("terminal-not-wired", {remove(w86.statement)}, {k.statement},
                    {"lead-left-live", "never-powered", "part-not-wired"});
            }
        } else if (kind_ == MistakeKind::terminal_doubled) {
            if (w85.b.node != plan_.body && !is(w85.b, "ground")) {
                return;
            } // behind a switch it is a short while that is on
            w85.a = renamed(w85.a, terminal(r.part, "86"));
            add("terminal-wired-twice", {rewire(w85)}, {w85.statement, w86.statement, k.statement},
                of_a_short({"terminal-not-wired", "ground-missing", "coil-contact-exchanged", "never-powered",
                            "diode-wrong-way"}));
        } else {
            w30.b = renamed(w30.b, terminal(r.part, "86"));
            w87.a = renamed(w87.a, terminal(r.part, "85"));
            w86.b = renamed(w86.b, terminal(r.part, "30"));
            w85.a = renamed(w85.a, terminal(r.part, "87"));
            add("coil-contact-exchanged", {rewire(w30), rewire(w87), rewire(w86), rewire(w85)},
                {k.statement, w30.statement, w87.statement, w86.statement, w85.statement},
                of_a_short({"coil-in-series", "diode-wrong-way", "never-powered", "ground-missing"}));
        }
    }

    void pulse(const RelayPlan& r) {
        if (r.wire_86 < 0) { return; }
        const Wire& w = wire(r.wire_86);
        if (!plain(w) || !(is(w.a, "existing wire") || is(w.a, "supply"))) { return; }
        const int feed = part(w.a.part).statement;
        Statement s = statement(feed);
        s.clauses.emplace_back("pulsed 100 Hz");
        add("pulsed-trigger", {replace(feed, std::move(s))}, {feed, part(r.part).statement});
    }

    // A job may leave it nothing but coils to feed, which is no harm.
    void weaken(const RelayPlan& r) {
        if (!plan_.finished || plan_.history || r.wire_30 < 0 || r.wire_87 < 0) { return; }
        const Wire &before = wire(r.wire_30), &behind = wire(r.wire_87);
        if (!plain(before) || !plain(behind) || !std::isfinite(before.protection) || before.protection < 5) { return; }
        const int index = part(r.part).statement;
        Statement s = statement(index);
        for (std::string& clause : s.clauses) {
            if (clause.size() > 2 && clause.ends_with(" A") &&
                std::isdigit(static_cast<unsigned char>(clause[0])) != 0) {
                clause = "2 A";
                add("part-overloaded", {replace(index, std::move(s))}, {index});
                return;
            }
        }
    }

    void clamps() {
        for (int index : plan_.clamps) {
            if (full()) { return; }
            Statement s = statement(index);
            s.clauses.front() = s.clauses.front() == "band on 2" ? "band on 1" : "band on 2";
            add("diode-wrong-way", {replace(index, std::move(s))}, {index}, of_a_short({"diode-misplaced"}));
        }
    }

    void battery_ground() {
        if (!plan_.complete || plan_.partly) { return; }
        for (const Part& p : plan_.parts) {
            if (p.keyword != "battery" || full()) { continue; }
            const int pole = p.nodes.at(plan_.positive_ground ? "+" : "-");
            std::vector<const Wire*> straps;
            for (const Wire& w : plan_.wires) {
                if (w.alive && (w.a.node == pole || w.b.node == pole)) { straps.push_back(&w); }
            }
            if (straps.size() == 1 && straps.front()->purpose == Purpose::strap) {
                // Everything that has no ground now speaks of it: which of them is cited is the rule's choice.
                std::vector<int> cites{p.statement};
                for (std::size_t i = 0; i < plan_.statements.size(); ++i) {
                    if (!plan_.statements[i].gone && static_cast<int>(i) != straps.front()->statement) {
                        cites.push_back(static_cast<int>(i));
                    }
                }
                add("ground-missing", {remove(straps.front()->statement)}, std::move(cites),
                    {"never-powered", "terminal-not-wired", "part-not-wired"});
            }
        }
    }

    void cut_ends() {
        for (int index : plan_.caps) {
            if (!full()) {
                std::vector<int> cites;
                for (std::size_t i = 0; i < plan_.statements.size(); ++i) {
                    if (plan_.statements[i].block == statement(index).block &&
                        plan_.statements[i].head.starts_with("cut ")) {
                        cites.push_back(static_cast<int>(i));
                    }
                }
                add("lead-left-live", {remove(index)}, cites);
            }
        }
    }

    void loose_part() {
        if (plan_.complete && !plan_.parts.empty()) {
            add("part-not-wired", {insert(plan_.parts.back().statement, "horn H900", {"5 A"})}, {},
                {"terminal-not-wired"});
        }
    }

    void twins() {
        for (int plug : plan_.touched_plugs) {
            const auto& through = plan_.plug_wires.at(plug);
            const auto touched = std::find_if(through.begin(), through.end(), [&](int i) {
                return statement(wire(i).statement).gone || !plain_edges(wire(i));
            });
            const auto other = std::find_if(through.begin(), through.end(),
                                            [&](int i) { return plain(wire(i)) && plain_edges(wire(i)); });
            if (touched == through.end() || other == through.end() || wire(*touched).colours.size() > 1 || full()) {
                continue;
            }
            Wire twin = wire(*other);
            twin.colours = {wire(*touched).colours.front()};
            add("same-colour-in-connector", {rewire(twin)},
                {twin.statement, wire(*touched).statement, part(plug).statement});
        }
    }
    bool plain_edges(const Wire& w) const {
        return std::all_of(w.edges.begin(), w.edges.end(),
                           [&](int e) { return plan_.edges[static_cast<std::size_t>(e)].alive; });
    }

    void stale() {
        for (const Part& p : plan_.parts) {
            if (p.keyword == "fuse" && p.alive && statement(p.statement).block < 0) {
                add("accepted-finding-stale",
                    {insert(p.statement, fmt::format("accept fuse-above-wire on {} because \"it was once\"", p.name),
                            {})},
                    {});
                return;
            }
        }
    }

    const Plan& plan_;
    std::size_t limit_;
    MistakeKind kind_{};
    std::vector<Mistake> found_;
};

} // namespace

std::vector<Mistake> mistakes(const Plan& plan, std::size_t limit) { return Finder(plan, limit).run(); }

} // namespace loomproof::scenario
