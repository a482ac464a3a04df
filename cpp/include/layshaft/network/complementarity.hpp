#pragma once

/// Boxed linear complementarity problem: which of a few couplings stick, and with what torque.
///
///     a = q - S lambda,   low <= lambda <= high,   for each row one of
///     low < lambda < high and a = 0;   lambda = high and a >= 0;   lambda = low and a <= 0
///
/// a is the acceleration of the slip, q what it would be without torque. S is square, small, and a
/// P-matrix wherever the stuck rows are independent (symmetric positive definite without losses).
///
/// Method: principal pivoting by least index (Murty 1974; with upper bounds Judice & Pires,
/// Computers & Operations Research 21 (1994) 587), which ends for a P-matrix. Rows that depend on
/// each other make S singular; then, and if the pivot count is spent, all bases are enumerated,
/// which always ends.

#include <Eigen/Core>
#include <cstdint>

#include "layshaft/network/small_lu.hpp"

namespace layshaft {

/// Where a row's torque stands.
enum class Basis : std::int8_t { low = -1, inside = 0, high = 1 };
using BasisVector = Eigen::Matrix<Basis, Eigen::Dynamic, 1, 0, kMostCouplings, 1>;

struct BoxedProblem {
  SmallMatrix response;      ///< S: fall of each slip acceleration for one unit of each torque.
  SmallVector acceleration;  ///< q: slip accelerations at zero torque.
  SmallVector low;           ///< Lower torque limits, <= 0.
  SmallVector high;          ///< Upper torque limits, >= 0.
};

struct BoxedSolution {
  bool found;  ///< False where no basis satisfies the conditions.
  BasisVector basis;
  SmallVector torque;        ///< lambda
  SmallVector acceleration;  ///< a = q - S lambda
  double torque_error;       ///< Round-off that a torque may carry, and be beyond a limit by.
};

/// Solves by least-index pivoting from `start`; falls back on `enumerate_boxed`.
[[nodiscard]] BoxedSolution solve_boxed(const BoxedProblem& problem, const BasisVector& start);

/// Tries every basis, `inside` first; the oracle of the tests and the way out for singular S.
[[nodiscard]] BoxedSolution enumerate_boxed(const BoxedProblem& problem);

}  // namespace layshaft
