#include "layshaft/laws/air.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::Seen;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

TEST(Air, StandardAtmosphereMatchesItsTables) {
  struct Row {
    double altitude;     // [m]
    double temperature;  // [K]
    double pressure;     // [hPa]
    double density;      // [kg/m3]
    double digits;       // half of the last printed digit of the density
  };
  const std::string source = "ISO 2533:1975, tables";
  for (const Row& row :
       {Row{0, 288.150, 1013.25, 1.225, 5e-6}, Row{1000, 281.650, 898.746, 1.11164, 5e-6},
        Row{2000, 275.150, 794.952, 1.00649, 5e-6}, Row{3000, 268.650, 701.085, 0.909122, 5e-7}}) {
    const std::string at = " at " + std::to_string(static_cast<int>(row.altitude)) + " m";
    const StandardAir air = standard_air(row.altitude);
    check_published({"A1", "temperature" + at + " [K]", source, Seen::kPrinted, "standard_air"},
                    row.temperature, air.temperature, 5e-4);
    check_published({"A1", "pressure" + at + " [hPa]", source, Seen::kPrinted, "standard_air"},
                    row.pressure, air.pressure / 100.0, 5e-4);
    check_published({"A1", "density" + at + " [kg/m3]", source, Seen::kPrinted, "standard_air"},
                    row.density, air.density, row.digits);
  }
}

TEST(Air, MoistDensityMatchesAPublishedExample) {
  const Air air{.temperature = 283.15,
                .pressure = 730.0 * 133.322387415,  // 730 mmHg
                .relative_humidity = 0.4,
                .carbon_dioxide = 0.0004};
  const std::string source = "CIPM-2007; Gupta, Mass Metrology";
  check_published(
      {"A2", "density at 10 C, 730 mmHg, 40 % [kg/m3]", source, Seen::kPrinted, "moist_density"},
      1.19569, moist_density(air), 5e-6);  // half of the last printed digit
  EXPECT_NEAR(moist_density(air), 1.195695, 5e-7);
}

TEST(Air, MoistDensityMatchesTheFormulaAtRoomConditions) {
  const Air air{.temperature = 293.15,
                .pressure = 101325.0,
                .relative_humidity = 0.5,
                .carbon_dioxide = 0.0004};
  check_published(
      {"A2c", "density at 20 C, 101325 Pa, 50 % [kg/m3]",
       "CIPM-2007, Picard et al., Metrologia 45 (2008) 149", Seen::kDerived, "moist_density"},
      1.199314, moist_density(air), 5e-7);
}

TEST(Air, SaturationPressureMatchesTheHandbookTable) {
  struct Row {
    double celsius;
    double pressure;
  };
  for (const Row& row : {Row{5, 872.6}, Row{25, 3169.7}, Row{50, 12351.3}}) {
    check_published(
        {"A5", "saturation at " + std::to_string(static_cast<int>(row.celsius)) + " C [Pa]",
         "ASHRAE Fundamentals 2017, ch. 1, table 3", Seen::kPrinted, "saturation_pressure"},
        row.pressure, saturation_pressure(row.celsius + 273.15),
        3e-4 * row.pressure);  // the table is of a later formulation of water
  }
}

TEST(Air, CorrectionIsOneInEachStandardsReferenceAir) {
  check_published({"A9", "factor in reference air, ISO 1585 [-]", "ISO 1585", Seen::kPrinted,
                   "correction_factor"},
                  1.0, correction_factor(CorrectionStandard::kIso1585, 99e3, 298.0), kRoundOff);
  check_published({"A9", "factor in reference air, SAE J1349 [-]", "SAE J1349", Seen::kPrinted,
                   "correction_factor"},
                  1.0, correction_factor(CorrectionStandard::kSaeJ1349, 99e3, 298.0), kRoundOff);
  check_published({"A9", "factor in reference air, DIN 70020 [-]", "DIN 70020", Seen::kPrinted,
                   "correction_factor"},
                  1.0, correction_factor(CorrectionStandard::kDin70020, 101.3e3, 293.0), kRoundOff);
}

TEST(Air, CorrectionInWarmThinAirMatchesTheClosedForms) {
  struct Row {
    CorrectionStandard standard;
    double factor;
  };
  for (const Row& row :
       {Row{CorrectionStandard::kIso1585, 1.06128}, Row{CorrectionStandard::kSaeJ1349, 1.05996},
        Row{CorrectionStandard::kDin70020, 1.08436}}) {
    check_published(
        {"A10", "factor at 95 kPa, 303 K, " + std::string(to_string(row.standard)) + " [-]",
         std::string(to_string(row.standard)), Seen::kDerived, "correction_factor"},
        row.factor, correction_factor(row.standard, 95e3, 303.0),
        5e-6);  // half of the last digit given
  }
}

TEST(Air, ReferenceAirIsTheStandardAtmosphere) {
  EXPECT_EQ(density_ratio(reference_air()), 1.0);
  EXPECT_EQ(charge_ratio(reference_air()), 1.0);
  // Real-gas density against the ideal-gas table: Z = 0.9996, molar mass +1.2e-5.
  EXPECT_NEAR(moist_density(reference_air()), 1.225, 1e-3);
}

TEST(Air, VapourMakesAirLighterAndTakesMoreFromTheCharge) {
  Air dry = reference_air();
  dry.temperature = 303.15;
  Air moist = dry;
  moist.relative_humidity = 0.8;
  EXPECT_LT(density_ratio(moist), density_ratio(dry));
  // At 30 C vapour takes 0.8 * 4247 Pa = 3.35 % of the pressure: the dry part loses that share, the
  // moist air only 3.35 % * (1 - 18.015/28.965).
  EXPECT_NEAR(charge_ratio(moist) / charge_ratio(dry), 1.0 - 0.0335, 4e-4);
  EXPECT_NEAR(density_ratio(moist) / density_ratio(dry), 1.0 - 0.0335 * 0.378, 4e-4);
}

TEST(Air, DensityFollowsPressureAndFallsWithHeat) {
  Air air = reference_air();
  const double density = moist_density(air);
  air.pressure *= 0.9;
  // By hand from Z = 1 - p/T (1.58123e-6 - 2.9331e-8 t + 1.1043e-10 t^2): 1 - Z = 4.10e-4 before,
  // 3.69e-4 at 0.9 p, then 1.46e-4 at 1.1 T (43.8 C); three digits of it are 1e-6.
  EXPECT_NEAR(moist_density(air) / density, 0.9 * (1.0 - 4.10e-4) / (1.0 - 3.69e-4), 2e-6);
  air.temperature *= 1.1;
  EXPECT_NEAR(moist_density(air) / density, 0.9 / 1.1 * (1.0 - 4.10e-4) / (1.0 - 1.46e-4), 2e-6);
}

TEST(Air, RefusesWeatherThatCannotBe) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double Air::* const field :
       {&Air::temperature, &Air::pressure, &Air::relative_humidity, &Air::carbon_dioxide}) {
    for (const double bad : {nan, -1.0, 1e6}) {
      Air air = reference_air();
      air.*field = bad;
      EXPECT_THROW(static_cast<void>(moist_density(air)), std::invalid_argument);
    }
  }
  EXPECT_THROW(static_cast<void>(standard_air(12000.0)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(saturation_pressure(270.0)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(correction_factor(CorrectionStandard::kIso1585, 0.0, 300.0)),
               std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
