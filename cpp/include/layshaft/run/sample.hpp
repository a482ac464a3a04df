#pragma once

/// What is known of a plant of parts at one instant of a run.

#include <limits>

#include "layshaft/network/plant.hpp"
#include "layshaft/run/outputs.hpp"

namespace layshaft {

template <class P>
struct SampleOf {
  static constexpr auto kSignals = static_cast<std::size_t>(P::Parts::kSignals);

  double time;  ///< [s]
  StateOf<P> state;
  AccountsOf<P> accounts;
  Vector<double, P::kCouplings> torques;  ///< [N*m], against the car's way [N].
  Vector<double, P::kCouplings> slips;    ///< [rad/s], of the car [m/s].
  std::array<double, kSignals> signals;   ///< Not a number for those of the solved network.
  ModesOf<P> modes;
};

template <class P>
[[nodiscard]] SampleOf<P> sample_of(const P& plant, const View<P>& view, double time,
                                    const StateOf<P>& state, const AccountsOf<P>& accounts,
                                    const ModesOf<P>& modes) {
  SampleOf<P> sample{
      time, state, accounts, view.torques, plant.network().slip * state.template head<P::kNodes>(),
      {},   modes};
  for (std::size_t i = 0; i < sample.signals.size(); ++i) {
    sample.signals[i] = P::Parts::is_late_signal(static_cast<int>(i))
                            ? std::numeric_limits<double>::quiet_NaN()
                            : view.loads.signals[i];
  }
  return sample;
}

/// Value of an output that follows from the parts [SI]; temperatures are rises over that of the air
/// [K].
template <class P>
[[nodiscard]] double read_output(const SampleOf<P>& sample, double air_temperature,
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
