#pragma once

/// Two inertias brought to one speed by a clutch of constant torque.
///
/// Sign: the first body is driven by its outside torque and slowed by the clutch while it is the
/// faster one; torques [N*m] positive in the direction of turning.
/// Equation: t = I1 I2 dw/[T (I1 + I2)], heat = I1 I2 dw^2/[2 (I1 + I2)] with no outside torque.
/// Source: Shigley, Mechanical Engineering Design, ch. 16 (energy considerations).

#include "layshaft/number/bounds.hpp"

namespace layshaft {

/// One of the two bodies.
struct SpinningBody {
  double inertia;         ///< [kg*m^2], > 0.
  double speed;           ///< At the start [rad/s].
  double outside_torque;  ///< Acting on it besides the clutch [N*m].
  bool operator==(const SpinningBody&) const = default;
};

/// How the two come together.
struct LockUp {
  double time;          ///< Time of slipping [s].
  double common_speed;  ///< Speed of both at its end [rad/s].
  double heat;          ///< Energy lost in the clutch [J].
};

/// Lock-up of `fast` with `slow` under a constant clutch torque [N*m]. Refuses a slow body that is
/// not the slower one, and a torque that cannot bring the two together.
[[nodiscard]] inline LockUp lock_up(const SpinningBody& fast, const SpinningBody& slow,
                                    double clutch_torque) {
  require(fast.inertia > 0.0, "SpinningBody", "inertia", fast.inertia, "> 0");
  require(slow.inertia > 0.0, "SpinningBody", "inertia", slow.inertia, "> 0");
  const double slip = fast.speed - slow.speed;
  require(slip >= 0.0, "LockUp", "slip", slip, ">= 0");
  const double fast_rate = (fast.outside_torque - clutch_torque) / fast.inertia;
  const double slow_rate = (slow.outside_torque + clutch_torque) / slow.inertia;
  const double closing_rate = slow_rate - fast_rate;
  require(closing_rate > 0.0, "LockUp", "closing rate", closing_rate, "> 0 (torque too small)");
  const double time = slip / closing_rate;
  return {.time = time,
          .common_speed = slow.speed + slow_rate * time,
          .heat = 0.5 * clutch_torque * slip * time};
}

}  // namespace layshaft
