#include "app/as_it_is.hpp"
#include "app/circuit_file.hpp"
#include "app/command.hpp"
#include "app/switched.hpp"
#include "report/predict_text.hpp"
#include "solve/predict.hpp"

namespace loomproof::app {

Exit trace(const Given& given, Console& console) {
    Sources sources;
    const std::optional<Switched> asked = read_switched(given, sources, console);
    if (!asked) return Exit::failed;
    const View now = as_it_is(asked->reading.circuit, given);
    if (const std::string none = nothing_fitted(now, given.value("FILE")); !none.empty()) {
        console.say(none);
        return Exit::failed;
    }
    if (names_what_is_planned(now, asked->wish, console)) return Exit::failed;
    const std::optional<TerminalId> from = terminal_called(now, given.value("FROM"), console);
    const std::optional<TerminalId> to = from ? terminal_called(now, given.value("TO"), console) : std::nullopt;
    if (!from || !to) return Exit::failed;
    console.out = plan_remark(now) +
                  report::trace_text(now, solve::trace(now, *from, *to, asked->wish), *from, *to, console.screen());
    return asked->reading.findings.empty() ? Exit::clean : Exit::found;
}

} // namespace loomproof::app
