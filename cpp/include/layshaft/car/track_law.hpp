#pragma once

/// The equations of a car on a track, beside those of the car on a straight road: what corners take
/// of the grip, and what the driver's foot asks for.
///
/// Sign: the foot's wish is positive for throttle and negative for brake; 1 is all there is.
/// Law: wish = a/a0 + (V - v - T a_car)/band, where V and a = V dV/ds are the speed aimed at and
/// its acceleration a time T ahead, T the lag of hand and servo, so that aim and car are compared
/// for the same instant; a0 = grip * g. The pedals follow the wish by smooth ramps. Both are eased
/// by the slip of the tyres as on a straight (`eased_opening`). Source: first principles;
/// proportional control with look ahead.

#include "layshaft/car/drivetrain_law.hpp"
#include "layshaft/car/speed_curve.hpp"
#include "layshaft/laws/grip.hpp"

namespace layshaft {

/// A ramp rounded at its foot: (x + sqrt(x^2 + w^2))/2 with w = 0.05.
template <class Real>
[[nodiscard]] Real rounded_ramp(const Real& x) {
  constexpr double kRounding = 0.05;
  return 0.5 * (x + sqrt(x * x + square(kRounding)));
}

/// Most that is asked of the brake, in shares of what the tyres hold [-]: the slip eases it off.
inline constexpr double kHardestBraking = 1.5;

/// Share of the full opening asked for [-] by a wish [-].
template <class Real>
[[nodiscard]] Real throttle_asked(const Real& wish) {
  return rounded_ramp(wish);
}

/// Brake asked for [-] by a wish [-], in shares of what the tyres hold; none near the middle.
template <class Real>
[[nodiscard]] Real brake_asked(const Real& wish) {
  constexpr double kFree = 0.1;
  return kHardestBraking - rounded_ramp(kHardestBraking - rounded_ramp(-wish - kFree));
}

/// Coefficients of the foot.
struct FootLaw {
  double full_acceleration;  ///< a0 [m/s^2].
  double band;               ///< [m/s]
  double lag;                ///< T [s].
  double full_throttle;      ///< Opening with the foot down [-].
  double pedal_at_grip;      ///< Brake pedal at which the tyres are at their grip [-].
};

/// The wish and its slopes.
struct Wish {
  double value;
  double by_distance;      ///< [1/m]
  double by_speed;         ///< At constant acceleration of the car [s/m].
  double by_acceleration;  ///< [s^2/m]
};

[[nodiscard]] inline Wish foot_wish(const FootLaw& law, const SpeedCurve& curve, double distance,
                                    double speed, double acceleration) {
  const SpeedCurve::Point aim = curve.at(distance + speed * law.lag);
  const double aimed = sqrt(aim.square);
  const double by_place =
      0.5 * aim.bend / law.full_acceleration + 0.5 * aim.slope / (aimed * law.band);
  return {
      0.5 * aim.slope / law.full_acceleration + (aimed - speed - law.lag * acceleration) / law.band,
      by_place, by_place * law.lag - 1.0 / law.band, -law.lag / law.band};
}

/// What a corner does to the two axles.
template <class Real>
struct CornerForces {
  Real rear_left, front_left;    ///< Shares of the driving forces that are left [-].
  Real rear_taken, front_taken;  ///< Driving forces lost to the circle of grip [N].
  Real drag;                     ///< Against the car's motion: of the sign of its speed [N].
  Real friction;                 ///< Used sideways [-].
};

/// `force` and `load` of both axles [N] without the corner.
template <class Real, class Coefficient>
[[nodiscard]] CornerForces<Real> corner_forces(const DrivetrainLaw<Coefficient>& law,
                                               const Real& rear_force, const Real& front_force,
                                               const Real& rear_load, const Real& front_load,
                                               const Real& speed, const Real& curvature) {
  const Real pressed = rear_load + front_load;
  const Real friction = lateral_friction(law.mass, speed, curvature, pressed);
  const Real rear_left = grip_left(friction, tyre_friction(law.rear_tyre, rear_load));
  const Real front_left = grip_left(friction, tyre_friction(law.front_tyre, front_load));
  const Real drag = cornering_drag(law.rear_tyre.stiffness_factor, friction, rear_load) +
                    cornering_drag(law.front_tyre.stiffness_factor, friction, front_load);
  return {.rear_left = rear_left,
          .front_left = front_left,
          .rear_taken = rear_force * (1.0 - rear_left),
          .front_taken = front_force * (1.0 - front_left),
          .drag = select(speed < Real(0.0), Real(-drag), drag),
          .friction = friction};
}

}  // namespace layshaft
