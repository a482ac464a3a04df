#include "layshaft/run/lap_margins.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace layshaft {
namespace {

TEST(LapMargins, AreTakenOnlyWhereTheCarIsTooFast) {
  LapMargins margins(2);
  EXPECT_FALSE(margins.improve({0.7, 1.001}));
  EXPECT_TRUE(margins.improve({0.7, 1.01}));
  EXPECT_EQ(margins.factors()[0], 1.0);
  EXPECT_LT(margins.factors()[1], 1.0);
}

TEST(LapMargins, FindTheFactorThatUsesTheGripUp) {
  // A corner whose grip used goes with the third power of its factor, 1.3 of it without a margin.
  LapMargins margins(1);
  const auto grip = [&] { return 1.3 * std::pow(margins.factors()[0], 3.0); };
  while (margins.improve({grip()})) {
  }
  EXPECT_NEAR(grip(), 1.0015, 5e-4);
}

TEST(LapMargins, LeaveGripWhereItJumpsPastAllThereIs) {
  // Below a factor of 0.95 a shift does not come, and 0.15 less of the grip is used.
  LapMargins margins(2);
  const auto grips = [&] { return std::vector{margins.factors()[0] > 0.95 ? 1.05 : 0.9, 0.8}; };
  int rounds = 0;
  for (; margins.improve(grips()); ++rounds) EXPECT_LT(rounds, 20);
  LapResult run{};
  run.margins = margins.factors();
  run.most_grips = grips();
  EXPECT_LE(most_grip(run), kAllGrip);
  // Of the approach with a margin; the other is no faster for its own reasons.
  EXPECT_NEAR(grip_left(run), 0.1, 1e-12);
}

}  // namespace
}  // namespace layshaft
