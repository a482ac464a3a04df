#include "layshaft/laws/fuel.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <stdexcept>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Seen;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

constexpr FuelBlend kBlend{
    .nitromethane = 0.25, .oil = 0.10, .oil_density = 960.0, .tank_volume = 125e-6};

TEST(Fuel, AirNeedMatchesChemistry) {
  // The share of oxygen in air is quoted as 0.2314 to 0.2322, which moves the ratio of methanol by
  // 0.022; half of the last printed digit is 0.005.
  check_published(
      {"N1", "air/fuel, methanol [-]", "chemistry", Seen::kPrinted, "stoichiometric_air"}, 6.45,
      stoichiometric_air(kMethanol), 0.027);
  check_published(
      {"N1", "air/fuel, nitromethane [-]", "chemistry", Seen::kPrinted, "stoichiometric_air"}, 1.7,
      stoichiometric_air(kNitromethane), 0.05);
  EXPECT_NEAR(stoichiometric_air(kMethanol), 6.473, 5e-4);
  EXPECT_NEAR(stoichiometric_air(kNitromethane), 1.699, 5e-4);
}

TEST(Fuel, HeatingValuesMatchTheirSources) {
  check_published(
      {"N3", "lower heating value, nitromethane [MJ/kg]",
       "heat of combustion 709.2 kJ/mol, water as vapour", Seen::kDerived, "kNitromethane"},
      10.54, kNitromethane.heating_value / 1e6, 0.005);
  check_published(
      {"N3", "gross heating value, nitromethane [MJ/kg]", "heat of combustion 709.2 kJ/mol",
       Seen::kDerived, "kNitromethane; plus 1.5 mol of water at 44.0 kJ/mol"},
      11.62, kNitromethane.heating_value / 1e6 + 1.5 * 0.0440 / kNitromethane.molar_mass, 0.005);
}

TEST(Fuel, PureMethanolKeepsItsOwnValues) {
  const FuelProperties pure = fuel_properties(
      {.nitromethane = 0.0, .oil = 0.0, .oil_density = 960.0, .tank_volume = 125e-6});
  check_published({"N3", "lower heating value of a blend of methanol alone [MJ/kg]",
                   "US DOE, Properties of Fuels", Seen::kPrinted,
                   "fuel_properties; of its own constant, which is the source's"},
                  20.09, pure.heating_value / 1e6, 0.005);
  EXPECT_EQ(pure.density, 791.4);
  EXPECT_EQ(pure.methanol_mass, 1.0);
}

TEST(Fuel, BlendAddsUpByMass) {
  // Per litre: methanol 0.65 * 791.4 = 514.41 g, nitromethane 284.25 g, oil 96 g: 894.66 g
  const FuelProperties blend = fuel_properties(kBlend);
  EXPECT_NEAR(blend.density, 894.66, 1e-9);
  EXPECT_NEAR(blend.methanol_mass, 514.41 / 894.66, kRoundOff);
  EXPECT_NEAR(blend.nitromethane_mass, 284.25 / 894.66, kRoundOff);
  EXPECT_NEAR(blend.methanol_mass + blend.nitromethane_mass + blend.oil_mass, 1.0, kRoundOff);
  // 0.574978 * 20.09 + 0.317718 * 10.5374 = 14.8992 MJ/kg
  EXPECT_NEAR(blend.heating_value / 1e6, 14.8992, 1e-3);
  // 0.574978 * 6.4732 + 0.317718 * 1.6990 = 4.2618
  EXPECT_NEAR(blend.stoichiometric_air, 4.2618, 1e-3);
}

TEST(Fuel, NitromethaneBringsLessHeatButMoreForTheSameAir) {
  FuelBlend rich = kBlend;
  rich.nitromethane = 0.4;
  const FuelProperties lean = fuel_properties(kBlend);
  const FuelProperties more = fuel_properties(rich);
  EXPECT_LT(more.heating_value, lean.heating_value);
  EXPECT_GT(more.heating_value / more.stoichiometric_air,
            lean.heating_value / lean.stoichiometric_air);
}

TEST(Fuel, TankLastsItsMassOverTheFlow) {
  // 25 cm3 a minute of 125 cm3: 5 minutes
  const double flow = 25e-6 / 60.0 * fuel_properties(kBlend).density;
  EXPECT_NEAR(run_time(kBlend, flow), 300.0, 1e-10);
}

TEST(Fuel, RefusesBlendsThatCannotBe) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double FuelBlend::* const field : {&FuelBlend::nitromethane, &FuelBlend::oil,
                                          &FuelBlend::oil_density, &FuelBlend::tank_volume}) {
    for (const double bad : {nan, -0.1}) {
      FuelBlend fuel = kBlend;
      fuel.*field = bad;
      EXPECT_THROW(static_cast<void>(fuel_properties(fuel)), std::invalid_argument);
    }
  }
  FuelBlend fuel = kBlend;
  fuel.oil = 0.75;  // nothing left for the methanol
  EXPECT_THROW(validate(fuel), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(run_time(kBlend, 0.0)), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
