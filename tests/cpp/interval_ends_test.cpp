// Ends of intervals: closed forms where the residuals are straight, bent, kinked, or stop.

#include "layshaft/fit/interval_ends.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "layshaft/number/arithmetic.hpp"

namespace layshaft {
namespace {

// An end is sought to 2 % of its distance; halves of kinks leave as much.
constexpr double kSought = 0.03;
// Of quotients of straight lines: their round-off over the step.
constexpr double kStraight = 1e-9;
constexpr double kAnywhere = 1e6;

using Numbers = std::vector<double>;
using Residuals = std::function<Numbers(const Numbers&)>;

FitLook look_at(const Residuals& residuals, const Numbers& at) {
  constexpr double kStep = 1e-5;
  FitLook look{residuals(at), {}};
  look.slopes.resize(look.residuals.size() * at.size());
  for (std::size_t j = 0; j < at.size(); ++j) {
    Numbers above = at;
    Numbers below = at;
    above[j] += kStep;
    below[j] -= kStep;
    const Numbers rise = residuals(above);
    const Numbers fall = residuals(below);
    for (std::size_t i = 0; i < rise.size(); ++i) {
      look.slopes[i * at.size() + j] = (rise[i] - fall[i]) / (2.0 * kStep);
    }
  }
  return look;
}

FitBounds ends_of(const Residuals& residuals, const Numbers& best, double low = -kAnywhere,
                  double high = kAnywhere) {
  const auto looking = [&](std::span<const Numbers> points) {
    std::vector<FitLook> looks;
    for (const Numbers& point : points) looks.push_back(look_at(residuals, point));
    return looks;
  };
  const Fit fit{best, look_at(residuals, best), 1, FitEnd::settled};
  return interval_ends(looking, fit, {Numbers(best.size(), low), Numbers(best.size(), high)});
}

void expect_ends(const FitBounds& ends, std::size_t which, double low, double high, double error) {
  EXPECT_NEAR(ends.low[which], low, error * std::abs(low));
  EXPECT_NEAR(ends.high[which], high, error * std::abs(high));
}

TEST(IntervalEnds, OfAStraightProblemAreThoseOfItsCovariance) {
  // J = [3 1; 1 2; 1 0; 0 1], J'J = [11 5; 5 6] with determinant 41: variances 6/41 and 11/41.
  const auto residuals = [](const Numbers& at) -> Numbers {
    const double x = at[0] - 0.5;
    const double y = at[1] + 1.0;
    return {3.0 * x + y, x + 2.0 * y, x, y};
  };
  const FitBounds ends = ends_of(residuals, {0.5, -1.0});
  const double x = kWidth95 * std::sqrt(6.0 / 41.0);
  const double y = kWidth95 * std::sqrt(11.0 / 41.0);
  expect_ends(ends, 0, 0.5 - x, 0.5 + x, kStraight);
  expect_ends(ends, 1, -1.0 - y, -1.0 + y, kStraight);
}

TEST(IntervalEnds, FollowAKinkToEitherSide) {
  // Five times as steep above 0.2 as below: 1.96 = 0.2 + 5 (x - 0.2) above.
  const auto residuals = [](const Numbers& at) -> Numbers {
    return {at[0] < 0.2 ? at[0] : 0.2 + 5.0 * (at[0] - 0.2)};
  };
  expect_ends(ends_of(residuals, {0.0}), 0, -kWidth95, 0.2 + (kWidth95 - 0.2) / 5.0, kSought);
}

TEST(IntervalEnds, OfASolutionInANarrowSteepPartLieBeyondIt) {
  // Steep between -0.1 and 0.1 alone: the slope there says +/- 0.2, which is wrong. Beyond the
  // steep part 1 is used up and 0.96 is left.
  const auto residuals = [](const Numbers& at) -> Numbers {
    const double steep = std::clamp(at[0], -0.1, 0.1);
    return {10.0 * steep + (at[0] - steep)};
  };
  const double far = 0.1 + (kWidth95 - 1.0);
  expect_ends(ends_of(residuals, {0.0}), 0, -far, far, kSought);
}

TEST(IntervalEnds, HaveTheOtherNumbersFittedAnew) {
  const auto residuals = [](const Numbers& at) -> Numbers {
    return {at[0], 3.0 * (at[1] - square(at[0]))};
  };
  const FitBounds ends = ends_of(residuals, {0.0, 0.0});
  // Along y = x^2 the sum is that of x alone, so x reaches to 1.96, however the valley bends.
  expect_ends(ends, 0, -kWidth95, kWidth95, kSought);
  // y is furthest where x^2 + 9 (y - x^2)^2 = 1.96^2: with u = x^2, y = u + sqrt(1.96^2 - u)/3,
  // whose slope in u is 0 where sqrt(..) = 1/6.
  const double u = square(kWidth95) - 1.0 / 36.0;
  const double most = u + std::sqrt(square(kWidth95) - u) / 3.0;
  EXPECT_NEAR(ends.high[1], most, kSought * most);
}

TEST(IntervalEnds, AreFoundFromWhereTheDataAreSilent) {
  // Nothing but the guess above -0.5, and 20 a unit below: 400 d^2 + (0.5 + d)^2 = 1.96^2.
  const double below =
      (std::sqrt(1.0 + 4.0 * 401.0 * (square(kWidth95) - 0.25)) - 1.0) / (2.0 * 401.0);
  const auto residuals = [](const Numbers& at) -> Numbers {
    return {20.0 * std::min(at[0] + 0.5, 0.0), at[0]};
  };
  expect_ends(ends_of(residuals, {0.0}), 0, -0.5 - below, kWidth95, kSought);
}

TEST(IntervalEnds, StopAtABound) {
  const auto itself = [](const Numbers& at) { return at; };
  expect_ends(ends_of(itself, {0.0}, -0.5, 9.0), 0, -0.5, kWidth95, kStraight);
}

TEST(IntervalEnds, OfWhatTheDataSayNothingOfKeepTheDoubt) {
  const auto residuals = [](const Numbers& at) -> Numbers { return {3.0 * at[0], at[0], at[1]}; };
  expect_ends(ends_of(residuals, {0.0, 0.0}), 1, -kWidth95, kWidth95, kStraight);
}

TEST(IntervalEnds, OfWhatIsPulledFarBeyondABoundAreNotTheBoundAlone) {
  // 100 a unit, and 5 is wanted where 0.5 is the most: the sum rises by 1.96^2 within 4e-5.
  const auto residuals = [](const Numbers& at) -> Numbers { return {100.0 * (at[0] - 5.0)}; };
  expect_ends(ends_of(residuals, {0.5}, -0.5, 0.5), 0, 0.5 - 0.01 * kWidth95, 0.5, kStraight);
}

}  // namespace
}  // namespace layshaft
