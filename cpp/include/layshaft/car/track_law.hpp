#pragma once

/// The equations of a car on a track, beside those of the car on a straight road: what corners take
/// of the grip, and what the driver's foot asks for.
///
/// Sign: the foot's wish is positive for throttle and negative for brake; 1 is all there is.
/// Law: the foot moves on from where the pedals stand,
///     wish = p + (W' + T W'' + (W + T W' - v - T a)/tau - a)/a0,  p = throttle - brake as they
///     stand,
/// W being the speed aimed at where the car is, W' = v dW/ds and W'' = v^2 d2W/ds2 + a dW/ds its
/// rates as the car goes on at its own speed v and acceleration a, T the lag of hand and servo, a0
/// = grip * g and tau the time in which the driver takes out an error. Where a0 dp/dt is da/dt,
/// whatever drag and gear there are, T dp/dt = wish - p makes the error e of the speed obey T e'' +
/// (1 + T/tau) e' + e/tau = 0 however large it is: it decays with the times T and tau and does not
/// swing. A car that stands pulls away wherever there is an aim. The pedals follow the wish by
/// smooth ramps. Both are eased by the slip of the tyres as on a straight (`eased_opening`).
/// Source: first principles; inversion of a lag.

#include "layshaft/car/drivetrain_law.hpp"
#include "layshaft/car/speed_plan.hpp"
#include "layshaft/laws/grip.hpp"

namespace layshaft {

/// Width w of the rounding of the foot's ramps [-].
inline constexpr double kRampRounding = 0.05;

/// A ramp rounded at its foot: (x + sqrt(x^2 + w^2))/2.
template <class Real>
[[nodiscard]] Real rounded_ramp(const Real& x) {
  return 0.5 * (x + sqrt(x * x + square(kRampRounding)));
}

/// The wish whose ramp is all the throttle there is [-]: there the foot goes down and comes off. At
/// any other the throttle asked for would jump, and the foot might go down and come off for ever.
inline constexpr double kFullWish = 1.0 - 0.25 * kRampRounding * kRampRounding;

/// Share of the full opening asked for [-] by a wish [-].
template <class Real>
[[nodiscard]] Real throttle_asked(const Real& wish) {
  return rounded_ramp(wish);
}

/// Brake asked for [-] by a wish [-], in shares of what the tyres hold: its throttle less the brake
/// is the wish itself, up to the hardest braking.
template <class Real>
[[nodiscard]] Real brake_asked(const Real& wish) {
  return kHardestBraking - rounded_ramp(kHardestBraking - rounded_ramp(-wish));
}

/// Coefficients of the foot.
struct FootLaw {
  double full_acceleration;  ///< a0 [m/s^2].
  double correction_time;    ///< tau [s].
  double lag;                ///< T [s].
  double full_throttle;      ///< Opening with the foot down [-].
  double pedal_at_grip;      ///< Brake pedal at which the tyres are at their grip [-].
};

/// The pedals as they stand, and how the car moves.
struct Motion {
  double distance;      ///< [m]
  double speed;         ///< [m/s]
  double acceleration;  ///< [m/s^2]
  double throttle;      ///< [-]
  double pedal;         ///< [-]
};

/// The wish and its slopes.
struct Wish {
  double value;
  double by_distance;      ///< [1/m]
  double by_speed;         ///< At constant acceleration of the car [s/m].
  double by_acceleration;  ///< [s^2/m]
  double by_throttle;      ///< [-]
  double by_pedal;         ///< [-]
};

[[nodiscard]] inline Wish foot_wish(const FootLaw& law, const SpeedCurve& curve,
                                    const Motion& now) {
  const SpeedCurve::Point aim = curve.at(now.distance);
  const double lag = law.lag;
  const double rate = 1.0 / law.correction_time;
  const double per_acceleration = 1.0 / law.full_acceleration;
  // The speed aimed at and its slopes along the road.
  const double aimed = sqrt(aim.square);
  const double slope = 0.5 * aim.slope / aimed;
  const double bend = (0.5 * aim.bend - square(slope)) / aimed;
  const double bend_slope = (0.5 * aim.bend_slope - 3.0 * slope * bend) / aimed;
  const double rise = slope * now.speed;
  const double rise_rate = bend * square(now.speed) + slope * now.acceleration;
  // A pedal that does nothing stands nowhere.
  const double by_throttle = law.full_throttle > 0.0 ? 1.0 / law.full_throttle : 0.0;
  const double by_pedal = law.pedal_at_grip > 0.0 ? -1.0 / law.pedal_at_grip : 0.0;
  const double step = rise + lag * rise_rate +
                      rate * (aimed + lag * rise - now.speed - lag * now.acceleration) -
                      now.acceleration;
  return {.value = by_throttle * now.throttle + by_pedal * now.pedal + per_acceleration * step,
          .by_distance =
              per_acceleration *
              (bend * now.speed + lag * (bend_slope * square(now.speed) + bend * now.acceleration) +
               rate * (slope + lag * bend * now.speed)),
          .by_speed = per_acceleration *
                      (slope + 2.0 * lag * bend * now.speed + rate * (lag * slope - 1.0)),
          .by_acceleration = per_acceleration * (lag * slope - 1.0 - rate * lag),
          .by_throttle = by_throttle,
          .by_pedal = by_pedal};
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
