#include "layshaft/laws/thrown_shoes.hpp"

#include "layshaft/number/bounds.hpp"

namespace layshaft {

void validate(const ThrownShoes& clutch) {
  const char* const owner = "ThrownShoes";
  require(clutch.shoe_count >= 1.0 && clutch.shoe_count == std::floor(clutch.shoe_count), owner,
          "shoe_count", clutch.shoe_count, "a whole number >= 1");
  require(clutch.shoe_mass > 0.0, owner, "shoe_mass", clutch.shoe_mass, "> 0");
  require(clutch.radius_at_rest > 0.0, owner, "radius_at_rest", clutch.radius_at_rest, "> 0");
  require(clutch.drum_radius > 0.0, owner, "drum_radius", clutch.drum_radius, "> 0");
  require(clutch.spring_force_at_rest >= 0.0, owner, "spring_force_at_rest",
          clutch.spring_force_at_rest, ">= 0");
  require(clutch.spring_rate >= 0.0, owner, "spring_rate", clutch.spring_rate, ">= 0");
  require(clutch.clearance >= 0.0, owner, "clearance", clutch.clearance, ">= 0");
  require(clutch.wear >= 0.0, owner, "wear", clutch.wear, ">= 0");
  require(clutch.friction > 0.0, owner, "friction", clutch.friction, "> 0");
  require(clutch.static_friction >= clutch.friction, owner, "static_friction",
          clutch.static_friction, ">= friction");
}

double shoe_mass_for(const ThrownShoes& clutch, double torque, double speed,
                     double engagement_speed) {
  require(speed > engagement_speed, "ThrownShoes", "speed", speed, "> engagement_speed");
  const double normal_force =
      torque / (clutch.shoe_count * clutch.friction * clutch.drum_radius);  // of one shoe
  return normal_force / (radius_at_contact(clutch) * (square(speed) - square(engagement_speed)));
}

double spring_force_for(const ThrownShoes& clutch, double engagement_speed) {
  const double force_at_contact =
      clutch.shoe_mass * radius_at_contact(clutch) * square(engagement_speed);
  return force_at_contact - clutch.spring_rate * (clutch.clearance + clutch.wear);
}

ThrownShoesEffects effects_of_changes(const ThrownShoes& clutch, double engine_torque) {
  ThrownShoes stiffer = clutch;
  stiffer.spring_force_at_rest += 1.0;
  ThrownShoes heavier = clutch;
  heavier.shoe_mass += 0.1e-3;
  ThrownShoes wider = clutch;
  wider.clearance += 0.1e-3;
  const ClutchLaw<double> now = make_clutch_law(clutch);
  return {.newton_of_spring = clutch_effect(now, make_clutch_law(stiffer), engine_torque),
          .tenth_gram = clutch_effect(now, make_clutch_law(heavier), engine_torque),
          .tenth_millimetre = clutch_effect(now, make_clutch_law(wider), engine_torque)};
}

}  // namespace layshaft
