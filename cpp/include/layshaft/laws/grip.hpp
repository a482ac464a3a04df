#pragma once

/// Grip of the tyres shared between going round a corner and going along it.
///
/// Sign: lateral forces have no sign here: only their size takes grip. Drag is positive against the
/// motion.
///
/// The two axles share the lateral force m v^2 / R by their loads, so both use the same friction
/// q = m v^2/(R load) sideways. Of an axle's grip mu the share u = q/mu is taken; along the road
/// sqrt(1 - u^2) of the longitudinal force is left (a circle of grip). Beyond the circle, where no
/// real number is left, the square is a smooth floor: (z + sqrt(z^2 + s^2 u^4))/2 with z = 1 - u^2,
/// which is 1 at u = 0 exactly and s/2 at u = 1.
/// A tyre that pushes sideways runs at a slip angle force/(stiffness_factor load), so that it holds
/// the car back by force * angle.
///
/// Source: H. B. Pacejka, Tyre and Vehicle Dynamics, ch. 1 and 3 (circle of grip, slip angle);
/// sharing by load, and the smooth floor, are this project's.

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Sharpness s of the floor under the grip that is left [-].
inline constexpr double kGripFloor = 0.02;

/// Friction used sideways [-] at a speed [m/s] on a curvature [1/m], by a `mass` [kg] pressed to
/// the road by `load` [N], > 0.
template <class Coefficient, class Real>
[[nodiscard]] Real lateral_friction(const Coefficient& mass, const Real& speed,
                                    const Real& curvature, const Real& load) {
  return mass * speed * speed * curvature / load;
}

/// Share of the longitudinal force left [-], where `friction` [-] of `most` [-] is used sideways.
template <class Real>
[[nodiscard]] Real grip_left(const Real& friction, const Real& most) {
  const Real taken = square(friction / most);
  const Real inside = 1.0 - taken;
  return sqrt(0.5 * (inside + sqrt(inside * inside + square(kGripFloor * taken))));
}

/// Drag [N] of an axle that uses `friction` [-] sideways under `load` [N].
template <class Coefficient, class Real>
[[nodiscard]] Real cornering_drag(const Coefficient& stiffness_factor, const Real& friction,
                                  const Real& load) {
  return friction * friction * max(load, Real(0.0)) / stiffness_factor;
}

}  // namespace layshaft
