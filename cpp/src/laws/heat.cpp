#include "layshaft/laws/heat.hpp"

#include "layshaft/number/bounds.hpp"

namespace layshaft {

void validate(const FrictionHeat& heat) {
  const char* const owner = "FrictionHeat";
  require(heat.surface_capacity > 0.0, owner, "surface_capacity", heat.surface_capacity, "> 0");
  require(heat.body_capacity > 0.0, owner, "body_capacity", heat.body_capacity, "> 0");
  require(heat.between_conductance >= 0.0, owner, "between_conductance", heat.between_conductance,
          ">= 0");
  require(heat.surface_conductance >= 0.0, owner, "surface_conductance", heat.surface_conductance,
          ">= 0");
  require(heat.body_conductance >= 0.0, owner, "body_conductance", heat.body_conductance, ">= 0");
  require(heat.surface_share >= 0.0 && heat.surface_share <= 1.0, owner, "surface_share",
          heat.surface_share, "within 0..1");
  require(heat.fade_start_temperature > 0.0, owner, "fade_start_temperature",
          heat.fade_start_temperature, "> 0");
  require(heat.half_friction_temperature > heat.fade_start_temperature, owner,
          "half_friction_temperature", heat.half_friction_temperature, "> fade_start_temperature");
  require(heat.friction_floor >= 0.0 && heat.friction_floor < 0.5, owner, "friction_floor",
          heat.friction_floor, ">= 0 and < 0.5");
}

SteadyHeat steady_heat(const FrictionHeat& heat, double power) {
  const double between = heat.between_conductance;
  const double outward = heat.surface_conductance + heat.body_conductance;
  const double determinant =
      heat.surface_conductance * heat.body_conductance + between * outward;  // [W^2/K^2]
  require(determinant > 0.0, "FrictionHeat", "conductance to the air", outward, "> 0");
  const double share = heat.surface_share;
  return {.surface = power * (share * (between + heat.body_conductance) + (1.0 - share) * between) /
                     determinant,
          .body = power * ((1.0 - share) * (between + heat.surface_conductance) + share * between) /
                  determinant};
}

double heat_share(double first_effusivity, double second_effusivity) {
  require(first_effusivity > 0.0, "heat_share", "first_effusivity", first_effusivity, "> 0");
  require(second_effusivity > 0.0, "heat_share", "second_effusivity", second_effusivity, "> 0");
  return first_effusivity / (first_effusivity + second_effusivity);
}

double effusivity(double conductivity, double density, double specific_heat) {
  return sqrt(conductivity * density * specific_heat);
}

}  // namespace layshaft
