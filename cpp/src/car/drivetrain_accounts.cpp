#include "layshaft/car/drivetrain.hpp"

namespace layshaft {
namespace {

// What a lossy row pays more than it gives: forwards 1/efficiency - 1 of it, backwards 1 -
// efficiency.
double passing_loss(double torque, double in_speed, double efficiency) {
  return torque >= 0.0 ? torque * in_speed * (1.0 / efficiency - 1.0)
                       : -torque * in_speed * (1.0 - efficiency);
}

// A tyre with relaxation stores work in its carcass; what is lost is force * transport speed *
// slip.
double slip_loss(double force, double tread_speed, double car_speed, double slip) {
  return force * slip * 0.5 * (abs(tread_speed) + abs(car_speed));
}

}  // namespace

Drivetrain::Accounts Drivetrain::account_rates(const Active& /*active*/, double /*time*/,
                                               const State& state,
                                               const DrivetrainLoads<double>& loads,
                                               const Vector<double, kCouplings>& torques) const {
  const DrivetrainLaw<double>& law = law_;
  const AxleForces<double>& axles = loads.axles;
  const double crank = state(node::crank);
  const double bell = state(node::bell);
  const double shaft = state(node::shaft);
  const double speed = state(node::car);
  const double rear_tread = axles.rear_radius * state(node::rear);
  const double front_tread = axles.front_radius * state(node::front);
  const double rear_in = shaft / law.rear_ratio;
  const double front_in = shaft / law.front_ratio;
  const double rear_belt = torques(coupling::rear_belt);
  const double front_belt = torques(coupling::front_belt);

  Accounts rates{};
  rates[account::distance] = speed;
  rates[account::fuel] = fuel_mass_flow(law.engine, crank, state(state_of(auxiliary::throttle)));
  rates[account::engine_work] = loads.applied(node::crank) * crank;
  rates[account::clutch_loss] = torques(coupling::clutch) * (crank - bell);
  rates[account::shoe_loss] = torques(coupling::second) * (bell / law.second_ratio - shaft);
  rates[account::mesh_loss] =
      passing_loss(torques(coupling::first), bell / law.first_ratio, law.first_efficiency) +
      passing_loss(torques(coupling::second), bell / law.second_ratio, law.second_efficiency);
  rates[account::belt_loss] = passing_loss(rear_belt, rear_in, law.rear_efficiency) +
                              passing_loss(front_belt, front_in, law.front_efficiency) +
                              rear_belt * (rear_in - state(node::rear)) +
                              front_belt * (front_in - state(node::front));
  rates[account::brake_loss] = torques(coupling::brake) * shaft;
  rates[account::rolling_loss] = torques(coupling::rolling) * speed;
  rates[account::rear_tyre_loss] =
      slip_loss(axles.rear_force, rear_tread, speed, state(state_of(auxiliary::rear_slip)));
  rates[account::front_tyre_loss] =
      slip_loss(axles.front_force, front_tread, speed, state(state_of(auxiliary::front_slip)));
  rates[account::tyre_stored] = axles.rear_force * (rear_tread - speed) +
                                axles.front_force * (front_tread - speed) -
                                rates[account::rear_tyre_loss] - rates[account::front_tyre_loss];
  rates[account::air_loss] = law.drag * speed * speed * abs(speed);
  rates[account::grade_work] = law.grade_force * speed;
  return rates;
}

}  // namespace layshaft
