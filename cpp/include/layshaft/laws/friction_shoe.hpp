#pragma once

/// A rigid shoe on a pivot, pressed against the inside of a drum.
///
/// Sign: angles run from the line shaft centre - pivot towards the shoe's free end; moments about
///   the pivot are positive outwards. Leading: friction helps to press the shoe on.
/// Equation: pressure p = pa sin(t) / sin(ta) over the arc t1..t2; with J1 = cos t1 - cos t2,
///   J2 = (t2 - t1)/2 - (sin 2 t2 - sin 2 t1)/4, J3 = (sin^2 t2 - sin^2 t1)/2:
///   normal force N = pa b r J1 / sin ta acts at the arm e_N = a J2 / J1, its friction mu N at the
///   arm e_f = r - a J3 / J1. Short shoe at the angle t: e_N = a sin t, e_f = r - a cos t.
///   torque per pressing moment: mu r / (e_N - s mu e_f), s = +1 leading, -1 trailing.
/// Source: Shigley, Mechanical Engineering Design, eqs 16-2 to 16-10.

#include <string>

namespace layshaft {

/// Geometry of one shoe. Plain value; SI units.
struct FrictionShoe {
  double drum_radius;   ///< Radius of the rubbing surface r [m], > 0.
  double pivot_radius;  ///< Shaft centre to pivot a [m], > 0.
  double arc_start;     ///< Angle at which the lining starts t1 [rad], >= 0.
  double arc_end;       ///< Angle at which it ends t2 [rad], > arc_start, <= pi.
  double width;         ///< Width of the lining b [m], > 0; only pressures depend on it.
  bool operator==(const FrictionShoe&) const = default;
};

/// Which way friction turns the shoe about its pivot.
enum class ShoeAction { leading, trailing };

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const FrictionShoe& shoe);

/// Arms about the pivot per unit of normal force and of friction force.
struct ShoeArms {
  double normal_arm;    ///< e_N [m].
  double friction_arm;  ///< e_f [m].
  bool operator==(const ShoeArms&) const = default;
};

/// Moments about the pivot and torque on the drum, each per unit of the greatest pressure.
struct ShoeMoments {
  double normal_moment;    ///< M_N / pa [m^3].
  double friction_moment;  ///< M_f / pa [m^3].
  double torque;           ///< T / pa [m^3].
  bool operator==(const ShoeMoments&) const = default;
};

/// Arms under sinusoidal pressure (long shoe).
[[nodiscard]] ShoeArms long_shoe_arms(double drum_radius, double pivot_radius, double arc_start,
                                      double arc_end);

/// Arms of a shoe so short that it presses at one `angle` [rad].
[[nodiscard]] ShoeArms short_shoe_arms(double drum_radius, double pivot_radius, double angle);

/// Moments per unit of the greatest pressure on the lining, at this friction coefficient [-].
[[nodiscard]] ShoeMoments shoe_moments(const FrictionShoe& shoe, double friction);

/// Moment about the pivot [N*m] that has to press for the greatest pressure [Pa].
[[nodiscard]] double pressing_moment(const ShoeMoments& moments, ShoeAction action,
                                     double greatest_pressure);

/// Greatest pressure [Pa] under a pressing moment [N*m]. Refuses a leading shoe at or past
/// self-locking, where no finite pressure balances.
[[nodiscard]] double greatest_pressure(const ShoeMoments& moments, ShoeAction action,
                                       double pressing_moment);

/// Torque on the drum [N*m] per pressing moment [N*m] at this friction coefficient: the grip [-].
/// Refuses a leading shoe at or past self-locking.
[[nodiscard]] double shoe_grip(const ShoeArms& arms, double drum_radius, double friction,
                               ShoeAction action);

/// Friction coefficient e_N / |e_f| at which the shoe locks by itself [-], in one sense of slip:
/// leading, or trailing where e_f < 0, the lining so near to the pivot that friction turns the shoe
/// the other way. Infinite where the friction has no arm.
[[nodiscard]] double locking_friction(const ShoeArms& arms);

[[nodiscard]] inline std::string to_string(ShoeAction action) {
  return action == ShoeAction::leading ? "leading" : "trailing";
}

}  // namespace layshaft
