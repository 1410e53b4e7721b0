#include "app/process.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>

namespace loomproof::tests {

namespace {

/// A mistake in the text and something unprotected: enough to be coloured.
const char* const faulty = "loom 1\n"
                           "battery, 60 Ah\n"
                           "lamp E1, 55 W\n"
                           "wire from battery:+ to E1, 2.5 mm2 red, 2 m, in engine-bay\n"
                           "wire from E1 to ground, 2.5 mm2 black, about 1 m\n"
                           "wire from E7 to ground, 2.5 mm2 black, 1 m\n";

Ended on(const Bench& bench, Run::Output output, std::vector<std::string> environment = {}, unsigned short width = 80) {
    return run(bench, Run{{"check", "bench.loom"}, "", std::move(environment), output, width});
}

bool coloured(const std::string& text) { return text.find('\x1b') != std::string::npos; }

std::size_t widest(const std::string& text) {
    std::size_t most = 0;
    for (std::size_t at = 0, end = 0; at < text.size(); at = end + 1) {
        end = std::min(text.find('\n', at), text.size());
        most = std::max(most, end - at);
    }
    return most;
}

} // namespace

TEST_CASE("Colour on a terminal only, and not against NO_COLOR or TERM=dumb") {
    const Bench bench("colour");
    bench.write("bench.loom", faulty);
    CHECK_FALSE(coloured(on(bench, Run::Output::file).out));
    CHECK(coloured(on(bench, Run::Output::terminal).out));
    CHECK_FALSE(coloured(on(bench, Run::Output::terminal, {"NO_COLOR=1"}).out));
    CHECK(coloured(on(bench, Run::Output::terminal, {"NO_COLOR="}).out));
    CHECK_FALSE(coloured(on(bench, Run::Output::terminal, {"TERM=dumb"}).out));
    CHECK_FALSE(coloured(on(bench, Run::Output::terminal, {"TERM="}).out));
}

TEST_CASE("On a terminal the same words stand as in a file, apart from colour and the setting of the last lines") {
    const Bench bench("same-words");
    bench.write("bench.loom", faulty);
    const auto words = [](const std::string& text) {
        std::string out;
        for (std::size_t at = 0; at < text.size(); ++at) {
            if (text[at] == '\x1b')
                at = text.find('m', at);
            else if (text[at] != ' ' && text[at] != '\n')
                out += text[at];
        }
        return out;
    };
    CHECK(words(on(bench, Run::Output::terminal).out) == words(on(bench, Run::Output::file).out));
}

TEST_CASE("Text is set to the terminal's width, to at most 100 columns, and to 80 for a file") {
    const Bench bench("width");
    bench.write("bench.loom", faulty);
    const auto plain = [&](unsigned short width) {
        return on(bench, Run::Output::terminal, {"NO_COLOR=1"}, width).out;
    };
    CHECK(widest(plain(50)) <= 50);
    CHECK(widest(plain(10)) <= 40);
    CHECK(widest(plain(300)) <= 100);
    CHECK(widest(plain(300)) > 80);
    CHECK(widest(plain(0)) <= 80); // a terminal that does not know its width
    const std::string file = on(bench, Run::Output::file).out;
    const std::size_t last = file.rfind('\n', file.rfind('\n', file.size() - 2) - 1);
    CHECK(widest(file.substr(0, last)) <= 80);
}

TEST_CASE("Exit status and remarks are the same wherever the output goes") {
    const Bench bench("outputs");
    bench.write("bench.loom", faulty);
    const Ended file = on(bench, Run::Output::file);
    CHECK(file.status == 1);
    CHECK(on(bench, Run::Output::terminal).status == 1);
    CHECK(file.err.empty());

    // A reader that went away is no failure: the check was made.
    const Ended gone = on(bench, Run::Output::gone);
    CHECK(gone.status == 1);
    CHECK(gone.err.empty());

    const Ended full = on(bench, Run::Output::full);
    CHECK(full.status == 2);
    CHECK(full.err == "loomproof: Cannot write the result: No space left on device.\n");

    const Ended closed = on(bench, Run::Output::closed);
    CHECK(closed.status == 2);
    CHECK(closed.err == "loomproof: Cannot write the result: Bad file descriptor.\n");
}

TEST_CASE("The language of the machine changes no byte") {
    const Bench bench("locale");
    const Bench locales("locales"); // those of the machine may not be there, so they are made here (package locales)
    for (const char* name : {"de_DE", "tr_TR"}) {
        const std::string made = (locales.folder() / name).string() + ".UTF-8";
        REQUIRE(std::system(("localedef --no-archive -i " + std::string(name) + " -f UTF-8 '" + made + "'").c_str()) ==
                0);
    }
    bench.write("bench.loom", faulty);
    const Ended plain = on(bench, Run::Output::file);
    for (const char* locale : {"LC_ALL=C", "LC_ALL=de_DE.UTF-8", "LC_ALL=tr_TR.UTF-8", "LC_ALL=no_such_locale"}) {
        CAPTURE(locale);
        const Ended there =
            on(bench, Run::Output::file, {locale, "LANGUAGE=de:tr", "LOCPATH=" + locales.folder().string()});
        CHECK(there.out == plain.out);
        CHECK(there.status == plain.status);
    }
}

} // namespace loomproof::tests
