#pragma once
/// The talk that leads from a form to a circuit file: one question after the other, with a way back.

#include "begin/fill.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace loomproof::begin {

/// What somebody may answer to any question.
enum class Word { none, explain, dont_know, back, stop };
/// "?", "don't know" (in all its spellings), "back", "stop"; capitals and curly quotes do not matter.
Word read_word(const std::string& typed);

class Dialogue {
  public:
    /// `first`: the number of its first question. `said`: what is answered already and is not asked.
    Dialogue(Form form, std::size_t first, Answers said = {})
        : form_(std::move(form)), said_(std::move(said)), first_(first) {
        skip();
    }

    bool done() const { return at_ >= form_.asks.size(); }
    std::size_t at() const { return at_; }
    bool at_first() const;      ///< is no question before this one put?
    std::size_t number() const; ///< of the question that is asked
    const Form& form() const { return form_; }
    const Answers& answers() const { return answers_; }

    /// The question, with its choices.
    std::string question(std::size_t width) const;
    /// Takes an answer or one of the words but `stop`; says what it became, or why not. Going back from the first question stays there.
    std::string take(const std::string& typed, std::size_t width);
    /// Takes the last answer back, where there is one.
    bool go_back();
    /// What the file would be called, by the answers.
    std::string file_name() const { return named(form_, answers_); }
    /// The file, and behind it as comments what is still to find out: whoever opens it later did not see the talk.
    std::string file() const;
    /// Why the last answer was not taken; empty where it was.
    const std::string& refused() const { return refused_; }
    /// What nobody knew: how to find it out, what stands in the file instead, and whether the verdict reckons with that.
    struct Open {
        std::string measure, instead;
        bool counts = false;
    };
    std::vector<Open> to_measure() const;

  private:
    /// Is this question put, by the answers before it?
    bool asked(std::size_t question) const;
    /// Moves on to the next question that is put.
    void skip();
    std::string became(const Ask&, std::size_t width) const;

    Form form_;
    Answers answers_, said_;
    std::string refused_;
    std::vector<bool> unknown_;
    std::size_t at_ = 0, first_ = 1;
};

/// The questions of a form to be filled in by hand, with room for the answers; not those that are answered already.
std::string on_paper(const Form&, const Answers& said, std::size_t width);

} // namespace loomproof::begin
