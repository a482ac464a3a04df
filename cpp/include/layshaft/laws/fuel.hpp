#pragma once

/// Fuel blends of methanol, nitromethane and oil: density, heating value, air need, run time.
///
/// Law: masses from volumes without shrinkage on mixing; heating value and air need add up by mass.
/// The oil is taken as passing through unburnt. Air need from CH3OH + 1.5 O2 and CH3NO2 + 0.75 O2
/// (the nitrogen leaves as N2), air with 23.14 % oxygen by mass.
///
/// Source: molar masses and densities at 20 C: CRC Handbook of Chemistry and Physics (from memory);
/// heating value of methanol: US DOE, Properties of Fuels; of nitromethane: heat of combustion
/// 709.2 kJ/mol less 1.5 mol of water at 44.0 kJ/mol.

#include "layshaft/number/bounds.hpp"
#include "layshaft/number/real.hpp"

namespace layshaft {

/// Blend by volume; the rest is methanol.
struct FuelBlend {
  double nitromethane;  ///< Volume fraction [-], 0 to 1.
  double oil;           ///< Volume fraction [-], 0 to 1, together with nitromethane below 1.
  double oil_density;   ///< [kg/m^3], > 0.
  double tank_volume;   ///< [m^3], > 0.
  bool operator==(const FuelBlend&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
inline void validate(const FuelBlend& fuel) {
  const auto check = [](bool good, const char* field, double value, const char* bound) {
    require(good, "FuelBlend", field, value, bound);
  };
  check(fuel.nitromethane >= 0.0 && fuel.nitromethane <= 1.0, "nitromethane", fuel.nitromethane,
        "from 0 to 1");
  check(fuel.oil >= 0.0 && fuel.nitromethane + fuel.oil < 1.0, "oil", fuel.oil,
        ">= 0 and, with nitromethane, < 1");
  check(fuel.oil_density > 0.0 && fuel.oil_density < 1e5, "oil_density", fuel.oil_density,
        "> 0 and finite");
  check(fuel.tank_volume > 0.0 && fuel.tank_volume < 1.0, "tank_volume", fuel.tank_volume,
        "> 0 and < 1 m^3");
}

/// A pure component that burns.
struct FuelComponent {
  double molar_mass;     ///< [kg/mol].
  double density;        ///< At 20 C [kg/m^3].
  double heating_value;  ///< Lower, water as vapour [J/kg].
  double oxygen_need;    ///< Oxygen O2 beyond its own for complete burning [mol/mol].
};

inline constexpr double kNitromethaneMolarMass = 61.040e-3;  // [kg/mol]

/// Heat of combustion with water as liquid, less the heat of vaporisation of 1.5 mol of water
/// [J/mol].
inline constexpr double kNitromethaneHeat = 709.2e3 - 1.5 * 44.0e3;

inline constexpr FuelComponent kMethanol{
    .molar_mass = 32.042e-3, .density = 791.4, .heating_value = 20.09e6, .oxygen_need = 1.5};
inline constexpr FuelComponent kNitromethane{
    .molar_mass = kNitromethaneMolarMass,
    .density = 1137.0,
    .heating_value = kNitromethaneHeat / kNitromethaneMolarMass,
    .oxygen_need = 0.75};

/// Mass of air over mass of the component for complete burning [-].
[[nodiscard]] constexpr double stoichiometric_air(const FuelComponent& component) {
  constexpr double kOxygenMolarMass = 31.998e-3;  // [kg/mol]
  constexpr double kOxygenInAir = 0.2314;         // [kg/kg]
  return component.oxygen_need * kOxygenMolarMass / (component.molar_mass * kOxygenInAir);
}

/// What a blend amounts to.
struct FuelProperties {
  double density;             ///< [kg/m^3].
  double methanol_mass;       ///< Mass fraction [-].
  double nitromethane_mass;   ///< Mass fraction [-].
  double oil_mass;            ///< Mass fraction [-].
  double heating_value;       ///< Lower, of the whole blend [J/kg].
  double stoichiometric_air;  ///< Air over the whole blend by mass [-].
  bool operator==(const FuelProperties&) const = default;
};

[[nodiscard]] inline FuelProperties fuel_properties(const FuelBlend& fuel) {
  validate(fuel);
  const double methanol = (1.0 - fuel.nitromethane - fuel.oil) * kMethanol.density;
  const double nitromethane = fuel.nitromethane * kNitromethane.density;
  const double oil = fuel.oil * fuel.oil_density;
  const double density = methanol + nitromethane + oil;
  const double methanol_mass = methanol / density;
  const double nitromethane_mass = nitromethane / density;
  return {.density = density,
          .methanol_mass = methanol_mass,
          .nitromethane_mass = nitromethane_mass,
          .oil_mass = oil / density,
          .heating_value = methanol_mass * kMethanol.heating_value +
                           nitromethane_mass * kNitromethane.heating_value,
          .stoichiometric_air = methanol_mass * stoichiometric_air(kMethanol) +
                                nitromethane_mass * stoichiometric_air(kNitromethane)};
}

/// Time [s] a full tank lasts at a mean `mass_flow` [kg/s], > 0.
[[nodiscard]] inline double run_time(const FuelBlend& fuel, double mass_flow) {
  require(mass_flow > 0.0, "run_time", "mass_flow", mass_flow, "> 0");
  return fuel.tank_volume * fuel_properties(fuel).density / mass_flow;
}

}  // namespace layshaft
