// Compiled for any processor, two lanes.
#include "layshaft/run/lane_kernels.hpp"
#include "layshaft/run/lane_step.hpp"

namespace layshaft {

void step_lanes_plain(double* block) {
  using Block = LaneBlock<Lanes<2>>;
  static_assert(sizeof(Block) == 2 * sizeof(LaneImage));
  step_lanes(*reinterpret_cast<Block*>(block));
}

}  // namespace layshaft
