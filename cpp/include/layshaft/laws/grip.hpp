#pragma once

/// Grip of the tyres shared between going round a corner and going along it.
///
/// Sign: lateral forces have no sign here: only their size takes grip. Drag is positive against the
/// motion.
///
/// The car stays on its line, of curvature k, so its yaw rate is v k, and the forces sideways of
/// the two axles balance its moments: with a and b from the centre of mass to the front and the
/// rear axle, wheelbase L = a + b, mass m and yaw inertia I,
///     front = (m v^2 k b + I r')/L,  rear = (m v^2 k a - I r')/L,  r' = a_x k + v^2 dk/ds,
/// dk/ds being that of the chord between the axles (`car/turn_curve.hpp`).
/// An axle under a load N uses the friction q = force/N sideways. Of its grip mu the share u = q/mu
/// is taken; along the road
/// sqrt(1 - u^2) of the longitudinal force is left (a circle of grip). Beyond the circle, where no
/// real number is left, the square is a smooth floor: (z + sqrt(z^2 + s^2 u^4))/2 with z = 1 - u^2,
/// which is 1 at u = 0 exactly and s/2 at u = 1.
/// A tyre that pushes sideways runs at a slip angle force/(cornering_stiffness load), so that it
/// holds the car back by force * angle, which goes with u^2. Asked for more than its grip it pushes
/// no harder: its drag ends at twice that of u = 1, going with 2 - 1/u^2. It has a slip angle only
/// while it rolls: at a speed v the drag is v/sqrt(v^2 + w^2) of that.
///
/// Source: H. B. Pacejka, Tyre and Vehicle Dynamics, ch. 1 and 3 (balance of forces and moments in
/// a turn, circle of grip, slip angle); the smooth floor and the two ends of the drag are this
/// project's: of a car inside its grip at 2 m/s the drag is off by 3e-4 of itself.

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Sharpness s of the floor under the grip that is left [-].
inline constexpr double kGripFloor = 0.02;

/// Speed w at which the drag of a corner sets in [m/s].
inline constexpr double kRollsAlong = 0.05;

/// What of the car stands against being turned, as its axles see it.
template <class Real>
struct YawLaw {
  Real front_mass;  ///< m b/L [kg].
  Real rear_mass;   ///< m a/L [kg].
  Real inertia;     ///< I/L [kg*m].
};

/// The front axle carries `front_share` of the weight at rest.
[[nodiscard]] inline YawLaw<double> make_yaw_law(double mass, double front_share, double wheelbase,
                                                 double inertia) {
  return {front_share * mass, (1.0 - front_share) * mass, inertia / wheelbase};
}

/// Forces of the two axles [N], positive to the left.
template <class Real>
struct SidewaysForces {
  Real front, rear;
};

/// How the car goes round.
template <class Real>
struct Turn {
  Real speed_squared;    ///< [m^2/s^2]
  Real curvature;        ///< [1/m], positive to the left.
  Real curvature_slope;  ///< Over the distance [1/m^2].
  Real acceleration;     ///< Along the road [m/s^2].
};

template <class Coefficient, class Real>
[[nodiscard]] SidewaysForces<Real> sideways_forces(const YawLaw<Coefficient>& law,
                                                   const Turn<Real>& turn) {
  const Real lateral = turn.speed_squared * turn.curvature;
  const Real turned = law.inertia * (turn.acceleration * turn.curvature +
                                     turn.speed_squared * turn.curvature_slope);
  return {law.front_mass * lateral + turned, law.rear_mass * lateral - turned};
}

/// Share of the longitudinal force left [-], where `friction` [-] of `most` [-] is used sideways.
template <class Real>
[[nodiscard]] Real grip_left(const Real& friction, const Real& most) {
  const Real taken = square(friction / most);
  const Real inside = 1.0 - taken;
  return sqrt(0.5 * (inside + sqrt(inside * inside + square(kGripFloor * taken))));
}

/// Drag [N] of a rolling axle that is asked for `friction` [-] sideways of `most` [-] under `load`
/// [N].
template <class Coefficient, class Real>
[[nodiscard]] Real cornering_drag(const Coefficient& cornering_stiffness, const Real& friction,
                                  const Real& most, const Real& load) {
  const Real taken = square(friction / most);
  const Real drag = select(taken < Real(1.0), taken, Real(2.0 - 1.0 / max(taken, Real(1.0))));
  return drag * square(most) * max(load, Real(0.0)) / cornering_stiffness;
}

/// Share of its drag in corners [-] that a tyre has at a speed [m/s], with that speed's sign.
template <class Real>
[[nodiscard]] Real rolling_share(const Real& speed) {
  return speed / sqrt(speed * speed + square(kRollsAlong));
}

}  // namespace layshaft
