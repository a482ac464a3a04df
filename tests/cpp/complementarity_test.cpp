#include "layshaft/network/complementarity.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "layshaft/network/network.hpp"

namespace layshaft {
namespace {

// Solves of at most six rows lose a few digits; random matrices of these kinds stay conditioned
// below 1e4. Relative to the largest torque, or that times the stiffest row.
constexpr double kSolveError = 1e-9;
constexpr int kProblems = 4000;

using Random = std::mt19937_64;

double between(Random& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

SmallMatrix random_matrix(Random& random, int rows, int columns) {
  SmallMatrix matrix(rows, columns);
  for (int i = 0; i < rows; ++i) {
    for (int j = 0; j < columns; ++j) matrix(i, j) = between(random, -1.0, 1.0);
  }
  return matrix;
}

// Limits as the car has them: two-way, one-way without a limit, retracted (both zero).
void set_random_limits(Random& random, BoxedProblem& problem) {
  const auto count = static_cast<int>(problem.acceleration.size());
  problem.low.resize(count);
  problem.high.resize(count);
  for (int i = 0; i < count; ++i) {
    problem.low(i) = -between(random, 0.0, 1.0);
    problem.high(i) = between(random, 0.0, 1.0);
    const double kind = between(random, 0.0, 1.0);
    if (kind < 0.25) {
      problem.low(i) = 0.0;
      problem.high(i) = kNoLimit;
    } else if (kind < 0.35) {
      problem.low(i) = problem.high(i) = 0.0;
    } else if (kind < 0.45) {
      problem.low(i) = 0.0;
    }
  }
}

// Without losses S is symmetric and positive definite; a skew part stands for the losses.
BoxedProblem random_problem(Random& random, int count, double skewness) {
  const SmallMatrix root = random_matrix(random, count, count);
  const SmallMatrix other = random_matrix(random, count, count);
  BoxedProblem problem;
  problem.response = root * root.transpose() + 0.05 * SmallMatrix::Identity(count, count) +
                     skewness * (other - other.transpose());
  problem.acceleration = random_matrix(random, count, 1).col(0);
  set_random_limits(random, problem);
  return problem;
}

// Rows that depend on each other: more of them than nodes they join. The accelerations are those
// that some force gives, as in a network.
BoxedProblem random_dependent_problem(Random& random, int count, int nodes) {
  const SmallMatrix rows = random_matrix(random, count, nodes);
  BoxedProblem problem;
  problem.response = rows * rows.transpose();
  problem.acceleration = rows * random_matrix(random, nodes, 1).col(0);
  set_random_limits(random, problem);
  return problem;
}

double largest_torque(const BoxedSolution& solution) {
  return std::max(1.0, solution.torque.cwiseAbs().maxCoeff());
}

// The conditions in the header, from torques alone.
void expect_conditions(const BoxedProblem& problem, const BoxedSolution& solution) {
  ASSERT_TRUE(solution.found);
  const double torque_error = kSolveError * largest_torque(solution);
  const double error = torque_error * std::max(1.0, problem.response.cwiseAbs().maxCoeff());
  const SmallVector slip = problem.acceleration - problem.response * solution.torque;
  for (int i = 0; i < slip.size(); ++i) {
    EXPECT_GE(solution.torque(i), problem.low(i) - torque_error);
    EXPECT_LE(solution.torque(i), problem.high(i) + torque_error);
    EXPECT_NEAR(solution.acceleration(i), slip(i), error);
    if (solution.torque(i) < problem.high(i) - torque_error) {
      EXPECT_LE(slip(i), error) << "row " << i;
    }
    if (solution.torque(i) > problem.low(i) + torque_error) {
      EXPECT_GE(slip(i), -error) << "row " << i;
    }
  }
}

BasisVector random_start(Random& random, const BoxedProblem& problem) {
  BasisVector start(problem.acceleration.size());
  for (int i = 0; i < start.size(); ++i) {
    const double kind = between(random, 0.0, 1.0);
    start(i) = kind < 0.4 ? Basis::inside : Basis::low;
    if (kind > 0.7 && problem.high(i) < kNoLimit) start(i) = Basis::high;
  }
  return start;
}

BasisVector all_inside(int count) { return BasisVector::Constant(count, Basis::inside); }

void expect_same_answer(const BoxedProblem& problem, Random& random) {
  const BoxedSolution tried = enumerate_boxed(problem);
  const BoxedSolution pivoted = solve_boxed(problem, random_start(random, problem));
  expect_conditions(problem, tried);
  expect_conditions(problem, pivoted);
  ASSERT_TRUE(tried.found && pivoted.found);
  const double error = kSolveError * largest_torque(tried);
  EXPECT_LE((tried.torque - pivoted.torque).cwiseAbs().maxCoeff(), error);
}

TEST(Complementarity, PivotingFindsTheOneAnswerOfAFrictionProblemWithoutLosses) {
  Random random(20240517);
  for (int k = 0; k < kProblems && !HasFailure(); ++k) {
    expect_same_answer(random_problem(random, 1 + k % 6, 0.0), random);
  }
}

TEST(Complementarity, PivotingFindsTheOneAnswerWhereLossesMakeTheResponseUneven) {
  Random random(20240518);
  for (int k = 0; k < kProblems && !HasFailure(); ++k) {
    expect_same_answer(random_problem(random, 1 + k % 6, 0.4), random);
  }
}

TEST(Complementarity, DependentRowsShareTheTorqueButTheAccelerationsAreUnique) {
  Random random(20240519);
  for (int k = 0; k < kProblems && !HasFailure(); ++k) {
    const int nodes = 1 + k % 3;
    const BoxedProblem problem = random_dependent_problem(random, nodes + 1 + k % 2, nodes);
    const BoxedSolution tried = enumerate_boxed(problem);
    const BoxedSolution pivoted = solve_boxed(problem, random_start(random, problem));
    expect_conditions(problem, tried);
    expect_conditions(problem, pivoted);
    ASSERT_TRUE(tried.found && pivoted.found);
    const double error = kSolveError * std::max(largest_torque(tried), largest_torque(pivoted)) *
                         std::max(1.0, problem.response.cwiseAbs().maxCoeff());
    EXPECT_LE((tried.acceleration - pivoted.acceleration).cwiseAbs().maxCoeff(), error);
  }
}

TEST(Complementarity, AnswerDoesNotDependOnTheUnits) {
  Random random(20240520);
  for (int k = 0; k < 500 && !HasFailure(); ++k) {
    const BoxedProblem problem = random_problem(random, 4, 0.2);
    const BoxedSolution plain = solve_boxed(problem, all_inside(4));
    for (const double factor : {0x1p-30, 0x1p30}) {
      BoxedProblem scaled = problem;
      scaled.acceleration *= factor;
      scaled.low *= factor;
      for (int i = 0; i < 4; ++i) {
        if (scaled.high(i) < kNoLimit) scaled.high(i) *= factor;
      }
      const BoxedSolution other = solve_boxed(scaled, all_inside(4));
      ASSERT_TRUE(plain.found && other.found);
      // Powers of two scale without rounding.
      EXPECT_EQ(other.torque, SmallVector(plain.torque * factor));
    }
  }
}

BoxedProblem one_row(double acceleration, double low, double high) {
  return {SmallMatrix::Constant(1, 1, 2.0), SmallVector::Constant(1, acceleration),
          SmallVector::Constant(1, low), SmallVector::Constant(1, high)};
}

TEST(Complementarity, OneClutchHoldsBelowItsLimitAndSlipsAbove) {
  // S = 2: the torque that holds is half of the acceleration asked for; the limits are -1 and 3.
  struct Row {
    double asked, torque, slip;
  };
  for (const Row& row : {Row{5.9, 2.95, 0.0}, Row{6.0, 3.0, 0.0}, Row{6.1, 3.0, 0.1},
                         Row{0.0, 0.0, 0.0}, Row{-2.0, -1.0, 0.0}, Row{-2.1, -1.0, -0.1}}) {
    const BoxedSolution solution = solve_boxed(one_row(row.asked, -1.0, 3.0), all_inside(1));
    ASSERT_TRUE(solution.found);
    EXPECT_NEAR(solution.torque(0), row.torque, kSolveError);
    EXPECT_NEAR(solution.acceleration(0), row.slip, kSolveError);
  }
}

TEST(Complementarity, OneWayBearingDrivesWithoutLimitAndNeverHoldsBack) {
  const BoxedSolution drives = solve_boxed(one_row(1e6, 0.0, kNoLimit), all_inside(1));
  EXPECT_EQ(drives.torque(0), 5e5);
  EXPECT_EQ(drives.acceleration(0), 0.0);
  const BoxedSolution overruns = solve_boxed(one_row(-1e6, 0.0, kNoLimit), all_inside(1));
  EXPECT_EQ(overruns.torque(0), 0.0);
  EXPECT_EQ(overruns.acceleration(0), -1e6);
}

TEST(Complementarity, RetractedCouplingCarriesNothing) {
  for (const double asked : {-3.0, 0.0, 3.0}) {
    const BoxedSolution solution = solve_boxed(one_row(asked, 0.0, 0.0), all_inside(1));
    ASSERT_TRUE(solution.found);
    EXPECT_EQ(solution.torque(0), 0.0);
    EXPECT_EQ(solution.acceleration(0), asked);
  }
}

TEST(Complementarity, TwoBrakesOnOneShaftHoldTogetherWhatNeitherHoldsAlone) {
  // Identical rows, limits +/- 1, load 1.5: the sum is 1.5 and nothing moves; load 2.5 slips by .5.
  BoxedProblem problem{SmallMatrix::Constant(2, 2, 1.0), SmallVector::Constant(2, 1.5),
                       SmallVector::Constant(2, -1.0), SmallVector::Constant(2, 1.0)};
  const BoxedSolution holds = solve_boxed(problem, all_inside(2));
  ASSERT_TRUE(holds.found);
  EXPECT_NEAR(holds.torque.sum(), 1.5, kSolveError);
  EXPECT_NEAR(holds.acceleration(0), 0.0, kSolveError);
  problem.acceleration.setConstant(2.5);
  const BoxedSolution slips = solve_boxed(problem, all_inside(2));
  ASSERT_TRUE(slips.found);
  EXPECT_NEAR(slips.torque.sum(), 2.0, kSolveError);
  EXPECT_NEAR(slips.acceleration(0), 0.5, kSolveError);
}

TEST(Complementarity, ProblemWithoutAnAnswerIsNotGivenOne) {
  // Two rows without inertia between them and without a limit pull apart: nothing can hold both.
  BoxedProblem problem{SmallMatrix::Constant(2, 2, 1.0), SmallVector(2),
                       SmallVector::Constant(2, -kNoLimit), SmallVector::Constant(2, kNoLimit)};
  problem.acceleration << 1.0, 2.0;
  EXPECT_FALSE(solve_boxed(problem, all_inside(2)).found);
  EXPECT_FALSE(enumerate_boxed(problem).found);
}

TEST(Complementarity, NoRowsNeedNoTorque) {
  const BoxedProblem empty{SmallMatrix(0, 0), SmallVector(0), SmallVector(0), SmallVector(0)};
  EXPECT_TRUE(solve_boxed(empty, all_inside(0)).found);
}

}  // namespace
}  // namespace layshaft
