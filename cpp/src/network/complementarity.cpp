#include "layshaft/network/complementarity.hpp"

#include <algorithm>
#include <cmath>

namespace layshaft {
namespace {

// Round-off of a solve of at most kMostCouplings rows, relative to the largest number in play.
constexpr double kRoundOff = 1e-11;

// Limits beyond this stand for "none"; no basis rests on them.
constexpr double kUnlimited = 1e100;

// Of a torque and of an acceleration.
struct Errors {
  double torque;
  double acceleration;
};

// By the largest torque that the problem asks for, and the acceleration it stands against.
Errors errors_of(const BoxedProblem& problem) {
  double torque = 1e-300;
  for (int i = 0; i < problem.acceleration.size(); ++i) {
    const double diagonal = problem.response(i, i);
    if (diagonal > 0.0) torque = std::max(torque, std::abs(problem.acceleration(i)) / diagonal);
    if (std::abs(problem.low(i)) < kUnlimited) torque = std::max(torque, std::abs(problem.low(i)));
    if (std::abs(problem.high(i)) < kUnlimited)
      torque = std::max(torque, std::abs(problem.high(i)));
  }
  const double stiffest =
      problem.response.size() > 0 ? problem.response.cwiseAbs().maxCoeff() : 0.0;
  return {kRoundOff * torque, kRoundOff * std::max(torque * stiffest, 1e-300)};
}

// Torques and accelerations of a basis; `found` is false where its inside rows are singular.
BoxedSolution evaluate(const BoxedProblem& problem, const BasisVector& basis) {
  const auto count = static_cast<int>(basis.size());
  BoxedSolution solution{true, basis, SmallVector::Zero(count), problem.acceleration, 0.0};
  Eigen::Matrix<int, Eigen::Dynamic, 1, 0, kMostCouplings, 1> inside(count);
  int inside_count = 0;
  for (int i = 0; i < count; ++i) {
    if (basis(i) == Basis::inside) {
      inside(inside_count++) = i;
    } else {
      solution.torque(i) = basis(i) == Basis::high ? problem.high(i) : problem.low(i);
      solution.acceleration -= problem.response.col(i) * solution.torque(i);
    }
  }
  if (inside_count == 0) return solution;
  SmallMatrix block(inside_count, inside_count);
  SmallVector right(inside_count);
  for (int i = 0; i < inside_count; ++i) {
    right(i) = solution.acceleration(inside(i));
    for (int j = 0; j < inside_count; ++j) block(i, j) = problem.response(inside(i), inside(j));
  }
  const SmallLu factors(block);
  if (factors.has_dependent_rows()) {
    solution.found = false;
    return solution;
  }
  const SmallVector torque = factors.solve(right);
  for (int i = 0; i < inside_count; ++i) {
    solution.torque(inside(i)) = torque(i);
    solution.acceleration -= problem.response.col(inside(i)) * torque(i);
  }
  for (int i = 0; i < inside_count; ++i) solution.acceleration(inside(i)) = 0.0;
  return solution;
}

// What the row's basis should become; its own where its condition holds.
Basis complement(const BoxedProblem& problem, const BoxedSolution& solution, const Errors& errors,
                 int row) {
  switch (solution.basis(row)) {
    case Basis::inside:
      if (solution.torque(row) > problem.high(row) + errors.torque) return Basis::high;
      if (solution.torque(row) < problem.low(row) - errors.torque) return Basis::low;
      return Basis::inside;
    case Basis::high:
      return solution.acceleration(row) < -errors.acceleration ? Basis::inside : Basis::high;
    case Basis::low:
      return solution.acceleration(row) > errors.acceleration ? Basis::inside : Basis::low;
  }
  return solution.basis(row);
}

bool rests_on_unlimited(const BoxedProblem& problem, const BasisVector& basis) {
  for (int i = 0; i < basis.size(); ++i) {
    if (basis(i) == Basis::high && problem.high(i) > kUnlimited) return true;
    if (basis(i) == Basis::low && problem.low(i) < -kUnlimited) return true;
  }
  return false;
}

int first_violation(const BoxedProblem& problem, const BoxedSolution& solution,
                    const Errors& errors) {
  for (int row = 0; row < solution.basis.size(); ++row) {
    if (complement(problem, solution, errors, row) != solution.basis(row)) return row;
  }
  return -1;
}

}  // namespace

BoxedSolution solve_boxed(const BoxedProblem& problem, const BasisVector& start) {
  const Errors errors = errors_of(problem);
  const auto count = static_cast<int>(start.size());
  const int most_pivots = 8 << std::min(count, 8);
  BasisVector basis = start;
  for (int pivot = 0; pivot < most_pivots; ++pivot) {
    BoxedSolution solution = evaluate(problem, basis);
    if (!solution.found) break;
    solution.torque_error = errors.torque;
    const int row = first_violation(problem, solution, errors);
    if (row < 0) return solution;
    basis(row) = complement(problem, solution, errors, row);
  }
  return enumerate_boxed(problem);
}

BoxedSolution enumerate_boxed(const BoxedProblem& problem) {
  const Errors errors = errors_of(problem);
  const auto count = static_cast<int>(problem.acceleration.size());
  long bases = 1;
  for (int i = 0; i < count; ++i) bases *= 3;
  BasisVector basis(count);
  for (long number = 0; number < bases; ++number) {
    long rest = number;
    for (int i = 0; i < count; ++i) {
      const long digit = rest % 3;
      basis(i) = digit == 0 ? Basis::inside : (digit == 1 ? Basis::high : Basis::low);
      rest /= 3;
    }
    if (rests_on_unlimited(problem, basis)) continue;
    BoxedSolution solution = evaluate(problem, basis);
    solution.torque_error = errors.torque;
    if (solution.found && first_violation(problem, solution, errors) < 0) return solution;
  }
  return {false, BasisVector::Constant(count, Basis::inside), SmallVector::Zero(count),
          problem.acceleration, errors.torque};
}

}  // namespace layshaft
