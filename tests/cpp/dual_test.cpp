#include "layshaft/number/dual.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace layshaft {
namespace {

using Pair = Dual<double, 2>;

// A few round-offs of numbers of size one.
constexpr double kRoundOff = 4e-15;

TEST(Dual, ArithmeticFollowsTheRulesOfDifferentiation) {
  const Pair x = Pair::variable(1.5, 0);
  const Pair y = Pair::variable(-0.7, 1);
  const Pair f = (x * y - 2.0 * x) / (y + 3.0);
  // f = x (y - 2)/(y + 3): df/dx = (y - 2)/(y + 3), df/dy = 5 x/(y + 3)^2.
  EXPECT_NEAR(f.value, 1.5 * -2.7 / 2.3, kRoundOff);
  EXPECT_NEAR(f.slopes[0], -2.7 / 2.3, kRoundOff);
  EXPECT_NEAR(f.slopes[1], 5.0 * 1.5 / (2.3 * 2.3), kRoundOff);
}

TEST(Dual, FunctionsFollowTheChainRule) {
  const Dual<double, 1> x = Dual<double, 1>::variable(0.8, 0);
  EXPECT_NEAR(sin(x * x).slopes[0], 1.6 * std::cos(0.64), kRoundOff);
  EXPECT_NEAR(cos(x).slopes[0], -std::sin(0.8), kRoundOff);
  EXPECT_NEAR(atan(3.0 * x).slopes[0], 3.0 / (1.0 + 5.76), kRoundOff);
  EXPECT_NEAR(sqrt(x).slopes[0], 0.5 / std::sqrt(0.8), kRoundOff);
  EXPECT_NEAR(exp(-x).slopes[0], -std::exp(-0.8), kRoundOff);
}

TEST(Dual, DecisionsGoByTheValueAndKeepItsSlope) {
  const Dual<double, 1> x = Dual<double, 1>::variable(-2.0, 0);
  EXPECT_EQ(max(x, Dual<double, 1>(0.0)).slopes[0], 0.0);
  EXPECT_EQ(min(x, Dual<double, 1>(0.0)).slopes[0], 1.0);
  EXPECT_EQ(abs(x).value, 2.0);
  EXPECT_EQ(abs(x).slopes[0], -1.0);
  EXPECT_EQ(abs(Dual<double, 1>::variable(0.0, 0)).slopes[0], 0.0);
}

}  // namespace
}  // namespace layshaft
