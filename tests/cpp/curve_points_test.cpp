#include "layshaft/laws/curve_points.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

#include "layshaft/laws/curve.hpp"

namespace layshaft {
namespace {

// A knee at x = 7: flat at 0 before it, then 1, 2, 3 and so on.
struct Points {
  std::vector<double> x, y;
};

Points knee(std::size_t count) {
  Points points;
  for (std::size_t k = 0; k < count; ++k) {
    points.x.push_back(static_cast<double>(k));
    points.y.push_back(k < 8 ? 0.0 : static_cast<double>(k) - 7.0);
  }
  return points;
}

TEST(CurvePoints, AllAreKeptWhereThereIsRoom) {
  const Points points = knee(kMaxKnots);
  const PointsKept kept = keep_points(points.x, points.y);
  EXPECT_EQ(kept.positions.size(), kMaxKnots);
  EXPECT_EQ(kept.off, 0.0);
}

TEST(CurvePoints, TheCurveGoesThroughThePointFarthestOff) {
  // Through the ends alone it is the line 32 x / 39, farthest off at the knee, by 224/39. With the
  // knee the curve is flat before it, so no point there is needed.
  const Points points = knee(40);
  const PointsKept kept = keep_points(points.x, points.y);
  EXPECT_LE(kept.positions.size(), kMaxKnots);
  EXPECT_EQ(kept.positions[0], 0U);
  EXPECT_EQ(kept.positions[1], 7U);
  EXPECT_EQ(kept.positions.back(), 39U);
  const CurveLaw<double> law = make_curve_law(
      make_curve(entries_at(points.x, kept.positions), entries_at(points.y, kept.positions)));
  double off = 0.0;
  for (std::size_t k = 0; k < points.x.size(); ++k) {
    off = std::fmax(off, std::abs(curve_value(law, points.x[k]) - points.y[k]));
  }
  EXPECT_EQ(kept.off, off);
}

TEST(CurvePoints, AZigzagOfManyPointsIsFarOff) {
  // Sixteen of 41 points cannot follow it: between two of one height the curve stays there.
  Points points;
  for (std::size_t k = 0; k < 41; ++k) {
    points.x.push_back(static_cast<double>(k));
    points.y.push_back(k % 2 == 0 ? 0.0 : 1.0);
  }
  const PointsKept kept = keep_points(points.x, points.y);
  EXPECT_EQ(kept.positions.size(), kMaxKnots);
  EXPECT_GT(kept.off, 0.5);
}

TEST(CurvePoints, RefusesByThePointWhatIsNoCurve) {
  const auto refusal = [](std::size_t at, double x, double y) -> std::string {
    Points points = knee(40);
    points.x[at] = x;
    points.y[at] = y;
    try {
      static_cast<void>(keep_points(points.x, points.y));
    } catch (const std::invalid_argument& error) {
      return error.what();
    }
    return "";
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(refusal(30, nan, 0.0), "Curve.x[30] = nan must be finite");
  EXPECT_EQ(refusal(30, 30.0, nan), "Curve.y[30] = nan must be finite");
  EXPECT_EQ(refusal(30, 29.0, 0.0), "Curve.x[30] = 29 must be > x[29]");
  EXPECT_EQ(refusal(30, 29.0 + 1e-10, 0.0), "Curve.x[30] = 29 must be x[29] + 1e-9 or more");
  const Points points = knee(40);
  EXPECT_THROW(static_cast<void>(keep_points(points.x, std::vector<double>(39))),
               std::invalid_argument);
}

}  // namespace
}  // namespace layshaft
