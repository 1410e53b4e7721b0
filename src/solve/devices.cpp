#include "solve/devices.hpp"

#include "solve/lanes.hpp"
#include "solve/warm_wire.hpp"

#include <array>

namespace loomproof::solve {

namespace {

constexpr std::uint8_t is_open = 0, is_straight = 1, is_wire = 2, others = 3;

std::uint8_t group_of(const Device& d) {
    switch (d.law) {
    case Device::Law::open: return is_open;
    case Device::Law::resistor:
    case Device::Law::source: return is_straight;
    case Device::Law::conductor: return is_wire;
    default: return static_cast<std::uint8_t>(others + static_cast<std::uint8_t>(d.law));
    }
}

} // namespace

bool Devices::set(std::span<const Device> devices) {
    devices_ = devices;
    bool same = group_.size() == devices.size();
    group_.resize(devices.size());
    for (std::size_t k = 0; k < devices.size(); ++k) {
        const std::uint8_t group = group_of(devices[k]);
        same = same && group == group_[k];
        group_[k] = group;
    }
    if (!same) {
        std::array<std::uint32_t, others + Device::laws + 1> next{}; // by group: its next place
        for (std::uint8_t group : group_)
            if (group != is_open) ++next[group + 1U];
        for (std::size_t group = 1; group < next.size(); ++group) next[group] += next[group - 1];
        straight_ = next[is_straight + 1];
        wires_end_ = next[is_wire + 1];
        numbers_.resize(next.back());
        for (std::uint32_t k = 0; k < group_.size(); ++k)
            if (group_[k] != is_open) numbers_[next[group_[k]]++] = k;
        for (std::vector<double>* each : {&siemens_, &volts_, &per_volt_, &amps_, &most_, &share_})
            each->resize(wires_end_);
    }
    for (std::size_t place = 0; place < straight_; ++place) {
        const Device& d = at(place);
        volts_[place] = d.law == Device::Law::source ? d.volts : 0;
        siemens_[place] = 1 / d.ohms;
    }
    for (std::size_t place = straight_; place < wires_end_; ++place) {
        const Device& d = at(place);
        siemens_[place] = 1 / d.ohms;
        per_volt_[place] = 1 / (d.ohms * d.amps);
        amps_[place] = d.amps;
        most_[place] = largest_share_squared(d);
    }
    return !same;
}

void Devices::respond(std::span<const double> across, std::span<double> amps, std::span<double> siemens) const {
    std::size_t k = 0;
    for (; k + 2 <= straight_; k += 2) {
        put(&amps[k], (two(&across[k]) - two(&volts_[k])) * two(&siemens_[k]));
        put(&siemens[k], two(&siemens_[k]));
    }
    for (; k < straight_; ++k) {
        amps[k] = (across[k] - volts_[k]) * siemens_[k];
        siemens[k] = siemens_[k];
    }
    for (; k + 2 <= wires_end_; k += 2) {
        const Two share = two(&across[k]) * two(&per_volt_[k]);
        const WarmWire<Two> wire(share, two(&amps_[k]), two(&siemens_[k]));
        put(&share_[k], share * share);
        put(&amps[k], wire.amps);
        put(&siemens[k], wire.siemens);
    }
    const auto one = [&](std::size_t place) {
        const Response r = solve::respond(at(place), across[place]);
        amps[place] = r.amps;
        siemens[place] = r.siemens;
    };
    for (std::size_t place = straight_; place < k; ++place)
        if (!(share_[place] <= most_[place])) one(place);
    for (; k < numbers_.size(); ++k) one(k);
}

} // namespace loomproof::solve
