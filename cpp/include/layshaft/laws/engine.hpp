#pragma once

/// Torque of the engine over speed and throttle, its drag with the throttle shut, and its fuel use.
///
/// Sign: a positive torque speeds the crank up; speed is positive in running direction.
/// Law: torque = throttle * density_ratio * power_scale * full(speed)
///               + (1 - throttle) * drag_slope * (idle_speed - speed).
/// Shut throttle: the idle charge gives the constant torque drag_slope * idle_speed, friction takes
/// drag_slope * speed; they balance at idle. The indicated torque, torque + drag_slope * speed,
/// times speed is the indicated power; divided by efficiency and heating value it is the fuel used.
/// Beyond the measured points, t from the end point: straight on, plus bend * t^2/(radius + t).
/// Below the first: towards the torque with the throttle shut, never down to it. Above the last: it
/// falls by 4 * largest torque/last speed or more, and is gone by 1.325 times the last speed.
/// Source: J. B. Heywood, Internal Combustion Engine Fundamentals, ch. 2 for the definitions (from
/// memory); straight-line drag, throttle in between and what is beyond are assumptions of this
/// project.

#include <string>
#include <vector>

#include "layshaft/laws/curve.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// One engine on its fuel and pipe. Plain value; SI units.
struct Engine {
  Curve torque;         ///< Full-throttle torque [N*m] over speed [rad/s] in reference air.
  double power_scale;   ///< Factor on the full-throttle torque [-], > 0.
  double idle_speed;    ///< Speed held with the throttle shut [rad/s], > 0.
  double drag_slope;    ///< Friction torque per speed [N*m*s], >= 0.
  double inertia;       ///< Crank, flywheel and clutch hub [kg*m^2], > 0.
  double displacement;  ///< Swept volume [m^3], > 0.
  double speed_limit;   ///< Speed not to be exceeded [rad/s], > idle_speed.
  double efficiency;    ///< Indicated power over fuel power [-], > 0, < 1.
  bool operator==(const Engine&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound. Up to the largest
/// torque no point may lie at 0 or below, but above idle as far down as the shut throttle's drag.
void validate(const Engine& engine);

/// How the torque leaves the straight continuation of its curve beyond the first and the last
/// point.
template <class Real>
struct BeyondLaw {
  Real first_speed;  ///< [rad/s]
  Real last_speed;   ///< [rad/s]
  Real low_bend;     ///< Change of slope, far below the first point [N*m*s].
  Real low_radius;   ///< Way over which half of it comes [rad/s], > 0.
  Real high_bend;    ///< The same above the last point.
  Real high_radius;  ///< [rad/s], > 0.
};

/// Hoisted coefficients.
template <class Real>
struct EngineLaw {
  CurveLaw<Real> full_torque;  ///< [N*m] over [rad/s], in reference air, unscaled.
  BeyondLaw<Real> beyond;      ///< What is added to it, unscaled.
  Real torque_scale;           ///< density_ratio * power_scale [-].
  Real idle_speed;             ///< [rad/s].
  Real drag_slope;             ///< [N*m*s].
  Real fuel_per_work;          ///< Fuel mass per indicated work [kg/J].
};

/// `density_ratio`: air density over that of the torque curve's reference air [-], > 0.
/// `heating_value`: lower heating value of the fuel [J/kg], > 0.
[[nodiscard]] EngineLaw<double> make_engine_law(const Engine& engine, double density_ratio,
                                                double heating_value);

/// Torque [N*m] beyond the points, less the curve's straight continuation; 0 between them. It
/// begins with no slope.
template <class Coefficient, class Real>
[[nodiscard]] Real torque_beyond(const BeyondLaw<Coefficient>& law, const Real& speed) {
  const Real below = law.first_speed - speed;
  const auto is_low = below > Real(0.0);
  const Real way = max(max(below, Real(speed - law.last_speed)), Real(0.0));
  const Coefficient bend = select(is_low, law.low_bend, law.high_bend);
  const Coefficient radius = select(is_low, law.low_radius, law.high_radius);
  return bend * (way * way / (radius + way));
}

/// Torque on the crank [N*m] at `speed` [rad/s] and `throttle` [-], 0 shut, 1 open.
template <class Coefficient, class Real>
[[nodiscard]] Real engine_torque(const EngineLaw<Coefficient>& law, const Real& speed,
                                 const Real& throttle) {
  const Real open =
      law.torque_scale * (curve_value(law.full_torque, speed) + torque_beyond(law.beyond, speed));
  const Real shut = law.drag_slope * (law.idle_speed - speed);
  return throttle * open + (1.0 - throttle) * shut;
}

/// Torque of the gas on the piston [N*m]: what reaches the crank plus friction, never below 0.
template <class Coefficient, class Real>
[[nodiscard]] Real indicated_torque(const EngineLaw<Coefficient>& law, const Real& speed,
                                    const Real& throttle) {
  const Real gas = engine_torque(law, speed, throttle) + law.drag_slope * speed;
  return max(gas, Real(0.0));
}

/// Fuel used [kg/s].
template <class Coefficient, class Real>
[[nodiscard]] Real fuel_mass_flow(const EngineLaw<Coefficient>& law, const Real& speed,
                                  const Real& throttle) {
  return law.fuel_per_work * indicated_torque(law, speed, throttle) * speed;
}

/// Most speed [rad/s] to which the engine revs by itself: no torque is left there at any throttle.
[[nodiscard]] inline double most_engine_speed(const EngineLaw<double>& law) {
  constexpr double kRunOut = 1.325;  // (1 + a tenth of gain)/4 + a twentieth of the way to fall
  return kRunOut * law.beyond.last_speed;
}

/// Most power [W] at any speed and throttle: no torque above a tenth more than was measured, none
/// above that speed.
[[nodiscard]] double most_engine_power(const Engine& engine, const EngineLaw<double>& law);

/// Power [W] of a two-stroke: one working stroke a turn. `speed` [rad/s], `displacement` [m^3],
/// `mean_pressure` [Pa] the mean effective pressure (indicated or brake, the power is of that
/// kind).
[[nodiscard]] constexpr double two_stroke_power(double mean_pressure, double displacement,
                                                double speed) {
  return mean_pressure * displacement * speed / (2.0 * kPi);
}

/// Mean effective pressure [Pa] of a two-stroke that gives `torque` [N*m].
[[nodiscard]] constexpr double two_stroke_mean_pressure(double torque, double displacement) {
  return 2.0 * kPi * torque / displacement;
}

/// What the full-throttle curve says of the engine, in reference air, up to its speed limit.
struct EngineRating {
  double peak_power;          ///< [W].
  double peak_power_speed;    ///< [rad/s].
  double peak_torque;         ///< [N*m].
  double peak_torque_speed;   ///< [rad/s].
  double peak_mean_pressure;  ///< Brake mean effective pressure at the torque peak [Pa].
  double peak_efficiency;     ///< Highest brake efficiency, shaft power over fuel power [-].
  bool operator==(const EngineRating&) const = default;
};

[[nodiscard]] EngineRating engine_rating(const Engine& engine);

/// Sentences on where the engine leaves what has been published for small engines; empty if
/// nowhere. They do not say that the engine is impossible: the published engines ran without tuned
/// pipe on little or no nitromethane. Sources: Menon and Cadou; Ausserer et al.; Raine et al.
/// (engine.cpp).
[[nodiscard]] std::vector<std::string> engine_warnings(const Engine& engine);

}  // namespace layshaft
