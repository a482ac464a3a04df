#include "layshaft/laws/spring.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Seen;

TEST(Spring, RateAndIndexOfTheCalculationSheet) {
  const std::string source = "EN 13906-1 calculation sheet, wire EN 10270-1 DM";
  // Outer diameter 39.60 mm: the coil's mean diameter is 34.60 mm.
  const CoilSpring spring{.wire_diameter = 5e-3,
                          .mean_diameter = 34.6e-3,
                          .active_turns = 9.5,
                          .shear_modulus = 81.5e9};
  check_published({"S1", "rate [N/mm]", source, Seen::kPrinted, "spring_rate"}, 16.181,
                  spring_rate(spring) * 1e-3, 5e-4);
  check_published(
      {"S1", "deflection under 280 N [mm]", source, Seen::kPrinted, "spring_rate; force over it"},
      17.3, 280.0 / spring_rate(spring) * 1e3, 0.05);
  check_published({"S1", "index [-]", source, Seen::kPrinted, "spring_index"}, 6.92,
                  spring_index(spring), 1e-12);
}

TEST(Spring, WahlFactorAndTurnsOfTheTextbook) {
  const std::string source = "Sadhu Singh, Machine Design, Ex 8.1";
  const CoilSpring one_turn{
      .wire_diameter = 4.25e-3, .mean_diameter = 34e-3, .active_turns = 1.0, .shear_modulus = 84e9};
  check_published({"S3", "Wahl factor [-]", source, Seen::kCompanion, "curvature_factor"}, 1.184,
                  curvature_factor(8.0, CurvatureFactor::wahl), 5e-4);
  check_published({"S3", "turns, exact [-]", source, Seen::kDerived, "turns_for_rate"}, 13.95,
                  turns_for_rate(one_turn, 6250.0), 0.0051);
  check_published({"S3", "turns [-]", source, Seen::kCompanion, "turns_for_rate"}, 14.0,
                  turns_for_rate(one_turn, 6250.0), 0.5);
}

TEST(Spring, RateOfTheMusicWireSpring) {
  const std::string source = "Shigley, Mechanical Engineering Design, Ex 10-1";
  // In inches and pounds, as the law is homogeneous; the book rounds the mean diameter
  // 7/16 - .037 = .4005 in to .400 in.
  CoilSpring spring{.wire_diameter = 0.037,
                    .mean_diameter = 0.400,
                    .active_turns = 10.5,
                    .shear_modulus = 11.85e6};
  check_published({"S5", "rate [lbf/in]", source, Seen::kFromMemory, "spring_rate"}, 4.13,
                  spring_rate(spring), 0.005);
  check_published({"S5", "rate, exact [lbf/in]", source, Seen::kDerived, "spring_rate"}, 4.131,
                  spring_rate(spring), 5e-4);
}

TEST(Spring, BothCurvatureFactorsFallToOneForASlackCoil) {
  for (const auto kind : {CurvatureFactor::wahl, CurvatureFactor::bergstraesser}) {
    EXPECT_GT(curvature_factor(4.0, kind), curvature_factor(8.0, kind));
    EXPECT_NEAR(curvature_factor(1e6, kind), 1.0, 2e-6);  // 1 + 1.365/c and 1 + 1.25/c
  }
  // At c = 8: 34/29.
  EXPECT_DOUBLE_EQ(curvature_factor(8.0, CurvatureFactor::bergstraesser), 34.0 / 29.0);
}

TEST(Spring, StressIsTheTorsionOfAStraightWireTimesTheFactor) {
  const CoilSpring spring{
      .wire_diameter = 2e-3, .mean_diameter = 16e-3, .active_turns = 5.0, .shear_modulus = 80e9};
  // 8 * 10 N * 16 mm / (pi 8 mm^3) = 160/pi N/mm^2.
  EXPECT_NEAR(shear_stress(spring, 10.0, CurvatureFactor::bergstraesser), 160e6 / kPi * 34.0 / 29.0,
              1e-6);
}

TEST(Spring, SolidLengthCountsTheEndTurns) {
  const CoilSpring spring{
      .wire_diameter = 1e-3, .mean_diameter = 8e-3, .active_turns = 6.0, .shear_modulus = 80e9};
  EXPECT_DOUBLE_EQ(solid_length(spring, SpringEnds::plain), 7e-3);
  EXPECT_DOUBLE_EQ(solid_length(spring, SpringEnds::plain_ground), 7e-3);
  EXPECT_DOUBLE_EQ(solid_length(spring, SpringEnds::squared), 9e-3);
  EXPECT_DOUBLE_EQ(solid_length(spring, SpringEnds::squared_ground), 8e-3);
}

TEST(Spring, ImpossibleSpringsAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const CoilSpring good{
      .wire_diameter = 1e-3, .mean_diameter = 8e-3, .active_turns = 6.0, .shear_modulus = 80e9};
  EXPECT_NO_THROW(validate(good));
  const auto refused = [&](auto change) {
    CoilSpring spring = good;
    change(spring);
    EXPECT_THROW(validate(spring), std::invalid_argument);
  };
  refused([](CoilSpring& s) { s.wire_diameter = 0.0; });
  refused([](CoilSpring& s) { s.mean_diameter = s.wire_diameter; });
  refused([nan](CoilSpring& s) { s.active_turns = nan; });
  refused([](CoilSpring& s) { s.shear_modulus = -1.0; });
}

}  // namespace
}  // namespace layshaft
