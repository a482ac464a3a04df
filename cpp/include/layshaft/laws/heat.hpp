#pragma once

/// Heat of one friction pair: two lumped parts, and friction that fades when hot.
///
/// Sign: rises are over the air around [K]; power is heat made by slipping [W], >= 0.
/// Equation: C1 x1' = g Q - H12 (x1 - x2) - H1 x1, C2 x2' = (1 - g) Q + H12 (x1 - x2) - H2 x2; the
///   lining's share g = e1/(e1 + e2) with e = sqrt(conductivity * density * specific heat).
///   Friction over its cold value: floor + (1 - floor)/(1 + c z^3), z = (T - T_start)/(T_half -
///   T_start) above T_start and 0 below; c makes it 1/2 at T_half. Flat to 150 C and half at 350 C
///   are assumed.
/// Source: heat balance of two lumps; partition by effusivity after Carslaw & Jaeger, Conduction of
///   Heat in Solids, sec. 2.10 (from memory).

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Heat paths and fade of one friction pair. Plain value; SI units.
struct FrictionHeat {
  double surface_capacity;           ///< Lining and shoe C1 [J/K], > 0.
  double body_capacity;              ///< Drum C2 [J/K], > 0.
  double between_conductance;        ///< Surface to body H12 [W/K], >= 0.
  double surface_conductance;        ///< Surface to air H1 [W/K], >= 0.
  double body_conductance;           ///< Body to air H2 [W/K], >= 0.
  double surface_share;              ///< Share of the heat that starts in the surface [-], 0..1.
  double fade_start_temperature;     ///< Friction is flat up to here [K], > 0.
  double half_friction_temperature;  ///< Half of the cold friction is left here [K], > start.
  double friction_floor;             ///< Least ratio, however hot [-], within 0..0.5, 0.5 excluded.
  bool operator==(const FrictionHeat&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const FrictionHeat& heat);

/// Coefficients, hoisted once for a run.
template <class Real>
struct HeatLaw {
  Real surface_rise_per_heat;   ///< 1/C1 [K/J]
  Real body_rise_per_heat;      ///< 1/C2 [K/J]
  Real between_conductance;     ///< [W/K]
  Real surface_conductance;     ///< [W/K]
  Real body_conductance;        ///< [W/K]
  Real surface_share;           ///< [-]
  Real fade_start_temperature;  ///< [K]
  Real fade_per_rise;           ///< 1 from the start of fade to half friction [1/K].
  Real friction_floor;          ///< [-]
  Real fade_strength;           ///< c [-].
};

/// How fast the two parts warm up.
template <class Real>
struct HeatRates {
  Real surface;  ///< [K/s]
  Real body;     ///< [K/s]
};

[[nodiscard]] inline HeatLaw<double> make_heat_law(const FrictionHeat& heat) {
  return {.surface_rise_per_heat = 1.0 / heat.surface_capacity,
          .body_rise_per_heat = 1.0 / heat.body_capacity,
          .between_conductance = heat.between_conductance,
          .surface_conductance = heat.surface_conductance,
          .body_conductance = heat.body_conductance,
          .surface_share = heat.surface_share,
          .fade_start_temperature = heat.fade_start_temperature,
          .fade_per_rise = 1.0 / (heat.half_friction_temperature - heat.fade_start_temperature),
          .friction_floor = heat.friction_floor,
          .fade_strength = 0.5 / (0.5 - heat.friction_floor)};
}

/// Rates at these rises [K] over the air under this slipping power [W].
template <class Coefficient, class Real>
[[nodiscard]] HeatRates<Real> heat_rates(const HeatLaw<Coefficient>& law, const Real& surface_rise,
                                         const Real& body_rise, const Real& power) {
  const Real surface_power = law.surface_share * power;
  const Real across = law.between_conductance * (surface_rise - body_rise);
  return {.surface = (surface_power - across - law.surface_conductance * surface_rise) *
                     law.surface_rise_per_heat,
          .body = (power - surface_power + across - law.body_conductance * body_rise) *
                  law.body_rise_per_heat};
}

/// Heat given to the air [W] at these rises [K].
template <class Coefficient, class Real>
[[nodiscard]] Real heat_to_air(const HeatLaw<Coefficient>& law, const Real& surface_rise,
                               const Real& body_rise) {
  return law.surface_conductance * surface_rise + law.body_conductance * body_rise;
}

/// Hot over cold friction is never above this [-]: checks that must hold at any temperature go by
/// it.
inline constexpr double kMostFrictionRatio = 1.0;

/// Hot over cold friction coefficient [-] at a surface temperature [K]; smooth to the second
/// derivative, never below the floor, never above `kMostFrictionRatio`.
template <class Coefficient, class Real>
[[nodiscard]] Real friction_ratio(const HeatLaw<Coefficient>& law, const Real& temperature) {
  const Real over = max((temperature - law.fade_start_temperature) * law.fade_per_rise, Real(0.0));
  return law.friction_floor +
         (Real(1.0) - law.friction_floor) / (Real(1.0) + law.fade_strength * over * over * over);
}

/// Rises over the air in the long run [K].
struct SteadyHeat {
  double surface;  ///< [K]
  double body;     ///< [K]
};

/// Rises under a lasting power [W]. Refuses a pair that has no way to give its heat away.
[[nodiscard]] SteadyHeat steady_heat(const FrictionHeat& heat, double power);

/// Share of the heat [-] that goes into the first of two materials of these effusivities
/// [J/(m^2*K*s^0.5)], > 0.
[[nodiscard]] double heat_share(double first_effusivity, double second_effusivity);

/// Effusivity [J/(m^2*K*s^0.5)]: conductivity [W/(m*K)], density [kg/m^3], specific heat
/// [J/(kg*K)].
[[nodiscard]] double effusivity(double conductivity, double density, double specific_heat);

}  // namespace layshaft
