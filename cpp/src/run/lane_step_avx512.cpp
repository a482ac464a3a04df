// Compiled for AVX-512, eight lanes.
// In the names of all code made here, so that the linker never takes it for the plain one.
#define LAYSHAFT_LANES_NAMESPACE avx512
#include "layshaft/run/lane_kernels.hpp"
#include "layshaft/run/lane_step.hpp"

namespace layshaft {

void step_lanes_avx512(double* block) {
  using Block = LaneBlock<Lanes<8>>;
  static_assert(sizeof(Block) == 8 * sizeof(LaneImage));
  step_lanes(*reinterpret_cast<Block*>(block));
}

}  // namespace layshaft
