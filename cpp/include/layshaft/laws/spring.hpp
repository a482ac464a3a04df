#pragma once

/// Helical compression spring of round wire.
///
/// Sign: force and deflection are positive in compression.
/// Equation: rate = G d^4/(8 D^3 n), index c = D/d; Wahl K = (4c - 1)/(4c - 4) + .615/c,
///   Bergstraesser K = (4c + 2)/(4c - 3) (EN 13906-1: (c + .5)/(c - .75), the same);
///   stress = K 8 F D/(pi d^3).
/// Source: EN 13906-1; Shigley, Mechanical Engineering Design, ch. 10.

#include <string>

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// One spring. Plain value; SI units.
struct CoilSpring {
  double wire_diameter;  ///< d [m], > 0.
  double mean_diameter;  ///< Of the coil, D [m], > wire_diameter.
  double active_turns;   ///< n [-], > 0.
  double shear_modulus;  ///< G [Pa], > 0.
  bool operator==(const CoilSpring&) const = default;
};

/// How the ends are made; it decides the total number of turns and the solid length.
enum class SpringEnds { plain, plain_ground, squared, squared_ground };

/// Which allowance for the curvature of the wire.
enum class CurvatureFactor { wahl, bergstraesser };

/// Throws std::invalid_argument naming the field, its value and the broken bound.
inline void validate(const CoilSpring& spring) {
  const char* const owner = "CoilSpring";
  require(spring.wire_diameter > 0.0, owner, "wire_diameter", spring.wire_diameter, "> 0");
  require(spring.mean_diameter > spring.wire_diameter, owner, "mean_diameter", spring.mean_diameter,
          "> wire_diameter");
  require(spring.active_turns > 0.0, owner, "active_turns", spring.active_turns, "> 0");
  require(spring.shear_modulus > 0.0, owner, "shear_modulus", spring.shear_modulus, "> 0");
}

/// Spring index c [-].
[[nodiscard]] inline double spring_index(const CoilSpring& spring) {
  return spring.mean_diameter / spring.wire_diameter;
}

/// Rate [N/m].
[[nodiscard]] inline double spring_rate(const CoilSpring& spring) {
  const double wire = square(square(spring.wire_diameter));
  const double coil = spring.mean_diameter * square(spring.mean_diameter);
  return spring.shear_modulus * wire / (8.0 * coil * spring.active_turns);
}

/// Active turns [-] that give a rate [N/m] with the wire, coil and material of `spring`.
[[nodiscard]] inline double turns_for_rate(const CoilSpring& spring, double rate) {
  return spring.active_turns * spring_rate(spring) / rate;
}

/// Stress factor [-] of a spring index, > 1.
[[nodiscard]] inline double curvature_factor(double index, CurvatureFactor kind) {
  if (kind == CurvatureFactor::wahl)
    return (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index;
  return (4.0 * index + 2.0) / (4.0 * index - 3.0);
}

/// Greatest shear stress in the wire [Pa] under a force [N].
[[nodiscard]] inline double shear_stress(const CoilSpring& spring, double force,
                                         CurvatureFactor kind) {
  return curvature_factor(spring_index(spring), kind) * 8.0 * force * spring.mean_diameter /
         (kPi * spring.wire_diameter * square(spring.wire_diameter));
}

/// Length with all coils touching [m]. Source: Shigley, table 10-1.
[[nodiscard]] inline double solid_length(const CoilSpring& spring, SpringEnds ends) {
  switch (ends) {
    case SpringEnds::plain: return spring.wire_diameter * (spring.active_turns + 1.0);
    case SpringEnds::plain_ground: return spring.wire_diameter * (spring.active_turns + 1.0);
    case SpringEnds::squared: return spring.wire_diameter * (spring.active_turns + 3.0);
    case SpringEnds::squared_ground: return spring.wire_diameter * (spring.active_turns + 2.0);
  }
  return 0.0;
}

[[nodiscard]] inline std::string to_string(SpringEnds ends) {
  switch (ends) {
    case SpringEnds::plain: return "plain";
    case SpringEnds::plain_ground: return "plain_ground";
    case SpringEnds::squared: return "squared";
    case SpringEnds::squared_ground: return "squared_ground";
  }
  return "unknown";
}

[[nodiscard]] inline std::string to_string(CurvatureFactor kind) {
  return kind == CurvatureFactor::wahl ? "wahl" : "bergstraesser";
}

}  // namespace layshaft
