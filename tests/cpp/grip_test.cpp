#include "layshaft/laws/grip.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "layshaft/number/dual.hpp"

namespace layshaft {
namespace {

// What the smooth floor adds to the square that is left, 1 - u^2 at the share u: at most s^2 u^4
// over four times that square.
double floor_error(double share) {
  return square(kGripFloor * share * share) / (4.0 * (1.0 - share * share));
}

TEST(Grip, IsAllLeftOnAStraight) { EXPECT_EQ(grip_left(0.0, 1.5), 1.0); }

TEST(Grip, LiesOnACircle) {
  // 3-4-5: 0.6 of the grip sideways leaves 0.8 along the road, and the other way round.
  EXPECT_NEAR(grip_left(0.6 * 1.5, 1.5), 0.8, floor_error(0.6));
  EXPECT_NEAR(grip_left(0.8 * 1.5, 1.5), 0.6, floor_error(0.8));
  for (const double share : {0.1, 0.3, 0.5, 0.7, 0.9}) {
    EXPECT_NEAR(square(grip_left(share, 1.0)) + square(share), 1.0, floor_error(share));
  }
}

TEST(Grip, EndsInAFloorThatStaysSmallAndFalls) {
  EXPECT_NEAR(grip_left(1.0, 1.0), std::sqrt(0.5 * kGripFloor), 1e-15);
  double before = grip_left(1.0, 1.0);
  for (double share = 1.01; share < 1.3; share += 0.01) {
    const double left = grip_left(share, 1.0);
    EXPECT_GT(left, 0.0);
    EXPECT_LT(left, before);
    before = left;
  }
  EXPECT_LT(grip_left(2.0, 1.0), 2.0 * kGripFloor);
}

TEST(Grip, TakesTheSameOnBothSides) {
  for (const double share : {0.2, 0.7, 0.99, 1.2}) {
    EXPECT_EQ(grip_left(share, 1.0), grip_left(-share, 1.0));
  }
}

TEST(Grip, HasTheSlopeOfACircleInsideIt) {
  using Dual1 = Dual<double, 1>;
  const Dual1 left = grip_left(Dual1::variable(0.6, 0), Dual1(1.0));
  EXPECT_NEAR(left.slopes[0], -0.6 / 0.8, 1e-3);
}

TEST(Grip, OfNotANumberIsNotANumber) {
  EXPECT_TRUE(std::isnan(grip_left(std::numeric_limits<double>::quiet_NaN(), 1.0)));
}

TEST(LateralFriction, IsTheLateralForceOverTheLoad) {
  // 2.5 kg at 10 m/s on a radius of 5 m: 50 N, pressed down by 25 N.
  EXPECT_DOUBLE_EQ(lateral_friction(2.5, 10.0, 0.2, 25.0), 2.0);
  EXPECT_EQ(lateral_friction(2.5, 0.0, 0.2, 25.0), 0.0);
}

TEST(CorneringDrag, IsForceTimesSlipAngle) {
  // 10 N under 20 N is a friction of 0.5; at 25 per rad and load the angle is 0.02 rad: 0.2 N.
  EXPECT_DOUBLE_EQ(cornering_drag(25.0, 0.5, 20.0), 0.2);
  EXPECT_EQ(cornering_drag(25.0, 0.5, -3.0), 0.0);
  EXPECT_EQ(cornering_drag(25.0, -0.5, 20.0), cornering_drag(25.0, 0.5, 20.0));
}

}  // namespace
}  // namespace layshaft
