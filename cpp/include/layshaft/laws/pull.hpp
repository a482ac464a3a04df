#pragma once

/// A vehicle pulled along through one fixed gear: quick estimates in closed form.
///
/// Sign: torque, gear and acceleration are positive forwards; resistance is positive backwards.
/// Law: a = (eta G T/r - R)/(m + I_w/r^2 + eta G^2 I_e/r^2); the ratio for the greatest
/// acceleration is [R + sqrt(R^2 + A^2 M/k)]/A with A = eta T/r, M = m + I_w/r^2, k = eta I_e/r^2.
/// Coasting: dv/dt = -(a + b v^2).
/// Source: R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed. 2009, ch. 3; T. Bevan, The
/// Theory of Machines, 3rd ed., ch. 2.

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// A vehicle, its wheels and its engine, and what holds it back.
struct PulledVehicle {
  double mass;            ///< [kg], > 0.
  double wheel_radius;    ///< [m], > 0.
  double wheel_inertia;   ///< All that turns with the wheels [kg*m^2], >= 0.
  double engine_inertia;  ///< All that turns with the engine [kg*m^2], >= 0.
  double efficiency;      ///< From the engine to the wheels [-], > 0, <= 1.
  double torque;          ///< Engine torque [N*m], > 0.
  double resistance;      ///< Force against the motion [N], >= 0.
  bool operator==(const PulledVehicle&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
inline void validate(const PulledVehicle& vehicle) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "PulledVehicle", field, value, bound);
  };
  check(vehicle.mass > 0.0, "mass", vehicle.mass, "> 0");
  check(vehicle.wheel_radius > 0.0, "wheel_radius", vehicle.wheel_radius, "> 0");
  check(vehicle.wheel_inertia >= 0.0, "wheel_inertia", vehicle.wheel_inertia, ">= 0");
  check(vehicle.engine_inertia >= 0.0, "engine_inertia", vehicle.engine_inertia, ">= 0");
  check(vehicle.efficiency > 0.0 && vehicle.efficiency <= 1.0, "efficiency", vehicle.efficiency,
        "> 0 and <= 1");
  check(vehicle.torque > 0.0, "torque", vehicle.torque, "> 0");
  check(vehicle.resistance >= 0.0, "resistance", vehicle.resistance, ">= 0");
}

/// Mass that the engine torque has to speed up in the gear `ratio` [-], as felt at the road [kg].
[[nodiscard]] constexpr double effective_mass(const PulledVehicle& vehicle, double ratio) {
  const double turning =
      vehicle.wheel_inertia + vehicle.efficiency * ratio * ratio * vehicle.engine_inertia;
  return vehicle.mass + turning / square(vehicle.wheel_radius);
}

/// Acceleration [m/s^2] in the gear `ratio`, engine speed over wheel speed [-].
[[nodiscard]] constexpr double geared_acceleration(const PulledVehicle& vehicle, double ratio) {
  const double pull = vehicle.efficiency * ratio * vehicle.torque / vehicle.wheel_radius;
  return (pull - vehicle.resistance) / effective_mass(vehicle, ratio);
}

/// Ratio [-] with the greatest acceleration at this torque; needs engine_inertia > 0, for without
/// it more ratio is always better.
[[nodiscard]] inline double best_ratio(const PulledVehicle& vehicle) {
  validate(vehicle);
  require(vehicle.engine_inertia > 0.0, "PulledVehicle", "engine_inertia", vehicle.engine_inertia,
          "> 0");
  const double pull = vehicle.efficiency * vehicle.torque / vehicle.wheel_radius;
  const double engine_mass =
      vehicle.efficiency * vehicle.engine_inertia / square(vehicle.wheel_radius);
  const double rest = effective_mass(vehicle, 0.0);
  return (vehicle.resistance +
          sqrt(square(vehicle.resistance) + pull * pull * rest / engine_mass)) /
         pull;
}

/// Acceleration [m/s^2] of a mass driven by its own weight that speeds up geared parts through
/// losses: the parts behind the gears weigh 1/efficiency more. `driven_inertia` turns `ratio` times
/// as fast as the drum of `drum_radius` with `drum_inertia`.
[[nodiscard]] constexpr double hoist_acceleration(double mass, double drum_radius,
                                                  double drum_inertia, double driven_inertia,
                                                  double ratio, double efficiency, double gravity) {
  const double turning = drum_inertia + ratio * ratio * driven_inertia / efficiency;
  return mass * gravity / (mass + turning / square(drum_radius));
}

/// Time [s] to coast to rest from `speed` [m/s] against the deceleration `constant` [m/s^2] plus
/// `quadratic` [1/m] times speed squared; both > 0.
[[nodiscard]] inline double coasting_time(double speed, double constant, double quadratic) {
  return atan(sqrt(quadratic / constant) * speed) / sqrt(constant * quadratic);
}

/// Distance [m] of the same.
[[nodiscard]] inline double coasting_distance(double speed, double constant, double quadratic) {
  return log(1.0 + quadratic / constant * speed * speed) / (2.0 * quadratic);
}

}  // namespace layshaft
