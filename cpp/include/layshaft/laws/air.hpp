#pragma once

/// Density of the air from the weather or from the altitude, and the power correction standards.
///
/// Law: moist air rho = p Ma/(Z R T) (1 - x_v (1 - Mv/Ma)) with x_v = h f(p,t) p_sv(t)/p; standard
/// atmosphere T = 288.15 K - 6.5 K/km * H, p = p0 (T/T0)^(g/(R_s L)), rho = p/(R_s T).
/// Source: CIPM-2007: A. Picard et al., Metrologia 45 (2008) 149; ISO 2533:1975; saturation
/// pressure over water: ASHRAE Handbook Fundamentals, ch. 1 (form of Hyland and Wexler).

#include <string_view>

#include "layshaft/number/real.hpp"

namespace layshaft {

/// Weather beside the track.
struct Air {
  double temperature;        ///< [K], 230 to 330.
  double pressure;           ///< At the track, not reduced to sea level [Pa], 50e3 to 110e3.
  double relative_humidity;  ///< [-], 0 to 1.
  double carbon_dioxide;     ///< Amount fraction [-], 0 to 0.01.
  bool operator==(const Air&) const = default;
};

/// Throws std::invalid_argument naming the field, its value and the broken bound.
void validate(const Air& air);

/// State of the standard atmosphere.
struct StandardAir {
  double temperature;  ///< [K].
  double pressure;     ///< [Pa].
  double density;      ///< [kg/m^3].
  bool operator==(const StandardAir&) const = default;
};

/// ISO 2533 at the geopotential `altitude` [m], -2000 to 11000. Throws outside.
[[nodiscard]] StandardAir standard_air(double altitude);

/// Sea level of the standard atmosphere, dry: the reference of torque curves in this project.
[[nodiscard]] Air reference_air();

/// Dry air of the standard atmosphere at `altitude` [m].
[[nodiscard]] Air air_at(double altitude);

/// Saturation pressure of water vapour over water [Pa] at `temperature` [K], 273.15 to 473.15;
/// ASHRAE form. Throws outside.
[[nodiscard]] double saturation_pressure(double temperature);

/// Density of moist air [kg/m^3]. Outside 15 to 27 C and 60 to 110 kPa the formula goes on, with an
/// error its authors do not state.
[[nodiscard]] double moist_density(const Air& air);

/// Mass of the air without its water vapour per volume [kg/m^3]: what the engine burns with.
[[nodiscard]] double dry_part_density(const Air& air);

/// Air density over that of the reference air [-]: for the drag of the car.
[[nodiscard]] double density_ratio(const Air& air);

/// Density of the dry part over that of the reference air [-]: for the torque of the engine.
[[nodiscard]] double charge_ratio(const Air& air);

/// Standards that refer an engine's measured power to reference air. All three were written for
/// car-sized engines on petrol; on a small two-stroke with its own fuel they are borrowed.
enum class CorrectionStandard {
  kIso1585,   ///< Spark ignition: (99 kPa/p)^1.2 (T/298 K)^0.6, p dry.
  kSaeJ1349,  ///< 1.18 (99 kPa/p) sqrt(T/298 K) - 0.18, p dry.
  kDin70020,  ///< (101.3 kPa/p) sqrt(T/293 K), p as read.
};

/// Factor on measured power that gives power in the standard's reference air [-].
/// `pressure` [Pa], dry part for ISO 1585 and SAE J1349; `temperature` [K].
[[nodiscard]] double correction_factor(CorrectionStandard standard, double pressure,
                                       double temperature);

[[nodiscard]] constexpr std::string_view to_string(CorrectionStandard standard) {
  switch (standard) {
    case CorrectionStandard::kIso1585: return "ISO 1585";
    case CorrectionStandard::kSaeJ1349: return "SAE J1349";
    case CorrectionStandard::kDin70020: return "DIN 70020";
  }
  return "unknown";
}

}  // namespace layshaft
