// Prints what the generator makes: scenario_tool SEED SIZE PROFILE [text|plain|edges|truth|mistakes|damaged]
//                               or: scenario_tool batch FOLDER COUNT: COUNT circuits for the peers, FOLDER/N.loom and FOLDER/edges.tsv
#include "support/scenario/mistakes.hpp"

#include <cstdio>
#include <exception>
#include <fstream>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/core.h>

namespace loomproof::scenario {

namespace {

void put(std::string_view text) { std::fwrite(text.data(), 1, text.size(), stdout); }

void put(const Written& written) {
    for (const Written::File& file : written.files) {
        if (written.files.size() > 1) { put(fmt::format("==== {}\n", file.path)); }
        put(file.text);
    }
}

void put_mistakes(const Scenario& s) {
    for (const Mistake& m : mistakes(s.plan)) {
        std::vector<int> cites;
        const Plan wrong = with_mistake(s.plan, m, &cites);
        const Written text = write(wrong, s.hand);
        put(fmt::format("{}\t{}", word(m.kind), m.rule));
        for (int at : cites) {
            const Written::Line line = text.line_of[static_cast<std::size_t>(at)];
            put(fmt::format("\t{}:{}", text.files[static_cast<std::size_t>(line.file)].path, line.line));
        }
        put("\n");
        for (const Edit& e : m.edits) {
            put(e.what == Edit::What::remove ? "    - " : e.what == Edit::What::insert ? "    + " : "    ! ");
            const Statement& shown =
                e.what == Edit::What::remove ? s.plan.statements[static_cast<std::size_t>(e.statement)] : e.text;
            put(shown.head);
            for (const std::string& clause : shown.clauses) { put(", " + clause); }
            put("\n");
        }
    }
}

// Every shape there is, in all sizes that python reads in a few seconds.
void batch(const std::string& folder, int count) {
    static constexpr Profile profiles[] = {Profile::tangled, Profile::clean, Profile::tangled, Profile::history,
                                           Profile::stress};
    std::ofstream edges(folder + "/edges.tsv", std::ios::binary);
    for (int i = 0; i < count; ++i) {
        const Profile profile = profiles[i % 5];
        const Scenario s = make(static_cast<std::uint64_t>(i) + 1, 5 + i * 7 % 120, profile);
        std::ofstream(fmt::format("{}/{}.loom", folder, i), std::ios::binary) << write(s.plan).main();
        edges << fmt::format("file\t{}.loom\n", i) << edge_list(s.plan);
    }
    if (!edges.flush()) { throw std::runtime_error("cannot write to " + folder); }
}

int run(const std::vector<std::string>& arguments) {
    if (arguments.size() == 3 && arguments[0] == "batch") {
        batch(arguments[1], std::stoi(arguments[2]));
        return 0;
    }
    if (arguments.size() < 3 || arguments.size() > 4) {
        std::fputs("scenario_tool SEED SIZE PROFILE [text|plain|edges|truth|mistakes|damaged], or batch FOLDER COUNT\n",
                   stderr);
        return 2;
    }
    const Scenario s = make(std::stoull(arguments[0]), std::stoi(arguments[1]), profile_of(arguments[2]));
    const std::string what = arguments.size() == 4 ? arguments[3] : "text";
    if (what == "text") {
        put(write(s));
    } else if (what == "plain") {
        put(write(s.plan));
    } else if (what == "edges") {
        put(edge_list(s.plan));
    } else if (what == "truth") {
        put(truth(s));
    } else if (what == "mistakes") {
        put_mistakes(s);
    } else if (what == "damaged") {
        put(damaged(write(s).main(), s.seed, 5));
    } else {
        throw std::invalid_argument("nothing is called " + what);
    }
    return 0;
}

} // namespace

int tool(int count, char** values) {
    try {
        return run({values + 1, values + count});
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return 2;
    }
}

} // namespace loomproof::scenario

int main(int count, char** values) { return loomproof::scenario::tool(count, values); }
