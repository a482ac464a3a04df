#include "layshaft/laws/air.hpp"

#include <cmath>

#include "layshaft/number/bounds.hpp"

namespace layshaft {
namespace {

constexpr double kCelsiusZero = 273.15;  // [K]

// ISO 2533:1975
constexpr double kSeaLevelTemperature = 288.15;     // [K]
constexpr double kSeaLevelPressure = 101325.0;      // [Pa]
constexpr double kLapseRate = 6.5e-3;               // [K/m]
constexpr double kSpecificGasConstant = 287.05287;  // [J/(kg*K)]

// CIPM-2007
constexpr double kGasConstant = 8.314472;        // [J/(mol*K)]
constexpr double kWaterMolarMass = 18.01528e-3;  // [kg/mol]
constexpr double kUsualCarbonDioxide = 0.0004;   // [-]

/// Molar mass of dry air [kg/mol].
double dry_molar_mass(double carbon_dioxide) {
  return (28.96546 + 12.011 * (carbon_dioxide - kUsualCarbonDioxide)) * 1e-3;
}

/// Saturation pressure in the form that belongs to CIPM-2007 [Pa].
double cipm_saturation_pressure(double temperature) {
  return std::exp(1.2378847e-5 * temperature * temperature - 1.9121316e-2 * temperature +
                  33.93711047 - 6.3431645e3 / temperature);
}

/// Amount fraction of water vapour [-].
double vapour_fraction(const Air& air) {
  const double t = air.temperature - kCelsiusZero;
  const double enhancement = 1.00062 + 3.14e-8 * air.pressure + 5.6e-7 * t * t;
  return air.relative_humidity * enhancement * cipm_saturation_pressure(air.temperature) /
         air.pressure;
}

/// Compressibility factor Z [-].
double compressibility(const Air& air, double vapour) {
  const double t = air.temperature - kCelsiusZero;
  const double p_over_t = air.pressure / air.temperature;
  const double first = 1.58123e-6 + (-2.9331e-8 + 1.1043e-10 * t) * t +
                       (5.707e-6 - 2.051e-8 * t) * vapour +
                       (1.9898e-4 - 2.376e-6 * t) * vapour * vapour;
  return 1.0 - p_over_t * first + p_over_t * p_over_t * (1.83e-11 - 0.765e-8 * vapour * vapour);
}

/// Amount of gas per volume [mol/m^3].
double molar_density(const Air& air, double vapour) {
  return air.pressure / (compressibility(air, vapour) * kGasConstant * air.temperature);
}

}  // namespace

void validate(const Air& air) {
  require(air.temperature >= 230.0 && air.temperature <= 330.0, "Air", "temperature",
          air.temperature, "from 230 to 330 K");
  require(air.pressure >= 50e3 && air.pressure <= 110e3, "Air", "pressure", air.pressure,
          "from 50e3 to 110e3 Pa");
  require(air.relative_humidity >= 0.0 && air.relative_humidity <= 1.0, "Air", "relative_humidity",
          air.relative_humidity, "from 0 to 1");
  require(air.carbon_dioxide >= 0.0 && air.carbon_dioxide <= 0.01, "Air", "carbon_dioxide",
          air.carbon_dioxide, "from 0 to 0.01");
}

StandardAir standard_air(double altitude) {
  require(altitude >= -2000.0 && altitude <= 11000.0, "standard_air", "altitude", altitude,
          "from -2000 to 11000 m");
  const double temperature = kSeaLevelTemperature - kLapseRate * altitude;
  const double exponent = kStandardGravity / (kSpecificGasConstant * kLapseRate);
  const double pressure =
      kSeaLevelPressure * std::pow(temperature / kSeaLevelTemperature, exponent);
  return {.temperature = temperature,
          .pressure = pressure,
          .density = pressure / (kSpecificGasConstant * temperature)};
}

Air reference_air() { return air_at(0.0); }

Air air_at(double altitude) {
  const StandardAir state = standard_air(altitude);
  return {.temperature = state.temperature,
          .pressure = state.pressure,
          .relative_humidity = 0.0,
          .carbon_dioxide = kUsualCarbonDioxide};
}

double saturation_pressure(double temperature) {
  require(temperature >= 273.15 && temperature <= 473.15, "saturation_pressure", "temperature",
          temperature, "from 273.15 to 473.15 K");
  const double t = temperature;
  return std::exp(-5.8002206e3 / t + 1.3914993 +
                  t * (-4.8640239e-2 + t * (4.1764768e-5 - t * 1.4452093e-8)) +
                  6.5459673 * std::log(t));
}

double moist_density(const Air& air) {
  validate(air);
  const double vapour = vapour_fraction(air);
  const double dry_mass = dry_molar_mass(air.carbon_dioxide);
  return molar_density(air, vapour) * (dry_mass * (1.0 - vapour) + kWaterMolarMass * vapour);
}

double dry_part_density(const Air& air) {
  validate(air);
  const double vapour = vapour_fraction(air);
  return molar_density(air, vapour) * dry_molar_mass(air.carbon_dioxide) * (1.0 - vapour);
}

double density_ratio(const Air& air) { return moist_density(air) / moist_density(reference_air()); }

double charge_ratio(const Air& air) {
  return dry_part_density(air) / dry_part_density(reference_air());
}

double correction_factor(CorrectionStandard standard, double pressure, double temperature) {
  require(pressure > 0.0, "correction_factor", "pressure", pressure, "> 0 Pa");
  require(temperature > 0.0, "correction_factor", "temperature", temperature, "> 0 K");
  switch (standard) {
    case CorrectionStandard::kIso1585:
      return std::pow(99e3 / pressure, 1.2) * std::pow(temperature / 298.0, 0.6);
    case CorrectionStandard::kSaeJ1349:
      return 1.18 * (99e3 / pressure) * std::sqrt(temperature / 298.0) - 0.18;
    case CorrectionStandard::kDin70020:
      return (101.3e3 / pressure) * std::sqrt(temperature / 293.0);
  }
  return 1.0;
}

}  // namespace layshaft
