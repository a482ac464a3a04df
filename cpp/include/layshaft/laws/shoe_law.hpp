#pragma once

/// One shoe of the two-speed as the network sees it: seated, or out against the drum.
///
/// Sign: direction is +1 where the drum turns faster than the hub (upshift), -1 where it is slower.
///   Torques are magnitudes, >= 0 while the shoe is out; they draw drum and hub together. Whether
///   the shoe is seated or out is a mode, kept by the caller and changed where a guard falls
///   through zero.
/// Equation: torque = G (S w^2 - hold), grip G = mu r / (e_N - s direction mu e_f), s = +1 for a
///   shoe that leads at the upshift, -1 for one that trails; w is the speed of the shaft.
/// Source: moments about the pivot, Shigley eqs 16-2 to 16-10; coefficients from `two_speed.hpp`.

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Coefficients of one shoe, hoisted once for a run.
template <class Real>
struct ShoeLaw {
  Real contact_speed_squared;  ///< Shaft speed squared at which it goes out w_on^2 [rad^2/s^2].
  Real release_speed_squared;  ///< Shaft speed squared at which it comes back w_off^2 [rad^2/s^2].
  Real centrifugal_gain;       ///< Centrifugal moment per speed squared at contact S [kg*m^2].
  Real hold_moment;            ///< Moment holding it in at contact [N*m], >= 0.
  Real normal_arm;             ///< e_N [m].
  Real friction_arm;           ///< e_f [m].
  Real drum_radius;            ///< r [m].
  Real friction;               ///< Sliding friction coefficient, cold [-].
  Real static_friction;        ///< Friction coefficient at rest, cold [-].
  Real leading_sign;           ///< +1 leading at the upshift, -1 trailing.
};

/// Torque on the drum per moment that presses the shoe: the grip G [-]. Above 0 in both directions
/// for a set-up that is valid: one whose friction would lock the shoe in either is refused.
template <class Coefficient, class Real>
[[nodiscard]] Real shoe_grip(const ShoeLaw<Coefficient>& law, const Real& direction,
                             const Real& friction) {
  return friction * law.drum_radius /
         (law.normal_arm - law.leading_sign * direction * friction * law.friction_arm);
}

/// Both grips [-], as `shoe_grip` gives them: of a drum faster and of a drum slower than the hub.
template <class Real>
struct ShoeGrips {
  Real faster, slower;
};

/// One division serves both.
template <class Coefficient, class Real>
[[nodiscard]] ShoeGrips<Real> shoe_grips(const ShoeLaw<Coefficient>& law, const Real& friction) {
  const Real lean = law.leading_sign * friction * law.friction_arm;
  const Real less = law.normal_arm - lean;
  const Real more = law.normal_arm + lean;
  const Real share = friction * law.drum_radius / (less * more);
  return {.faster = share * more, .slower = share * less};
}

/// Moment [N*m] that presses a shoe in contact on the drum; falls through zero at release.
template <class Coefficient, class Real>
[[nodiscard]] Real shoe_pressing_moment(const ShoeLaw<Coefficient>& law, const Real& shaft_speed) {
  return law.centrifugal_gain * shaft_speed * shaft_speed - law.hold_moment;
}

/// Torque [N*m] one sliding shoe in contact carries; `friction_ratio` is hot over cold friction
/// [-]. Not clamped: whether the shoe is out is a mode, kept by the caller.
template <class Coefficient, class Real>
[[nodiscard]] Real shoe_torque(const ShoeLaw<Coefficient>& law, const Real& shaft_speed,
                               const Real& direction, const Real& friction_ratio) {
  return shoe_grip(law, direction, law.friction * friction_ratio) *
         shoe_pressing_moment(law, shaft_speed);
}

/// Torque [N*m] up to which one shoe in contact does not slip; `direction` is that of the slip the
/// load would cause.
template <class Coefficient, class Real>
[[nodiscard]] Real shoe_static_torque(const ShoeLaw<Coefficient>& law, const Real& shaft_speed,
                                      const Real& direction, const Real& friction_ratio) {
  return shoe_grip(law, direction, law.static_friction * friction_ratio) *
         shoe_pressing_moment(law, shaft_speed);
}

/// Guard of a seated shoe [rad^2/s^2]: falls through zero as the shoe goes out.
template <class Coefficient, class Real>
[[nodiscard]] Real shoe_contact_guard(const ShoeLaw<Coefficient>& law, const Real& shaft_speed) {
  return law.contact_speed_squared - shaft_speed * shaft_speed;
}

/// Guard of a shoe that is out [rad^2/s^2]: falls through zero as it comes back. Where the spring
/// is slack at contact the squares are continued below zero: such a shoe is out at any speed.
template <class Coefficient, class Real>
[[nodiscard]] Real shoe_release_guard(const ShoeLaw<Coefficient>& law, const Real& shaft_speed) {
  return shaft_speed * shaft_speed - law.release_speed_squared;
}

/// Whether the shoe is out with the shaft at rest: its spring is slack at contact.
[[nodiscard]] inline bool always_out(const ShoeLaw<double>& law) {
  return !(law.contact_speed_squared > 0.0);
}

}  // namespace layshaft
