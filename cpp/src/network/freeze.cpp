#include "layshaft/network/freeze.hpp"

#include <Eigen/QR>

namespace layshaft {

SmallMatrix invert_response(const SmallMatrix& response) {
  // Complete orthogonal decomposition: the pseudo-inverse where rows depend on each other (all
  // brakes and both gears stuck at standstill), the inverse elsewhere.
  return response.completeOrthogonalDecomposition().pseudoInverse();
}

}  // namespace layshaft
