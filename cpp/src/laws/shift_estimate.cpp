#include "layshaft/laws/shift_estimate.hpp"

#include <cmath>

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {
namespace {

/// Speed of the bell over that of locked second gear when the hand-over begins [rad/s].
[[nodiscard]] double speed_gap(const ShiftBodies& bodies, double shaft_speed) {
  return (bodies.first_ratio - bodies.second_ratio) * shaft_speed;
}

/// Load seen before the losses R' [N*m].
[[nodiscard]] double load_before_losses(const HuntingLoad& load) {
  return load.bodies.load_torque / load.efficiency;
}

}  // namespace

void validate(const ShiftBodies& bodies) {
  const char* const owner = "ShiftBodies";
  require(bodies.second_ratio > 0.0, owner, "second_ratio", bodies.second_ratio, "> 0");
  require(bodies.first_ratio > bodies.second_ratio, owner, "first_ratio", bodies.first_ratio,
          "> second_ratio");
  require(bodies.bell_inertia > 0.0, owner, "bell_inertia", bodies.bell_inertia, "> 0");
  require(bodies.shaft_inertia > 0.0, owner, "shaft_inertia", bodies.shaft_inertia, "> 0");
  require(std::isfinite(bodies.engine_torque), owner, "engine_torque", bodies.engine_torque,
          "finite");
  require(std::isfinite(bodies.load_torque), owner, "load_torque", bodies.load_torque, "finite");
}

void validate(const HuntingLoad& load) {
  validate(load.bodies);
  require(load.efficiency > 0.0 && load.efficiency <= 1.0, "HuntingLoad", "efficiency",
          load.efficiency, "> 0 and <= 1");
}

double hand_over_torque(const ShiftBodies& bodies) {
  const double share = bodies.bell_inertia * bodies.first_ratio / bodies.shaft_inertia;
  return bodies.second_ratio * (bodies.engine_torque + share * bodies.load_torque) /
         (1.0 + share * bodies.second_ratio);
}

HandOver hand_over(const ShiftBodies& bodies, double drum_torque, double shaft_speed) {
  const double gap = speed_gap(bodies, shaft_speed);
  const double closing_rate =
      (drum_torque / bodies.second_ratio - bodies.engine_torque) / bodies.bell_inertia +
      bodies.second_ratio * (drum_torque - bodies.load_torque) / bodies.shaft_inertia;
  require(closing_rate > 0.0, "hand_over", "closing rate", closing_rate,
          "> 0 (the drum torque is too small)");
  const double time = gap / closing_rate;
  return {.time = time, .heat = drum_torque * gap * time / (2.0 * bodies.second_ratio)};
}

HandOver heavy_car_hand_over(const ShiftBodies& bodies, double drum_torque, double shaft_speed) {
  const double gap = speed_gap(bodies, shaft_speed);
  const double surplus = drum_torque / bodies.second_ratio - bodies.engine_torque;
  require(surplus > 0.0, "heavy_car_hand_over", "torque slowing the bell", surplus, "> 0");
  return {.time = bodies.bell_inertia * gap / surplus,
          .heat = 0.5 * bodies.bell_inertia * square(gap) /
                  (1.0 - bodies.second_ratio * bodies.engine_torque / drum_torque)};
}

HandOver rising_hand_over(const ShiftBodies& bodies, double torque_rate, double shaft_speed) {
  require(torque_rate > 0.0, "rising_hand_over", "torque_rate", torque_rate, "> 0");
  const double gap = speed_gap(bodies, shaft_speed);
  // A heavy car: T* = r2 T_e.
  const double start_torque = bodies.second_ratio * bodies.engine_torque;
  const double time = sqrt(2.0 * bodies.second_ratio * bodies.bell_inertia * gap / torque_rate);
  return {.time = time,
          .heat = 2.0 / 3.0 * start_torque * gap * time / bodies.second_ratio +
                  0.5 * bodies.bell_inertia * square(gap)};
}

double drum_torque_clutch_holds(const ShiftBodies& bodies, double clutch_capacity,
                                double crank_inertia) {
  // Crank and bell slow down together: the clutch passes T_e - I_c a, a = (T_e - T_d/r2)/(I_b +
  // I_c).
  const double spare = clutch_capacity - bodies.engine_torque;
  return bodies.second_ratio *
         (bodies.engine_torque + (1.0 + bodies.bell_inertia / crank_inertia) * spare);
}

bool load_between_gears(const HuntingLoad& load) {
  const double resistance = load_before_losses(load);
  return resistance > load.bodies.second_ratio * load.bodies.engine_torque &&
         resistance < load.bodies.first_ratio * load.bodies.engine_torque;
}

double hunting_gain(const HuntingLoad& load, double release_speed) {
  const ShiftBodies& bodies = load.bodies;
  const double resistance = load_before_losses(load);
  const double locked_torque = bodies.second_ratio * bodies.engine_torque;
  const double deficit = resistance - locked_torque;
  require(deficit > 0.0, "HuntingLoad", "load above what second gear pulls", deficit, "> 0");
  const double impulse = locked_torque - deficit * log(resistance / deficit);
  return bodies.shaft_inertia * impulse /
         (2.0 * load.efficiency * bodies.second_ratio * bodies.bell_inertia *
          (bodies.first_ratio - bodies.second_ratio) * square(release_speed));
}

}  // namespace layshaft
