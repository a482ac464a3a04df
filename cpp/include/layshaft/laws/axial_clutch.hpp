#pragma once

/// Engine clutch of flyweights on levers that press a plate along the shaft on a facing.
///
/// Sign: as in `engine_clutch.hpp`. Turning the nut in (more turns) compresses the coil spring.
/// Equation: thrust F = n m r j w^2 - [F_0 + k (turns pitch + x_c)], T = mu R_m faces F / sin(b), b
///   the half-angle of the cone (pi/2: flat); mean radius R_m = (R_o + R_i)/2 with uniform wear,
///   2/3 (R_o^3 - R_i^3)/(R_o^2 - R_i^2) with uniform pressure. A cone sticks when tan(b) <= mu.
///   The lever ratio j takes up w^2 [m x_c (z_c - z_p) + I_xz] of a lever pivoted across the shaft.
/// Source: Shigley, Mechanical Engineering Design, ch. 16 (disk and cone clutches).

#include <string>

#include "layshaft/laws/engine_clutch.hpp"

namespace layshaft {

/// How the facing shares out its load: worn in, or new and stiff.
enum class FacingPressure { uniform_wear, uniform_pressure };

/// Axial clutch. Plain value; SI units.
struct AxialClutch {
  double flyweight_count;      ///< Number of flyweights n [-], a whole number >= 1.
  double flyweight_mass;       ///< Mass of one flyweight without its slug [kg], > 0.
  double slug_mass;            ///< Mass added to each flyweight [kg], >= 0.
  double flyweight_radius;     ///< Centre of mass from the shaft r [m], > 0.
  double lever_ratio;          ///< Thrust per centrifugal force j [-], > 0.
  double nut_turns;            ///< Turns of the preload nut from first touch [-], >= 0.
  double nut_pitch;            ///< Advance of the nut in a turn [m], > 0.
  double force_at_zero_turns;  ///< Spring force at no turns, plate at rest F_0 [N], >= 0.
  double spring_rate;          ///< Rate of the coil spring k [N/m], > 0.
  double clearance;            ///< Travel of the plate to a new facing x_c [m], >= 0.
  double wear;                 ///< Facing worn away, square to its surface [m], >= 0.
  double facing_inner_radius;  ///< R_i [m], >= 0.
  double facing_outer_radius;  ///< R_o [m], > R_i.
  double facing_count;         ///< Number of rubbing faces [-], a whole number >= 1.
  double half_angle;        ///< Half-angle of the cone b [rad], <= pi/2 (flat), tan b > static mu.
  double friction;          ///< Sliding friction coefficient, cold [-], > 0.
  double static_friction;   ///< Friction coefficient at rest, cold [-], >= friction.
  FacingPressure pressure;  ///< Which mean radius applies.
  bool operator==(const AxialClutch&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const AxialClutch& clutch);

/// Mean rubbing radius R_m [m].
[[nodiscard]] double mean_radius(double inner_radius, double outer_radius, FacingPressure pressure);

/// Torque [N*m] a plate or cone carries under a thrust [N]; mean radius [m], half-angle [rad].
[[nodiscard]] inline double plate_torque(double thrust, double friction, double mean_radius,
                                         double facing_count, double half_angle) {
  return friction * mean_radius * facing_count * thrust / sin(half_angle);
}

/// Thrust [N] at which the facing reaches its greatest allowed pressure [Pa]: 2 pi p R_i (R_o -
/// R_i) worn in (the inner edge carries most), pi p (R_o^2 - R_i^2) when the pressure is even.
[[nodiscard]] double thrust_at_pressure(double greatest_pressure, double inner_radius,
                                        double outer_radius, FacingPressure pressure);

/// Spring force when the plate touches its facing [N].
[[nodiscard]] double spring_force_at_contact(const AxialClutch& clutch);

/// Coefficients of the clutch.
[[nodiscard]] ClutchLaw<double> make_clutch_law(const AxialClutch& clutch);

/// Turns of the nut [-] for which this clutch engages at `engagement_speed` [rad/s]; below 0 when
/// the spring is too stiff even with the nut just touching.
[[nodiscard]] double nut_turns_for(const AxialClutch& clutch, double engagement_speed);

/// What one small change does, at a stated engine torque.
struct AxialClutchEffects {
  ClutchEffect eighth_turn;       ///< Nut an eighth of a turn in.
  ClutchEffect one_slug;          ///< One more slug on every flyweight.
  ClutchEffect tenth_millimetre;  ///< 0.1 mm more clearance.
};

/// Effects at `engine_torque` [N*m]; `slug` is the mass of one slug [kg].
[[nodiscard]] AxialClutchEffects effects_of_changes(const AxialClutch& clutch, double engine_torque,
                                                    double slug);

[[nodiscard]] inline std::string to_string(FacingPressure pressure) {
  return pressure == FacingPressure::uniform_wear ? "uniform_wear" : "uniform_pressure";
}

}  // namespace layshaft
