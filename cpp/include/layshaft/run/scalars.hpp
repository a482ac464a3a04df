#pragma once

/// The scalar results of launches and laps: the only list of them, as the field table is for
/// parameters. What both have stands in it once.

#include <span>
#include <string_view>

namespace layshaft {

struct LaunchResult;
struct LapResult;

template <class Result>
struct ScalarOf {
  std::string_view name;
  std::string_view unit;  ///< SI unit; "1" for a ratio or a count.
  std::string_view meaning;
  double (*get)(const Result&);
};
using Scalar = ScalarOf<LaunchResult>;
using LapScalar = ScalarOf<LapResult>;

/// All scalars of a launch, in the order in which they are shown.
[[nodiscard]] std::span<const Scalar> scalars();

/// All scalars of a lap, in that order; its shift is the first in which the drum locked.
[[nodiscard]] std::span<const LapScalar> lap_scalars();

}  // namespace layshaft
