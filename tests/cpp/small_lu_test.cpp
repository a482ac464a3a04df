#include "layshaft/network/small_lu.hpp"

#include <gtest/gtest.h>

#include <limits>

namespace layshaft {
namespace {

// A few operations on numbers of order one.
constexpr double kRoundOff = 1e-14;

SmallMatrix three_rows() {
  SmallMatrix matrix(3, 3);
  // The first pivot is zero: rows have to be exchanged.
  matrix << 0.0, 2.0, 1.0, 1.0, 1.0, 0.0, 3.0, 0.0, 1.0;
  return matrix;
}

TEST(SmallLu, SolvesWithRowsExchanged) {
  // By hand: x = (1, 2, 3) gives 2*2 + 3 = 7, 1 + 2 = 3, 3 + 3 = 6.
  SmallVector right(3);
  right << 7.0, 3.0, 6.0;
  const SmallLu factors(three_rows());
  EXPECT_FALSE(factors.has_dependent_rows());
  const SmallVector solution = factors.solve(right);
  EXPECT_NEAR(solution(0), 1.0, kRoundOff);
  EXPECT_NEAR(solution(1), 2.0, kRoundOff);
  EXPECT_NEAR(solution(2), 3.0, kRoundOff);
}

TEST(SmallLu, OneRowIsADivision) {
  SmallMatrix matrix(1, 1);
  SmallVector right(1);
  matrix << 4.0;
  right << 1.0;
  EXPECT_EQ(SmallLu(matrix).solve(right)(0), 0.25);
}

TEST(SmallLu, NoticesRowsThatDependOnEachOther) {
  SmallMatrix matrix = three_rows();
  matrix.row(2) = matrix.row(0) + matrix.row(1);
  EXPECT_TRUE(SmallLu(matrix).has_dependent_rows());
  EXPECT_TRUE(SmallLu(SmallMatrix::Zero(2, 2)).has_dependent_rows());
}

TEST(SmallLu, NotANumberCountsAsDependent) {
  SmallMatrix matrix = three_rows();
  matrix(1, 1) = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(SmallLu(matrix).has_dependent_rows());
}

}  // namespace
}  // namespace layshaft
