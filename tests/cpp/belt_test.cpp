#include "layshaft/laws/belt.hpp"

#include <gtest/gtest.h>

#include <array>
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

constexpr double kDegree = kPi / 180.0;

Belt demo_belt() {
  return {.in_teeth = 18.0,
          .out_teeth = 45.0,
          .belt_teeth = 76.0,
          .pitch = 3e-3,
          .tension = 45.0,
          .flank_angle = 20.0 * kDegree,
          .friction = 0.2,
          .linear_mass = 0.006,
          .efficiency = 0.96};
}

TEST(Belt, LengthAndCentreMatchExactGeometry) {
  const double small = pitch_radius(20.0, 2e-3);
  const double large = pitch_radius(40.0, 2e-3);
  const PulleyPair pulleys{
      .in_radius = small, .out_radius = large, .centre = 0.1, .run = BeltRun::kOpen};
  const std::string source = "exact belt geometry, ISO 5296 pitch diameter z p/pi";
  check_published({"B10", "length [mm]", source, Seen::kPrinted, "belt_length, pitch_radius"},
                  260.40, belt_length(pulleys) * 1e3, 0.0055);  // printed digits cut off
  check_published(
      {"B10", "length, exact [mm]", source, Seen::kDerived, "belt_length, pitch_radius"}, 260.40542,
      belt_length(pulleys) * 1e3, 5e-6);
  check_published({"B10", "length, three terms [mm]", source, Seen::kDerived,
                   "belt_length_three_terms, pitch_radius"},
                  260.4053, belt_length_three_terms(pulleys) * 1e3, 5e-5);
  check_published({"B10", "centres for 130 teeth [mm]", source, Seen::kDerived,
                   "centre_for_length, pitch_radius"},
                  99.79688, centre_for_length(small, large, 0.26) * 1e3, 5e-6);
}

TEST(Belt, CentreFromLengthInPitchesMatchesTheChainFormula) {
  // Chain and belt share the three-term length; pitches of 9.52 mm, 17 and 51 teeth.
  const double in_radius = pitch_radius(17.0, 9.52);
  const double out_radius = pitch_radius(51.0, 9.52);
  const PulleyPair pulleys{
      .in_radius = in_radius, .out_radius = out_radius, .centre = 300.0, .run = BeltRun::kOpen};
  // Pulley radii in millimetres here: the formulas hold in any unit.
  const double length = belt_length_three_terms(pulleys);
  // By hand: 2 C/p + (17 + 51)/2 + (34/(2 pi))^2 p/C = 97.954420
  EXPECT_NEAR(length / 9.52, 97.954420, 5e-7);
  check_published(
      {"B11", "centres for 97.954420 pitches [mm]", "Jindal, Machine Design, 2010, Ex 30-1",
       Seen::kCompanion, "centre_for_length_three_terms, pitch_radius"},
      300.000, centre_for_length_three_terms(in_radius, out_radius, 97.954420 * 9.52), 5e-4);
  EXPECT_NEAR(centre_for_length_three_terms(in_radius, out_radius, length), 300.0, 1e-11);
}

// The sum of two radii is that of the teeth only up to round-off.
TEST(Belt, IsNotRefusedForTheRoundOffOfItsPulleys) {
  Belt belt = demo_belt();
  for (belt.in_teeth = 8; belt.in_teeth < 60; ++belt.in_teeth) {
    for (belt.out_teeth = 8; belt.out_teeth < 60; ++belt.out_teeth) {
      belt.belt_teeth = belt.in_teeth + belt.out_teeth;
      EXPECT_NO_THROW(validate(belt)) << belt.in_teeth << ' ' << belt.out_teeth;
    }
  }
}

TEST(Belt, FitsItsPulleys) {
  const Belt belt = demo_belt();
  EXPECT_EQ(ratio(belt), 2.5);
  EXPECT_NEAR(belt_length(pulleys_of(belt)), 76.0 * 3e-3, kRoundOff);
}

TEST(Belt, JumpTorqueFollowsTheLiftOfTheFlanks) {
  Belt belt = demo_belt();
  belt.friction = 0.0;
  belt.flank_angle = 45.0 * kDegree;  // lift equals tooth load: Euler's belt with friction 1
  const PulleyPair pulleys = pulleys_of(belt);
  const double slip_ratio = tension_ratio(1.0, least_wrap(pulleys));
  const double euler = carried_force(tensions_from_pretension(45.0, slip_ratio));
  EXPECT_NEAR(jump_torque(belt, 0.0), euler * pulleys.in_radius, kRoundOff);
}

TEST(Belt, JumpTorqueIsBoundedByAnEmptySlackSpan) {
  Belt belt = demo_belt();
  const double bound = 2.0 * 45.0 * pitch_radius(18.0, 3e-3);
  EXPECT_LE(jump_torque(belt, 0.0), bound);
  // Both sides of self-holding: atan(0.2) = 11.31 degrees.
  belt.flank_angle = 11.3 * kDegree;
  EXPECT_EQ(jump_torque(belt, 0.0), bound);
  belt.flank_angle = 11.4 * kDegree;
  EXPECT_NEAR(jump_torque(belt, 0.0), bound, kRoundOff);
  belt.flank_angle = 57.0 * kDegree;
  EXPECT_LT(jump_torque(belt, 0.0), 0.9 * bound);
}

TEST(Belt, SpeedTakesFromTheJumpTorque) {
  const Belt belt = demo_belt();
  // 0.006 kg/m at 50 m/s: 15 of 45 N; from sqrt(45/0.006) = 86.6 m/s on nothing is left
  EXPECT_NEAR(jump_torque(belt, 50.0), jump_torque(belt, 0.0) * 2.0 / 3.0, kRoundOff);
  EXPECT_GT(jump_torque(belt, 86.0), 0.0);
  EXPECT_EQ(jump_torque(belt, 87.0), 0.0);
}

TEST(Belt, PressTestGivesTheTensionOfTheSpan) {
  // 40 mm span, 3 mm in the middle: slope 3/20, hypotenuse sqrt(409) mm; 2 T 3/sqrt(409) = 10 N
  EXPECT_NEAR(tension_from_press(0.04, 0.003, 10.0), 10.0 * std::sqrt(409.0) / 6.0, 1e-12);
  EXPECT_EQ(tension_from_press(0.04, 0.003, 0.0), 0.0);
}

TEST(Belt, TensionerAddsTensionByTheWayItLengthens) {
  // 3-4-5: half span 4 mm, travel 3 mm, path 10 mm for 8 mm: 2 mm of 200 mm = 1 %
  EXPECT_NEAR(tension_from_travel(0.008, 0.003, 5000.0, 0.2), 50.0, 1e-11);
  EXPECT_EQ(tension_from_travel(0.008, 0.0, 5000.0, 0.2), 0.0);
}

TEST(Belt, BeltsInSeriesMultiply) {
  Belt middle = demo_belt();
  middle.in_teeth = 20.0;
  middle.out_teeth = 40.0;
  middle.tension = 1000.0;
  const Belt last = demo_belt();
  const std::array<Belt, 2> belts = {middle, last};
  const BeltPath path = in_series(belts);
  EXPECT_EQ(path.ratio, 2.0 * 2.5);
  EXPECT_NEAR(path.efficiency, 0.96 * 0.96, kRoundOff);
  // The weak last belt sees twice the torque of the first shaft.
  EXPECT_NEAR(path.jump_torque, 0.5 * jump_torque(last, 0.0), kRoundOff);
  EXPECT_NEAR(path.inertia, belt_inertia(middle) + belt_inertia(last) / 4.0, kRoundOff * 1e-5);
}

TEST(Belt, InertiaIsTheMassOfTheBeltAtThePitchRadius) {
  // 0.006 kg/m * 0.228 m * (8.594 mm)^2
  const double radius = 18.0 * 3e-3 / (2.0 * kPi);
  EXPECT_NEAR(belt_inertia(demo_belt()), 0.006 * 0.228 * radius * radius, 1e-20);
}

TEST(Belt, NoneIsSlackerThanOneThatHangsByItsWeight) {
  // Equal pulleys of 20 teeth and a belt of 120, 3 mm pitch: spans of 50 teeth, 150 mm; they stand
  // 60 mm/pi apart. w L^2/(8 sag) with w = .006 kg/m * 9.80665 m/s^2.
  Belt belt = demo_belt();
  belt.in_teeth = belt.out_teeth = 20.0;
  belt.belt_teeth = 120.0;
  const double hanging = 0.006 * kStandardGravity * 0.150 * 0.150 / (8.0 * 0.060 / kPi);
  EXPECT_NEAR(hanging_tension(belt), hanging, kRoundOff);
  const double carried = jump_torque(belt, 0.0) / belt.tension;
  for (const double slack : {0.0, 0.5 * hanging}) {
    belt.tension = slack;
    EXPECT_NEAR(jump_torque(belt, 0.0), carried * hanging, kRoundOff);
  }
  belt.linear_mass = 0.0;
  belt.tension = 0.0;
  EXPECT_EQ(jump_torque(belt, 0.0), 0.0);
}

TEST(Belt, FrontLeadTellsWhoPulls) {
  // Radii 34/36.5 mm, ratios 42/18 and 45/18: treads 34 * 3/7 and 14.6 mm a radian of the shaft
  EXPECT_NEAR(front_lead(0.034, 42.0 / 18.0, 0.0365, 2.5), 34.0 * 3.0 / 7.0 / 14.6 - 1.0,
              kRoundOff);
  EXPECT_EQ(front_lead(0.034, 2.0, 0.034, 2.0), 0.0);
  EXPECT_GT(front_lead(0.035, 2.0, 0.034, 2.0), 0.0);
}

TEST(Belt, RefusesValuesOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (double Belt::* const field :
       {&Belt::in_teeth, &Belt::out_teeth, &Belt::belt_teeth, &Belt::pitch, &Belt::tension,
        &Belt::flank_angle, &Belt::friction, &Belt::linear_mass, &Belt::efficiency}) {
    for (const double bad : {nan, -1.0}) {
      Belt belt = demo_belt();
      belt.*field = bad;
      EXPECT_THROW(validate(belt), std::invalid_argument);
    }
  }
  Belt belt = demo_belt();
  belt.in_teeth = 18.5;
  EXPECT_THROW(validate(belt), std::invalid_argument);
  belt = demo_belt();
  belt.belt_teeth = 52.0;  // pulleys side by side need 2 * 63/(2 pi) + 31.5 + 0.9 = 53.5 and more
  EXPECT_THROW(validate(belt), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(in_series({})), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(tension_from_press(0.04, 0.0, 1.0)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(tension_from_travel(0.04, nan, 1.0, 0.1)), std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
