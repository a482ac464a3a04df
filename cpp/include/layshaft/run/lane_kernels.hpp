#pragma once

/// The compiled forms of the lane step, and which of them this processor can run.

#include <cstddef>

#include "layshaft/run/lane_block.hpp"

namespace layshaft {

void step_lanes_plain(double* block);   ///< Two lanes.
void step_lanes_avx2(double* block);    ///< Four lanes; only where the processor has AVX2.
void step_lanes_avx512(double* block);  ///< Eight lanes; only where it has AVX-512 F, DQ and VL.

inline constexpr std::size_t kMostLanes = 8;

/// A lane step and its width; `step` is null and `width` 1 for launches one by one.
struct LaneForm {
  std::size_t width;
  LaneKernel step;
};

/// The form with at most this many lanes that the processor can run; 0 asks for the widest, or for
/// the number in the environment variable LAYSHAFT_LANES if it is set.
[[nodiscard]] LaneForm lane_form(std::size_t most_lanes);

}  // namespace layshaft
