#pragma once

/// What the driver's foot asks for on a track.
///
/// Sign: the foot's wish is positive for throttle and negative for brake; 1 is all there is.
/// Law: the foot moves on from where the pedals stand,
///     wish = p + (W' + T W'' + (W + T W' - v - T a)/tau - a)/a0,
///     p = throttle - brake/c as they stand,
/// W being the speed aimed at where the car is, W' = v dW/ds and W'' = v^2 d2W/ds2 + a dW/ds its
/// rates as the car goes on at its own speed v and acceleration a, T the lag of hand and servo, a0
/// = grip * g, tau the time in which the driver takes out an error and c the share that the slip of
/// the tyres leaves of the brake asked for: a steady slip asks for more, and leaves no error; the
/// throttle would swing with the tyres if more was asked of it.
/// The car's acceleration a is felt as far as it rolls. Speed that is missing is made up for by no
/// more than the share that the corner leaves of the front tyres' force, which speeding up takes
/// load off. Where a0 dp/dt is da/dt, whatever drag and gear there are, T dp/dt = wish - p makes
/// the error e of the speed obey T e'' + (1 + T/tau) e' + e/tau = 0 however large it is: it decays
/// with the times T and tau and does not swing. A car that stands pulls away wherever there is an
/// aim. The pedals follow the wish by smooth ramps. Both are eased by the slip of the tyres as on a
/// straight (`eased_opening`).
///
/// Source: first principles; inversion of a lag.

#include "layshaft/car/speed_curve.hpp"
#include "layshaft/car/speed_plan.hpp"
#include "layshaft/laws/grip.hpp"
#include "layshaft/network/part.hpp"
#include "layshaft/number/real.hpp"

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
  return kHardestBraking - rounded_ramp(Real(kHardestBraking - rounded_ramp(Real(-wish))));
}

/// Coefficients of the foot.
template <class Real>
struct FootLaw {
  Real per_acceleration;  ///< 1/a0 [s^2/m].
  Real correction_rate;   ///< 1/tau [1/s].
  Real lag;               ///< T [s].
  Real full_throttle;     ///< Opening with the foot down [-].
  Real pedal_at_grip;     ///< Brake pedal at which the tyres are at their grip [-].
  Real per_throttle;      ///< One over the full throttle; 0 for a pedal that does nothing [-].
  Real per_pedal;         ///< One over the pedal at grip, likewise [-].
  Real per_slip_target;   ///< One over the slip at which the pedals are eased by half [-].
  Real mass;              ///< Of the car [kg].
};

/// The wish that holds the pedals where they are, at a steady slip of the rear tyres [-].
template <class Coefficient, class Real>
[[nodiscard]] Real holding_wish(const FootLaw<Coefficient>& law, const Real& throttle,
                                const Real& pedal, const Real& slip) {
  return law.per_throttle * throttle -
         law.per_pedal * pedal * (Real(1.0) + square(max(-slip * law.per_slip_target, Real(0.0))));
}

/// How the car moves, and what the foot wishes.
template <class Real>
struct Motion {
  Real distance;      ///< [m]
  Real speed;         ///< [m/s]
  Real acceleration;  ///< [m/s^2]
  Real held;          ///< The wish that holds the pedals where they are [-].
  Real left;          ///< Share of the front tyres' force that the corner leaves [-].
};

template <class Coefficient, class Real>
[[nodiscard]] Real foot_wish(const FootLaw<Coefficient>& law, const SpeedCurve& curve,
                             const Motion<Real>& now) {
  const SpeedAim<Real> aim = speed_aim(curve, now.distance);
  // The speed aimed at and its slopes along the road.
  const Real aimed = sqrt(aim.square);
  const Real slope = 0.5 * aim.slope / aimed;
  const Real bend = (0.5 * aim.bend - square(slope)) / aimed;
  const Real rise = slope * now.speed;
  // Felt as far as the car rolls: one that stands is held by its rolling drag, whatever pulls it.
  const Real felt = now.acceleration * square(rolling_share(now.speed));
  const Real rise_rate = bend * square(now.speed) + slope * felt;
  const Real missing = aimed + law.lag * rise - now.speed - law.lag * felt;
  const Real step =
      rise + law.lag * rise_rate +
      law.correction_rate * select(missing > Real(0.0), Real(missing * now.left), missing) - felt;
  return now.held + law.per_acceleration * step;
}

namespace parts {

/// What the foot moves on from.
struct FootHeld : Part {
  static constexpr std::array signals{
      Row{"wish_held", "1", 1.0, "Wish of the foot that holds the pedals where they are"}};
  static constexpr std::array reads{state("throttle"), state("pedal"), state("rear_slip")};
  static constexpr std::array gives{signal("wish_held")};

  template <class Real>
  using Law = FootLaw<Real>;
  // The driver on a track is the plant's own.
  static Law<double> law_of(const Car&, const CarLaw&) { return {}; }

  template <class X>
  static std::array<X, 1> run(const auto& law, const auto&, const std::array<X, 3>& in) {
    return {holding_wish(law, in[0], in[1], in[2])};
  }
};

struct Foot : Part {
  static constexpr std::array signals{Row{"throttle_asked", "1", 1.0, "Throttle opening asked for"},
                                      Row{"brake_asked", "1", 1.0, "Brake pedal asked for"}};
  static constexpr std::array switches{
      Row{"foot", "1", 1.0, "The driver's foot", "foot", {"down", "aiming"}}};
  static constexpr std::array reads{state("distance"), state("car"), acceleration("car"),
                                    signal("wish_held"), signal("front_left")};
  static constexpr std::array gives{signal("throttle_asked"), signal("brake_asked")};
  static constexpr std::array watches{state("distance"),  state("car"),        force("car"),
                                      high("rolling"),    state("throttle"),   state("pedal"),
                                      state("rear_slip"), signal("front_left")};

  template <class Real>
  using Law = FootLaw<Real>;
  // The driver on a track is the plant's own.
  static Law<double> law_of(const Car&, const CarLaw&) { return {}; }
  // Not of numbers only: a list with a foot cannot run in lanes.
  template <class Real>
  struct Active {
    const SpeedCurve* curve;
    bool aims;  ///< Holds the speed aimed at; else the foot is down.
  };
  using Positions = std::array<std::int16_t, 1>;
  // What is aimed at is the plant's own.
  static Active<double> activate(const Law<double>&, const Positions& at) {
    return {nullptr, at[0] == 1};
  }

  template <class X>
  static std::array<X, 2> run(const auto& law, const auto& active, const std::array<X, 5>& in) {
    if (!active.aims) return {X(law.full_throttle), X(0.0)};
    const X wish = foot_wish(law, *active.curve, Motion<X>{in[0], in[1], in[2], in[3], in[4]});
    return {law.full_throttle * throttle_asked(wish), law.pedal_at_grip * brake_asked(wish)};
  }
  /// Goes by the wish of a rolling car. Both ways where the foot is at its end: nothing jumps.
  template <class X>
  static std::array<X, 1> guard(const auto& law, const auto& active, const std::array<X, 8>& in) {
    const auto& [distance, car, force, rolling, throttle, pedal, slip, left] = in;
    const X drag = select(car < X(0.0), X(-rolling), rolling);
    const X wish = foot_wish(law, *active.curve,
                             Motion<X>{distance, car, X((force - drag) / law.mass),
                                       holding_wish(law, throttle, pedal, slip), left});
    return {active.aims ? X(kFullWish - wish) : X(wish - kFullWish)};
  }
};

}  // namespace parts

}  // namespace layshaft
