#include "layshaft/laws/heat.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace layshaft {
namespace {

/// A few roundings, relative.
constexpr double kRoundOff = 1e-12;

/// Invented engine clutch; fade flat to 150 C and half at 350 C (assumed).
FrictionHeat clutch_heat() {
  return {.surface_capacity = 8.0,
          .body_capacity = 16.0,
          .between_conductance = 0.6,
          .surface_conductance = 0.05,
          .body_conductance = 0.30,
          .surface_share = 0.30,
          .fade_start_temperature = 423.15,
          .half_friction_temperature = 623.15,
          .friction_floor = 0.25};
}

TEST(Heat, AllThePowerWarmsTheTwoPartsOrLeavesThem) {
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  const HeatRates<double> rates = heat_rates(law, 120.0, 70.0, 400.0);
  const double stored = 8.0 * rates.surface + 16.0 * rates.body;
  EXPECT_NEAR(stored + heat_to_air(law, 120.0, 70.0), 400.0, kRoundOff * 400.0);
}

TEST(Heat, SharesThePowerWhileBothPartsAreCold) {
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  const HeatRates<double> rates = heat_rates(law, 0.0, 0.0, 400.0);
  EXPECT_NEAR(rates.surface, 0.30 * 400.0 / 8.0, kRoundOff * 100.0);
  EXPECT_NEAR(rates.body, 0.70 * 400.0 / 16.0, kRoundOff * 100.0);
}

TEST(Heat, FlowsFromTheHotterPartToTheColder) {
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  EXPECT_LT(heat_rates(law, 100.0, 0.0, 0.0).surface, 0.0);
  EXPECT_GT(heat_rates(law, 100.0, 0.0, 0.0).body, 0.0);
  EXPECT_GT(heat_rates(law, 0.0, 100.0, 0.0).surface, 0.0);
  EXPECT_EQ(heat_rates(law, 0.0, 0.0, 0.0).surface, 0.0);
  EXPECT_EQ(heat_rates(law, 0.0, 0.0, 0.0).body, 0.0);
}

TEST(Heat, SteadyStateStandsStill) {
  const FrictionHeat heat = clutch_heat();
  const HeatLaw<double> law = make_heat_law(heat);
  const SteadyHeat steady = steady_heat(heat, 60.0);
  const HeatRates<double> rates = heat_rates(law, steady.surface, steady.body, 60.0);
  EXPECT_NEAR(rates.surface, 0.0, kRoundOff * 100.0);
  EXPECT_NEAR(rates.body, 0.0, kRoundOff * 100.0);
  // By hand: 60 [.3 (.6 + .3) + .7 * .6] / [.05 * .3 + .6 * .35] = 60 * .69 / .225.
  EXPECT_NEAR(steady.surface, 184.0, kRoundOff * 1000.0);
}

TEST(Heat, CoolingPairFollowsItsTwoExponentials) {
  // The sum of the eigenvalues is the trace, and each mode decays by itself. Runge-Kutta, 20 ms.
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  const double a = -0.65 / 8.0;
  const double b = 0.6 / 8.0;
  const double c = 0.6 / 16.0;
  const double d = -0.90 / 16.0;
  const double root = sqrt(square(a - d) + 4.0 * b * c);
  const double slow = 0.5 * (a + d + root);
  std::array<double, 2> x{b * 100.0, (slow - a) * 100.0};  // its eigenvector
  const std::array<double, 2> start = x;
  constexpr double kStep = 0.02;
  constexpr int kSteps = 1000;
  const auto rate = [&](double x1, double x2) { return heat_rates(law, x1, x2, 0.0); };
  for (int k = 0; k < kSteps; ++k) {
    const auto k1 = rate(x[0], x[1]);
    const auto k2 = rate(x[0] + 0.5 * kStep * k1.surface, x[1] + 0.5 * kStep * k1.body);
    const auto k3 = rate(x[0] + 0.5 * kStep * k2.surface, x[1] + 0.5 * kStep * k2.body);
    const auto k4 = rate(x[0] + kStep * k3.surface, x[1] + kStep * k3.body);
    x[0] += kStep / 6.0 * (k1.surface + 2.0 * (k2.surface + k3.surface) + k4.surface);
    x[1] += kStep / 6.0 * (k1.body + 2.0 * (k2.body + k3.body) + k4.body);
  }
  const double decay = exp(slow * kStep * kSteps);
  EXPECT_NEAR(x[0] / (start[0] * decay), 1.0, kRoundOff);
  EXPECT_NEAR(x[1] / (start[1] * decay), 1.0, kRoundOff);
}

TEST(Heat, FrictionIsFlatBelowTheStartOfFadeAndHalfWhereStated) {
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  EXPECT_EQ(friction_ratio(law, 250.0), 1.0);
  EXPECT_EQ(friction_ratio(law, 423.15), 1.0);
  EXPECT_NEAR(friction_ratio(law, 623.15), 0.5, kRoundOff);
  EXPECT_LT(friction_ratio(law, 424.15), 1.0);
}

TEST(Heat, FrictionFallsSteadilyAndNeverBelowItsFloor) {
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  double last = 1.0;
  for (double temperature = 430.0; temperature < 3000.0; temperature += 10.0) {
    const double ratio = friction_ratio(law, temperature);
    EXPECT_LT(ratio, last);
    EXPECT_GT(ratio, 0.25);
    last = ratio;
  }
  EXPECT_NEAR(friction_ratio(law, 1e9), 0.25, 1e-9);
}

TEST(Heat, FadeBeginsWithoutAKink) {
  const HeatLaw<double> law = make_heat_law(clutch_heat());
  const double start = 423.15;
  // Third order in the distance: -1.5 z^3 with this floor, so slope and curvature begin at zero.
  for (const double z : {1e-3, 1e-2}) {
    const double loss = 1.0 - friction_ratio(law, start + 200.0 * z);
    EXPECT_NEAR(loss / (1.5 * z * z * z), 1.0, 3.0 * z);
  }
}

TEST(Heat, FloorOfZeroLetsTheFrictionVanish) {
  FrictionHeat heat = clutch_heat();
  heat.friction_floor = 0.0;
  const HeatLaw<double> law = make_heat_law(heat);
  EXPECT_NEAR(friction_ratio(law, 623.15), 0.5, kRoundOff);
  EXPECT_LT(friction_ratio(law, 1e9), 1e-9);
}

TEST(Heat, ShareFollowsTheEffusivities) {
  EXPECT_DOUBLE_EQ(heat_share(1000.0, 1000.0), 0.5);
  EXPECT_DOUBLE_EQ(heat_share(500.0, 1500.0), 0.25);
  // Resin lining k = .80 W/mK, c = 1.25 kJ/kgK (Neale, Tribology Handbook, table 7.5); 2000 kg/m3.
  EXPECT_NEAR(effusivity(0.80, 2000.0, 1250.0), std::sqrt(2e6), 1e-9);
  EXPECT_THROW((void)heat_share(0.0, 1.0), std::invalid_argument);
  EXPECT_THROW((void)heat_share(1.0, std::numeric_limits<double>::quiet_NaN()),
               std::invalid_argument);
}

TEST(Heat, ImpossiblePairsAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto change) {
    FrictionHeat heat = clutch_heat();
    EXPECT_NO_THROW(validate(heat));
    change(heat);
    EXPECT_THROW(validate(heat), std::invalid_argument);
  };
  refused([](FrictionHeat& h) { h.surface_capacity = 0.0; });
  refused([nan](FrictionHeat& h) { h.body_capacity = nan; });
  refused([](FrictionHeat& h) { h.between_conductance = -0.1; });
  refused([nan](FrictionHeat& h) { h.surface_conductance = nan; });
  refused([](FrictionHeat& h) { h.body_conductance = -0.1; });
  refused([](FrictionHeat& h) { h.surface_share = 1.01; });
  refused([nan](FrictionHeat& h) { h.fade_start_temperature = nan; });
  refused([](FrictionHeat& h) { h.half_friction_temperature = h.fade_start_temperature; });
  refused([](FrictionHeat& h) { h.friction_floor = 0.5; });
  FrictionHeat sealed = clutch_heat();
  sealed.surface_conductance = 0.0;
  sealed.body_conductance = 0.0;
  EXPECT_THROW((void)steady_heat(sealed, 1.0), std::invalid_argument);
}

TEST(Heat, FrictionIsGreatestWhileCold) {
  for (const double floor : {0.0, 0.25, 0.499}) {
    FrictionHeat heat = clutch_heat();
    heat.friction_floor = floor;
    const HeatLaw<double> law = make_heat_law(heat);
    EXPECT_EQ(friction_ratio(law, heat.fade_start_temperature), kMostFrictionRatio);
    double before = kMostFrictionRatio;
    for (double temperature = 0.0; temperature < 3000.0; temperature += 10.0) {
      const double ratio = friction_ratio(law, temperature);
      EXPECT_LE(ratio, before);
      before = ratio;
    }
  }
}

}  // namespace
}  // namespace layshaft
