#include "solve/predict.hpp"

#include "app/as_it_is.hpp"
#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "app/switched.hpp"
#include "base/words.hpp"
#include "report/predict_text.hpp"

#include <fmt/core.h>

namespace loomproof::app {

Exit predict(const Given& given, Console& console) {
    Sources sources;
    const std::optional<Switched> asked = read_switched(given, sources, console);
    if (!asked) return Exit::failed;
    const View now = as_it_is(asked->reading.circuit, given);
    if (const std::string none = nothing_fitted(now, given.value("FILE")); !none.empty()) {
        console.say(none);
        return Exit::failed;
    }
    if (names_what_is_planned(now, asked->wish, console)) return Exit::failed;

    report::PredictOptions options;
    if (const std::string at = given.value("--at"); !at.empty()) {
        const std::optional<PartId> part = part_called(now, at, console);
        if (!part) return Exit::failed;
        options.only.push_back(*part);
    }
    console.out =
        plan_remark(now) + report::predict_text(now, solve::predict(now, asked->wish), console.screen(), options);
    return asked->reading.findings.empty() ? Exit::clean : Exit::found;
}

} // namespace loomproof::app
