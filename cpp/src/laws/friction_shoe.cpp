#include "layshaft/laws/friction_shoe.hpp"

#include <cmath>
#include <limits>

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {
namespace {

/// The three integrals over the arc, from its middle and half width: the differences of sines and
/// cosines are written as products, so that a short arc loses no digits.
struct ArcIntegrals {
  double j1;  ///< Integral of sin t.
  double j2;  ///< Integral of sin^2 t.
  double j3;  ///< Integral of sin t cos t.
};

[[nodiscard]] ArcIntegrals arc_integrals(double arc_start, double arc_end) {
  const double middle = 0.5 * (arc_start + arc_end);
  const double half = 0.5 * (arc_end - arc_start);
  return {.j1 = 2.0 * std::sin(middle) * std::sin(half),
          .j2 = half - 0.5 * std::cos(2.0 * middle) * std::sin(2.0 * half),
          .j3 = 0.5 * std::sin(2.0 * middle) * std::sin(2.0 * half)};
}

/// Sine of the angle of greatest pressure: 90 degrees where the lining reaches it, else the end of
/// the lining that is nearer to it.
[[nodiscard]] double greatest_sine(double arc_start, double arc_end) {
  if (arc_end < 0.5 * kPi) return std::sin(arc_end);
  if (arc_start > 0.5 * kPi) return std::sin(arc_start);
  return 1.0;
}

/// -1 where friction relieves the pressing moment (leading), +1 where it must be overcome.
[[nodiscard]] double friction_sign(ShoeAction action) {
  return action == ShoeAction::leading ? -1.0 : 1.0;
}

}  // namespace

void validate(const FrictionShoe& shoe) {
  const char* const owner = "FrictionShoe";
  require(shoe.drum_radius > 0.0, owner, "drum_radius", shoe.drum_radius, "> 0");
  require(shoe.pivot_radius > 0.0, owner, "pivot_radius", shoe.pivot_radius, "> 0");
  require(shoe.arc_start >= 0.0, owner, "arc_start", shoe.arc_start, ">= 0");
  require(shoe.arc_end > shoe.arc_start && shoe.arc_end <= kPi, owner, "arc_end", shoe.arc_end,
          "> arc_start and <= pi");
  require(shoe.width > 0.0, owner, "width", shoe.width, "> 0");
}

ShoeArms long_shoe_arms(double drum_radius, double pivot_radius, double arc_start, double arc_end) {
  const ArcIntegrals arc = arc_integrals(arc_start, arc_end);
  return {.normal_arm = pivot_radius * arc.j2 / arc.j1,
          .friction_arm = drum_radius - pivot_radius * arc.j3 / arc.j1};
}

ShoeArms short_shoe_arms(double drum_radius, double pivot_radius, double angle) {
  return {.normal_arm = pivot_radius * std::sin(angle),
          .friction_arm = drum_radius - pivot_radius * std::cos(angle)};
}

ShoeMoments shoe_moments(const FrictionShoe& shoe, double friction) {
  const ArcIntegrals arc = arc_integrals(shoe.arc_start, shoe.arc_end);
  const double strip =
      shoe.width * shoe.drum_radius / greatest_sine(shoe.arc_start, shoe.arc_end);  // [m^2]
  return {.normal_moment = strip * shoe.pivot_radius * arc.j2,
          .friction_moment =
              friction * strip * (shoe.drum_radius * arc.j1 - shoe.pivot_radius * arc.j3),
          .torque = friction * strip * shoe.drum_radius * arc.j1};
}

double pressing_moment(const ShoeMoments& moments, ShoeAction action, double greatest_pressure) {
  return greatest_pressure *
         (moments.normal_moment + friction_sign(action) * moments.friction_moment);
}

double greatest_pressure(const ShoeMoments& moments, ShoeAction action, double pressing_moment) {
  const double balance = moments.normal_moment + friction_sign(action) * moments.friction_moment;
  require(balance > 0.0, "FrictionShoe", "normal moment less friction moment", balance,
          "> 0 (the shoe locks by itself)");
  return pressing_moment / balance;
}

double shoe_grip(const ShoeArms& arms, double drum_radius, double friction, ShoeAction action) {
  const double arm = arms.normal_arm + friction_sign(action) * friction * arms.friction_arm;
  require(arm > 0.0, "FrictionShoe", "normal arm less friction times its arm", arm,
          "> 0 (the shoe locks by itself)");
  return friction * drum_radius / arm;
}

double locking_friction(const ShoeArms& arms) {
  const double arm = std::abs(arms.friction_arm);
  return arm > 0.0 ? arms.normal_arm / arm : std::numeric_limits<double>::infinity();
}

}  // namespace layshaft
