#pragma once

/// What presses a car to the road, and how its two axles share it.
///
/// Sign: a load is positive towards the road; a positive transfer is moved from front to rear.
/// Law: pressed = weight + downforce v^2; of it the front axle would have to carry front_share *
/// weight + front_downforce v^2 - transfer for balance. An axle cannot pull at the ground: what
/// would be below 0 is carried by the other one, and the moment left over turns the body up
/// (`car/pitch.hpp`).
///
/// Source: moments about the axle contact points of a rigid car; the rounded floor is this
/// project's.

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Hoisted coefficients.
template <class Real>
struct LoadingLaw {
  Real weight;           ///< Load on the ground at rest [N].
  Real downforce;        ///< Per square of speed [kg/m].
  Real front_share;      ///< Of the load at rest on the front axle [-].
  Real front_downforce;  ///< What of `downforce` the front axle gets [kg/m].
};

/// What presses the car to the road, and what the front axle would have to carry of it for balance
/// [N]: the axle has lifted where that is below 0, the rear one where it is above `pressed`.
template <class Real>
struct LoadBalance {
  Real pressed, front;
};

/// Loads of the two axles [N].
template <class Real>
struct AxleLoads {
  Real front;
  Real rear;
};

/// Least that presses the car to the road, over its weight [-]: below it the car is in the air, and
/// the run has ended.
inline constexpr double kLeastPressed = 0.05;

/// At a speed [m/s], with a load moved to the rear [N].
template <class Coefficient, class Real>
[[nodiscard]] LoadBalance<Real> load_balance(const LoadingLaw<Coefficient>& law, const Real& speed,
                                             const Real& transfer) {
  const Real squared = speed * speed;
  return {law.weight + law.downforce * squared,
          law.front_share * law.weight + law.front_downforce * squared - transfer};
}

/// Whether the car is pressed to the road by so much that its equations hold.
template <class Coefficient, class Real>
[[nodiscard]] auto is_pressed(const LoadingLaw<Coefficient>& law, const Real& speed) {
  return load_balance(law, speed, Real(0.0)).pressed >= kLeastPressed * law.weight;
}

/// Loads of two axles that carry `pressed` [N] together, of which the front one would have to carry
/// `front` [N] for balance; below 0 it has lifted, above `pressed` the rear one has. Both loads are
/// > 0, their sum is `pressed` to a rounding, they differ from balance by width^2/(4 load) or
/// less, `width` [N] > 0 being that of the rounding.
template <class Real>
[[nodiscard]] AxleLoads<Real> shared_loads(const Real& pressed, const Real& front,
                                           const Real& width) {
  const Real squared = width * width;
  const Real rear = pressed - front;
  const Real carried =
      0.5 * (pressed + sqrt(front * front + squared) - sqrt(rear * rear + squared));
  return {.front = carried, .rear = pressed - carried};
}

/// Loads of the two axles, both > 0.
template <class Coefficient, class Real>
[[nodiscard]] AxleLoads<Real> axle_loads(const LoadingLaw<Coefficient>& law, const Real& speed,
                                         const Real& transfer) {
  // Rounds off by 5e-5 of the weight at rest, by a hundredth where an axle just lifts.
  constexpr double kRounding = 0.02;
  // A trial step may fly higher than the run, which ends at kLeastPressed.
  constexpr double kFloor = 0.2 * kLeastPressed;
  const LoadBalance<Real> balance = load_balance(law, speed, transfer);
  return shared_loads(Real(max(balance.pressed, Real(kFloor * law.weight))), balance.front,
                      Real(kRounding * law.weight));
}

}  // namespace layshaft
