#include "layshaft/laws/axial_clutch.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Seen;

constexpr double kRpm = kPi / 30.0;  // [rad/s]

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-13;

/// A few roundings of speeds near 1500 rad/s.
constexpr double kSpeedRoundOff = 1e-9;

/// Invented clutch of the demo car.
AxialClutch small_clutch(double nut_turns) {
  return {.flyweight_count = 4.0,
          .flyweight_mass = 1.3e-3,
          .slug_mass = 0.0,
          .flyweight_radius = 13e-3,
          .lever_ratio = 1.1,
          .nut_turns = nut_turns,
          .nut_pitch = 1e-3,
          .force_at_zero_turns = 0.0,
          .spring_rate = 45e3,
          .clearance = 0.7e-3,
          .wear = 0.0,
          .facing_inner_radius = 11e-3,
          .facing_outer_radius = 17e-3,
          .facing_count = 1.0,
          .half_angle = 0.5 * kPi,
          .friction = 0.35,
          .static_friction = 0.39,
          .pressure = FacingPressure::uniform_wear};
}

TEST(AxialClutch, InventedClutchEngagesWhereItsNutSays) {
  const std::string source = "invented demo car, n m r j w^2 = spring force";
  constexpr double kDigits = 0.05;  // quoted to .1 krpm
  const double low = engagement_speed(make_clutch_law(small_clutch(2.13)));
  const double high = engagement_speed(make_clutch_law(small_clutch(3.0)));
  check_published({"D-axial", "engagement at 2.13 turns [krpm]", source, Seen::kDerived,
                   "make_clutch_law, engagement_speed"},
                  12.5, low / kRpm * 1e-3, kDigits);
  check_published({"D-axial", "engagement at 3.0 turns [krpm]", source, Seen::kDerived,
                   "make_clutch_law, engagement_speed"},
                  14.3, high / kRpm * 1e-3, kDigits);
  // By hand: 45e3 * 2.83e-3 N over 4 * 1.3e-3 * 13e-3 * 1.1 kg m.
  EXPECT_NEAR(low, std::sqrt(127.35 / 7.436e-5), kSpeedRoundOff);
}

TEST(AxialClutch, GainIsFrictionTimesMeanRadiusTimesThrust) {
  const ClutchLaw<double> law = make_clutch_law(small_clutch(2.13));
  EXPECT_NEAR(law.gain, 0.35 * 0.014 * 7.436e-5, 1e-20);
  EXPECT_NEAR(law.static_ratio, 0.39 / 0.35, kRoundOff);
}

TEST(AxialClutch, MeanRadiusOfWornAndNewFacing) {
  EXPECT_DOUBLE_EQ(mean_radius(0.07, 0.11, FacingPressure::uniform_wear), 0.09);
  // 2/3 (.11^3 - .07^3)/(.11^2 - .07^2) = 2/3 * 9.88e-4 / 7.2e-3.
  EXPECT_NEAR(mean_radius(0.07, 0.11, FacingPressure::uniform_pressure), 2.0 / 3.0 * 0.988 / 7.2,
              kRoundOff);
  // A narrow ring has one radius, whichever law; a full disc 1/2 and 2/3 of its edge.
  EXPECT_NEAR(mean_radius(0.1, 0.1, FacingPressure::uniform_pressure), 0.1, kRoundOff);
  EXPECT_NEAR(mean_radius(0.0, 0.1, FacingPressure::uniform_pressure), 0.2 / 3.0, kRoundOff);
}

TEST(AxialClutch, NutMovesTheEngagementByItsClosedForm) {
  // d w_e / d turns = w_e pitch / (2 (turns pitch + x_c)), against a central difference.
  constexpr double kStep = 1e-4;
  constexpr double kTruncation = 1e-5;  // third derivative near 20 times step^2, and round-off
  const double up = engagement_speed(make_clutch_law(small_clutch(2.5 + kStep)));
  const double down = engagement_speed(make_clutch_law(small_clutch(2.5 - kStep)));
  const double middle = engagement_speed(make_clutch_law(small_clutch(2.5)));
  EXPECT_NEAR((up - down) / (2.0 * kStep), middle * 1e-3 / (2.0 * 3.2e-3), kTruncation);
}

TEST(AxialClutch, NutTurnsForIsTheInverseOfEngagement) {
  AxialClutch clutch = small_clutch(0.0);
  clutch.wear = 0.1e-3;
  clutch.force_at_zero_turns = 12.0;
  clutch.nut_turns = nut_turns_for(clutch, 1400.0);
  EXPECT_NEAR(engagement_speed(make_clutch_law(clutch)), 1400.0, kSpeedRoundOff);
}

TEST(AxialClutch, WearActsAsClearanceOnAFlatFacingAndMoreOnACone) {
  AxialClutch worn = small_clutch(2.0);
  worn.wear = 0.1e-3;
  AxialClutch wide = small_clutch(2.0);
  wide.clearance += 0.1e-3;
  EXPECT_NEAR(make_clutch_law(worn).engagement_speed_squared,
              make_clutch_law(wide).engagement_speed_squared, 1e-6);
  // On a cone of 30 degrees a lining worn by w lets the plate travel w / sin 30 = 2 w.
  worn.half_angle = kPi / 6.0;
  wide.half_angle = kPi / 6.0;
  wide.clearance += 0.1e-3;
  EXPECT_NEAR(make_clutch_law(worn).engagement_speed_squared,
              make_clutch_law(wide).engagement_speed_squared, 1e-6);
}

TEST(AxialClutch, ConeMultipliesTheTorqueWithoutMovingTheEngagement) {
  AxialClutch cone = small_clutch(2.0);
  cone.half_angle = kPi / 6.0;
  const ClutchLaw<double> flat_law = make_clutch_law(small_clutch(2.0));
  const ClutchLaw<double> cone_law = make_clutch_law(cone);
  EXPECT_NEAR(cone_law.gain / flat_law.gain, 2.0, kRoundOff);
  EXPECT_EQ(cone_law.engagement_speed_squared, flat_law.engagement_speed_squared);
}

TEST(AxialClutch, ConeThatWouldStickIsRefused) {
  AxialClutch cone = small_clutch(2.0);
  cone.half_angle = std::atan(0.39) + 1e-9;
  EXPECT_NO_THROW(validate(cone));
  cone.half_angle = std::atan(0.39);
  EXPECT_THROW(validate(cone), std::invalid_argument);
  cone.half_angle = 0.5 * kPi + 1e-9;
  EXPECT_THROW(validate(cone), std::invalid_argument);
}

TEST(AxialClutch, SmallChangesMoveTheSpeedsTheRightWay) {
  const AxialClutch clutch = small_clutch(2.13);
  const AxialClutchEffects effects = effects_of_changes(clutch, 0.4, 0.1e-3);
  const double engagement = engagement_speed(make_clutch_law(clutch));
  // An eighth of a turn: 2.83 -> 2.955 mm of compression; 0.1 mm clearance: 2.83 -> 2.93 mm.
  EXPECT_NEAR(effects.eighth_turn.engagement_change, engagement * (std::sqrt(2.955 / 2.83) - 1.0),
              kSpeedRoundOff);
  EXPECT_NEAR(effects.tenth_millimetre.engagement_change,
              engagement * (std::sqrt(2.93 / 2.83) - 1.0), kSpeedRoundOff);
  // One slug of .1 g on every flyweight of 1.3 g.
  EXPECT_NEAR(effects.one_slug.engagement_change, engagement * (std::sqrt(1.3 / 1.4) - 1.0),
              kSpeedRoundOff);
  EXPECT_LT(effects.one_slug.stall_change, 0.0);
  EXPECT_GT(effects.eighth_turn.stall_change, 0.0);
}

TEST(AxialClutch, ImpossibleClutchesAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto change) {
    AxialClutch clutch = small_clutch(2.0);
    EXPECT_NO_THROW(validate(clutch));
    change(clutch);
    EXPECT_THROW(validate(clutch), std::invalid_argument);
  };
  refused([](AxialClutch& c) { c.flyweight_count = 3.5; });
  refused([nan](AxialClutch& c) { c.flyweight_mass = nan; });
  refused([](AxialClutch& c) { c.slug_mass = -1e-4; });
  refused([](AxialClutch& c) { c.flyweight_radius = 0.0; });
  refused([](AxialClutch& c) { c.lever_ratio = 0.0; });
  refused([nan](AxialClutch& c) { c.nut_turns = nan; });
  refused([](AxialClutch& c) { c.nut_pitch = 0.0; });
  refused([](AxialClutch& c) { c.force_at_zero_turns = -1.0; });
  refused([](AxialClutch& c) { c.spring_rate = 0.0; });
  refused([nan](AxialClutch& c) { c.clearance = nan; });
  refused([](AxialClutch& c) { c.wear = -1e-6; });
  refused([](AxialClutch& c) { c.facing_inner_radius = -1e-3; });
  refused([](AxialClutch& c) { c.facing_outer_radius = c.facing_inner_radius; });
  refused([](AxialClutch& c) { c.facing_count = 0.0; });
  refused([nan](AxialClutch& c) { c.half_angle = nan; });
  refused([](AxialClutch& c) { c.friction = 0.0; });
  refused([](AxialClutch& c) { c.static_friction = 0.3; });
}

}  // namespace
}  // namespace layshaft
