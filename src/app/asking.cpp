#include "app/asking.hpp"

#include "base/file.hpp"

#include <algorithm>

namespace loomproof::app {

namespace {

constexpr std::size_t most_answers = 100'000; ///< bytes

std::string shown(const std::string& line) {
    std::string out = line;
    std::ranges::replace_if(
        out, [](char ch) { return static_cast<unsigned char>(ch) < ' ' || ch == '\x7f'; }, '?');
    return out;
}

} // namespace

bool Asking::answers_from(const std::string& file) {
    const Result<std::string> text = read_file(file, most_answers);
    if (!text) {
        console_->say(text.error());
        return false;
    }
    from_file_.emplace();
    file_ = file;
    for (std::size_t at = 0; at < text->size();) {
        const std::size_t end = std::min(text->find('\n', at), text->size());
        from_file_->push_back(text->substr(at, end - at));
        at = end + 1;
    }
    return true;
}

std::optional<std::string> Asking::answer(const char* words) {
    const bool narrow = console_->screen().width < 60; // the answer shall have room beside it
    console_->out += fmt::format("[{}]{}> ", words, narrow ? '\n' : ' ');
    std::optional<std::string> line;
    if (from_file_) {
        if (next_ < from_file_->size()) line = (*from_file_)[next_++];
    } else {
        if (!console_->show()) return std::nullopt;
        line = console_->read_line();
    }
    if (line && !line->empty() && line->back() == '\r') line->pop_back();
    // What was typed stands on the screen already; from a file or a pipe it would be missing.
    if (from_file_ || !console_->keyboard_is_input()) console_->out += line ? shown(*line) + '\n' : "\n";
    return line;
}

} // namespace loomproof::app
