#pragma once
/// Builds plans: parts, wires, then whole circuits, each with its truth. Used by scenario.cpp only.

#include "support/scenario/scenario.hpp"

#include <optional>

namespace loomproof::scenario {

/// What a load is and draws.
struct LoadSpec {
    std::string keyword{};
    std::vector<std::string> clauses{};
    double amps = 0;
    double start = 0;            ///< 0: no more than amps
    bool polar = false;          ///< has + and -
    bool may_be_mounted = false; ///< can be grounded by its mounting
};

/// Where a circuit gets its power: behind a fuse of `fuse` amps, live when `live`.
struct Feed {
    End at{};
    double fuse = 0; ///< A: unlimited behind a link
    Condition live{};
    double carry = 0; ///< A that wires must carry where the fuse does not say
};

/// Where fuses are fed from: the battery, a rail, a box.
struct Point {
    End at{};
    double fuse = unlimited; ///< what protects it
    double run = 0;          ///< m of unprotected way so far
    bool bare = false;       ///< nothing between here and the source: `run` counts
    double lead = 0.14;      ///< longest wire from here to a fuse
    double budget = 0;       ///< A that may still be drawn
    Condition live{};
    int source = -1;       ///< node of the source it hangs on
    double least_area = 0; ///< mm2 that every wire before the next fuse must have (behind a link)
};

/// A way that can be opened and closed.
struct Gate {
    End in{}, out{};
    Condition closed{};
};

/// How a run of wire is to be.
struct Run {
    Purpose purpose = Purpose::feed;
    double protection = 0;
    double amps = 0;
    double low = 0.2, high = 1.5; ///< m
    double drop = 0.1;            ///< V that may be lost in it
    double carry = 0;             ///< A that it must carry beyond what protection asks
    double least_area = 0;        ///< mm2
    bool may_pass_plugs = true;
    std::string colour{}; ///< empty: any
};

class Maker {
  public:
    Maker(Choices& choices, Profile profile) : c(choices), profile_(profile) {}

    Plan plan;

    void head(int size);
    void vehicles(int size); ///< as many vehicles on one body as it takes: a battery feeds about a hundred wires
    void stress(int size);
    void history(int size);
    void doubt(); ///< makes figures unknown, guessed, or leaves them out
    void close(); ///< what can be said only at the end: expectations, rows of plugs

  private:
    // maker_parts.cpp: parts and their terminals
    int part(const char* keyword, const char* prefix, std::vector<std::string> clauses,
             std::vector<std::string> rows = {});
    std::string new_name(const char* prefix);
    std::string label();
    int add_clause(int part, std::string clause);
    /// Below `n`, different from place to place; draws nothing from the choices, so that what is there already stays as it is.
    unsigned turn(unsigned n, unsigned salt) const {
        std::uint32_t mixed = (static_cast<std::uint32_t>(plan.statements.size()) + salt * 7919u) * 2654435761u;
        mixed = (mixed ^ mixed >> 15) * 2246822519u;
        return (mixed ^ mixed >> 13) % n;
    }
    int battery(double volts, double amp_hours);
    int protector(double rating, bool ordinary);
    int fusible_link(const Size&);
    Gate gate(double amps, bool sensed);
    int relay(const std::string& pins, double amps, bool bare);
    LoadSpec some_load(double most);
    /// An outlet behind a fuse that is too large for it becomes another load.
    LoadSpec behind(LoadSpec, double fuse) const;
    int load(const LoadSpec&, const Condition& on);
    End fed(int load) const;
    End grounded(int load) const;
    int splice();
    int bus();
    enum class Outside { when, always, ground };
    End not_drawn(const char* keyword, Outside, double behind, Condition* live);
    int connector(int holes, double rating);
    int two_ended(int part, Element, double rating, int control = -1, std::set<std::string> closed_in = {});
    End first(int part) const { return plan.end(part, "1"); }
    End second(int part) const { return plan.end(part, "2"); }

    // maker_wires.cpp: wires and grounds
    int wire(const End& a, const End& b, const Run&);
    void pass_plugs(Wire&, double carry);
    /// A colour that no other wire of these plugs has.
    std::string colour(const std::vector<int>& plugs);
    End ground_end();
    void to_ground(const End& from, double fuse, double amps);
    void strap(const End& a, const End& b);

    // circuits.cpp, relays.cpp: what is fed
    Feed fused(Point&, double amps, double start = 0, double least = 0);
    void circuit(Point&);
    std::vector<LoadSpec> some_loads(double budget, std::size_t most);
    std::vector<End> spread(const Feed&, std::size_t ends);
    int feed_wire(const End& from, const End& to, const Feed&, double amps);
    void feed_loads(const Feed&, const std::vector<LoadSpec>&);
    void return_loads(const std::vector<int>& loads, const Feed&, bool through_gate, const Gate&);
    Feed gated(const Feed&, double amps, const Gate&);
    Gate meter();
    Gate flasher(const Feed&, double amps);
    Gate unit(const Feed&);
    Gate free_relay(Point&);
    Gate sensing_relay();
    void nobody_knows(const End& from, const End& to, double fuse, double amps = 0.1);
    void dial(Point&);
    void charged(Point&);
    void smoothing(Point&);
    void plain(Point&);
    void ground_switched(Point&);
    void stalk(Point&);
    void two_filaments(Point&);
    void diodes(Point&);
    void two_speeds(Point&);
    void drawn_elsewhere(Point&);
    void sender(Point&);
    void many_on_a_bus(Point&);
    void relayed(Point&);
    void changed_over(Point&);
    void two_makes(Point&);
    void reversing(Point&);
    Condition coil(Point&, RelayPlan&, bool clamp);
    Condition coil_from(const Feed&, RelayPlan&, bool clamp, const Gate*);

    // vehicle.cpp: sources and boxes
    void one_vehicle(int goal);
    Point rail_of(const End& live, bool with_bus);
    Point box(Point&, double budget);
    Point box_behind_link(Point&);
    void engine(Point&, const End& live, std::vector<Point>& points);
    Point second_battery(Point&);
    void accepted_lead(Point&);
    void expectations();
    void plug_rows();
    int wires() const { return static_cast<int>(plan.wires.size()); }

    // jobs.cpp: what was done to it
    void job();
    std::vector<int> load_feeds(double shortest, bool direct) const;
    int some_feed(double shortest, bool direct);
    void convert_to_relay();
    void add_on_splice();
    void move_ground();
    void take_out();
    void renew_fuse();
    void cut_and_cap();
    std::pair<int, int> cut(int wire, double distance);
    void remove_wire(int wire);
    void remove_part(int part, const char* more);
    int step(std::string head, std::vector<std::string> clauses = {});

    // tangle.cpp: what a clean circuit does not do
    void tangle(Point&);
    void hold(Point&);
    void doubled_feed(Point&);
    void tied_splices(Point&);
    void loose_things();
    void doubt_wire(Wire&);

    Choices& c;
    Profile profile_;
    int block_ = -1; ///< where new statements go
    bool positive_ = false;
    Family family_ = Family::metric;
    int letters_ = 0; ///< how colours are spelled: 0 words, 1 IEC, 2 British, 3 German
    bool wires_named_ = true;
    std::map<std::string, int, std::less<>> counters_{};
    std::set<std::string, std::less<>> names_{};
    int stud_ = -1, stud_wires_ = 0;
    int engine_ = -1;            ///< node of the engine metal
    std::vector<Point> rails_{}; ///< one of each battery
    int jobs_ = 0;
    std::set<int> worked_on_{}; ///< loads that a job has dealt with
    int plug_ = -1, plug_next_ = 0, plug_holes_ = 0;
    double plug_rating_ = 0;
    std::map<int, std::set<std::uint32_t>> plug_colours_{};
};

} // namespace loomproof::scenario
