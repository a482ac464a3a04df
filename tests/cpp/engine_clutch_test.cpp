#include "layshaft/laws/engine_clutch.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "published_check.hpp"

namespace layshaft {
namespace {

/// Engages at 1200 rad/s and carries .4 N m at 1600 rad/s: .4 = K (1600^2 - 1200^2).
constexpr ClutchLaw<double> kLaw{
    .gain = 0.4 / 1.12e6, .engagement_speed_squared = 1.44e6, .static_ratio = 1.1};

/// A few roundings of numbers near 1, and of speeds near 1500 rad/s.
constexpr double kRoundOff = 1e-13;
constexpr double kSpeedRoundOff = 1e-9;

TEST(EngineClutch, CarriesNothingUpToTheEngagementSpeed) {
  EXPECT_EQ(clutch_capacity(kLaw, 0.0, 1.0), 0.0);
  EXPECT_EQ(clutch_capacity(kLaw, 1199.0, 1.0), 0.0);
  EXPECT_EQ(clutch_capacity(kLaw, 1200.0, 1.0), 0.0);
  EXPECT_GT(clutch_capacity(kLaw, 1200.001, 1.0), 0.0);
  EXPECT_NEAR(clutch_capacity(kLaw, 1600.0, 1.0), 0.4, kRoundOff);
}

TEST(EngineClutch, GuardChangesSignAtTheEngagementSpeedOnly) {
  EXPECT_LT(clutch_excess(kLaw, 1199.0), 0.0);
  EXPECT_EQ(clutch_excess(kLaw, 1200.0), 0.0);
  EXPECT_GT(clutch_excess(kLaw, 1201.0), 0.0);
}

TEST(EngineClutch, CapacityDoesNotAskWhichWayTheCrankTurns) {
  EXPECT_EQ(clutch_capacity(kLaw, -1500.0, 1.0), clutch_capacity(kLaw, 1500.0, 1.0));
}

TEST(EngineClutch, HeatScalesTheCapacityAndNotTheEngagement) {
  EXPECT_NEAR(clutch_capacity(kLaw, 1500.0, 0.5), 0.5 * clutch_capacity(kLaw, 1500.0, 1.0),
              kRoundOff);
  EXPECT_EQ(clutch_capacity(kLaw, 1200.0, 0.5), 0.0);
  EXPECT_NEAR(clutch_static_capacity(kLaw, 1500.0, 0.5), 1.1 * clutch_capacity(kLaw, 1500.0, 0.5),
              kRoundOff);
}

TEST(EngineClutch, NotANumberIsNotHiddenByTheClamp) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(std::isnan(clutch_capacity(kLaw, nan, 1.0)));
}

TEST(EngineClutch, StallsWhereItCarriesTheEngineTorque) {
  EXPECT_NEAR(stall_speed(kLaw, 0.4), 1600.0, kSpeedRoundOff);
  EXPECT_NEAR(clutch_capacity(kLaw, stall_speed(kLaw, 0.33), 1.0), 0.33, kRoundOff);
  EXPECT_NEAR(stall_speed(kLaw, 0.0), engagement_speed(kLaw), kSpeedRoundOff);
}

TEST(EngineClutch, ClosedClutchHoldsTheTorqueFromALowerSpeedOn) {
  const double holding = holding_speed(kLaw, 0.4);
  EXPECT_NEAR(clutch_static_capacity(kLaw, holding, 1.0), 0.4, kRoundOff);
  EXPECT_LT(holding, stall_speed(kLaw, 0.4));
}

TEST(EngineClutch, ClutchWithoutSpringPressesFromRest) {
  const ClutchLaw<double> loose{
      .gain = 1e-7, .engagement_speed_squared = -1e4, .static_ratio = 1.0};
  EXPECT_EQ(engagement_speed(loose), 0.0);
  EXPECT_NEAR(clutch_capacity(loose, 0.0, 1.0), 1e-3, kRoundOff);
}

/// Classical Runge-Kutta on I dw/dt = T - capacity(w).
double crank_speed_by_steps(double torque, double inertia, double start, double time) {
  constexpr int kSteps = 2000;
  const double h = time / kSteps;
  const auto rate = [&](double w) { return (torque - clutch_capacity(kLaw, w, 1.0)) / inertia; };
  double w = start;
  for (int k = 0; k < kSteps; ++k) {
    const double a = rate(w);
    const double b = rate(w + 0.5 * h * a);
    const double c = rate(w + 0.5 * h * b);
    const double d = rate(w + h * c);
    w += h / 6.0 * (a + 2.0 * b + 2.0 * c + d);
  }
  return w;
}

TEST(EngineClutch, SlippingCrankFollowsTheHyperbolicTangent) {
  // Time scale I/(K w_q) = 25 ms over 2000 steps of 20 us: truncation (h/scale)^4 = 4e-13,
  // relative.
  constexpr double kTruncation = 1e-7;
  const double by_formula = slipping_crank_speed(kLaw, 0.4, 1.4e-5, 1250.0, 0.04);
  EXPECT_NEAR(by_formula, crank_speed_by_steps(0.4, 1.4e-5, 1250.0, 0.04), kTruncation);
  EXPECT_NEAR(slipping_crank_speed(kLaw, 0.4, 1.4e-5, 1250.0, 0.0), 1250.0, kSpeedRoundOff);
  EXPECT_GT(by_formula, 1250.0);
  EXPECT_LT(by_formula, 1600.0);
}

TEST(EngineClutch, HalfOfTheEnergyOfALaunchWithoutLoadBecomesHeat) {
  // The engine gives T w_q t, the car takes J w_q^2 / 2, both with t = J w_q / T.
  constexpr double kInertia = 4e-4;
  const ClutchLaunch launch = estimate_launch(kLaw, 0.4, 0.0, kInertia);
  EXPECT_NEAR(launch.heat, 0.5 * kInertia * square(launch.stall_speed), 1e-9);
  EXPECT_NEAR(launch.heat, 0.5 * 0.4 * launch.stall_speed * launch.lock_time, 1e-9);
  // With a load the bell needs longer: J w_q / (T - T_L).
  EXPECT_NEAR(estimate_launch(kLaw, 0.4, 0.1, kInertia).lock_time / launch.lock_time, 4.0 / 3.0,
              kRoundOff);
}

}  // namespace
}  // namespace layshaft
