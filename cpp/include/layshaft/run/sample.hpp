#pragma once

/// What is known of a list of parts at one instant of a run.

#include <array>
#include <cstddef>
#include <limits>

#include "layshaft/network/modes.hpp"
#include "layshaft/number/columns.hpp"
#include "layshaft/run/outputs.hpp"

namespace layshaft {

/// `Names` are those of the list.
template <class Names>
struct SampleOf {
  double time;  ///< [s]
  Column<double, Names::kStates> state;
  std::array<double, static_cast<std::size_t>(Names::kAccounts)> accounts;
  Column<double, Names::kCouplings> torques;  ///< [N*m], against the car's way [N].
  Column<double, Names::kCouplings> slips;    ///< [rad/s], of the car [m/s].
  /// Not a number for those of the solved network.
  std::array<double, static_cast<std::size_t>(Names::kSignals)> signals;
  ModeSet<Names::kCouplings, Names::kSwitches> modes;
};

/// Value of an output that follows from the parts [SI]; temperatures are rises over that of the air
/// [K].
template <class Names>
[[nodiscard]] double read_output(const SampleOf<Names>& sample, double air_temperature,
                                 const Output& output) {
  const auto at = static_cast<std::size_t>(output.index);
  switch (output.from) {
    case From::state: return sample.state(output.index);
    case From::rise: return air_temperature + sample.state(output.index);
    case From::torque: return sample.torques(output.index);
    case From::slip: return sample.slips(output.index);
    case From::mode: return static_cast<double>(sample.modes.couplings[at]);
    case From::signal: return sample.signals[at];
    case From::position: return static_cast<double>(sample.modes.switches[at]);
    case From::account: return sample.accounts[at];
    case From::other: break;
  }
  return std::numeric_limits<double>::quiet_NaN();
}

}  // namespace layshaft
