#include "layshaft/network/freeze.hpp"

#include <Eigen/QR>

namespace layshaft {

SmallMatrix invert_response(const SmallMatrix& response) {
  const Eigen::PartialPivLU<SmallMatrix> factors(response);
  if (!has_dependent_rows(factors)) return factors.inverse();
  // The pseudo-inverse where rows depend on each other (the brake and both gears stuck at
  // standstill).
  return response.completeOrthogonalDecomposition().pseudoInverse();
}

}  // namespace layshaft
