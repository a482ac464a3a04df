#pragma once

/// Largest values seen at the ends of the integrator's steps, or where else a recorder looks.

#include "layshaft/car/car_list.hpp"
#include "layshaft/number/arithmetic.hpp"

namespace layshaft {

/// Those of the state; only `Real` members.
template <class Real>
struct PeaksOf {
  Real car_speed;           ///< [m/s]
  Real crank_speed;         ///< [rad/s]
  Real rear_slip;           ///< [-]
  Real front_slip;          ///< [-]
  Real clutch_temperature;  ///< Of the lining surface [K].
  Real shoe_temperature;    ///< [K]
};

/// Raises each peak by `raise(peak, value)`.
template <class Real, class Raise>
void raise_peaks(PeaksOf<Real>& peaks, const PeaksOf<Real>& by, const Raise& raise) {
  raise(peaks.car_speed, by.car_speed);
  raise(peaks.crank_speed, by.crank_speed);
  raise(peaks.rear_slip, by.rear_slip);
  raise(peaks.front_slip, by.front_slip);
  raise(peaks.clutch_temperature, by.clutch_temperature);
  raise(peaks.shoe_temperature, by.shoe_temperature);
}
inline void raise_peaks(PeaksOf<double>& peaks, const PeaksOf<double>& by) {
  raise_peaks(peaks, by, [](double& peak, double value) { peak = max(peak, value); });
}

/// What a state shows of them; temperatures of the state are rises over that of the air [K].
template <class Real, class State>
[[nodiscard]] PeaksOf<Real> peaks_at(const State& state, const Real& air_temperature) {
  return {state(node::car),
          state(node::crank),
          abs(state(car_state::rear_slip)),
          abs(state(car_state::front_slip)),
          air_temperature + state(car_state::clutch_surface),
          air_temperature + state(car_state::shoe_surface)};
}

}  // namespace layshaft
