#include "layshaft/run/lap_margins.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

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

// Of a corner behind a straight with a shift in it: below this factor the shift does not come.
constexpr double kEdge = 0.9645;
double jumping(double factor) {
  return (factor > kEdge ? 1.0175 : 0.9905) + 0.9 * (factor - kEdge);
}

TEST(LapMargins, TakeFewRoundsWhereTheGripBends) {
  // Braked off a straight the grip goes up four times as fast as where the foot only lifts.
  const auto bent = [](double factor) {
    return 1.0015 + (factor < 0.965 ? 0.55 : 1.95) * (factor - 0.965);
  };
  LapMargins margins(1);
  int rounds = 0;
  while (margins.improve({bent(margins.factors()[0])})) ++rounds;
  EXPECT_LE(rounds, 7);
  EXPECT_NEAR(bent(margins.factors()[0]), kAllGrip - 2e-4, 2e-4);
}

TEST(LapMargins, StopJustBelowAJump) {
  LapMargins margins(1);
  int rounds = 0;
  while (margins.improve({jumping(margins.factors()[0])})) ++rounds;
  EXPECT_LE(rounds, 7);
  EXPECT_LE(margins.factors()[0], kEdge);
  EXPECT_GT(margins.factors()[0], kEdge - 3e-3);
}

TEST(LapMargins, UseTheGripUpWhereAJumpBeforeMovedIt) {
  // The shift that comes takes 0.04 off what the next corner uses. Searched to both sides of the
  // jump, that corner's bracket is wrong on one of them.
  LapMargins margins(2);
  const auto grips = [&] {
    const double first = margins.factors()[0];
    return std::vector{jumping(first), 1.031 * margins.factors()[1] - (first > kEdge ? 0.04 : 0.0)};
  };
  int rounds = 0;
  while (margins.improve(grips())) ++rounds;
  EXPECT_LE(rounds, 8);
  EXPECT_LE(grips()[0], kAllGrip);
  EXPECT_NEAR(grips()[1], 1.0015, 5e-4);
}

}  // namespace
}  // namespace layshaft
