#pragma once

/// Flat belts: geometry of two pulleys and what friction carries.
///
/// Sign: all quantities are sizes; the driving pulley pulls on the tight span.
///
/// Law: length, open: 2 sqrt(C^2 - (R - r)^2) + R (pi + 2 a) + r (pi - 2 a), a = asin((R - r)/C);
/// crossed: the same with R + r for R - r and (R + r)(pi + 2 a) for the arcs. Three terms:
/// 2 C + pi (R + r) + (R -/+ r)^2/C. Gross slip at tight/slack = exp(friction * wrap), both less
/// the centrifugal tension.
///
/// Source: R. S. Khurmi and J. K. Gupta, Theory of Machines, 14th ed. 2009, ch. 11.

#include <string_view>

#include "layshaft/number/real.hpp"

namespace layshaft {

/// How the belt runs between its pulleys.
enum class BeltRun {
  kOpen,     ///< Both pulleys turn the same way.
  kCrossed,  ///< They turn against each other.
};

/// Two pulleys at the radius of the belt's neutral line.
struct PulleyPair {
  double in_radius;   ///< [m], > 0.
  double out_radius;  ///< [m], > 0.
  double centre;      ///< Distance of the shafts [m]; the pulleys must not overlap.
  BeltRun run;        ///< Open or crossed.
  bool operator==(const PulleyPair&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const PulleyPair& pulleys);

/// Length of the belt along its neutral line [m].
[[nodiscard]] double belt_length(const PulleyPair& pulleys);

/// The same by the first three terms of its series [m]: short of the exact length by about
/// d^4/(12 C^3), d the difference of the radii or, crossed, their sum.
[[nodiscard]] double belt_length_three_terms(const PulleyPair& pulleys);

/// Length of one free span [m].
[[nodiscard]] double span_length(const PulleyPair& pulleys);

/// Arc over which the belt lies on the pulley that it embraces less [rad].
[[nodiscard]] double least_wrap(const PulleyPair& pulleys);

/// Shaft distance [m] at which an open belt of `length` [m] fits, exact. Throws when it is too
/// short for the pulleys side by side.
[[nodiscard]] double centre_for_length(double in_radius, double out_radius, double length);

/// The same from the three-term length, in closed form [m].
[[nodiscard]] double centre_for_length_three_terms(double in_radius, double out_radius,
                                                   double length);

/// Tight over slack tension at gross slip [-], `wrap` [rad].
[[nodiscard]] inline double tension_ratio(double friction, double wrap) {
  return exp(friction * wrap);
}

/// Tension that turning the belt's own mass round the pulley takes [N]; `linear_mass` [kg/m],
/// `speed` [m/s].
[[nodiscard]] constexpr double centrifugal_tension(double linear_mass, double speed) {
  return linear_mass * speed * speed;
}

/// Belt speed [m/s] at which the greatest power is carried below `allowed_tension` [N]: one third
/// of it is then centrifugal.
[[nodiscard]] inline double best_belt_speed(double allowed_tension, double linear_mass) {
  return sqrt(allowed_tension / (3.0 * linear_mass));
}

/// Tight and slack side [N].
struct SpanTensions {
  double tight;
  double slack;
  bool operator==(const SpanTensions&) const = default;
};

/// At gross slip, from the tight side's tension less the centrifugal one.
[[nodiscard]] inline SpanTensions tensions_from_tight(double tight, double ratio) {
  return {.tight = tight, .slack = tight / ratio};
}

/// At gross slip with fixed shafts: the sum keeps its standing value, twice `pretension` [N].
[[nodiscard]] inline SpanTensions tensions_from_pretension(double pretension, double ratio) {
  const double slack = 2.0 * pretension / (1.0 + ratio);
  return {.tight = ratio * slack, .slack = slack};
}

/// Force that the belt carries from pulley to pulley [N].
[[nodiscard]] constexpr double carried_force(const SpanTensions& tensions) {
  return tensions.tight - tensions.slack;
}

[[nodiscard]] constexpr std::string_view to_string(BeltRun run) {
  switch (run) {
    case BeltRun::kOpen: return "open";
    case BeltRun::kCrossed: return "crossed";
  }
  return "unknown";
}

}  // namespace layshaft
