#pragma once

/// Engine clutch of shoes thrown straight outwards against the bell.
///
/// Sign: as in `engine_clutch.hpp`. The springs pull inwards; clearance and wear lead outwards.
/// Equation: with d = clearance + wear, T = n mu R [m (r_0 + d) w^2 - (S_0 + k d)].
/// Source: Khurmi & Gupta, Theory of Machines, 14th ed., Ex 10.35 and 10.36; Bhandari, Design of
///   Machine Elements, Ex 11.12.

#include "layshaft/laws/engine_clutch.hpp"

namespace layshaft {

/// Thrown-shoe clutch. Plain value; SI units.
struct ThrownShoes {
  double shoe_count;            ///< Number of shoes n [-], a whole number >= 1.
  double shoe_mass;             ///< Mass of one shoe m [kg], > 0.
  double radius_at_rest;        ///< Centre of mass from the shaft, shoe at rest r_0 [m], > 0.
  double drum_radius;           ///< Inside radius of the bell R [m], > 0.
  double spring_force_at_rest;  ///< Force holding one shoe in at rest S_0 [N], >= 0.
  double spring_rate;           ///< Growth of that force with travel k [N/m], >= 0.
  double clearance;             ///< Travel to the bell with a new lining [m], >= 0.
  double wear;                  ///< Lining worn away [m], >= 0; adds to the clearance.
  double friction;              ///< Sliding friction coefficient, cold [-], > 0.
  double static_friction;       ///< Friction coefficient at rest, cold [-], >= friction.
  bool operator==(const ThrownShoes&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const ThrownShoes& clutch);

/// Force holding one shoe in when it touches the bell [N].
[[nodiscard]] inline double spring_force_at_contact(const ThrownShoes& clutch) {
  return clutch.spring_force_at_rest + clutch.spring_rate * (clutch.clearance + clutch.wear);
}

/// Radius of the centre of mass when the shoe touches the bell [m].
[[nodiscard]] inline double radius_at_contact(const ThrownShoes& clutch) {
  return clutch.radius_at_rest + clutch.clearance + clutch.wear;
}

/// Speed [rad/s] at which the shoe leaves its seat; contact comes later, at `engagement_speed`.
[[nodiscard]] inline double first_motion_speed(const ThrownShoes& clutch) {
  return sqrt(clutch.spring_force_at_rest / (clutch.shoe_mass * clutch.radius_at_rest));
}

/// Coefficients of the clutch.
[[nodiscard]] inline ClutchLaw<double> make_clutch_law(const ThrownShoes& clutch) {
  const double mass_moment = clutch.shoe_mass * radius_at_contact(clutch);  // [kg*m]
  return {.gain = clutch.shoe_count * clutch.friction * clutch.drum_radius * mass_moment,
          .engagement_speed_squared = spring_force_at_contact(clutch) / mass_moment,
          .static_ratio = clutch.static_friction / clutch.friction};
}

/// Mass of one shoe [kg] for `torque` [N*m] at `speed` with engagement at `engagement_speed`
/// [rad/s]; the other measures are those of `clutch`, whose mass and springs are not looked at.
[[nodiscard]] double shoe_mass_for(const ThrownShoes& clutch, double torque, double speed,
                                   double engagement_speed);

/// Spring force at rest [N] for which this clutch engages at `engagement_speed` [rad/s].
[[nodiscard]] double spring_force_for(const ThrownShoes& clutch, double engagement_speed);

/// What one small change does, at a stated engine torque.
struct ThrownShoesEffects {
  ClutchEffect newton_of_spring;  ///< One newton more on every spring.
  ClutchEffect tenth_gram;        ///< 0.1 g more on every shoe.
  ClutchEffect tenth_millimetre;  ///< 0.1 mm more clearance (or wear).
};

/// Effects at `engine_torque` [N*m].
[[nodiscard]] ThrownShoesEffects effects_of_changes(const ThrownShoes& clutch,
                                                    double engine_torque);

}  // namespace layshaft
