#pragma once

/// How fast the car's accounts grow: where the work of the engine goes.

#include "layshaft/car/drivetrain_law.hpp"

namespace layshaft {

/// Power lost in a mesh or belt [W], >= 0.
template <class Coefficient, class Real>
[[nodiscard]] Real passing_loss(const Real& torque, const Real& in_speed,
                                const PassingShares<Coefficient>& shares) {
  const Real power = torque * in_speed;
  return power * select(power >= 0.0, Real(shares.from_engine), Real(shares.from_road));
}

/// Rates of all accounts, in their own order; `torques` are those of all couplings.
template <class Coefficient, class Real, class State, class Torques>
[[nodiscard]] std::array<Real, account::count> drivetrain_account_rates(
    const DrivetrainLaw<Coefficient>& law, const State& state, const DrivetrainLoads<Real>& loads,
    const Torques& torques) {
  const AxleForces<Real>& axles = loads.axles;
  const Real crank = state(node::crank);
  const Real bell = state(node::bell);
  const Real shaft = state(node::shaft);
  const Real speed = state(node::car);
  const Real rear_in = shaft * law.shaft_to_rear;
  const Real front_in = shaft * law.shaft_to_front;
  const Real first = torques(coupling::first);
  const Real second = torques(coupling::second);
  const Real rear_belt = torques(coupling::rear_belt);
  const Real front_belt = torques(coupling::front_belt);

  const Real throttle = state(state_of(auxiliary::throttle));

  std::array<Real, account::count> rates;
  rates[account::distance] = speed;
  rates[account::fuel] = fuel_mass_flow(law.engine, crank, throttle);
  rates[account::engine_work] = loads.applied(node::crank) * crank;
  rates[account::clutch_loss] = torques(coupling::clutch) * (crank - bell);
  rates[account::shoe_loss] = second * (bell * law.bell_to_second - shaft);
  rates[account::mesh_loss] =
      passing_loss(first, Real(bell * law.bell_to_first), law.first_passing) +
      passing_loss(second, Real(bell * law.bell_to_second), law.second_passing);
  rates[account::belt_loss] = passing_loss(rear_belt, rear_in, law.rear_passing) +
                              passing_loss(front_belt, front_in, law.front_passing) +
                              rear_belt * (rear_in - state(node::rear)) +
                              front_belt * (front_in - state(node::front));
  rates[account::brake_loss] = torques(coupling::brake) * shaft;
  rates[account::rolling_loss] = torques(coupling::rolling) * speed;
  rates[account::rear_tyre_loss] =
      axles.rear_force * (axles.rear_radius * state(node::rear) - speed) - axles.rear_stored;
  rates[account::front_tyre_loss] =
      axles.front_force * (axles.front_radius * state(node::front) - speed) - axles.front_stored;
  rates[account::tyre_stored] = axles.rear_stored + axles.front_stored;
  rates[account::air_loss] = law.drag * speed * speed * abs(speed);
  rates[account::grade_work] = law.grade_force * speed;
  return rates;
}

}  // namespace layshaft
