#include "layshaft/laws/axial_clutch.hpp"

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

void validate_weights_and_spring(const AxialClutch& clutch) {
  const char* const owner = "AxialClutch";
  require(
      clutch.flyweight_count >= 1.0 && clutch.flyweight_count == std::floor(clutch.flyweight_count),
      owner, "flyweight_count", clutch.flyweight_count, "a whole number >= 1");
  require(clutch.flyweight_mass > 0.0, owner, "flyweight_mass", clutch.flyweight_mass, "> 0");
  require(clutch.slug_mass >= 0.0, owner, "slug_mass", clutch.slug_mass, ">= 0");
  require(clutch.flyweight_radius > 0.0, owner, "flyweight_radius", clutch.flyweight_radius, "> 0");
  require(clutch.lever_ratio > 0.0, owner, "lever_ratio", clutch.lever_ratio, "> 0");
  require(clutch.nut_turns >= 0.0, owner, "nut_turns", clutch.nut_turns, ">= 0");
  require(clutch.nut_pitch > 0.0, owner, "nut_pitch", clutch.nut_pitch, "> 0");
  require(clutch.force_at_zero_turns >= 0.0, owner, "force_at_zero_turns",
          clutch.force_at_zero_turns, ">= 0");
  require(clutch.spring_rate > 0.0, owner, "spring_rate", clutch.spring_rate, "> 0");
  require(clutch.clearance >= 0.0, owner, "clearance", clutch.clearance, ">= 0");
}

void validate_facing(const AxialClutch& clutch) {
  const char* const owner = "AxialClutch";
  require(clutch.wear >= 0.0, owner, "wear", clutch.wear, ">= 0");
  require(clutch.facing_inner_radius >= 0.0, owner, "facing_inner_radius",
          clutch.facing_inner_radius, ">= 0");
  require(clutch.facing_outer_radius > clutch.facing_inner_radius, owner, "facing_outer_radius",
          clutch.facing_outer_radius, "> facing_inner_radius");
  require(clutch.facing_count >= 1.0 && clutch.facing_count == std::floor(clutch.facing_count),
          owner, "facing_count", clutch.facing_count, "a whole number >= 1");
  require(clutch.friction > 0.0, owner, "friction", clutch.friction, "> 0");
  require(clutch.static_friction >= clutch.friction, owner, "static_friction",
          clutch.static_friction, ">= friction");
  require(clutch.half_angle > 0.0 && clutch.half_angle <= 0.5 * kPi, owner, "half_angle",
          clutch.half_angle, "> 0 and <= pi/2");
  require(clutch.half_angle > atan(clutch.static_friction), owner, "half_angle", clutch.half_angle,
          "> atan(static_friction), or the cone sticks");
}

/// Thrust per square of the crank's speed [kg*m].
[[nodiscard]] double thrust_gain(const AxialClutch& clutch) {
  return clutch.flyweight_count * (clutch.flyweight_mass + clutch.slug_mass) *
         clutch.flyweight_radius * clutch.lever_ratio;
}

/// Travel of the plate to its facing [m]; wear is square to the surface, travel along the shaft.
[[nodiscard]] double plate_travel(const AxialClutch& clutch) {
  return clutch.clearance + clutch.wear / sin(clutch.half_angle);
}

}  // namespace

void validate(const AxialClutch& clutch) {
  validate_weights_and_spring(clutch);
  validate_facing(clutch);
}

double mean_radius(double inner_radius, double outer_radius, FacingPressure pressure) {
  if (pressure == FacingPressure::uniform_wear) return 0.5 * (outer_radius + inner_radius);
  // (R_o^3 - R_i^3)/(R_o^2 - R_i^2) with the common factor R_o - R_i taken out.
  return 2.0 / 3.0 * (square(outer_radius) + outer_radius * inner_radius + square(inner_radius)) /
         (outer_radius + inner_radius);
}

double thrust_at_pressure(double greatest_pressure, double inner_radius, double outer_radius,
                          FacingPressure pressure) {
  const double width = outer_radius - inner_radius;
  if (pressure == FacingPressure::uniform_wear) {
    return 2.0 * kPi * greatest_pressure * inner_radius * width;
  }
  return kPi * greatest_pressure * (outer_radius + inner_radius) * width;
}

double spring_force_at_contact(const AxialClutch& clutch) {
  return clutch.force_at_zero_turns +
         clutch.spring_rate * (clutch.nut_turns * clutch.nut_pitch + plate_travel(clutch));
}

ClutchLaw<double> make_clutch_law(const AxialClutch& clutch) {
  const double radius =
      mean_radius(clutch.facing_inner_radius, clutch.facing_outer_radius, clutch.pressure);
  const double thrust = thrust_gain(clutch);
  return {
      .gain = plate_torque(thrust, clutch.friction, radius, clutch.facing_count, clutch.half_angle),
      .engagement_speed_squared = spring_force_at_contact(clutch) / thrust,
      .static_ratio = clutch.static_friction / clutch.friction};
}

double nut_turns_for(const AxialClutch& clutch, double engagement_speed) {
  const double force = thrust_gain(clutch) * square(engagement_speed);
  const double compression =
      (force - clutch.force_at_zero_turns) / clutch.spring_rate - plate_travel(clutch);
  return compression / clutch.nut_pitch;
}

AxialClutchEffects effects_of_changes(const AxialClutch& clutch, double engine_torque,
                                      double slug) {
  AxialClutch tighter = clutch;
  tighter.nut_turns += 0.125;
  AxialClutch heavier = clutch;
  heavier.slug_mass += slug;
  AxialClutch wider = clutch;
  wider.clearance += 0.1e-3;
  const ClutchLaw<double> now = make_clutch_law(clutch);
  return {.eighth_turn = clutch_effect(now, make_clutch_law(tighter), engine_torque),
          .one_slug = clutch_effect(now, make_clutch_law(heavier), engine_torque),
          .tenth_millimetre = clutch_effect(now, make_clutch_law(wider), engine_torque)};
}

}  // namespace layshaft
