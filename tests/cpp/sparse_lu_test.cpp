#include "layshaft/network/sparse_lu.hpp"

#include <gtest/gtest.h>

#include <Eigen/LU>
#include <random>

namespace layshaft {
namespace {

constexpr std::size_t kSize = 6;

// An arrow: dense last row and column, diagonal elsewhere.
constexpr SparsityPattern<kSize> arrow(bool tip_first) {
  SparsityPattern<kSize> pattern;
  for (std::size_t i = 0; i < kSize; ++i) {
    pattern.filled[i][i] = true;
    pattern.filled[i][kSize - 1] = true;
    pattern.filled[kSize - 1][i] = true;
    pattern.order[i] = tip_first ? kSize - 1 - i : i;
  }
  return pattern;
}

// Entries of size one, the shift keeps the matrix well conditioned: a few dozen round-offs.
constexpr double kRoundOff = 1e-14;
constexpr double kShift = 10.0;

template <SparsityPattern<kSize> Pattern>
struct Of {
  static constexpr auto jacobian_pattern() { return Pattern; }
};

template <SparsityPattern<kSize> Pattern>
void expect_solution_of_a_general_solver() {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> entry(-1.0, 1.0);
  for (int trial = 0; trial < 50; ++trial) {
    Eigen::Matrix<double, 6, 6> matrix = Eigen::Matrix<double, 6, 6>::Zero();
    for (std::size_t i = 0; i < kSize; ++i) {
      for (std::size_t j = 0; j < kSize; ++j) {
        if (Pattern.filled[i][j]) matrix(static_cast<int>(i), static_cast<int>(j)) = entry(random);
      }
    }
    Eigen::Matrix<double, 6, 1> right;
    for (int i = 0; i < 6; ++i) right(i) = entry(random);
    const Eigen::Matrix<double, 6, 6> shifted =
        kShift * Eigen::Matrix<double, 6, 6>::Identity() - matrix;
    const Eigen::Matrix<double, 6, 1> expected = shifted.fullPivLu().solve(right);
    SparseLu<double, Of<Pattern>> factors;
    factors.factorise(matrix, kShift);
    factors.solve(right);
    EXPECT_LT((right - expected).cwiseAbs().maxCoeff(), kRoundOff);
  }
}

TEST(SparseLu, SolvesADenseSystem) {
  expect_solution_of_a_general_solver<SparsityPattern<kSize>::dense()>();
}

TEST(SparseLu, SolvesASparseSystemInAnyOrderOfElimination) {
  expect_solution_of_a_general_solver<arrow(false)>();
  expect_solution_of_a_general_solver<arrow(true)>();
}

TEST(SparseLu, AGoodOrderAvoidsFillIn) {
  // Eliminated from the points of the arrow nothing fills in; from its tip everything does.
  EXPECT_LT(sparse_lu::eliminate(arrow(false)).count, 30U);
  EXPECT_GT(sparse_lu::eliminate(arrow(true)).count, 70U);
}

}  // namespace
}  // namespace layshaft
