#include "app/command.hpp"
#include "report/size_text.hpp"

namespace loomproof::app {

Exit size(const Given& given, Console& console) {
    const Result<sizing::Asked> asked = sizing::read_asked(given.value("WHAT"));
    if (!asked) {
        console.say(asked.error());
        return Exit::failed;
    }
    console.out = report::size_text(*asked, sizing::answer(*asked), console.screen());
    return Exit::clean;
}

} // namespace loomproof::app
