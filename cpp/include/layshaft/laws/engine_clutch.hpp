#pragma once

/// The engine clutch as the network sees it, whichever its design.
///
/// Sign: slip = crank speed - bell speed [rad/s]; a positive torque speeds the bell up; the torque
/// lies within +/- capacity and torque * slip >= 0 is power lost.
/// Equation: capacity = K (w^2 - w_e^2) above the engagement speed w_e, nothing below; w is the
///   crank's speed. Under a constant engine torque T the slipping crank settles at the stall speed
///   w_q^2 = w_e^2 + T/K; until then w(t) = w_q tanh(K w_q t/I + artanh(w_0/w_q)).
/// Source: force balance of thrown weights against a spring, as in Khurmi & Gupta, Theory of
///   Machines, 14th ed., Ex 10.35; the designs stand in `thrown_shoes.hpp` and `axial_clutch.hpp`.
///   Heat changes K, never w_e.

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Coefficients of the clutch, hoisted once for a run.
template <class Real>
struct ClutchLaw {
  Real gain;                      ///< Capacity per square of speed, cold, sliding K [N*m*s^2].
  Real engagement_speed_squared;  ///< w_e^2 [rad^2/s^2]; below 0 when the spring never lets go.
  Real static_ratio;              ///< Static over sliding friction coefficient [-], >= 1.
};

/// Square of the crank's speed over that of engagement [rad^2/s^2]; a guard: it falls through zero
/// when the clutch opens, and so does its negative when it begins to press.
template <class Coefficient, class Real>
[[nodiscard]] Real clutch_excess(const ClutchLaw<Coefficient>& law, const Real& crank_speed) {
  return crank_speed * crank_speed - law.engagement_speed_squared;
}

/// Torque [N*m], >= 0, the sliding clutch carries; `friction_ratio` is hot over cold friction [-].
template <class Coefficient, class Real>
[[nodiscard]] Real clutch_capacity(const ClutchLaw<Coefficient>& law, const Real& crank_speed,
                                   const Real& friction_ratio) {
  return law.gain * friction_ratio * max(clutch_excess(law, crank_speed), Real(0.0));
}

/// Torque [N*m], >= 0, up to which the closed clutch does not slip.
template <class Coefficient, class Real>
[[nodiscard]] Real clutch_static_capacity(const ClutchLaw<Coefficient>& law,
                                          const Real& crank_speed, const Real& friction_ratio) {
  return law.static_ratio * clutch_capacity(law, crank_speed, friction_ratio);
}

/// Crank speed [rad/s] at which the clutch begins to press.
[[nodiscard]] inline double engagement_speed(const ClutchLaw<double>& law) {
  return sqrt(max(law.engagement_speed_squared, 0.0));
}

/// Crank speed [rad/s] at which the cold, slipping clutch just carries `engine_torque` [N*m].
[[nodiscard]] inline double stall_speed(const ClutchLaw<double>& law, double engine_torque) {
  return sqrt(max(law.engagement_speed_squared + engine_torque / law.gain, 0.0));
}

/// Crank speed [rad/s] above which the closed, cold clutch holds `engine_torque` [N*m].
[[nodiscard]] inline double holding_speed(const ClutchLaw<double>& law, double engine_torque) {
  return sqrt(
      max(law.engagement_speed_squared + engine_torque / (law.gain * law.static_ratio), 0.0));
}

/// Speed [rad/s] of a crank of `inertia` [kg*m^2] after `time` [s] of slipping under a constant
/// torque [N*m], from `start_speed` [rad/s] between engagement and stall.
[[nodiscard]] inline double slipping_crank_speed(const ClutchLaw<double>& law, double engine_torque,
                                                 double inertia, double start_speed, double time) {
  const double stall = stall_speed(law, engine_torque);
  const double start = 0.5 * log((stall + start_speed) / (stall - start_speed));  // artanh
  return stall * tanh(law.gain * stall * time / inertia + start);
}

/// What a launch from rest with the crank held at its stall speed costs.
struct ClutchLaunch {
  double stall_speed;  ///< Crank speed while slipping [rad/s].
  double lock_time;    ///< Time until the bell has caught up [s].
  double heat;         ///< Heat made in the clutch [J].
};

/// Launch of `bell_inertia` [kg*m^2] (the car, seen at the bell) against `load_torque` [N*m], with
/// `engine_torque` [N*m] constant and above it.
[[nodiscard]] inline ClutchLaunch estimate_launch(const ClutchLaw<double>& law,
                                                  double engine_torque, double load_torque,
                                                  double bell_inertia) {
  const double stall = stall_speed(law, engine_torque);
  const double lock_time = bell_inertia * stall / (engine_torque - load_torque);
  return {.stall_speed = stall,
          .lock_time = lock_time,
          .heat = 0.5 * engine_torque * stall * lock_time};
}

/// What one change of the set-up does to the clutch.
struct ClutchEffect {
  double engagement_change;  ///< Change of the engagement speed [rad/s].
  double stall_change;       ///< Change of the stall speed at the stated engine torque [rad/s].
};

/// Difference that going from one clutch to another makes at this engine torque [N*m].
[[nodiscard]] inline ClutchEffect clutch_effect(const ClutchLaw<double>& from,
                                                const ClutchLaw<double>& to, double engine_torque) {
  return {.engagement_change = engagement_speed(to) - engagement_speed(from),
          .stall_change = stall_speed(to, engine_torque) - stall_speed(from, engine_torque)};
}

}  // namespace layshaft
