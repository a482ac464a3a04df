#pragma once

/// How far the body of a car turns up while one of its axles is off the ground.
///
/// Sign: pitch is positive nose up, about the rear axle's contact with the road, and negative tail
/// up, about the front one's.
///
/// Law: of the load P the lifted axle would have to carry n < 0 for balance. About the other
/// contact, from which the centre of mass is c behind or ahead and h above the road,
///     I q'' = -n L cos q + (f c + P h) sin q,   I = m (h^2 + c L),
/// q the size of the pitch, L the wheelbase and f = transfer L/h the force along the road that
/// moves the load. Back on the ground the body stays there. The mass is spread so that the square
/// of its radius of gyration is the product of the centre's distances from the axles: as two lumps
/// above the axles (common practice, no source).
///
/// Source: moments about a contact point of a rigid car; from first principles.

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include "layshaft/car/car_law.hpp"
#include "layshaft/car/car_list.hpp"
#include "layshaft/network/quadrature.hpp"

namespace layshaft {

/// Pitch that a run warns of, and at which it ends [rad]: 2 and 30 degrees.
inline constexpr double kPitchWarned = 2.0 * kPi / 180.0;
inline constexpr double kPitchOver = 30.0 * kPi / 180.0;

struct Pitch {
  double angle = 0.0;  ///< [rad]
  double rate = 0.0;   ///< [rad/s]
  bool operator==(const Pitch&) const = default;
};

template <class State>
[[nodiscard]] LoadBalance<double> load_balance_in(const CarLaw& law, const State& state) {
  return load_balance<double, double>(law.loading, state(node::car),
                                      state(car_state::load_transfer));
}

/// Whether both axles would be on the ground, had they been there before.
template <class State>
[[nodiscard]] bool both_carry(const CarLaw& law, const State& state) {
  const LoadBalance<double> balance = load_balance_in(law, state);
  return balance.front >= 0.0 && balance.front <= balance.pressed;
}

/// Acceleration of the pitch [rad/s^2] while the body is at `angle` or about to leave the ground;
/// `side` is +1 nose up, -1 tail up.
template <class State>
[[nodiscard]] double pitch_acceleration(const CarLaw& law, const State& state, double side,
                                        double angle) {
  const LoadBalance<double> balance = load_balance_in(law, state);
  const double height = law.lever * law.wheelbase;
  const double along = side * double(state(car_state::load_transfer)) / law.lever;
  const double lifted = side > 0.0 ? balance.front : balance.pressed - balance.front;
  const double away =
      (side > 0.0 ? law.loading.front_share : 1.0 - law.loading.front_share) * law.wheelbase;
  const double moment = -lifted * law.wheelbase * cos(angle) +
                        (along * away + balance.pressed * height) * sin(side * angle);
  return side * moment / (law.mass * (square(height) + away * law.wheelbase));
}

/// Pitch at the end of a stretch, and when in it the car went over [s]: infinity where it did not.
struct PitchAfter {
  Pitch pitch;
  double over;
  double lifted;  ///< Time that an axle was off the ground in it [s].
};

/// Follows the pitch along a stretch of a run; `state(time)` is the car's state in it.
template <class StateAt>
[[nodiscard]] PitchAfter follow_pitch(const CarLaw& law, Pitch pitch, double begin, double end,
                                      const StateAt& state) {
  constexpr double kLongest = 1e-3;  // [s]; the body turns over in some tenths.
  PitchAfter after{pitch, std::numeric_limits<double>::infinity(), 0.0};
  const auto stays_down = [&] {
    return std::all_of(kLobattoShares.begin(), kLobattoShares.end(), [&](double share) {
      return both_carry(law, state(begin + (end - begin) * share));
    });
  };
  if (!(end > begin) || (pitch == Pitch{} && stays_down())) return after;
  const auto parts = std::ceil((end - begin) / kLongest);
  const double step = (end - begin) / parts;
  for (double part = 0.0; part < parts; ++part) {
    const double time = begin + part * step;
    // Midpoint rule: of the second order, its error far below that of a rigid body on hard tyres.
    const auto middle = state(time + 0.5 * step);
    if (pitch == Pitch{} && both_carry(law, middle)) continue;
    const double front = load_balance_in(law, middle).front;
    const double side =
        pitch.angle != 0.0 ? std::copysign(1.0, pitch.angle) : (front < 0.0 ? 1.0 : -1.0);
    const double early = pitch_acceleration(law, middle, side, pitch.angle);
    const double half_way = pitch.angle + 0.5 * step * (pitch.rate + 0.25 * step * early);
    const double acceleration = pitch_acceleration(law, middle, side, half_way);
    pitch.angle += step * (pitch.rate + 0.5 * step * acceleration);
    pitch.rate += step * acceleration;
    after.lifted += step;
    if (!(side * pitch.angle > 0.0)) pitch = {};
    if (std::abs(pitch.angle) >= kPitchOver) {
      after.over = std::min(time + step, end);
      break;
    }
  }
  after.pitch = pitch;
  return after;
}

}  // namespace layshaft
