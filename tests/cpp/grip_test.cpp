#include "layshaft/laws/grip.hpp"

#include <gtest/gtest.h>

#include <algorithm>
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

// 2.5 kg, a wheelbase of .3 m, .4 of the weight in front: a = .18 m, b = .12 m.
const YawLaw<double> kYaw = make_yaw_law(2.5, 0.4, 0.3, 0.03);

TEST(SidewaysForces, BalanceForcesAndMoments) {
  const Turn<double> turn{100.0, 0.2, 0.05, -8.0};
  const auto [front, rear] = sideways_forces(kYaw, turn);
  // m v^2 k = 50 N; I r' = .03 (-8 * .2 + 100 * .05) = .102 N m.
  EXPECT_NEAR(front + rear, 50.0, 1e-12);
  EXPECT_NEAR(front * 0.18 - rear * 0.12, 0.102, 1e-12);
}

TEST(SidewaysForces, OfASteadyTurnAreThoseOfTheWeightAtRest) {
  const auto [front, rear] = sideways_forces(kYaw, Turn<double>{100.0, -0.2, 0.0, 0.0});
  EXPECT_NEAR(front, -0.4 * 50.0, 1e-12);
  EXPECT_NEAR(rear, -0.6 * 50.0, 1e-12);
}

// What a car at 10 m/s can speed up by [g] while it goes round by so many g, all wheels at their
// grip: as a point mass whose axles share by the balance of moments, the yaw inertia left out.
double most_gain(double sideways) {
  constexpr double kMass = 2.55;
  constexpr double kGravity = 9.81;  // As that script takes it.
  constexpr double kLoad = kMass * kGravity + 1.2;
  constexpr double kLever = 0.035 / 0.29;
  const YawLaw<double> yaw = make_yaw_law(kMass, 0.44, 0.29, 0.0);
  const auto [front_force, rear_force] =
      sideways_forces(yaw, Turn<double>{100.0, sideways * kGravity / 100.0, 0.0, 0.0});
  const auto spare = [&](double gain) {
    const double front = 0.44 * kLoad - kMass * gain * kLever;
    const auto along = [](double grip, double load, double force) {
      return std::sqrt(std::max(square(grip * load) - square(force), 0.0));
    };
    const double rear = kLoad - front;
    return along(1.55 * (1.0 - 0.05 * (front - 11.0) / 11.0), front, front_force) +
           along(1.6 * (1.0 - 0.05 * (rear - 14.0) / 14.0), rear, rear_force) - kMass * gain;
  };
  double gain = 0.0;
  for (double step = 16.0; step > 1e-9; step *= 0.5) {
    if (spare(gain + step) > 0.0) gain += step;
  }
  return gain / kGravity;
}

TEST(SidewaysForces, LeaveWhatAnotherProgramFoundOfTheGripAlongTheRoad) {
  // Worked out once by a script of the same forms, to four digits; sharing by load would leave
  // 1.4411, 1.3114 and 1.1327 g.
  EXPECT_NEAR(most_gain(0.0), 1.6465, 5e-5);
  EXPECT_NEAR(most_gain(0.8), 1.3975, 5e-5);
  EXPECT_NEAR(most_gain(1.0), 1.2324, 5e-5);
  EXPECT_NEAR(most_gain(1.2), 0.9840, 5e-5);
}

TEST(CorneringDrag, IsForceTimesSlipAngle) {
  // 10 N under 20 N is a friction of 0.5; at 25 per rad and load the angle is 0.02 rad: 0.2 N.
  EXPECT_DOUBLE_EQ(cornering_drag(25.0, 0.5, 1.6, 20.0), 0.2);
  EXPECT_EQ(cornering_drag(25.0, 0.5, 1.6, -3.0), 0.0);
  EXPECT_EQ(cornering_drag(25.0, -0.5, 1.6, 20.0), cornering_drag(25.0, 0.5, 1.6, 20.0));
}

TEST(CorneringDrag, GrowsOnPastTheGripToTwiceThatAtIt) {
  // All of a grip of 1.5 under 20 N: 30 N at 0.06 rad.
  constexpr double kAtGrip = 1.8;
  EXPECT_DOUBLE_EQ(cornering_drag(25.0, 1.5, 1.5, 20.0), kAtGrip);
  EXPECT_NEAR(cornering_drag(25.0, 1.5e3, 1.5, 20.0), 2.0 * kAtGrip, 1e-5);
  using Dual1 = Dual<double, 1>;
  // On either side of the grip it goes with the square: a slope of 2 drag/friction.
  for (const double friction : {1.5 - 1e-9, 1.5 + 1e-9}) {
    const Dual1 drag = cornering_drag(25.0, Dual1::variable(friction, 0), Dual1(1.5), Dual1(20.0));
    EXPECT_NEAR(drag.slopes[0], 2.0 * kAtGrip / 1.5, 1e-7);
  }
}

TEST(CorneringDrag, NeedsATyreThatRolls) {
  EXPECT_EQ(rolling_share(0.0), 0.0);
  EXPECT_EQ(rolling_share(-0.3), -rolling_share(0.3));
  EXPECT_NEAR(rolling_share(2.0), 1.0, 3.2e-4);
}

}  // namespace
}  // namespace layshaft
