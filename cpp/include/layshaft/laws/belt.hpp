#pragma once

/// A toothed belt between two shafts: ratio, fit, tension, the torque at which teeth jump, loss.
///
/// Sign: the in pulley drives when the car is driven; torques and tensions are sizes.
///
/// Law: pitch radius z p/(2 pi). Jump: the belt rises off its teeth where the flanks lift it with
/// more than the span tension presses it down. The tooth load per arc is dT/d(theta), its lift that
/// times tan(beta - phi): beta the flank's lean from the radius, phi = atan(friction). So T grows
/// by at most T/tan(beta - phi) per radian: Euler's belt with friction 1/tan(beta - phi). With
/// fixed shafts (tight + slack = 2 tension) and K = wrap/tan(beta - phi):
///
/// jump torque = 2 (tension - linear_mass v^2) in_radius tanh(K/2).
///
/// Assumed: evenly loaded stiff teeth; the first lift counts as the jump, so the true value is
/// higher (climbing stretches the belt). No belt is slacker than one that hangs by its own weight
/// with as much sag as its spans stand apart: so even that one holds a wheel at rest. No published
/// number was found to check this; G. Gerbert et al. (ASME DETC 1992) treat jumping.
///
/// Source: ISO 5296 (pitch circle); jump law derived here.

#include <span>

#include "layshaft/laws/flat_belt.hpp"

namespace layshaft {

/// One toothed belt with its two pulleys.
struct Belt {
  double in_teeth;     ///< Teeth of the pulley nearer the engine [-], whole, 8 to 200.
  double out_teeth;    ///< Teeth of the pulley nearer the wheels [-], whole, 8 to 200.
  double belt_teeth;   ///< Teeth of the belt [-], whole.
  double pitch;        ///< Distance of the belt's teeth [m], > 0.
  double tension;      ///< Span tension standing [N], >= 0.
  double flank_angle;  ///< Lean of the tooth flank from the radius [rad], 0 to 1.
  double friction;     ///< Belt tooth on pulley [-], 0 to 1.
  double linear_mass;  ///< Belt mass per length [kg/m], >= 0.
  double efficiency;   ///< Power out over power in [-], > 0, <= 1.
  bool operator==(const Belt&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound; also when the
/// belt is too short for its pulleys.
void validate(const Belt& belt);

/// Speed of the in pulley over speed of the out pulley [-].
[[nodiscard]] constexpr double ratio(const Belt& belt) { return belt.out_teeth / belt.in_teeth; }

/// Pitch radius [m] of a pulley with `teeth` [-].
[[nodiscard]] constexpr double pitch_radius(double teeth, double pitch) {
  return teeth * pitch / (2.0 * kPi);
}

/// The pulleys of the belt at the shaft distance at which it fits.
[[nodiscard]] PulleyPair pulleys_of(const Belt& belt);

/// Tension [N] of a span that hangs by its own weight, w L^2/(8 sag), the sag as great as the spans
/// stand apart: no belt on its pulleys has less.
[[nodiscard]] double hanging_tension(const Belt& belt);

/// Torque on the in shaft [N*m] at which the belt begins to jump, at belt speed `speed` [m/s].
/// 0 once the centrifugal tension has used up the standing one.
[[nodiscard]] double jump_torque(const Belt& belt, double speed);

/// Inertia of the belt as seen from the in shaft [kg*m^2].
[[nodiscard]] double belt_inertia(const Belt& belt);

/// Span tension [N] from a press test: `force` [N] across the middle of a span of `span` [m] moves
/// it by `deflection` [m]. The stretch of the test itself is neglected.
[[nodiscard]] double tension_from_press(double span, double deflection, double force);

/// Tension [N] that a tensioner adds when it pushes the middle of one span of `span` [m] in by
/// `travel` [m]; `stiffness` is tension per strain [N], `length` the belt length [m].
[[nodiscard]] double tension_from_travel(double span, double travel, double stiffness,
                                         double length);

/// Belts one after the other, seen from the first in shaft.
struct BeltPath {
  double ratio;       ///< Product of the ratios [-].
  double efficiency;  ///< Product of the efficiencies [-].
  double
      jump_torque;  ///< Least torque on the first in shaft at which one belt jumps, standing [N*m].
  double inertia;   ///< Of all belts, referred to the first in shaft [kg*m^2].
  bool operator==(const BeltPath&) const = default;
};

/// `belts` in the order of power flow, at least one. Losses do not relieve the later belts here:
/// each jump torque is referred by the ratio alone.
[[nodiscard]] BeltPath in_series(std::span<const Belt> belts);

/// Tread speed of the front over that of the rear axle at one shaft speed, less 1 [-]: positive,
/// the front pulls; negative, the rear pushes and the front holds back (or freewheels on a one-way
/// axle).
[[nodiscard]] constexpr double front_lead(double front_radius, double front_ratio,
                                          double rear_radius, double rear_ratio) {
  return front_radius * rear_ratio / (front_ratio * rear_radius) - 1.0;
}

}  // namespace layshaft
