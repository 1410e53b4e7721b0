#pragma once
/// Figures and names as the tables of `predict` and `trace` spell them.

#include "report/columns.hpp"
#include "report/ink.hpp"
#include "solve/predict.hpp"

#include <optional>
#include <string>
#include <vector>

namespace loomproof::report {

/// As a meter shows it: "13.6", "0.10", "-12.6".
std::string meter(double volts);
/// As a clamp meter could show it: what is below a hundredth of an ampere is as good as nothing, but not nothing.
std::string amount(double amps);
/// What a test lamp does: "bright", "dim", "out".
const char* lamp_word(solve::Doing);
/// To a width in columns of the terminal, at the left edge or the right.
std::string padded(std::string text, std::size_t width, bool right = false);

/// Rows of cells set under each other; columns marked `right` end under each other.
class Table {
  public:
    explicit Table(std::vector<bool> right) : right_(std::move(right)) {}
    void row(std::vector<std::string> cells) {
        for (std::string& c : cells) c = printable(c);
        rows_.push_back(std::move(cells));
    }
    std::string text(const std::string& indent) const {
        std::vector<std::size_t> width(right_.size(), 0);
        for (const auto& r : rows_)
            for (std::size_t i = 0; i < r.size(); ++i) width[i] = std::max(width[i], columns(r[i]));
        std::string out;
        for (const auto& r : rows_) {
            std::string line = indent;
            for (std::size_t i = 0; i < r.size(); ++i) line += (i == 0 ? "" : "  ") + padded(r[i], width[i], right_[i]);
            while (!line.empty() && line.back() == ' ') line.pop_back();
            out += line + "\n";
        }
        return out;
    }

  private:
    std::vector<bool> right_;
    std::vector<std::vector<std::string>> rows_;
};

/// Where on the vehicle it is; empty where nobody said.
std::string place_of_terminal(const Circuit&, TerminalId);
/// A cut end that was joined again is no loose end.
std::string point_text(const View&, TerminalId);
/// The same where a part with two like ends needs no end named.
std::string end_text(const View&, TerminalId);
/// The same of one half of a plug's hole where both halves stand there: by the other end of its wire.
std::string half_text(const View&, TerminalId);
/// What nobody measures on purpose: current that leaks through loads that are off.
std::string flows(const std::optional<Amps>& amps, bool noise);
/// What flows at a terminal without a wire: of a fuse in a box, over its seat on the rail; else nothing to show.
std::string flows_without_wire(const View&, const solve::Prediction&, const solve::Reading&);
/// "red/green, to X7:1"
std::string leads(const View&, const solve::Prediction&, const solve::Reading&);
/// "W72", "K1 contact", "X7", "GND2", "fuse F20"
std::string called_briefly(const View&, EdgeRef);
/// "W72 0.31, X7 0.10": what takes at least a hundredth of a volt, what is called the same together, in the order of the way.
std::string shares(const View&, const std::vector<solve::Share>& way);
/// Volts of all.
double sum(const std::vector<solve::Share>& way);
/// One paragraph: what a load gets, and what is lost where on the way to it and home.
std::string lost_text(const View&, const solve::Lost&, const Screen&);

} // namespace loomproof::report
