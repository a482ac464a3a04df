#pragma once

/// The car's equations between two switch instants, as functions of its coefficients.
///
/// Written once for any number type: `Coefficient` is that of the car (double, or lanes with one
/// car each), `Real` that of the state. A state is anything with `state(i)`. Slips, torques and
/// couplings as in `drivetrain.hpp`.
///
/// Source: first principles; laws as cited in their own headers.

#include <utility>

#include "layshaft/car/parts.hpp"
#include "layshaft/car/pedals.hpp"
#include "layshaft/car/plausible.hpp"
#include "layshaft/laws/engine.hpp"
#include "layshaft/laws/engine_clutch.hpp"
#include "layshaft/laws/heat.hpp"
#include "layshaft/laws/load_transfer.hpp"
#include "layshaft/laws/shoe_law.hpp"
#include "layshaft/laws/tyre.hpp"
#include "layshaft/network/network.hpp"

namespace layshaft {

/// What a mesh or belt loses of the power it passes on [-]: 1/efficiency - 1 where work enters on
/// the engine's side; on the road's efficiency - 1, of a power that is then negative.
template <class Real>
struct PassingShares {
  Real from_engine, from_road;
};

/// Coefficients of the whole car; only `Real` members, so that it can be packed lane by lane.
template <class Real>
struct DrivetrainLaw {
  EngineLaw<Real> engine;
  ClutchLaw<Real> clutch;
  HeatLaw<Real> clutch_heat;
  std::array<ShoeLaw<Real>, 2> shoes;
  HeatLaw<Real> shoe_heat;
  TyreLaw<Real> rear_tyre;
  TyreLaw<Real> front_tyre;
  Real first_ratio;        ///< Spur over pinion [-].
  Real second_ratio;       ///< [-].
  Real first_efficiency;   ///< [-].
  Real second_efficiency;  ///< [-].
  Real rear_ratio;         ///< Shaft over axle speed [-].
  Real front_ratio;        ///< [-].
  Real rear_efficiency;    ///< [-].
  Real front_efficiency;   ///< [-].
  Real bell_to_first;      ///< Speed of the first gear's drum over the bell's, 1/first_ratio [-].
  Real bell_to_second;     ///< [-].
  Real shaft_to_rear;      ///< Speed of the axle over the shaft's, 1/rear_ratio [-].
  Real shaft_to_front;     ///< [-].
  PassingShares<Real> first_passing;
  PassingShares<Real> second_passing;
  PassingShares<Real> rear_passing;
  PassingShares<Real> front_passing;
  Real rear_jump;           ///< [N*m].
  Real front_jump;          ///< [N*m].
  Real front_back_jump;     ///< The front belt's lower limit, 0 for a one-way axle [N*m].
  Real brake_torque;        ///< [N*m].
  Real brake_static_ratio;  ///< [-].
  Real shaft_drag;          ///< [N*m].
  Real mass;                ///< [kg].
  Real weight;              ///< Load on the ground at rest [N].
  Real grade_force;         ///< Weight along the road, positive uphill [N].
  Real front_share;         ///< [-].
  Real wheelbase;           ///< [m]
  Real lever;               ///< Centre height over wheelbase [-].
  Real load_transfer_rate;  ///< One over its time [1/s].
  Real drag;                ///< Air drag per square of speed [kg/m].
  Real downforce;           ///< Downforce per square of speed [kg/m].
  Real air_temperature;     ///< [K].
  Real per_slip_target;     ///< One over the slip at which the finger has eased off by half [-].
  Real anticipation;        ///< [s].
  Real response_rate;       ///< One over its time [1/s].
  PlausibleLaw<Real> plausible;
};

/// The frozen switches as numbers.
template <class Real>
struct DrivetrainActive {
  std::array<Real, 2> shoe_out;  ///< 1 where the shoe is out, else 0.
  Real clutch_side;              ///< +1 where the clutch presses, else -1.
  PedalLine<Real> pedals;
};

/// What presses the car to the road, and what the front axle would have to carry of it for balance
/// [N]: the axle has lifted where that is below 0, the rear one where it is above `pressed`.
template <class Real>
struct LoadBalance {
  Real pressed, front;
};

/// Least that presses the car to the road, over its weight [-]: below it the car is in the air, and
/// the run has ended.
inline constexpr double kLeastPressed = 0.05;

template <class Real, class Coefficient, class State>
[[nodiscard]] LoadBalance<Real> load_balance(const DrivetrainLaw<Coefficient>& law,
                                             const State& state) {
  const Real speed = state(node::car);
  const Real pressed = law.weight + law.downforce * speed * speed;
  return {pressed, law.front_share * pressed - state(state_of(auxiliary::load_transfer))};
}

/// Whether the car is pressed to the road by so much that its equations hold.
template <class Real, class Coefficient, class State>
[[nodiscard]] auto is_pressed(const DrivetrainLaw<Coefficient>& law, const State& state) {
  return load_balance<Real>(law, state).pressed >= kLeastPressed * law.weight;
}

/// Loads of the two axles, both > 0.
template <class Real, class Coefficient, class State>
[[nodiscard]] AxleLoads<Real> axle_loads(const DrivetrainLaw<Coefficient>& law,
                                         const State& state) {
  // Rounds off by 5e-5 of the weight at rest, by a hundredth where an axle just lifts.
  constexpr double kRounding = 0.02;
  // A trial step may fly higher than the run, which ends at kLeastPressed.
  constexpr double kFloor = 0.2 * kLeastPressed;
  const LoadBalance<Real> balance = load_balance<Real>(law, state);
  return shared_loads(Real(max(balance.pressed, Real(kFloor * law.weight))), balance.front,
                      Real(kRounding * law.weight));
}

/// Loads of the two axles, the give of their tyres and their forces.
template <class Real>
struct AxleForces {
  Real rear_load, front_load;                ///< [N]
  Real rear_force, front_force;              ///< [N]
  Real rear_radius, front_radius;            ///< [m]
  Real rear_strain_rate, front_strain_rate;  ///< [1/s]
  Real rear_stored, front_stored;            ///< Power that goes into the carcasses [W].
  Real rear_slip_rate, front_slip_rate;      ///< Of the slips that are seen [1/s].
};

template <class Real, class Coefficient, class State>
[[nodiscard]] AxleForces<Real> axle_forces(const DrivetrainLaw<Coefficient>& law,
                                           const State& state) {
  using namespace auxiliary;  // NOLINT: the names of the states, in this function only
  const Real speed = state(node::car);
  const AxleLoads<Real> loads = axle_loads<Real>(law, state);
  const Real rear_radius = tyre_radius(law.rear_tyre, Real(state(node::rear)));
  const Real front_radius = tyre_radius(law.front_tyre, Real(state(node::front)));
  const Real rear_tread = rear_radius * state(node::rear);
  const Real front_tread = front_radius * state(node::front);
  const Real strain_rear = state(state_of(rear_strain));
  const Real strain_front = state(state_of(front_strain));
  const Real rear_share = sticking_share(law.rear_tyre, tyre_slip(rear_tread, speed), loads.rear);
  const Real front_share =
      sticking_share(law.front_tyre, tyre_slip(front_tread, speed), loads.front);
  const Real rear_rate =
      tyre_strain_rate(law.rear_tyre, strain_rear, rear_share, rear_tread, speed);
  const Real front_rate =
      tyre_strain_rate(law.front_tyre, strain_front, front_share, front_tread, speed);
  return {.rear_load = loads.rear,
          .front_load = loads.front,
          .rear_force = tyre_force_now(law.rear_tyre, strain_rear, rear_rate, loads.rear),
          .front_force = tyre_force_now(law.front_tyre, strain_front, front_rate, loads.front),
          .rear_radius = rear_radius,
          .front_radius = front_radius,
          .rear_strain_rate = rear_rate,
          .front_strain_rate = front_rate,
          .rear_stored = stored_power(law.rear_tyre, strain_rear, rear_rate, loads.rear),
          .front_stored = stored_power(law.front_tyre, strain_front, front_rate, loads.front),
          .rear_slip_rate =
              seen_slip_rate(law.rear_tyre, Real(state(state_of(rear_slip))), rear_tread, speed),
          .front_slip_rate = seen_slip_rate(law.front_tyre, Real(state(state_of(front_slip))),
                                            front_tread, speed)};
}

/// Loads of the network, with the axle forces they were made from.
template <class Real>
struct DrivetrainLoads : Loads<Real, node::count, coupling::count> {
  AxleForces<Real> axles;
};

/// Hot over cold friction of the clutch and of the shoes at the temperatures of a state.
template <class Real, class Coefficient, class State>
[[nodiscard]] Real clutch_friction_ratio(const DrivetrainLaw<Coefficient>& law,
                                         const State& state) {
  const Real rise = state(state_of(auxiliary::clutch_surface));
  return friction_ratio(law.clutch_heat, Real(law.air_temperature + rise));
}
template <class Real, class Coefficient, class State>
[[nodiscard]] Real shoe_friction_ratio(const DrivetrainLaw<Coefficient>& law, const State& state) {
  const Real rise = state(state_of(auxiliary::shoe_surface));
  return friction_ratio(law.shoe_heat, Real(law.air_temperature + rise));
}

/// Brake torque and bearing drag [N*m]; `strength` is 1 sliding, the static ratio at rest [-].
template <class Coefficient, class Real>
[[nodiscard]] Real brake_capacity(const DrivetrainLaw<Coefficient>& law,
                                  const DrivetrainActive<Coefficient>& active, const Real& time,
                                  const Coefficient& strength) {
  const Real pedal = active.pedals.brake_offset + active.pedals.brake_slope * time;
  return law.brake_torque * strength * pedal + law.shaft_drag;
}

/// Applied torques and sliding limits.
template <class Coefficient, class Real, class State>
[[nodiscard]] DrivetrainLoads<Real> drivetrain_loads(const DrivetrainLaw<Coefficient>& law,
                                                     const DrivetrainActive<Coefficient>& active,
                                                     const Real& time, const State& state) {
  const Real crank = state(node::crank);
  const Real shaft = state(node::shaft);
  const Real speed = state(node::car);
  const Real opening = state(state_of(auxiliary::throttle));

  DrivetrainLoads<Real> loads;
  loads.axles = axle_forces<Real>(law, state);
  const AxleForces<Real>& axles = loads.axles;
  loads.applied(node::crank) = engine_torque(law.engine, crank, opening);
  loads.applied(node::bell) = Real(0.0);
  loads.applied(node::shaft) = Real(0.0);
  loads.applied(node::rear) = -axles.rear_force * axles.rear_radius;
  loads.applied(node::front) = -axles.front_force * axles.front_radius;
  loads.applied(node::car) =
      axles.rear_force + axles.front_force - law.drag * speed * abs(speed) - law.grade_force;

  // Not clamped: which of clutch and shoes press is a switch, frozen during a step.
  const Real clutch =
      law.clutch.gain * clutch_friction_ratio<Real>(law, state) * clutch_excess(law.clutch, crank);
  const Real shoe_ratio = shoe_friction_ratio<Real>(law, state);
  Real second_high(0.0);
  Real second_low(0.0);
  for (std::size_t k = 0; k < 2; ++k) {
    const ShoeLaw<Coefficient>& shoe = law.shoes[k];
    const ShoeGrips<Real> grips = shoe_grips(shoe, Real(shoe.friction * shoe_ratio));
    const Real pressing = active.shoe_out[k] * shoe_pressing_moment(shoe, shaft);
    second_high += grips.faster * pressing;
    second_low -= grips.slower * pressing;
  }
  const Real brake = brake_capacity(law, active, time, Coefficient(1.0));
  const Real rolling =
      rolling_drag(law.rear_tyre, axles.rear_load) + rolling_drag(law.front_tyre, axles.front_load);

  const auto limit = [&loads](int which, const Real& low, const Real& high) {
    loads.low(which) = low;
    loads.high(which) = high;
  };
  limit(coupling::clutch, -clutch, clutch);
  limit(coupling::first, Real(0.0), Real(kNoLimit));
  limit(coupling::second, second_low, second_high);
  limit(coupling::rear_belt, -law.rear_jump, law.rear_jump);
  limit(coupling::front_belt, -law.front_back_jump, law.front_jump);
  limit(coupling::brake, -brake, brake);
  limit(coupling::rolling, -rolling, rolling);
  return loads;
}

/// Sets `hold`, which has the sliding limits, to what the couplings can carry at rest.
template <class Coefficient, class Real, class State, class Hold>
void raise_to_hold_limits(const DrivetrainLaw<Coefficient>& law,
                          const DrivetrainActive<Coefficient>& active, const Real& time,
                          const State& state, Hold& hold) {
  hold.low(coupling::clutch) *= law.clutch.static_ratio;
  hold.high(coupling::clutch) *= law.clutch.static_ratio;
  const Real ratio = shoe_friction_ratio<Real>(law, state);
  const Real shaft = state(node::shaft);
  hold.low(coupling::second) = Real(0.0);
  hold.high(coupling::second) = Real(0.0);
  for (std::size_t k = 0; k < 2; ++k) {
    const ShoeLaw<Coefficient>& shoe = law.shoes[k];
    const ShoeGrips<Real> grips = shoe_grips(shoe, Real(shoe.static_friction * ratio));
    const Real pressing = active.shoe_out[k] * shoe_pressing_moment(shoe, shaft);
    hold.high(coupling::second) += grips.faster * pressing;
    hold.low(coupling::second) -= grips.slower * pressing;
  }
  const Real brake = brake_capacity(law, active, time, law.brake_static_ratio);
  hold.low(coupling::brake) = -brake;
  hold.high(coupling::brake) = brake;
}

/// Guard of the engine clutch [-]: falls through zero as it begins to press, or opens.
template <class Coefficient, class Real, class State>
[[nodiscard]] Real clutch_switch_guard(const DrivetrainLaw<Coefficient>& law,
                                       const DrivetrainActive<Coefficient>& active,
                                       const State& state) {
  const Real crank = state(node::crank);
  return active.clutch_side * (clutch_excess(law.clutch, crank) /
                               max(abs(law.clutch.engagement_speed_squared), Coefficient(1.0)));
}

/// Guard of a shoe [-]: falls through zero as it goes out, or comes back.
template <class Coefficient, class Real, class State>
[[nodiscard]] Real shoe_switch_guard(const DrivetrainLaw<Coefficient>& law,
                                     const DrivetrainActive<Coefficient>& active, std::size_t shoe,
                                     const State& state) {
  const ShoeLaw<Coefficient>& which = law.shoes[shoe];
  const Real shaft = state(node::shaft);
  const Real guard = select(active.shoe_out[shoe] > 0.5, shoe_release_guard(which, shaft),
                            shoe_contact_guard(which, shaft));
  return guard / max(abs(which.contact_speed_squared), Coefficient(1.0));
}

/// Share of the asked opening that the driver's finger leaves at a rear tyre slip [-] and its rate
/// [1/s]: 1/(1 + (s/target)^2) with the slip s expected `anticipation` later. Smooth everywhere,
/// and soft: with a steeper law, or without the look ahead, finger, clutch and tyre swing against
/// each other at 8 to 20 Hz in the first metres. The eigenvalues are a test.
template <class Coefficient, class Real>
[[nodiscard]] Real eased_opening(const DrivetrainLaw<Coefficient>& law, const Real& slip,
                                 const Real& slip_rate) {
  return Real(1.0) /
         (Real(1.0) + square((slip + law.anticipation * slip_rate) * law.per_slip_target));
}

/// Rates of the states after the speeds.
template <class Coefficient, class Real, class State, class Torques, class Accelerations,
          class Rates>
void set_auxiliary_rates(const DrivetrainLaw<Coefficient>& law,
                         const DrivetrainActive<Coefficient>& active, const Real& time,
                         const State& state, const AxleForces<Real>& axles, const Torques& sliding,
                         const Accelerations& accelerations, Rates& rates) {
  using namespace auxiliary;  // NOLINT: the names of the states, in this function only
  const auto rate = [&rates](Auxiliary which) -> Real& { return rates(state_of(which)); };
  const auto value = [&state](Auxiliary which) -> const Real& { return state(state_of(which)); };

  rate(rear_strain) = axles.rear_strain_rate;
  rate(front_strain) = axles.front_strain_rate;
  rate(rear_slip) = axles.rear_slip_rate;
  rate(front_slip) = axles.front_slip_rate;
  const Real transfer = law.lever * (law.mass * accelerations(node::car) + law.grade_force);
  rate(load_transfer) = (transfer - value(load_transfer)) * law.load_transfer_rate;

  const Real asked = active.pedals.throttle_offset + active.pedals.throttle_slope * time;
  const Real eased = eased_opening(law, value(rear_slip), Real(rate(rear_slip)));
  rate(throttle) = (asked * eased - value(throttle)) * law.response_rate;

  const Real clutch_power = sliding(coupling::clutch) * (state(node::crank) - state(node::bell));
  const Real shoe_power =
      sliding(coupling::second) * (state(node::bell) * law.bell_to_second - state(node::shaft));
  const HeatRates<Real> clutch_heat =
      heat_rates(law.clutch_heat, value(clutch_surface), value(clutch_body), clutch_power);
  const HeatRates<Real> shoe_heat =
      heat_rates(law.shoe_heat, value(shoe_surface), value(shoe_body), shoe_power);
  rate(clutch_surface) = clutch_heat.surface;
  rate(clutch_body) = clutch_heat.body;
  rate(shoe_surface) = shoe_heat.surface;
  rate(shoe_body) = shoe_heat.body;
}

}  // namespace layshaft
