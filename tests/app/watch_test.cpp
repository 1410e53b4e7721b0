#include "app/process.hpp"
#include "draw/kept.hpp"

#include <doctest/doctest.h>
#include <fmt/core.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

namespace loomproof::tests {

namespace {

/// Drives the program as somebody with an editor would: starts it, saves, waits for what it prints, presses ctrl-C. Every wait ends after
/// some 20 s. How fast it is, is not judged here.
const char* const driver = R"sh(
program=$1; shift
saw() { for i in $(seq 400); do [ "$(grep -c "$1" out.txt)" -ge "$2" ] && return 0; sleep 0.05; done; echo "never saw: $1 ($2)"; kill -9 $pid; exit 9; }
"$program" watch "$@" >out.txt 2>err.txt & pid=$!
saw 'Waiting for the next save' 1
. ./steps.sh
kill -INT $pid
wait $pid; echo "ended with $?"
)sh";

Ended watched(const Bench& bench, const std::string& steps, const std::vector<std::string>& words) {
    bench.write("steps.sh", steps);
    bench.write("driver.sh", driver);
    const std::filesystem::path program = std::filesystem::read_symlink("/proc/self/exe").parent_path() / "loomproof";
    std::vector<std::string> all{"driver.sh", program.string()};
    all.insert(all.end(), words.begin(), words.end());
    return run(bench, Run{all, {}, {"PATH=/usr/bin:/bin"}, Run::Output::file, 80, "/bin/bash"});
}

const char* const clean =
    "loom 1\nbattery, 60 Ah\nfuse F1, 20 A\nlamp E1, 55 W\nwire from battery:+ to F1, 2.5 mm2 red, 0.1 m\n"
    "wire from F1 to E1, 2.5 mm2 red, 1 m\nwire from E1:- to ground, 2.5 mm2 black, 1 m\n";

std::string with_long_lead() {
    std::string text = clean;
    text.replace(text.find("0.1 m"), 5, "0.9 m");
    return text;
}

} // namespace

TEST_CASE(
    "a save in place, a save by renaming and a save of a used file are each checked again; ctrl-C ends it cleanly") {
    const Bench bench("watch");
    bench.write("car.loom", std::string(clean) + "use \"lamps.loom\"\n");
    bench.write("lamps.loom", "lamp E2, 5 W\n");
    bench.write("bad.loom", with_long_lead());
    bench.write("good.loom", clean);
    const Ended ended = watched(bench, R"sh(
# Emptied at once, filled later, as an editor on a busy machine does: that is one save.
(sleep 0.15; cat bad.loom; sleep 0.15; echo '// the end') > car.loom
saw 'Waiting for the next save' 2
grep -q 'DANGER' out.txt || echo 'no danger seen'
cp good.loom .car.loom.new
mv .car.loom.new car.loom
saw 'Waiting for the next save' 3
printf 'use "lamps.loom"\n' >> car.loom
saw 'Waiting for the next save' 4
echo 'lamp E3, 5' >> lamps.loom
saw 'Waiting for the next save' 5
grep -q 'no unit' out.txt || echo 'no mistake seen'
rm car.loom
sleep 0.2
cp good.loom car.loom
saw 'Waiting for the next save' 6
)sh",
                                {"car.loom"});
    CHECK(ended.out == "ended with 0\n");
    const std::string out = bench.read("out.txt");
    CHECK(out.find("Saved. Checked again (2):") != std::string::npos);
    CHECK(out.ends_with("No longer watched.\n"));
    CHECK(bench.read("err.txt") == "");
}

TEST_CASE("after a save stands what came and what is gone, and the verdict; not again what was there before") {
    const Bench bench("watch-changes");
    bench.write("bad.loom", with_long_lead());
    bench.write("car.loom", with_long_lead());
    bench.write("good.loom", clean);
    const Ended ended = watched(bench, R"sh(
(cat bad.loom; echo '// moved'; echo 'lamp E2, 5 W') > new.loom; mv new.loom car.loom
saw 'Waiting for the next save' 2
cp good.loom new.loom; mv new.loom car.loom
saw 'Waiting for the next save' 3
cp good.loom new.loom; echo '// a remark' >> new.loom; mv new.loom car.loom
saw 'Waiting for the next save' 4
)sh",
                                {"car.loom"});
    CHECK(ended.out == "ended with 0\n");
    const std::string out = bench.read("out.txt");
    std::vector<std::string> rounds;
    for (std::size_t at = 0; at < out.size();) {
        const std::size_t end = std::min(out.find("Saved. Checked again", at + 1), out.size());
        rounds.push_back(out.substr(at, end - at));
        at = end;
    }
    REQUIRE(rounds.size() == 4);
    CHECK(rounds[0].find("  why ") != std::string::npos);
    CHECK(rounds[1].find("unfused-feed") == std::string::npos); // it is there still, but nothing new
    CHECK(rounds[1].find("1 danger") != std::string::npos);
    CHECK(rounds[2].find("Gone:\n  -        DANGER: ") != std::string::npos);
    CHECK(rounds[2].find("(unfused-feed)") != std::string::npos);
    CHECK(rounds[2].find("Nothing dangerous found in ") != std::string::npos);
    CHECK(rounds[3].find("No finding came or went.") != std::string::npos);
    for (const std::string& round : rounds) CHECK(round.find("it does not certify") != std::string::npos);
}

TEST_CASE("with -o it is drawn again after each check") {
    const Bench bench("watch-draw");
    bench.write("car.loom", clean);
    const Ended ended = watched(bench, R"sh(
[ -s car.svg ] || echo 'no drawing'
sed -i 's/E1/E17/g' car.loom
saw 'Drawn: car.svg' 2
grep -q E17 car.svg || echo 'old drawing'
)sh",
                                {"car.loom", "-o", "car.svg"});
    CHECK(ended.out == "ended with 0\n");
}

TEST_CASE("while somebody types, what is drawn already keeps its place; it is drawn afresh by draw") {
    const Bench bench("watch-keeps");
    std::string text = clean;
    for (const char* n : {"2", "3"})
        text += fmt::format("lamp E{0}, 5 W\nfuse F{0}, 5 A\nwire from battery:+ to F{0}, 1 mm2 red, 0.1 m\n"
                            "wire from F{0} to E{0}, 1 mm2 red, 1 m\nwire from E{0}:- to ground, 1 mm2 black, 1 m\n",
                            n);
    bench.write("car.loom", text);
    const Ended ended = watched(bench, R"sh(
cp car.svg first.svg
sed -i 's/^fuse F1, 20 A$/wire from battery:+ to H1, 1 mm2 red, 0.1 m\nlamp H1, 5 W\nwire from H1:- to ground, 1 mm2 black, 1 m\nfuse F1, 20 A/' car.loom
saw 'Drawn: car.svg' 2
cp car.svg second.svg
)sh",
                                {"car.loom", "-o", "car.svg"});
    CHECK(ended.out == "ended with 0\n");
    const Result<draw::KeptSheet> first = draw::read_kept(bench.read("first.svg"));
    const Result<draw::KeptSheet> second = draw::read_kept(bench.read("second.svg"));
    REQUIRE(first);
    REQUIRE(second);
    REQUIRE(run(bench, {"draw", "car.loom", "--planned", "-o", "fresh.svg"}).status == 0);
    const Result<draw::KeptSheet> fresh = draw::read_kept(bench.read("fresh.svg"));
    REQUIRE(fresh);
    // Not in its row, or not on the same side of everything else; feet are counted anew.
    const auto moved = [&](const draw::KeptSheet& sheet) {
        const auto at = [&](const std::string& id) {
            const auto found =
                std::find_if(sheet.symbols.begin(), sheet.symbols.end(), [&](const auto& s) { return s.id == id; });
            return found == sheet.symbols.end() ? draw::Stood{-1, -1, -1, false} : found->stood;
        };
        int count = 0;
        for (const draw::KeptSymbol& a : first->symbols) {
            if (a.foot) continue;
            count += a.stood.row != at(a.id).row;
            for (const draw::KeptSymbol& b : first->symbols)
                count += !b.foot && a.stood.left < b.stood.left && at(a.id).left > at(b.id).left;
        }
        return count;
    };
    CHECK(moved(*second) == 0);
    CHECK(moved(*fresh) > 0);
}

TEST_CASE("what is not there, and standard input, are not watched") {
    const Bench bench("watch-nothing");
    CHECK(run(bench, {"watch", "nothing.loom"}).status == 2);
    CHECK(run(bench, {"watch", "-"}).err == "loomproof: Only a file can be watched, not standard input.\n");
}

} // namespace loomproof::tests
