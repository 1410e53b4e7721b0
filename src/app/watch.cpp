#include "app/checking.hpp"
#include "app/command.hpp"
#include "app/watcher.hpp"

#include <optional>
#include <string>

#include <fmt/core.h>

namespace loomproof::app {

Exit watch(const Given& given, Console& console) {
    const std::string file = given.value("FILE");
    if (file == "-") {
        console.say("Only a file can be watched, not standard input.");
        return Exit::failed;
    }
    Watcher watcher;
    Given drawing;
    drawing.set("FILE", file);
    drawing.set("--planned", ""); // the check beside it judges the plan
    if (given.has("-o")) drawing.set("-o", given.value("-o"));
    std::optional<report::Checked> before;
    std::string page; // as it was drawn last, so that nothing on it jumps about while somebody types
    for (int round = 1;; ++round) {
        if (round > 1) console.out = fmt::format("\nSaved. Checked again ({}):\n\n", round);
        if (!console.show()) return Exit::failed;
        Sources sources;
        // Each file is watched before it is read: a save meanwhile is not missed. One that cannot be read is watched, too: it may come.
        watcher.forget();
        auto checked = checked_file(file, sources, console, [&](const std::string& path) { watcher.watch(path); });
        if (round == 1 && !checked) return Exit::failed; // there is no such file: nothing to wait for
        const report::Extent extent{given.has("--all")};
        if (checked)
            console.out = before ? report::changes_text(*before, *checked, sources, console.screen(), extent)
                                 : report::check_text(*checked, sources, console.screen(), extent);
        const bool drawable = checked && !checked->nothing_described;
        if (checked) before = std::move(checked);
        if (!console.show()) return Exit::failed;
        // The drawing takes longer than the check, and comes after it.
        if (given.has("-o") && drawable) {
            const Exit drawn = draw_again(drawing, console, *before, sources, page);
            console.out += drawn == Exit::failed ? "" : fmt::format("Drawn: {}\n", given.value("-o"));
        }
        console.out += "Waiting for the next save; ctrl-C ends it.\n";
        if (!console.show()) return Exit::failed;
        if (watcher.wait() == Watcher::Why::interrupted) break;
    }
    console.out = "\nNo longer watched.\n";
    return Exit::clean;
}

} // namespace loomproof::app
