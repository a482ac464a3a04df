#include "layshaft/laws/curve.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "published_check.hpp"

namespace layshaft {
namespace {

using testing::check_published;
using testing::Published;
using testing::Seen;

/// A few roundings of numbers near 1.
constexpr double kRoundOff = 1e-14;

/// Central difference over 1e-5 of a cubic with coefficients near 1: truncation 1e-10, round-off
/// 1e-11.
constexpr double kDifferenceError = 1e-9;

const std::vector<double> kX = {0.0, 1.0, 2.5, 3.0, 5.0, 6.0};
const std::vector<double> kY = {0.0, 2.0, 2.5, 2.5, 1.0, 1.75};

double slope_at(const CurveLaw<double>& law, double x) {
  constexpr double kStep = 1e-5;
  return (curve_value(law, x + kStep) - curve_value(law, x - kStep)) / (2.0 * kStep);
}

TEST(Curve, PassesThroughItsPoints) {
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  for (std::size_t k = 0; k < kX.size(); ++k) EXPECT_EQ(curve_value(law, kX[k]), kY[k]);
}

TEST(Curve, AgreesWithTheMonotoneCubicOfSciPy) {
  // Values of scipy.interpolate.PchipInterpolator 1.17.1, a general-purpose implementation of the
  // same slopes.
  struct Row {
    double x;
    double y;
  };
  const std::vector<Row> rows = {{0.25, 0.659375}, {0.9, 1.9194}, {1.7, 2.3445037037037038},
                                 {2.75, 2.5},      {3.6, 2.176},  {4.9, 1.010875},
                                 {5.5, 1.21875}};
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  for (const Row& row : rows) {
    const Published published{"PCHIP", "value at x = " + std::to_string(row.x) + " [-]",
                              "SciPy 1.17.1, PchipInterpolator", Seen::kDerived,
                              "make_curve_law, curve_value"};
    check_published(published, row.y, curve_value(law, row.x), kRoundOff);
  }
}

TEST(Curve, IsFlatAtAPointThatStandsAboveBothNeighbours) {
  const std::vector<double> x = {0.0, 1.0, 2.0};
  const std::vector<double> y = {0.0, 1.0, 0.0};
  const CurveLaw<double> law = make_curve_law(make_curve(x, y));
  EXPECT_NEAR(slope_at(law, 1.0), 0.0, 1e-4);  // one-sided curvature times half the step
  EXPECT_LT(curve_value(law, 0.99), 1.0);
  EXPECT_LT(curve_value(law, 1.01), 1.0);
}

TEST(Curve, NeverLeavesTheRangeOfTheTwoNeighbouringPoints) {
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  for (std::size_t k = 0; k + 1 < kX.size(); ++k) {
    const double low = std::min(kY[k], kY[k + 1]);
    const double high = std::max(kY[k], kY[k + 1]);
    for (int part = 0; part <= 50; ++part) {
      const double value = curve_value(law, kX[k] + (kX[k + 1] - kX[k]) * part / 50.0);
      EXPECT_GE(value, low - kRoundOff);
      EXPECT_LE(value, high + kRoundOff);
    }
  }
}

TEST(Curve, ValueAndSlopeAreTheSameOnBothSidesOfAKnot) {
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  constexpr double kAway = 2e-5;         // the difference formula must not straddle the knot
  constexpr double kSlopeChange = 1e-3;  // curvature below 20 over 4e-5; a kink would give 0.1
  for (const double knot : kX) {
    EXPECT_NEAR(slope_at(law, knot - kAway), slope_at(law, knot + kAway), kSlopeChange);
    EXPECT_NEAR(curve_value(law, knot - 1e-12), curve_value(law, knot + 1e-12), 1e-11);
  }
}

TEST(Curve, GoesOnStraightOutsideItsPoints) {
  // End slope by hand: ((2 * 1 + 1.5) * 2 - 1 * (1/3)) / 2.5 = 8/3.
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  EXPECT_NEAR(curve_value(law, -3.0), -3.0 * 8.0 / 3.0, kRoundOff);
  // Other end: ((2 * 1 + 2) * 0.75 - 1 * (-0.75)) / 3 = 1.25.
  EXPECT_NEAR(curve_value(law, 10.0), 1.75 + 4.0 * 1.25, kRoundOff);
  EXPECT_NEAR(slope_at(law, 8.0), 1.25, kDifferenceError);
}

TEST(Curve, EndSlopeIsLimitedSoThatTheShapeIsKept) {
  // Both curves by hand on the line before the first knot, value -slope at x = -1.
  const std::vector<double> x = {0.0, 1.0, 2.0};
  // Secants 1 and 4: (3 * 1 - 4)/2 = -0.5 would fall before it rises, so 0.
  const CurveLaw<double> bent = make_curve_law(make_curve(x, std::vector<double>{0.0, 1.0, 5.0}));
  EXPECT_EQ(curve_value(bent, -1.0), 0.0);
  // Secants 1 and -10: (3 * 1 + 10)/2 = 6.5 would overshoot, so 3 times the first secant.
  const CurveLaw<double> steep = make_curve_law(make_curve(x, std::vector<double>{0.0, 1.0, -9.0}));
  EXPECT_EQ(curve_value(steep, -1.0), -3.0);
  // Secants 1 and -1: (3 * 1 + 1)/2 = 2 is within the limit.
  const CurveLaw<double> mild = make_curve_law(make_curve(x, std::vector<double>{0.0, 1.0, 0.0}));
  EXPECT_EQ(curve_value(mild, -1.0), -2.0);
}

TEST(Curve, TwoPointsMakeAStraightLine) {
  const std::vector<double> x = {1.0, 3.0};
  const std::vector<double> y = {2.0, 8.0};
  const CurveLaw<double> law = make_curve_law(make_curve(x, y));
  for (const double at : {-5.0, 1.0, 1.5, 3.0, 9.0}) {
    EXPECT_NEAR(curve_value(law, at), 2.0 + 3.0 * (at - 1.0), 2.0 * kRoundOff);
  }
}

TEST(Curve, SixteenPointsFillIt) {
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t k = 0; k < kMaxKnots; ++k) {
    x.push_back(static_cast<double>(k));
    y.push_back(2.0 * static_cast<double>(k));
  }
  const CurveLaw<double> law = make_curve_law(make_curve(x, y));
  for (const double at : {-1.0, 0.5, 14.5, 15.0, 15.5, 40.0}) {
    EXPECT_NEAR(curve_value(law, at), 2.0 * at, 8.0 * kRoundOff);
  }
}

TEST(Curve, MirroredPointsGiveTheMirroredCurve) {
  std::vector<double> x;
  std::vector<double> y;
  for (std::size_t k = kX.size(); k-- > 0;) {
    x.push_back(-kX[k]);
    y.push_back(-kY[k]);
  }
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  const CurveLaw<double> mirrored = make_curve_law(make_curve(x, y));
  for (const double at : {-1.0, 0.3, 2.7, 4.4, 7.0}) {
    EXPECT_NEAR(curve_value(mirrored, -at), -curve_value(law, at), kRoundOff);
  }
}

TEST(Curve, RefusesPointsThatAreNoCurve) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](const std::vector<double>& x, const std::vector<double>& y) {
    EXPECT_THROW(static_cast<void>(make_curve(x, y)), std::invalid_argument);
  };
  refused({1.0}, {1.0});
  refused({1.0, 2.0}, {1.0});
  refused({1.0, 1.0}, {1.0, 2.0});
  refused({2.0, 1.0}, {1.0, 2.0});
  refused({0.0, 1e-300}, {1.0, 2.0});  // the slope would overflow
  refused({0.0, nan}, {1.0, 2.0});
  refused({0.0, 1.0}, {nan, 2.0});
  refused(std::vector<double>(17, 0.0), std::vector<double>(17, 0.0));
}

TEST(Curve, NamesTheFieldItRefuses) {
  try {
    const std::vector<double> x = {0.0, 2.0, 1.0};
    static_cast<void>(make_curve(x, x));
    FAIL() << "descending abscissas were taken";
  } catch (const std::invalid_argument& error) {
    EXPECT_STREQ(error.what(), "Curve.x[2] = 1 must be > x[1]");
  }
}

TEST(Curve, ANaNArgumentGivesNaN) {
  const CurveLaw<double> law = make_curve_law(make_curve(kX, kY));
  EXPECT_TRUE(std::isnan(curve_value(law, std::numeric_limits<double>::quiet_NaN())));
}

}  // namespace
}  // namespace layshaft
