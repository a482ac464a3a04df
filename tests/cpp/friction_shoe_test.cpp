#include "layshaft/laws/friction_shoe.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "layshaft/number/real.hpp"
#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Seen;

constexpr double kDegree = kPi / 180.0;  // [rad]

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-13;

/// Drum of 12 in, pivot 5 in from the centre, lining 1.5 in wide. Kept in inches and pounds: the
/// law is the same in any consistent units.
FrictionShoe inch_shoe(double start, double end) {
  return {.drum_radius = 6.0,
          .pivot_radius = 5.0,
          .arc_start = start * kDegree,
          .arc_end = end * kDegree,
          .width = 1.5};
}

TEST(FrictionShoe, InchShoeOverTwoThirdsOfAHalfCircle) {
  const std::string source = "Shigley, Mechanical Engineering Design, 8th ed. solutions, 16-1";
  const ShoeMoments moments = shoe_moments(inch_shoe(0.0, 120.0), 0.28);
  check_published(
      {"C11", "friction moment per pressure [in^3]", source, Seen::kPrinted, "shoe_moments"}, 17.96,
      moments.friction_moment, 0.0051);
  check_published(
      {"C11", "normal moment per pressure [in^3]", source, Seen::kPrinted, "shoe_moments"}, 56.87,
      moments.normal_moment, 0.005);
  // By hand: .28 * 1.5 * 6 (6 * 1.5 - 5 * .375) and 1.5 * 6 * 5 (pi/3 + sqrt(3)/8).
  EXPECT_NEAR(moments.friction_moment, 17.955, kRoundOff * 100.0);
  EXPECT_NEAR(moments.normal_moment, 45.0 * (kPi / 3.0 + std::sqrt(3.0) / 8.0), kRoundOff * 100.0);
  // Each shoe is pressed by 500 lbf at 10 cos 30 in.
  const double pressing = 500.0 * 10.0 * cos(30.0 * kDegree);
  const double leading = greatest_pressure(moments, ShoeAction::leading, pressing);
  const double trailing = greatest_pressure(moments, ShoeAction::trailing, pressing);
  check_published(
      {"C11", "pressure, leading, exact [psi]", source, Seen::kDerived, "greatest_pressure"},
      111.28, leading, 0.005);
  check_published(
      {"C11", "pressure, trailing, exact [psi]", source, Seen::kDerived, "greatest_pressure"},
      57.87, trailing, 0.005);
  // Printed 111.4 and 57.9; the source rounded before subtracting the moments.
  check_published({"C11", "pressure, leading [psi]", source, Seen::kPrinted, "greatest_pressure"},
                  111.4, leading, 0.15);
  check_published({"C11", "pressure, trailing [psi]", source, Seen::kPrinted, "greatest_pressure"},
                  57.9, trailing, 0.05);
  check_published({"C11", "torque, leading, exact [lbf in]", source, Seen::kDerived,
                   "greatest_pressure, shoe_moments; pressure times moment"},
                  2523.9, leading * moments.torque, 0.05);
  check_published({"C11", "torque, trailing, exact [lbf in]", source, Seen::kDerived,
                   "greatest_pressure, shoe_moments; pressure times moment"},
                  1312.6, trailing * moments.torque, 0.05);
  // Printed from the rounded pressures, to three figures.
  check_published({"C11", "torque at 111.4 psi [lbf in]", source, Seen::kPrinted,
                   "shoe_moments; times the printed pressure"},
                  2530.0, 111.4 * moments.torque, 5.0);
  check_published({"C11", "torque at 57.9 psi [lbf in]", source, Seen::kPrinted,
                   "shoe_moments; times the printed pressure"},
                  1310.0, 57.9 * moments.torque, 5.0);
}

TEST(FrictionShoe, InchShoeOverAQuarterCircle) {
  const std::string source = "Shigley, Mechanical Engineering Design, 8th ed. solutions, 16-2";
  const ShoeMoments moments = shoe_moments(inch_shoe(15.0, 105.0), 0.28);
  check_published(
      {"C12", "friction moment per pressure [in^3]", source, Seen::kPrinted, "shoe_moments"}, 13.06,
      moments.friction_moment, 0.005);
  check_published(
      {"C12", "normal moment per pressure [in^3]", source, Seen::kPrinted, "shoe_moments"}, 46.59,
      moments.normal_moment, 0.005);
  const double pressing = 500.0 * 10.0 * cos(30.0 * kDegree);
  check_published({"C12", "pressure, exact [psi]", source, Seen::kDerived, "greatest_pressure"},
                  129.14, greatest_pressure(moments, ShoeAction::leading, pressing), 0.005);
  check_published({"C12", "pressure [psi]", source, Seen::kPrinted, "greatest_pressure"}, 129.1,
                  greatest_pressure(moments, ShoeAction::leading, pressing), 0.05);
}

TEST(FrictionShoe, MetricShoeOfTheSameShape) {
  const std::string source = "Shigley, Mechanical Engineering Design, 10th ed., Prob 16-1";
  const FrictionShoe shoe{.drum_radius = 0.15,
                          .pivot_radius = 0.125,
                          .arc_start = 0.0,
                          .arc_end = 120.0 * kDegree,
                          .width = 0.04};
  const ShoeMoments moments = shoe_moments(shoe, 0.28);
  // 2.2 kN at 2 * 125 cos 30 mm.
  const double pressing = 2200.0 * 0.25 * cos(30.0 * kDegree);
  const double leading = greatest_pressure(moments, ShoeAction::leading, pressing);
  const double trailing = greatest_pressure(moments, ShoeAction::trailing, pressing);
  check_published({"C13", "pressure [kPa]", source, Seen::kPrinted, "greatest_pressure"}, 734.0,
                  leading * 1e-3, 0.5);
  check_published({"C13", "pressure, exact [kPa]", source, Seen::kDerived, "greatest_pressure"},
                  734.45, leading * 1e-3, 0.005);
  check_published({"C13", "torque, leading [N m]", source, Seen::kFromMemory,
                   "greatest_pressure, shoe_moments; pressure times moment"},
                  277.6, leading * moments.torque, 0.05);
  check_published({"C13", "torque, trailing [N m]", source, Seen::kFromMemory,
                   "greatest_pressure, shoe_moments; pressure times moment"},
                  144.4, trailing * moments.torque, 0.05);
}

TEST(FrictionShoe, OneForceOnALeadingAndATrailingShoe) {
  const std::string source = "Bhandari, Design of Machine Elements, Ex 12.8";
  const FrictionShoe shoe{.drum_radius = 0.125,
                          .pivot_radius = std::hypot(0.0866, 0.05),
                          .arc_start = 0.0,
                          .arc_end = 120.0 * kDegree,
                          .width = 0.04};
  const ShoeMoments moments = shoe_moments(shoe, 0.32);
  const double pressing = pressing_moment(moments, ShoeAction::leading, 1e6);
  // The force acts 100.9 mm on one side of the centre, the pivot lies 86.6 mm on the other.
  check_published(
      {"C15", "actuating force [N]", source, Seen::kCompanion, "pressing_moment; over the arm"},
      2089.80, pressing / (0.1009 + 0.0866), 0.005);
  const double trailing = greatest_pressure(moments, ShoeAction::trailing, pressing);
  check_published({"C15", "torque of both shoes [N m]", source, Seen::kCompanion,
                   "greatest_pressure, shoe_moments; pressures times moment"},
                  434.83, (1e6 + trailing) * moments.torque, 0.005);
}

TEST(FrictionShoe, TruckShoeOfTheTextbook) {
  const std::string source = "Shigley, Mechanical Engineering Design, Ex 16-2";
  const FrictionShoe shoe{.drum_radius = 0.15,
                          .pivot_radius = std::hypot(0.112, 0.05),
                          .arc_start = 0.0,
                          .arc_end = 126.0 * kDegree,
                          .width = 0.032};
  const ShoeMoments moments = shoe_moments(shoe, 0.32);
  check_published({"C17", "friction moment [N m]", source, Seen::kFromMemory, "shoe_moments"},
                  304.0, 1e6 * moments.friction_moment, 0.5);
  check_published({"C17", "friction moment, exact [N m]", source, Seen::kDerived, "shoe_moments"},
                  304.2, 1e6 * moments.friction_moment, 0.05);
  // Recalled 788; the arms are rounded to 123 mm there.
  check_published({"C17", "normal moment [N m]", source, Seen::kFromMemory, "shoe_moments"}, 788.0,
                  1e6 * moments.normal_moment, 1.0);
  check_published({"C17", "normal moment, exact [N m]", source, Seen::kDerived, "shoe_moments"},
                  787.3, 1e6 * moments.normal_moment, 0.05);
  const double pressing = pressing_moment(moments, ShoeAction::leading, 1e6);
  check_published(
      {"C17", "actuating force [kN]", source, Seen::kFromMemory, "pressing_moment; over the arm"},
      2.28, pressing / 0.212 * 1e-3, 0.005);
  const double trailing = greatest_pressure(moments, ShoeAction::trailing, pressing);
  check_published(
      {"C17", "pressure, trailing [kPa]", source, Seen::kFromMemory, "greatest_pressure"}, 443.0,
      trailing * 1e-3, 0.5);
  check_published({"C17", "torque, leading [N m]", source, Seen::kFromMemory, "shoe_moments"},
                  366.0, 1e6 * moments.torque, 0.5);
  check_published({"C17", "torque, trailing [N m]", source, Seen::kFromMemory,
                   "greatest_pressure, shoe_moments; pressure times moment"},
                  162.0, trailing * moments.torque, 0.5);
}

TEST(FrictionShoe, ArcIntegralsAgreeWithDirectIntegration) {
  // Midpoint rule over 20 000 strips: error (h^2/24) times the arc, below 1e-9 of the result.
  constexpr double kQuadrature = 1e-9;
  constexpr int kStrips = 20000;
  const double start = 0.4;
  const double end = 2.5;
  double force = 0.0;
  double normal = 0.0;
  double friction = 0.0;
  for (int k = 0; k < kStrips; ++k) {
    const double angle = start + (end - start) * (k + 0.5) / kStrips;
    force += sin(angle);
    normal += sin(angle) * 0.012 * sin(angle);
    friction += sin(angle) * (0.020 - 0.012 * cos(angle));
  }
  const ShoeArms arms = long_shoe_arms(0.020, 0.012, start, end);
  EXPECT_NEAR(arms.normal_arm, normal / force, kQuadrature);
  EXPECT_NEAR(arms.friction_arm, friction / force, kQuadrature);
}

TEST(FrictionShoe, LongShoeBecomesTheShortShoeAsItsArcShrinks) {
  // The difference is of second order in the half width: below 0.02 m * 1e-8 here.
  constexpr double kSecondOrder = 2e-10;
  const double half = 1e-4;
  for (const double angle : {0.5, 1.2, 1.8, 2.4}) {
    const ShoeArms arms = long_shoe_arms(0.020, 0.012, angle - half, angle + half);
    const ShoeArms point = short_shoe_arms(0.020, 0.012, angle);
    EXPECT_NEAR(arms.normal_arm, point.normal_arm, kSecondOrder);
    EXPECT_NEAR(arms.friction_arm, point.friction_arm, kSecondOrder);
  }
}

TEST(FrictionShoe, GripIsTheTorquePerPressingMoment) {
  const FrictionShoe shoe = inch_shoe(10.0, 130.0);
  const ShoeMoments moments = shoe_moments(shoe, 0.28);
  const ShoeArms arms =
      long_shoe_arms(shoe.drum_radius, shoe.pivot_radius, shoe.arc_start, shoe.arc_end);
  for (const ShoeAction action : {ShoeAction::leading, ShoeAction::trailing}) {
    const double torque = greatest_pressure(moments, action, 1.0) * moments.torque;
    EXPECT_NEAR(shoe_grip(arms, shoe.drum_radius, 0.28, action), torque, kRoundOff);
  }
}

TEST(FrictionShoe, GripGrowsWithFrictionAsItsClosedForm) {
  // d ln G / d ln mu = 1 / (1 -/+ mu / locking friction), against a central difference.
  constexpr double kTruncation = 1e-7;  // step 1e-4, third derivative below 10
  const ShoeArms arms = long_shoe_arms(0.020, 0.012, 60.0 * kDegree, 150.0 * kDegree);
  const double step = 1e-4;
  const auto log_grip = [&](double log_friction, ShoeAction action) {
    return log(shoe_grip(arms, 0.020, exp(log_friction), action));
  };
  const double at = log(0.25);
  const double share = 0.25 / locking_friction(arms);
  const auto growth = [&](ShoeAction action) {
    return (log_grip(at + step, action) - log_grip(at - step, action)) / (2.0 * step);
  };
  EXPECT_NEAR(growth(ShoeAction::leading), 1.0 / (1.0 - share), kTruncation);
  EXPECT_NEAR(growth(ShoeAction::trailing), 1.0 / (1.0 + share), kTruncation);
}

TEST(FrictionShoe, LeadingShoeAtSelfLockingIsRefusedAndTheTrailingOneIsNot) {
  const ShoeArms arms = long_shoe_arms(0.020, 0.012, 60.0 * kDegree, 150.0 * kDegree);
  const double locking = locking_friction(arms);
  EXPECT_NO_THROW((void)shoe_grip(arms, 0.020, 0.999 * locking, ShoeAction::leading));
  EXPECT_THROW((void)shoe_grip(arms, 0.020, 1.001 * locking, ShoeAction::leading),
               std::invalid_argument);
  EXPECT_NO_THROW((void)shoe_grip(arms, 0.020, 1.001 * locking, ShoeAction::trailing));
  EXPECT_GT(shoe_grip(arms, 0.020, 0.999 * locking, ShoeAction::leading), 100.0);
  const ShoeMoments moments = shoe_moments(inch_shoe(0.0, 120.0), 0.9);  // locks at .887
  EXPECT_THROW((void)greatest_pressure(moments, ShoeAction::leading, 1.0), std::invalid_argument);
}

TEST(FrictionShoe, ShoeWhoseFrictionHasNoArmNeverLocks) {
  EXPECT_TRUE(std::isinf(locking_friction({.normal_arm = 0.01, .friction_arm = 0.0})));
}

TEST(FrictionShoe, LocksAtOneFrictionWhicheverWayTheArmPoints) {
  // e_N/|e_f| = 3.59 mm / 11.71 mm: leading with an arm above 0, trailing with one below.
  const ShoeArms usual{.normal_arm = 3.59e-3, .friction_arm = 11.71e-3};
  const ShoeArms turned{.normal_arm = 3.59e-3, .friction_arm = -11.71e-3};
  EXPECT_NEAR(locking_friction(usual), 3.59 / 11.71, kRoundOff);
  EXPECT_EQ(locking_friction(turned), locking_friction(usual));
  const double past = 1.001 * locking_friction(turned);
  EXPECT_THROW((void)shoe_grip(turned, 0.020, past, ShoeAction::trailing), std::invalid_argument);
  EXPECT_GT(shoe_grip(turned, 0.020, past, ShoeAction::leading), 0.0);
  EXPECT_THROW((void)shoe_grip(usual, 0.020, past, ShoeAction::leading), std::invalid_argument);
  EXPECT_GT(shoe_grip(usual, 0.020, past, ShoeAction::trailing), 0.0);
}

TEST(FrictionShoe, GreatestPressureSitsAtNinetyDegreesOrTheNearerEnd) {
  // Torque per greatest pressure is mu b r^2 J1 / sin(ta): ta is 60 and 120 degrees here.
  const double below = shoe_moments(inch_shoe(20.0, 60.0), 0.28).torque;
  const double above = shoe_moments(inch_shoe(120.0, 160.0), 0.28).torque;
  EXPECT_NEAR(below, above, kRoundOff * 100.0);  // mirror images
  const double j1 = cos(20.0 * kDegree) - 0.5;
  EXPECT_NEAR(below, 0.28 * 1.5 * 36.0 * j1 / sin(60.0 * kDegree), kRoundOff * 100.0);
}

TEST(FrictionShoe, ImpossibleShoesAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto change) {
    FrictionShoe shoe = inch_shoe(0.0, 120.0);
    EXPECT_NO_THROW(validate(shoe));
    change(shoe);
    EXPECT_THROW(validate(shoe), std::invalid_argument);
  };
  refused([](FrictionShoe& s) { s.drum_radius = 0.0; });
  refused([nan](FrictionShoe& s) { s.pivot_radius = nan; });
  refused([](FrictionShoe& s) { s.arc_start = -0.1; });
  refused([](FrictionShoe& s) { s.arc_end = s.arc_start; });
  refused([](FrictionShoe& s) { s.arc_end = 3.2; });
  refused([nan](FrictionShoe& s) { s.arc_end = nan; });
  refused([](FrictionShoe& s) { s.width = 0.0; });
}

}  // namespace
}  // namespace layshaft
