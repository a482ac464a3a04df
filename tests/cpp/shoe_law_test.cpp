#include "layshaft/laws/shoe_law.hpp"

#include <gtest/gtest.h>

#include "invented_two_speed.hpp"

namespace layshaft {
namespace {

using testing::invented_two_speed;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-12;

TEST(ShoeLaw, TorqueIsZeroAtReleaseWhicheverWayTheDrumSlips) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
  const double release = sqrt(law.release_speed_squared);
  for (const double direction : {1.0, -1.0}) {
    EXPECT_NEAR(shoe_torque(law, release, direction, 1.0), 0.0, kRoundOff);
    EXPECT_GT(shoe_torque(law, 1.001 * release, direction, 1.0), 0.0);
    EXPECT_LT(shoe_torque(law, 0.999 * release, direction, 1.0), 0.0);
  }
}

TEST(ShoeLaw, LeadingShoeForwardsIsTheTrailingShoeBackwards) {
  TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> leading = make_shoe_law(two_speed, two_speed.shoes[0]);
  two_speed.orientation = ShoeOrientation::trailing;
  const ShoeLaw<double> trailing = make_shoe_law(two_speed, two_speed.shoes[0]);
  EXPECT_EQ(shoe_torque(leading, 1200.0, 1.0, 1.0), shoe_torque(trailing, 1200.0, -1.0, 1.0));
  EXPECT_EQ(shoe_torque(leading, 1200.0, -1.0, 1.0), shoe_torque(trailing, 1200.0, 1.0, 1.0));
  EXPECT_EQ(leading.contact_speed_squared, trailing.contact_speed_squared);
}

TEST(ShoeLaw, GripAgreesWithTheFrictionShoe) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
  const ShoeArms arms = shoe_arms(two_speed);
  EXPECT_NEAR(shoe_grip(law, 1.0, 0.2), shoe_grip(arms, 0.020, 0.2, ShoeAction::leading),
              kRoundOff);
  EXPECT_NEAR(shoe_grip(law, -1.0, 0.2), shoe_grip(arms, 0.020, 0.2, ShoeAction::trailing),
              kRoundOff);
}

TEST(ShoeLaw, BothGripsFromOneDivisionAreTheTwoGrips) {
  for (const auto orientation : {ShoeOrientation::leading, ShoeOrientation::trailing}) {
    TwoSpeed two_speed = invented_two_speed(4.5e-3);
    two_speed.orientation = orientation;
    const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
    const ShoeGrips<double> grips = shoe_grips(law, 0.2);
    EXPECT_NEAR(grips.faster, shoe_grip(law, 1.0, 0.2), kRoundOff);
    EXPECT_NEAR(grips.slower, shoe_grip(law, -1.0, 0.2), kRoundOff);
    EXPECT_NE(grips.faster, grips.slower);
  }
}

TEST(ShoeLaw, FadeLowersALeadingTorqueMoreThanInProportion) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
  const double cold = shoe_torque(law, 1200.0, 1.0, 1.0);
  EXPECT_LT(shoe_torque(law, 1200.0, 1.0, 0.8), 0.8 * cold);
  const double trailing = shoe_torque(law, 1200.0, -1.0, 1.0);
  EXPECT_GT(shoe_torque(law, 1200.0, -1.0, 0.8), 0.8 * trailing);
  // At rest on the drum the static coefficient counts.
  EXPECT_NEAR(shoe_static_torque(law, 1200.0, 1.0, 1.0) / cold,
              shoe_grip(law, 1.0, 0.28) / shoe_grip(law, 1.0, 0.25), kRoundOff);
}

TEST(ShoeLaw, GuardsFallThroughZeroAtTheirSpeeds) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const ShoeLaw<double> law = make_shoe_law(two_speed, two_speed.shoes[0]);
  const double contact = sqrt(law.contact_speed_squared);
  EXPECT_GT(shoe_contact_guard(law, 0.999 * contact), 0.0);
  EXPECT_LT(shoe_contact_guard(law, 1.001 * contact), 0.0);
  const double release = sqrt(law.release_speed_squared);
  EXPECT_GT(shoe_release_guard(law, 1.001 * release), 0.0);
  EXPECT_LT(shoe_release_guard(law, 0.999 * release), 0.0);
  // A shoe that has just gone out is not about to come back.
  EXPECT_GT(shoe_release_guard(law, contact), 0.0);
  EXPECT_FALSE(always_out(law));
}

TEST(ShoeLaw, ShoeWithASlackSpringIsOutAtAnySpeed) {
  const TwoSpeed two_speed = invented_two_speed(4.5e-3);
  const double slack = 5.571e-3 + 8e-3 * contact_swing(two_speed);
  const ShoeLaw<double> held = make_shoe_law(two_speed, {.gap = slack - 1e-6, .slug_mass = 1e-3});
  EXPECT_FALSE(always_out(held));
  EXPECT_GT(held.release_speed_squared, 0.0);
  const ShoeLaw<double> out = make_shoe_law(two_speed, {.gap = slack + 1e-6, .slug_mass = 1e-3});
  EXPECT_TRUE(always_out(out));
  EXPECT_LT(shoe_contact_guard(out, 0.0), 0.0);
  EXPECT_GT(shoe_release_guard(out, 0.0), 0.0);
  EXPECT_EQ(out.hold_moment, 0.0);
  EXPECT_EQ(shoe_torque(out, 0.0, 1.0, 1.0), 0.0);
  EXPECT_GT(shoe_torque(out, 100.0, 1.0, 1.0), 0.0);
}

}  // namespace
}  // namespace layshaft
