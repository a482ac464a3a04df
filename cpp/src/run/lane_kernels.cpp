#include "layshaft/run/lane_kernels.hpp"

#include <cstdlib>

namespace layshaft {
namespace {

#if defined(LAYSHAFT_X86_LANES)
bool has_avx2() { return __builtin_cpu_supports("avx2") != 0; }
bool has_avx512() {
  return __builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512dq") != 0 &&
         __builtin_cpu_supports("avx512vl") != 0;
}
#endif

std::size_t asked_lanes() {
  const char* const asked = std::getenv("LAYSHAFT_LANES");
  const unsigned long lanes = asked == nullptr ? 0 : std::strtoul(asked, nullptr, 10);
  return lanes == 0 ? kMostLanes : lanes;
}

}  // namespace

LaneForm lane_form(std::size_t most_lanes) {
  const std::size_t most = most_lanes == 0 ? asked_lanes() : most_lanes;
#if defined(LAYSHAFT_X86_LANES)
  if (most >= 8 && has_avx512()) return {8, step_lanes_avx512};
  if (most >= 4 && has_avx2()) return {4, step_lanes_avx2};
#endif
  if (most >= 2) return {2, step_lanes_plain};
  return {1, nullptr};
}

}  // namespace layshaft
