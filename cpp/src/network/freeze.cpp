#include "layshaft/network/freeze.hpp"

#include <Eigen/QR>

namespace layshaft {

SmallMatrix solve_response(const SmallMatrix& response, const SmallMatrix& right) {
  const SmallLu factors(response);
  if (factors.has_dependent_rows()) {
    // The pseudo-inverse where rows depend on each other (the brake and both gears stuck at
    // standstill).
    return response.completeOrthogonalDecomposition().pseudoInverse() * right;
  }
  SmallMatrix solution(right.rows(), right.cols());
  for (Eigen::Index j = 0; j < right.cols(); ++j) solution.col(j) = factors.solve(right.col(j));
  return solution;
}

}  // namespace layshaft
