// Compiled for AVX2, four lanes.
// In the names of all code made here, so that the linker never takes it for the plain one.
#define LAYSHAFT_LANES_NAMESPACE avx2
#include "layshaft/run/lane_kernels.hpp"
#include "layshaft/run/lane_step.hpp"

namespace layshaft {

void step_lanes_avx2(double* block) {
  using Block = LaneBlock<Lanes<4>>;
  static_assert(sizeof(Block) == 4 * sizeof(LaneImage));
  step_lanes(*reinterpret_cast<Block*>(block));
}

}  // namespace layshaft
