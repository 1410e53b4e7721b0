#pragma once
/// All devices of a network asked at once: law by law, so that the processor guesses right which comes next, and wires two at a time.

#include "solve/device.hpp"

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace loomproof::solve {

/// Every device that is not open has a place here: resistors and sources first, then wires, then all others by their law; among its like
/// in the order of its number. So the places hang on the devices alone, whatever was here before.
class Devices {
  public:
    /// `devices` must stay where they are until the next set(). Returns whether the places are others than before.
    bool set(std::span<const Device> devices);

    /// By place: the number of the device among those given.
    std::span<const std::uint32_t> numbers() const { return numbers_; }
    std::size_t size() const { return numbers_.size(); }
    /// So many places hold resistors and sources, whose slope is the same everywhere.
    std::size_t straight() const { return straight_; }
    const Device& at(std::size_t place) const { return devices_[numbers_[place]]; }

    /// Current and slope of all of them, by place, at these volts: to the last digit what respond() says of each. All three hold at least
    /// size().
    void respond(std::span<const double> across, std::span<double> amps, std::span<double> siemens) const;

  private:
    std::span<const Device> devices_;
    std::vector<std::uint8_t> group_; ///< by number: what decides on its place
    std::vector<std::uint32_t> numbers_;
    std::size_t straight_ = 0, wires_end_ = 0;
    /// By place, where it holds a resistor, source or wire. `siemens`: of a wire not warmed. `volts`: of a source. `per_volt`: of a wire, over
    /// the volts that its `amps` leave in it unwarmed. `most`: the square of the largest share of those that WarmWire answers for.
    std::vector<double> siemens_, volts_, per_volt_, amps_, most_;
    mutable std::vector<double> share_; ///< by place: of a wire, the square of its share of those volts
};

} // namespace loomproof::solve
